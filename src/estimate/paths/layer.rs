//! One layer of a part: its paths in order, timed at the recipe's speeds and at the least speed.

use std::sync::Arc;

use serde::{Deserialize, Serialize};

use crate::{
    estimate::{
        motion::{Gait, Planner, rest_to_rest_s},
        pace::{Kind, Pace},
    },
    geom::{Bounds, BoxTree, Point, Polygon, Region, boolean, simplify},
};

use super::{
    air::Air,
    cover::Covered,
    order::Nearest,
    ring::Ring,
    scan::{Chain, scan},
    strip::Strip,
    thin::length,
    walls::walls,
};

/// What was laid down of one kind.
#[derive(Debug, Clone, Copy, PartialEq, Default, Serialize, Deserialize)]
pub struct Run {
    /// Length of the beads, mm.
    pub length_mm: f64,
    /// Their volume, mm³.
    pub volume_mm3: f64,
    /// Time at the recipe's speeds, s.
    pub time_s: f64,
    /// Time when slowed to the recipe's least speed, s; at least `time_s`.
    pub slowest_s: f64,
}

impl Run {
    pub(in crate::estimate) fn add(&mut self, other: Self) {
        self.length_mm += other.length_mm;
        self.volume_mm3 += other.volume_mm3;
        self.time_s += other.time_s;
        self.slowest_s += other.slowest_s;
    }
}

/// One layer of one copy, alone.
#[derive(Debug, Clone, Copy, PartialEq, Default, Serialize, Deserialize)]
pub struct LayerWork {
    /// Wall loops and single beads of thin places.
    pub walls: Run,
    /// Solid infill.
    pub solid: Run,
    /// Sparse infill.
    pub infill: Run,
    /// Columns under overhangs.
    pub support: Run,
    /// Skirt, brim or raft.
    pub footing: Run,
    /// Moves without a bead within the copy, mm.
    pub travel_mm: f64,
    /// Their time, s.
    pub travel_s: f64,
    /// Moves that cross open air: each draws the filament back.
    pub retractions: u32,
    /// Time of drawing back and priming, s.
    pub retraction_s: f64,
    /// Way from where the layer below ends to where this one begins, mm; nothing on the lowest layer. In no sum of the copy: of all
    /// copies of a plate only one begins a layer where it ended the one below.
    pub arrival_mm: f64,
    /// That way crosses open air: the filament is drawn back.
    pub arrival_drawn_back: bool,
    /// Where the first path begins.
    pub begin: Point,
    /// Where the last path ends.
    pub end: Point,
    /// Area of the section, mm².
    pub area_mm2: f64,
    /// Its perimeter, holes included, mm.
    pub perimeter_mm: f64,
    /// Area of the island that cools slowest: the one with the most area for its perimeter, mm².
    pub bulk_area_mm2: f64,
    /// The perimeter of that island, holes included, mm.
    pub bulk_perimeter_mm: f64,
}

impl LayerWork {
    /// Time at the recipe's speeds, s.
    pub fn time_s(&self) -> f64 {
        self.runs().iter().map(|r| r.time_s).sum::<f64>() + self.travel_s + self.retraction_s
    }
    /// Time with every bead slowed to the least speed, s.
    pub fn slowest_s(&self) -> f64 {
        self.runs().iter().map(|r| r.slowest_s).sum::<f64>() + self.travel_s + self.retraction_s
    }
    /// Volume of all beads, mm³.
    pub fn volume_mm3(&self) -> f64 {
        self.runs().iter().map(|r| r.volume_mm3).sum()
    }
    /// Length of all beads, mm.
    pub fn bead_mm(&self) -> f64 {
        self.runs().iter().map(|r| r.length_mm).sum()
    }
    /// Notes the way from where the layer below ends; `section` is the one of this layer.
    pub(in crate::estimate) fn arrive_from(&mut self, from: Point, section: &Region) {
        self.arrival_mm = from.distance(self.begin);
        let crosses = section.polygons.iter().any(|island| Air::new(island).crosses(from, self.begin));
        self.arrival_drawn_back = self.arrival_mm > 1e-9 && crosses;
    }
    fn runs(&self) -> [Run; 5] {
        [self.walls, self.solid, self.infill, self.support, self.footing]
    }
    /// True when nothing is laid down.
    pub fn is_empty(&self) -> bool {
        self.runs().iter().all(|r| r.length_mm == 0.0)
    }
}

/// Follows the paths of layers, one after the other.
#[derive(Debug)]
pub(in crate::estimate) struct Tracer<'a> {
    pace: &'a Pace,
    planner: Planner,
    at: Option<Point>,
    work: LayerWork,
}

impl<'a> Tracer<'a> {
    pub(in crate::estimate) fn new(pace: &'a Pace) -> Self {
        Self { pace, planner: Planner::default(), at: None, work: LayerWork::default() }
    }

    /// All paths of a layer with this section, in order. `covered` says where it is not solid; `columns` are its supports.
    /// `None` where `cancelled`, asked at every island, says so.
    pub(in crate::estimate) fn part(
        mut self,
        section: &Region,
        covered: &Covered,
        columns: &Region,
        angle_rad: f64,
        cancelled: &dyn Fn() -> bool,
    ) -> Option<LayerWork> {
        self.measure(section);
        let cover_boxes = match covered {
            Covered::Here(region) if region.polygons.len() > 16 => {
                let boxes: Vec<Bounds> = region.polygons.iter().map(|p| Bounds::of(p.outer.iter().copied())).collect();
                Some(BoxTree::new(&boxes))
            }
            _ => None,
        };
        for island in self.islands(section) {
            if cancelled() {
                return None;
            }
            let island = &section.polygons[island];
            let mut air = Air::new(island);
            let mut first = true;
            let laid = walls(island, self.pace.bead_mm, self.pace.walls, cancelled)?;
            let mut next =
                Nearest::new(laid.rings.iter().enumerate().filter_map(|(i, r)| Some((*r.points.first()?, i as u32))));
            while let Some((_, i)) = next.take(self.place(section)) {
                self.ring(&laid.rings[i as usize], Kind::Walls, &mut air, &mut first);
            }
            for strip in &laid.strips {
                self.strip(strip, Kind::Walls, &mut air, &mut first);
            }
            for piece in &laid.inside {
                let near = nearby(covered, cover_boxes.as_ref(), piece);
                self.fill(piece, &near, angle_rad, &mut air, &mut first);
            }
        }
        for i in self.islands(columns) {
            if cancelled() {
                return None;
            }
            let piece = &columns.polygons[i];
            let (area, density) = (piece.area(), self.pace.support_density);
            self.sparse(piece, area, (Kind::Support, density), angle_rad, &mut Air::new(piece), &mut true);
        }
        Some(self.work)
    }

    /// A footing: `rings` as loops, `solid` filled.
    pub(in crate::estimate) fn footing(mut self, rings: &Region, solid: &Region, angle_rad: f64) -> LayerWork {
        self.measure(solid);
        for i in self.islands(rings) {
            let polygon = &rings.polygons[i];
            let mut air = Air::new(polygon);
            for points in polygon.loops() {
                let ring = Ring::even(points.clone(), self.pace.bead_mm);
                self.ring(&ring, Kind::Footing, &mut air, &mut false);
            }
        }
        for i in self.islands(solid) {
            let mut air = Air::new(&solid.polygons[i]);
            self.solid(&solid.polygons[i], solid.polygons[i].area(), Kind::Footing, angle_rad, &mut air, &mut true);
        }
        self.work
    }

    /// Notes what of a section bears on cooling.
    fn measure(&mut self, section: &Region) {
        let around = |p: &Polygon| p.loops().map(|l| length(l)).sum::<f64>();
        (self.work.area_mm2, self.work.perimeter_mm) = (section.area(), section.perimeter());
        let islands = section.polygons.iter().map(|p| (p.area(), around(p))).filter(|i| i.0 > 0.0 && i.1 > 0.0);
        let bulk = islands.max_by(|a, b| (a.0 / a.1).total_cmp(&(b.0 / b.1)));
        (self.work.bulk_area_mm2, self.work.bulk_perimeter_mm) = bulk.unwrap_or_default();
    }

    /// Indices of the polygons, the nearest next.
    fn islands(&self, region: &Region) -> Vec<usize> {
        let mut left =
            Nearest::new(region.polygons.iter().enumerate().filter_map(|(i, p)| Some((*p.outer.first()?, i as u32))));
        let mut at = self.place(region);
        let mut order = Vec::with_capacity(region.polygons.len());
        while let Some((p, i)) = left.take(at) {
            order.push(i as usize);
            at = p;
        }
        order
    }

    fn place(&self, region: &Region) -> Point {
        self.at.unwrap_or_else(|| if region.is_empty() { Point::default() } else { region.bounds().min })
    }

    /// Moves to `to` without a bead, drawn back where the move crosses open air or leaves an island.
    fn travel(&mut self, to: Point, air: &mut Air, first: &mut bool) {
        let leaves = std::mem::take(first);
        if let Some(from) = self.at {
            let length = from.distance(to);
            if length > 1e-9 {
                self.work.travel_mm += length;
                self.work.travel_s += rest_to_rest_s(length, self.pace.travel_mm_s, self.pace.travel_acceleration);
                if leaves || air.crosses(from, to) {
                    self.work.retractions += 1;
                    self.work.retraction_s += self.pace.retraction_s;
                }
            }
        } else {
            self.work.begin = to;
        }
        self.at = Some(to);
    }

    fn arrive(&mut self, at: Point) {
        self.at = Some(at);
        self.work.end = at;
    }

    fn gait(&self, kind: Kind, width_mm: f64) -> Gait {
        Gait {
            speed_mm_s: self.pace.speed(kind, width_mm),
            acceleration_mm_s2: self.pace.acceleration,
            deviation_mm: self.pace.deviation_mm,
            extrudes: true,
        }
    }

    fn run_mut(&mut self, kind: Kind) -> &mut Run {
        match kind {
            Kind::Walls => &mut self.work.walls,
            Kind::Solid => &mut self.work.solid,
            Kind::Infill => &mut self.work.infill,
            Kind::Support => &mut self.work.support,
            Kind::Footing => &mut self.work.footing,
        }
    }

    /// Plans the closed loop from corner `start`, leg i with the bead of that width; length, time and time at the least speed.
    fn closed(
        &mut self,
        points: &[Point],
        start: usize,
        kind: Kind,
        width_mm: impl Fn(usize) -> f64,
    ) -> (f64, f64, f64) {
        self.planner.clear();
        let n = points.len();
        for k in 0..n {
            let (from, to) = ((start + k) % n, (start + k + 1) % n);
            let gait = self.gait(kind, width_mm(from));
            self.planner.line(points[from], points[to], gait);
        }
        let length = self.planner.legs().iter().map(|l| l.length_mm).sum();
        let (time, slowest) = (self.planner.time_s(f64::INFINITY), self.planner.time_s(self.pace.least_mm_s));
        (length, time, slowest.max(time))
    }

    fn ring(&mut self, ring: &Ring, kind: Kind, air: &mut Air, first: &mut bool) {
        let from = self.at.unwrap_or_default();
        let Some(start) = nearest_corner(&ring.points, from) else { return };
        self.travel(ring.points[start], air, first);
        let (length_mm, time_s, slowest_s) = self.closed(&ring.points, start, kind, |leg| ring.width_mm(leg));
        let volume_mm3 = ring.area_mm2() * self.pace.height_mm;
        self.run_mut(kind).add(Run { length_mm, volume_mm3, time_s, slowest_s });
        self.arrive(ring.points[start]);
    }

    /// A bead along the middle of a thin place: moved like its border, at half the length.
    fn strip(&mut self, strip: &Strip, kind: Kind, air: &mut Air, first: &mut bool) {
        let from = self.at.unwrap_or_default();
        let Some(outer) = strip.border.first() else { return };
        let Some(start) = nearest_corner(outer, from) else { return };
        self.travel(outer[start], air, first);
        let mut border = (0.0, 0.0, 0.0);
        for (i, l) in strip.border.iter().enumerate() {
            let (around, time, slowest) = self.closed(l, if i == 0 { start } else { 0 }, kind, |_| strip.width_mm);
            border = (border.0 + around, border.1 + time, border.2 + slowest);
        }
        let share = strip.length_mm / border.0.max(1e-9);
        let volume_mm3 = strip.area_mm2() * self.pace.height_mm;
        self.run_mut(kind).add(Run {
            length_mm: strip.length_mm,
            volume_mm3,
            time_s: border.1 * share,
            slowest_s: border.2 * share,
        });
        self.arrive(outer[start]);
    }

    /// What lies inside the walls: solid where bare, sparse where covered.
    fn fill(&mut self, piece: &Polygon, covered: &Covered, angle_rad: f64, air: &mut Air, first: &mut bool) {
        let (bead, area) = (self.pace.bead_mm, piece.area());
        let infill = (Kind::Infill, self.pace.density);
        let covered = match covered {
            _ if self.pace.density > 0.999 => return self.solid(piece, area, Kind::Solid, angle_rad, air, first),
            Covered::Nowhere => return self.solid(piece, area, Kind::Solid, angle_rad, air, first),
            Covered::Everywhere => return self.sparse(piece, area, infill, angle_rad, air, first),
            Covered::Here(covered) => covered,
        };
        // An eighth of a bead is far below what decides whether a line is laid.
        let coarse = simplify::within(&piece.clone().into(), bead / 8.0);
        let mut bare = boolean::difference_quick(&coarse, covered);
        bare.polygons.retain(|p| p.area() > bead * bead && Strip::of(p).is_some_and(|s| s.width_mm > bead / 2.0));
        let bare_area = bare.area();
        if bare.is_empty() {
            return self.sparse(piece, area, infill, angle_rad, air, first);
        }
        if bare_area > area - bead * bead {
            return self.solid(piece, area, Kind::Solid, angle_rad, air, first);
        }
        for p in &bare.polygons {
            self.solid(p, p.area(), Kind::Solid, angle_rad, air, first);
        }
        let sparse = boolean::difference_quick(&coarse, &bare);
        let scale = (area - bare_area).max(0.0) / sparse.area().max(1e-9);
        for p in &sparse.polygons {
            self.sparse(p, p.area() * scale, infill, angle_rad, air, first);
        }
    }

    /// Solid lines one bead apart over `area` mm²; their length is the area over the bead width, their number what fits. One bead
    /// along the middle where no more fits, as between walls.
    fn solid(&mut self, piece: &Polygon, area: f64, kind: Kind, angle_rad: f64, air: &mut Air, first: &mut bool) {
        let bead = self.pace.bead_mm;
        let middle = Strip::of(piece);
        if let Some(strip) = middle.as_ref().filter(|s| s.width_mm < 1.5 * bead) {
            return self.strip(strip, kind, air, first);
        }
        let (chains, drawn) = solid_lines(piece, bead, angle_rad);
        let wanted = area / bead;
        if drawn < 0.5 * wanted || drawn > 2.0 * wanted {
            if let Some(strip) = middle {
                self.strip(&strip, kind, air, first);
            }
            return;
        }
        let gait = self.gait(kind, bead);
        self.chains(chains, kind, wanted / drawn, gait, None, air, first);
    }

    /// Sparse lines over `area` mm², bead ÷ density apart; hops between their ends follow the wall without drawing back.
    fn sparse(
        &mut self,
        piece: &Polygon,
        area: f64,
        (kind, density): (Kind, f64),
        angle_rad: f64,
        air: &mut Air,
        first: &mut bool,
    ) {
        let bead = self.pace.bead_mm;
        let wanted = density * area / bead;
        if wanted < 1e-6 {
            return;
        }
        let chains = scan(piece, bead / density, angle_rad, 0.0);
        let drawn: f64 = chains.iter().flat_map(|c| &c.lines).map(|l| l.0.distance(l.1)).sum();
        let gait = self.gait(kind, bead);
        if drawn < wanted / 3.0 {
            // Too small for the lines to meet it on every layer: the mean of many layers, without its moves.
            let time = |v: f64| rest_to_rest_s(wanted, v, gait.acceleration_mm_s2);
            let time_s = time(gait.speed_mm_s);
            let slowest_s = time(gait.speed_mm_s.min(self.pace.least_mm_s));
            let volume_mm3 = wanted * bead * self.pace.height_mm;
            self.run_mut(kind).add(Run { length_mm: wanted, volume_mm3, time_s, slowest_s });
            return;
        }
        let hop = Gait {
            speed_mm_s: self.pace.travel_mm_s,
            acceleration_mm_s2: self.pace.travel_acceleration,
            deviation_mm: self.pace.deviation_mm,
            extrudes: false,
        };
        self.chains(chains, kind, wanted / drawn, gait, Some(hop), air, first);
    }

    /// Lays chains, the nearest end next. Between lines of a chain the head lays a bead on, or hops where `hop` is given.
    #[expect(clippy::too_many_arguments, reason = "one private call for two kinds of infill")]
    fn chains(
        &mut self,
        mut chains: Vec<Chain>,
        kind: Kind,
        scale: f64,
        gait: Gait,
        hop: Option<Gait>,
        air: &mut Air,
        first: &mut bool,
    ) {
        let ends =
            chains.iter().enumerate().flat_map(|(i, c)| [(c.begin(), 2 * i as u32), (c.end(), 2 * i as u32 + 1)]);
        let mut next = Nearest::new(ends);
        let mut done = vec![false; chains.len()];
        let mut sum = Run::default();
        while let Some((at, end)) = next.take(self.at.unwrap_or_default()) {
            let i = (end / 2) as usize;
            if std::mem::replace(&mut done[i], true) {
                continue;
            }
            let mut chain = std::mem::take(&mut chains[i]);
            if end % 2 == 1 {
                chain.reverse();
            }
            self.travel(at, air, first);
            self.planner.clear();
            let mut last: Option<Point> = None;
            for &(a, b) in &chain.lines {
                if let Some(last) = last {
                    self.planner.line(last, a, hop.unwrap_or(gait));
                }
                self.planner.line(a, b, gait);
                last = Some(b);
            }
            let legs: Vec<(bool, f64)> = self.planner.legs().iter().map(|l| (l.extrudes, l.length_mm)).collect();
            let (mut time, mut hops) = (0.0, 0.0);
            self.planner.run(f64::INFINITY, |k, t| if legs[k].0 { time += t } else { hops += t });
            let mut slowest = 0.0;
            self.planner.run(self.pace.least_mm_s, |k, t| {
                if legs[k].0 {
                    slowest += t;
                }
            });
            let length: f64 = legs.iter().filter(|l| l.0).map(|l| l.1).sum();
            self.work.travel_mm += legs.iter().filter(|l| !l.0).map(|l| l.1).sum::<f64>();
            self.work.travel_s += hops;
            sum.add(Run { length_mm: length, volume_mm3: 0.0, time_s: time, slowest_s: slowest.max(time) });
            self.arrive(chain.end());
        }
        let length_mm = sum.length_mm * scale;
        let volume_mm3 = length_mm * self.pace.bead_mm * self.pace.height_mm;
        self.run_mut(kind).add(Run {
            length_mm,
            volume_mm3,
            time_s: sum.time_s * scale,
            slowest_s: sum.slowest_s * scale,
        });
    }
}

/// The part of the cover that can meet the piece: thousands of islands must not each be cut against all others.
fn nearby(covered: &Covered, boxes: Option<&BoxTree>, piece: &Polygon) -> Covered {
    match (covered, boxes) {
        (Covered::Here(region), Some(tree)) => {
            let found = tree.touching(Bounds::of(piece.outer.iter().copied()));
            let polygons = found.into_iter().map(|i| region.polygons[i].clone()).collect();
            Covered::Here(Arc::new(Region { polygons }))
        }
        _ => covered.clone(),
    }
}

fn nearest_corner(points: &[Point], from: Point) -> Option<usize> {
    (0..points.len())
        .min_by(|&a, &b| (points[a] - from).length_squared().total_cmp(&(points[b] - from).length_squared()))
}

/// Lines one bead apart with beads linking them, and the length of all: the area over the bead, but for the border.
fn solid_lines(piece: &Polygon, bead_mm: f64, angle_rad: f64) -> (Vec<Chain>, f64) {
    let chains = scan(piece, bead_mm, angle_rad, bead_mm / 2.0);
    let drawn = chains.iter().map(polyline_length).sum();
    (chains, drawn)
}

/// Length of a chain with the links between its lines.
fn polyline_length(chain: &Chain) -> f64 {
    chain.lines.iter().map(|l| l.0.distance(l.1)).sum::<f64>()
        + chain.lines.windows(2).map(|w| w[0].1.distance(w[1].0)).sum::<f64>()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::geom::disc;

    /// Lines as they are drawn, before their length is put right: L = A/w within 3 % on wide pieces (half a bead is left out at the ends,
    /// half the border is linked). Wrong lines would not show in the volume, which is put right.
    #[test]
    fn raw_lines_fill_their_area() {
        let plate = Polygon::rectangle(Bounds::new(Point::new(-30.0, -20.0), Point::new(30.0, 20.0)));
        let mut holed = plate.clone();
        let mut hole = disc::regular(Point::new(8.0, 3.0), 10.0, 120).outer;
        hole.reverse();
        holed.holes.push(hole);
        let (bead_mm, height_mm) = (0.45, 0.2);
        for (name, piece) in [("plate", plate), ("disc", disc::regular(Point::default(), 25.0, 240)), ("holed", holed)]
        {
            for angle in [0.0, std::f64::consts::FRAC_PI_4, 3.0 * std::f64::consts::FRAC_PI_4] {
                let (chains, drawn) = solid_lines(&piece, bead_mm, angle);
                let ratio = drawn * bead_mm * height_mm / (piece.area() * height_mm);
                assert!((ratio - 1.0).abs() < 0.03, "{name} at {angle}: {ratio} in {} chains", chains.len());
            }
        }
    }

    /// Within an island the way to the next layer is plain; across a gap or a hole the filament is drawn back.
    #[test]
    fn arrivals_cross_open_air() {
        let mut two = Region::rectangle(Bounds::new(Point::default(), Point::new(10.0, 10.0)));
        let other = two.map(|p| p + Point::new(30.0, 0.0));
        two.polygons.extend(other.polygons);
        let begin = Point::new(1.0, 1.0);
        for (from, way, drawn_back) in
            [(Point::new(9.0, 1.0), 8.0, false), (Point::new(39.0, 1.0), 38.0, true), (begin, 0.0, false)]
        {
            let mut work = LayerWork { begin, ..LayerWork::default() };
            work.arrive_from(from, &two);
            assert!((work.arrival_mm - way).abs() < 1e-9, "{}", work.arrival_mm);
            assert_eq!(work.arrival_drawn_back, drawn_back);
        }
    }
}
