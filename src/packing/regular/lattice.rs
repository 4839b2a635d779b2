//! The lattice move: many copies of one shape in rows, each row the same, alone or with its half-turned self.
//!
//! Rows run along one of the room's directions. A row repeats a cell (one copy, or a copy and its half-turned self at
//! any contact) at a pitch, from the closest one up to the pitch that spreads a row over the whole room; the next row
//! is moved along by any share of the pitch and lies as close as the outlines let it; rows lean on in one direction or
//! to and fro. Sources: double lattices, Kuperberg & Kuperberg 1990; rows on a sheet, Stoyan & Pankratov 1999.

use std::f64::consts::{FRAC_PI_2, PI, TAU};

use rayon::prelude::*;

use crate::packing::{
    Layout, bodies::contacts::CONTACT_MM, bodies::inner_fit::InnerFit, bodies::zone::Zone,
    bodies::zone_table::ZoneTable,
};
use crate::{
    geom::{Bounds, Placement, Point, Region},
    watch::Watch,
};

/// Copies of one shape on one bed.
#[derive(Debug, Clone, Default)]
pub(in crate::packing) struct Pattern {
    /// Turn and place of each copy.
    pub(in crate::packing) copies: Vec<(f64, Point)>,
}

/// A border seen from rows.
#[derive(Debug)]
struct Profile {
    edges: Vec<(Point, Point)>,
    reach: Bounds,
    /// Upper edges by where they lie along x, right-hand ones by where they lie along y.
    upper: Slots,
    outer: Slots,
}

/// What lies where along a line, in equal slots.
#[derive(Debug)]
struct Slots {
    from: f64,
    each: f64,
    held: Vec<Vec<(Point, Point)>>,
}

const STRICT: f64 = 1e-10;

impl Slots {
    /// Edges with the two ends of each along the line.
    fn new(edges: &[(Point, Point)], span: impl Fn(&(Point, Point)) -> [f64; 2]) -> Self {
        let ends = || edges.iter().flat_map(&span);
        let (from, to) = (ends().fold(f64::INFINITY, f64::min), ends().fold(f64::NEG_INFINITY, f64::max));
        let count = edges.len().clamp(1, 256);
        let each = ((to - from) / count as f64).max(1e-6);
        let mut slots = Self { from, each, held: vec![Vec::new(); count] };
        for e in edges {
            let [low, high] = span(e);
            for k in slots.at(low - STRICT)..=slots.at(high + STRICT) {
                slots.held[k].push(*e);
            }
        }
        slots
    }
    fn at(&self, v: f64) -> usize {
        (((v - self.from) / self.each) as usize).min(self.held.len() - 1)
    }
    fn near(&self, v: f64) -> &[(Point, Point)] {
        &self.held[self.at(v)]
    }
}

impl Profile {
    fn new(region: &Region) -> Self {
        let edges: Vec<(Point, Point)> = region.edges().collect();
        let kept = |keep: fn(&(Point, Point)) -> bool| edges.iter().copied().filter(keep).collect::<Vec<_>>();
        Self {
            // The upper border runs towards −x, the inside on its left; the right-hand one towards +y.
            upper: Slots::new(&kept(|(a, b)| b.x < a.x), |(a, b)| [b.x, a.x]),
            outer: Slots::new(&kept(|(a, b)| a.y < b.y), |(a, b)| [a.y, b.y]),
            reach: Bounds::of(edges.iter().map(|e| e.0)),
            edges,
        }
    }
    /// Highest border point above x, of the open inside: at a step the lower side counts. −∞ where x only touches.
    fn top(&self, x: f64) -> f64 {
        let mut top = [f64::NEG_INFINITY; 2];
        for &(a, b) in self.upper.near(x) {
            if x < b.x - STRICT || x > a.x + STRICT {
                continue;
            }
            let y = a.y + (b.y - a.y) * ((x - a.x) / (b.x - a.x)).clamp(0.0, 1.0);
            for (side, x) in top.iter_mut().zip([x - STRICT, x + STRICT]) {
                if b.x <= x && x <= a.x {
                    *side = side.max(y);
                }
            }
        }
        top[0].min(top[1])
    }
    /// Furthest border point to the right at y, likewise.
    fn right(&self, y: f64) -> f64 {
        let mut right = [f64::NEG_INFINITY; 2];
        for &(a, b) in self.outer.near(y) {
            if y < a.y - STRICT || y > b.y + STRICT {
                continue;
            }
            let x = a.x + (b.x - a.x) * ((y - a.y) / (b.y - a.y)).clamp(0.0, 1.0);
            for (side, y) in right.iter_mut().zip([y - STRICT, y + STRICT]) {
                if a.y <= y && y <= b.y {
                    *side = side.max(x);
                }
            }
        }
        right[0].min(right[1])
    }
}

/// Zones among a copy (0) and its half-turned self (1), in the frame of the rows.
struct Pairs {
    zones: [[Zone; 2]; 2],
    profiles: [[Profile; 2]; 2],
}

#[derive(Debug, Clone)]
struct Lattice {
    /// Turn of the copy in the frame of the rows; direction of the rows.
    psi: f64,
    phi: f64,
    /// Half-turned or not, and where in the cell.
    cell: Vec<(usize, Point)>,
    pitch: f64,
    shift: f64,
    height: f64,
    to_and_fro: bool,
}

impl Lattice {
    fn row_shift(&self, row: i64) -> f64 {
        if self.to_and_fro { if row.rem_euclid(2) == 0 { 0.0 } else { self.shift } } else { self.shift * row as f64 }
    }
}

/// The best lattice found for copies of `shape` on `bed`, with at most `most` copies (0: no limit). Copies fixed there
/// and those of `taken` are kept clear of. `half`: may it be half-turned too? `None` when cancelled early or nothing fits.
pub(in crate::packing) fn best(
    table: &ZoneTable<'_>,
    bed: usize,
    shape: usize,
    taken: &[(usize, Point)],
    effort: Effort,
    watch: &dyn Watch<Layout>,
) -> Option<Pattern> {
    let body = &table.bodies[shape];
    if !body.usable || !table.admits(bed, shape) {
        return None;
    }
    let step = table.problem.shapes[shape].turn_step_rad;
    let allowed = |t: f64| step.is_none_or(|s| crate::packing::bodies::body::multiple_of(t, s));
    let half = allowed(PI);
    let same = table.base(shape, shape, 0.0);
    let flip = if half { table.base(shape, shape, PI) } else { same.clone() };
    let families = families(table, shape, half, &same, effort);
    let sought: Vec<Vec<Found>> =
        families.par_iter().map(|f| f.members(table, bed, shape, half, [&same, &flip], effort, watch)).collect();
    if watch.cancelled() {
        return None;
    }
    let (mut straight, mut slanted): (Vec<Found>, Vec<Found>) =
        sought.into_iter().flatten().partition(|f| f.count.is_some());
    straight.sort_by(|x, y| y.count.cmp(&x.count).then(x.area.total_cmp(&y.area)));
    slanted.sort_by(|x, y| x.area.total_cmp(&y.area));
    straight.truncate(effort.kept);
    slanted.truncate(effort.kept);
    straight.append(&mut slanted);
    let made: Vec<Option<Pattern>> = straight
        .par_iter()
        .map(|f| {
            if watch.cancelled() { None } else { build(table, bed, shape, taken, [&same, &flip], &f.lattice, f.phase) }
        })
        .collect();
    // The first of equals, whichever thread was quicker.
    let mut best: Option<Pattern> = None;
    for p in made.into_iter().flatten() {
        if p.copies.len() > best.as_ref().map_or(0, |b| b.copies.len()) {
            best = Some(p);
        }
    }
    best
}

/// A lattice that may be the best.
#[derive(Debug)]
struct Found {
    /// Copies by arithmetic, where rows are parallel to the bed's edges.
    count: Option<usize>,
    /// Area a copy.
    area: f64,
    lattice: Lattice,
    phase: Point,
}

/// All lattices with rows along `phi` of a copy turned by `psi` from them.
#[derive(Debug)]
struct Family {
    phi: f64,
    psi: f64,
    slanted: bool,
}

/// Rows parallel to the bed's edges with the copy at many turns, and rows at a slant with the copy at a few.
fn families(table: &ZoneTable<'_>, shape: usize, half: bool, same: &Region, effort: Effort) -> Vec<Family> {
    let mut all = Vec::new();
    for phi in [0.0, FRAC_PI_2] {
        all.extend(turns(table, shape, phi, half, effort).into_iter().map(|psi| Family { phi, psi, slanted: false }));
    }
    // Directions in which a copy touches the next one corner to corner, the shortest steps first.
    let mut steps: Vec<Point> = same.vertices().collect();
    steps.sort_by(|a, b| a.length_squared().total_cmp(&b.length_squared()));
    let mut directions: Vec<f64> = Vec::new();
    let corners = steps.iter().map(|d| d.y.atan2(d.x));
    let even = (0..effort.turns / 2).map(|k| PI * k as f64 / (effort.turns / 2).max(1) as f64);
    for t in corners.take(effort.turns).chain(even) {
        let t = t.rem_euclid(PI);
        if !directions.iter().any(|d| (d - t).abs() < 1e-6 || (d - t).abs() > PI - 1e-6) {
            directions.push(t);
        }
    }
    for &v in table.of_shape[shape].iter().take(effort.turns / 6) {
        let theta = table.variants[v].turn_rad;
        for d in &directions {
            let phi = (d + theta).rem_euclid(PI);
            if (phi % FRAC_PI_2).abs() > 1e-6 && (phi % FRAC_PI_2 - FRAC_PI_2).abs() > 1e-6 {
                all.push(Family { phi, psi: theta - phi, slanted: true });
            }
        }
    }
    all
}

impl Family {
    #[expect(clippy::too_many_arguments, reason = "one call, of what the search for lattices has at hand")]
    fn members(
        &self,
        table: &ZoneTable<'_>,
        bed: usize,
        shape: usize,
        half: bool,
        [same, flip]: [&Region; 2],
        effort: Effort,
        watch: &dyn Watch<Layout>,
    ) -> Vec<Found> {
        let Self { phi, psi, slanted } = *self;
        if watch.cancelled() {
            return Vec::new();
        }
        let pairs = Pairs::new(same, flip, psi);
        let inner_fits = [0.0, PI].map(|t| home_box(table, bed, shape, psi + phi + t, phi));
        let [Some(a), b] = inner_fits else { return Vec::new() };
        let ranges = [a, b.unwrap_or(a)];
        let effort = if slanted { Effort { contacts: effort.contacts / 2, ..effort } } else { effort };
        let mut found: Vec<Found> = lattices(&pairs, psi, phi, half, &ranges, slanted, effort, watch)
            .into_iter()
            .map(|lattice| {
                let (n, phase) = if slanted { (0, ranges[0].min) } else { count(&lattice, &ranges) };
                let area = lattice.height * lattice.pitch / lattice.cell.len() as f64;
                Found { count: (!slanted).then_some(n), area, lattice, phase }
            })
            .collect();
        found.sort_by(|x, y| y.count.cmp(&x.count).then(x.area.total_cmp(&y.area)));
        found.truncate(effort.kept);
        found
    }
}

/// How much is tried.
#[derive(Debug, Clone, Copy)]
pub(in crate::packing) struct Effort {
    /// Turns for a shape that may lie at any.
    pub(in crate::packing) turns: usize,
    /// Contacts of a copy with its half-turned self.
    pub(in crate::packing) contacts: usize,
    /// Shifts of the next row.
    pub(in crate::packing) shifts: usize,
    /// Lattices built in full.
    pub(in crate::packing) kept: usize,
}

/// Turns of the copy in the frame of rows along `phi`.
fn turns(table: &ZoneTable<'_>, shape: usize, phi: f64, half: bool, effort: Effort) -> Vec<f64> {
    let body = &table.bodies[shape];
    let range = if half { PI } else { TAU };
    let mut list: Vec<f64> = match table.problem.shapes[shape].turn_step_rad {
        None => {
            let n = body.hull.len();
            let mut edges: Vec<(f64, f64)> = (0..n)
                .map(|i| {
                    let d = body.hull[(i + 1) % n] - body.hull[i];
                    (d.length(), -d.y.atan2(d.x))
                })
                .collect();
            edges.sort_by(|a, b| b.0.total_cmp(&a.0));
            let aligned = edges.into_iter().take(8).flat_map(|(_, t)| [t, t + FRAC_PI_2]);
            let even = (0..effort.turns).map(|i| range * i as f64 / effort.turns as f64);
            aligned.chain(even).map(|t| t.rem_euclid(range)).collect()
        }
        Some(step) if step > 1e-3 => {
            let n = ((TAU / step).round().max(1.0) as usize).min(720);
            let every = n.div_ceil(effort.turns * 2).max(1);
            (0..n).step_by(every).map(|i| (i as f64 * step - phi).rem_euclid(range)).collect()
        }
        Some(_) => vec![(-phi).rem_euclid(range)],
    };
    list.sort_by(f64::total_cmp);
    list.dedup_by(|a, b| (*a - *b).abs() < 1e-7);
    // A shape that looks the same after a smaller turn needs no more than that.
    if let Some(period) = body.period {
        let mut seen: Vec<f64> = Vec::new();
        list.retain(|t| {
            let r = t.rem_euclid(period);
            let new = !seen.iter().any(|s| (s - r).abs() < 1e-6 || (s - r).abs() > period - 1e-6);
            if new {
                seen.push(r);
            }
            new
        });
    }
    list
}

/// Positions of the origin in the room, as a box in the frame of rows along `phi`.
fn home_box(table: &ZoneTable<'_>, bed: usize, shape: usize, turn: f64, phi: f64) -> Option<Bounds> {
    let corners = InnerFit::corners(&table.problem.beds[bed], &table.bodies[shape], turn);
    let back = Placement::new(0.0, 0.0, -phi);
    let b = Bounds::of(corners.into_iter().map(|p| back.apply(p)));
    (!b.is_empty()).then_some(b)
}

impl Pairs {
    fn new(same: &Region, flip: &Region, psi: f64) -> Self {
        let at = |r: &Region, t: f64| r.placed(Placement::new(0.0, 0.0, t));
        let regions = [[at(same, psi), at(flip, psi)], [at(flip, psi + PI), at(same, psi + PI)]];
        Self {
            zones: [0, 1].map(|i: usize| [0, 1].map(|j: usize| Zone::new(&regions[i][j]))),
            profiles: [0, 1].map(|i: usize| [0, 1].map(|j: usize| Profile::new(&regions[i][j]))),
        }
    }
    /// Least pitch of a cell.
    fn pitch(&self, cell: &[(usize, Point)]) -> f64 {
        let mut p = 0.0_f64;
        for &(i, a) in cell {
            for &(j, b) in cell {
                p = p.max(self.profiles[i][j].right(b.y - a.y) - (b.x - a.x));
            }
        }
        p
    }
    /// Least height at which a row moved along by `shift` lies above another.
    fn height(&self, cell: &[(usize, Point)], pitch: f64, shift: f64) -> f64 {
        let mut h = f64::NEG_INFINITY;
        for &(i, a) in cell {
            for &(j, b) in cell {
                let profile = &self.profiles[i][j];
                let reach = profile.reach;
                let x = shift + b.x - a.x;
                let first = ((reach.min.x - x) / pitch).ceil() as i64;
                let last = ((reach.max.x - x) / pitch).floor() as i64;
                for k in first..=last.min(first + 50) {
                    h = h.max(profile.top(x + k as f64 * pitch) - (b.y - a.y));
                }
            }
        }
        h
    }
    /// A row that lies higher than this above another is clear of it.
    fn height_reach(&self, cell: &[(usize, Point)]) -> f64 {
        let pairs = cell.iter().flat_map(|a| cell.iter().map(move |b| (a, b)));
        pairs.map(|(&(i, a), &(j, b))| self.profiles[i][j].reach.max.y - (b.y - a.y)).fold(0.0, f64::max)
    }
    /// Points of contact of a copy with its half-turned self.
    fn contacts(&self, many: usize) -> Vec<Point> {
        let edges = &self.profiles[0][1].edges;
        let length: f64 = edges.iter().map(|e| e.0.distance(e.1)).sum();
        let step = length / many.max(1) as f64;
        let mut out = Vec::new();
        for &(a, b) in edges {
            let n = (a.distance(b) / step).ceil().max(1.0) as usize;
            out.extend((0..n).map(|k| a.lerp(b, k as f64 / n as f64)));
        }
        // The other half is the same arrangement, turned by half a turn.
        out.retain(|t| t.y > -1e-9);
        if out.len() > many * 2 {
            let every = out.len().div_ceil(many * 2);
            out = out.into_iter().step_by(every).collect();
        }
        out
    }
}

#[expect(clippy::too_many_arguments, reason = "one call, of what a family knows")]
fn lattices(
    pairs: &Pairs,
    psi: f64,
    phi: f64,
    half: bool,
    ranges: &[Bounds; 2],
    slanted: bool,
    effort: Effort,
    watch: &dyn Watch<Layout>,
) -> Vec<Lattice> {
    let mut cells = vec![vec![(0, Point::default())]];
    if half {
        cells.extend(pairs.contacts(effort.contacts).into_iter().map(|t| vec![(0, Point::default()), (1, t)]));
    }
    let mut out = Vec::new();
    for cell in cells {
        let least = pairs.pitch(&cell);
        if least.is_nan() || least <= 1e-6 {
            continue;
        }
        let reach = pairs.height_reach(&cell);
        let span = ranges[0].width();
        let n = (span / least + 1e-9).floor();
        let mut pitches = vec![least];
        if slanted {
            pitches.retain(|p| *p <= span);
        }
        // Rows spread over the whole room, all alike or every other one moved by half a pitch.
        let spread = if slanted { &[][..] } else { &[n, n - 0.5, n - 1.0] };
        pitches.extend(spread.iter().copied().filter(|k| *k >= 1.0).map(|k| span / k).filter(|p| *p > least));
        if let [_, (_, t)] = cell.as_slice()
            && !slanted
        {
            let span = ranges[1].max.x - ranges[0].min.x - t.x;
            let n = (span / least + 1e-9).floor();
            pitches.extend((n >= 1.0).then(|| span / n).filter(|p| *p > least));
        }
        for pitch in pitches {
            if watch.cancelled() {
                return out;
            }
            let height = |s: f64| pairs.height(&cell, pitch, s);
            for to_and_fro in [false, true] {
                // Rows further up may reach down between the next ones.
                let full = |s: f64| {
                    let mut h = if to_and_fro { height(s).max(height(-s)) } else { height(s) };
                    for k in 2..=9 {
                        let rows = f64::from(k);
                        if rows * h >= reach {
                            break;
                        }
                        let along = match (to_and_fro, k % 2 == 0) {
                            (true, true) => 0.0,
                            (true, false) => s,
                            (false, _) => rows * s,
                        };
                        h = h.max(height(along) / rows);
                        if to_and_fro {
                            h = h.max(height(-along) / rows);
                        }
                    }
                    h
                };
                let steps = effort.shifts;
                let at = |k: usize| pitch * k as f64 / steps as f64;
                let tried: Vec<f64> = (0..steps).map(|k| full(at(k))).collect();
                // Every local least, made finer.
                for k in 0..steps {
                    let (before, here, after) = (tried[(k + steps - 1) % steps], tried[k], tried[(k + 1) % steps]);
                    if here > before || here > after || !here.is_finite() {
                        continue;
                    }
                    let (shift, height) = finer(&full, at(k), pitch / steps as f64, here);
                    if height > 1e-6 {
                        out.push(Lattice { psi, phi, cell: cell.clone(), pitch, shift, height, to_and_fro });
                    }
                }
            }
        }
    }
    out
}

/// The least of `f` about `x`, by halving steps.
fn finer(f: &impl Fn(f64) -> f64, mut x: f64, mut step: f64, mut best: f64) -> (f64, f64) {
    for _ in 0..18 {
        step *= 0.5;
        for d in [-step, step] {
            let y = f(x + d);
            if y < best {
                best = y;
                x += d;
                break;
            }
        }
    }
    (x, best)
}

/// Copies in the boxes of the two members, by arithmetic, and the phase that gives most.
fn count(l: &Lattice, ranges: &[Bounds; 2]) -> (usize, Point) {
    let mut best = (0, Point::default());
    for &(iy, off_y) in &l.cell {
        let y0 = ranges[iy].min.y - off_y.y;
        for &(ix, off_x) in &l.cell {
            for row in 0..3 {
                let x0 = ranges[ix].min.x - off_x.x - l.row_shift(row);
                let mut n = 0;
                let rows = ((ranges[0].max.y.max(ranges[1].max.y) - y0) / l.height).ceil() as i64 + 2;
                for r in -2..=rows {
                    for &(i, off) in &l.cell {
                        let y = y0 + off.y + r as f64 * l.height;
                        if y < ranges[i].min.y - 1e-9 || y > ranges[i].max.y + 1e-9 {
                            continue;
                        }
                        let x = x0 + l.row_shift(r) + off.x;
                        let first = ((ranges[i].min.x - x) / l.pitch - 1e-9).ceil();
                        let last = ((ranges[i].max.x - x) / l.pitch + 1e-9).floor();
                        n += (last - first + 1.0).max(0.0) as usize;
                    }
                }
                if n > best.0 {
                    best = (n, Point::new(x0, y0));
                }
            }
        }
    }
    best
}

/// The lattice on the bed, exactly: `None` where its own copies breach a clearance.
fn build(
    table: &ZoneTable<'_>,
    bed: usize,
    shape: usize,
    taken: &[(usize, Point)],
    [same, flip]: [&Region; 2],
    l: &Lattice,
    phase: Point,
) -> Option<Pattern> {
    let pairs = Pairs::new(same, flip, l.psi);
    let spot = |r: i64, k: i64, off: Point| {
        Point::new(l.row_shift(r) + off.x + k as f64 * l.pitch, off.y + r as f64 * l.height)
    };
    // Every member of rows 0 and 1 against all near ones above and beside it.
    let reach = [[0, 0], [0, 1], [1, 0], [1, 1]]
        .iter()
        .map(|&[i, j]: &[usize; 2]| pairs.profiles[i][j].reach)
        .fold(Bounds::EMPTY, Bounds::union);
    let across = ((reach.width() / l.pitch).ceil() as i64 + 2).min(40);
    let up = ((reach.height() / l.height).ceil() as i64 + 1).min(40);
    for start in 0..2 {
        for &(i, a) in &l.cell {
            let from = spot(start, 0, a);
            for r in start..=start + up {
                let drift = ((l.row_shift(r) - l.row_shift(start)) / l.pitch).round() as i64;
                for k in -across - drift..=across - drift {
                    for &(j, b) in &l.cell {
                        let d = spot(r, k, b) - from;
                        if (r, k, i) != (start, 0, j) && pairs.zones[i][j].blocks(d, CONTACT_MM) {
                            return None;
                        }
                    }
                }
            }
        }
    }
    let forth = Placement::new(0.0, 0.0, l.phi);
    let back = Placement::new(0.0, 0.0, -l.phi);
    let inner_fits =
        [0.0, PI].map(|t| InnerFit::new(&table.problem.beds[bed], &table.bodies[shape], l.psi + l.phi + t));
    let obstacles: Vec<[(Zone, Point); 2]> = taken
        .iter()
        .chain(&table.fixed[bed])
        .map(|&(v, at)| [0.0, PI].map(|t| (table.zone_to_turn(v, shape, l.psi + l.phi + t), at)))
        .collect();
    let area = Bounds::of(inner_fits.iter().flat_map(|h| &h.sites).flat_map(|s| &s.area).map(|&p| back.apply(p)));
    if area.is_empty() {
        return None;
    }
    let plain = obstacles.is_empty() && inner_fits.iter().all(|h| h.keep_outs.is_empty() && h.sites.len() == 1);
    // Phases: the one that arithmetic found; elsewhere a grid of them.
    let mut phases = vec![phase];
    let boxed =
        matches!(table.problem.beds[bed].room.polygons.as_slice(), [p] if p.holes.is_empty() && p.outer.len() == 4);
    let straight = (l.phi % FRAC_PI_2).abs() < 1e-9;
    if !(plain && boxed && straight) {
        for i in 0..6 {
            for j in 0..6 {
                let share = |n: i32| f64::from(n) / 6.0;
                phases.push(phase + Point::new(l.pitch * share(i), l.height * share(j)));
            }
        }
    }
    let mut best = Pattern::default();
    for phase in phases {
        let mut copies = Vec::new();
        let low = ((area.min.y - phase.y) / l.height).floor() as i64 - 2;
        let high = ((area.max.y - phase.y) / l.height).ceil() as i64 + 2;
        for r in low..=high.min(low + 4000) {
            let x = phase.x + l.row_shift(r);
            let left = ((area.min.x - x) / l.pitch).floor() as i64 - 2;
            let right = ((area.max.x - x) / l.pitch).ceil() as i64 + 2;
            for k in left..=right.min(left + 4000) {
                for &(i, off) in &l.cell {
                    let p = forth.apply(phase + spot(r, k, off));
                    let free = inner_fits[i].holds(p, CONTACT_MM)
                        && !obstacles.iter().any(|o| o[i].0.blocks(p - o[i].1, CONTACT_MM));
                    if free {
                        copies.push((l.psi + l.phi + if i == 1 { PI } else { 0.0 }, p));
                    }
                }
            }
        }
        if copies.len() > best.copies.len() {
            best.copies = copies;
        }
    }
    Some(best)
}
