//! Equal rectangles on a rectangular bed: [`Partition`] put to use for shapes that fill their box.

use std::f64::consts::{FRAC_PI_2, PI};

use crate::packing::{
    Layout, bodies::inner_fit::SLACK_MM, bodies::zone_table::ZoneTable, regular::lattice_search::Pattern,
    regular::rects::Partition,
};
use crate::{
    geom::{Bounds, Point},
    watch::Watch,
};

/// Share of its box that a shape fills at least.
const FILLED: f64 = 0.9;
/// Cuts looked at.
const STEPS: u64 = 40_000_000;
/// Free rectangles filled one after another where things lie on the bed; things among which they are sought at most.
const RECTANGLES: usize = 6;
const OBSTACLES: usize = 32;

/// A box of which no two may overlap: a variant with what it keeps clear.
#[derive(Debug, Clone, Copy)]
struct Cell {
    variant: usize,
    /// From the origin to the middle.
    middle: Point,
    size: Point,
}

impl Cell {
    fn new(table: &ZoneTable<'_>, variant: usize) -> Self {
        let zone = table.pair(variant, variant).bounds();
        let size = Point::new(zone.width(), zone.height()) * 0.5;
        Self { variant, middle: table.variants[variant].bounds.centre(), size }
    }
    /// Cells apart: clearances kept?
    fn suits(&self, table: &ZoneTable<'_>, other: &Self) -> bool {
        let zone = table.pair(self.variant, other.variant).bounds();
        let reach = (self.size + other.size) * 0.5;
        let from = self.middle - other.middle;
        Bounds::new(from - reach, from + reach).grown(1e-9).contains(zone.min)
            && Bounds::new(from - reach, from + reach).grown(1e-9).contains(zone.max)
    }
    /// What of the bed a cell may cover. `None` where that is no rectangle.
    fn room(&self, table: &ZoneTable<'_>, bed: usize) -> Option<Bounds> {
        let inner_fit = table.inner_fit(bed, self.variant);
        let [site] = inner_fit.sites.as_slice() else { return None };
        let b = site.bounds;
        let on_corner = |p: &Point| b.corners().iter().any(|c| c.distance(*p) < 1e-9);
        (site.blocks.is_empty() && site.area.iter().all(on_corner)).then(|| self.swept(b.grown(-SLACK_MM), 0.5))
    }
    /// A box of origins, as the box of the middles, wider by a share of the size on all sides.
    fn swept(&self, origins: Bounds, share: f64) -> Bounds {
        let b = origins.moved(self.middle);
        Bounds::new(b.min - self.size * share, b.max + self.size * share)
    }
    /// What a cell must not cover.
    fn obstacles(&self, table: &ZoneTable<'_>, bed: usize) -> Vec<Bounds> {
        let fixed = table.fixed[bed].iter().map(|&(w, at)| table.pair(w, self.variant).bounds().moved(at));
        let keep_outs =
            table.inner_fit(bed, self.variant).keep_outs.iter().map(crate::packing::bodies::zone::Zone::bounds);
        fixed.chain(keep_outs).map(|zone| self.swept(zone, -0.5)).collect()
    }
}

/// As many copies of a shape on a bed as are found, at most `most`. `None` where it or the bed is no rectangle.
pub(in crate::packing) fn best(
    table: &ZoneTable<'_>,
    bed: usize,
    shape: usize,
    most: usize,
    watch: &dyn Watch<Layout>,
) -> Option<Pattern> {
    let variants = &table.of_shape[shape];
    let filled = |&v: &usize| {
        let b = table.variants[v].bounds;
        table.bodies[shape].true_area >= FILLED * b.width() * b.height()
    };
    let flat = Cell::new(table, variants.iter().copied().find(filled)?);
    let quarter = |v: &usize| {
        let turn = (table.variants[*v].turn_rad - table.variants[flat.variant].turn_rad).rem_euclid(PI);
        (turn - FRAC_PI_2).abs() < 1e-9
    };
    let square = (flat.size.x - flat.size.y).abs() < 1e-9;
    let turned = variants.iter().copied().find(quarter).or(square.then_some(flat.variant))?;
    let upright = Cell::new(table, turned);
    let mirrored = (upright.size.x - flat.size.y).abs() < 1e-9 && (upright.size.y - flat.size.x).abs() < 1e-9;
    let apart = [&flat, &upright].iter().all(|a| [&flat, &upright].iter().all(|b| a.suits(table, b)));
    if !mirrored || !apart {
        return None;
    }
    let [a, b] = [flat.room(table, bed)?, upright.room(table, bed)?];
    let room = Bounds::new(
        Point::new(a.min.x.max(b.min.x), a.min.y.max(b.min.y)),
        Point::new(a.max.x.min(b.max.x), a.max.y.min(b.max.y)),
    );
    let mut obstacles = flat.obstacles(table, bed);
    obstacles.extend(upright.obstacles(table, bed));
    obstacles.retain(|o| o.grown(-1e-9).overlaps(room));
    if obstacles.len() > OBSTACLES {
        return None;
    }
    let least = flat.size.x.min(flat.size.y);
    let mut pattern = Pattern::default();
    for _ in 0..RECTANGLES {
        let Some(free) = widest(room, &obstacles, least) else { break };
        let enough = most.saturating_sub(pattern.copies.len()).min(u32::MAX as usize) as u32;
        let size = [free.width(), free.height()];
        let laid = Partition::best([flat.size.x, flat.size.y], size, enough, STEPS, &|| watch.cancelled());
        for l in &laid {
            let cell = if l.upright { &upright } else { &flat };
            let at = free.min + Point::new(l.x, l.y) + cell.size * 0.5 - cell.middle;
            pattern.copies.push((table.variants[cell.variant].turn_rad, at));
        }
        obstacles.push(free);
    }
    pattern.copies.truncate(most);
    Some(pattern)
}

/// The largest rectangle of the room that is free of the obstacles and as wide as `least` both ways.
fn widest(room: Bounds, obstacles: &[Bounds], least: f64) -> Option<Bounds> {
    let mut lefts = vec![room.min.x];
    let mut rights = vec![room.max.x];
    for o in obstacles {
        lefts.push(o.max.x.max(room.min.x));
        rights.push(o.min.x.min(room.max.x));
    }
    let mut best: Option<(f64, Bounds)> = None;
    for &left in &lefts {
        for &right in rights.iter().filter(|r| **r - left >= least - 1e-9) {
            let within = |o: &&Bounds| o.min.x < right - 1e-9 && o.max.x > left + 1e-9;
            let mut across: Vec<&Bounds> = obstacles.iter().filter(within).collect();
            across.sort_by(|a, b| a.min.y.total_cmp(&b.min.y));
            let mut low = room.min.y;
            for high in across.iter().map(|o| Some(*o)).chain([None]) {
                let top = high.map_or(room.max.y, |o| o.min.y.min(room.max.y));
                let area = (right - left) * (top - low);
                if top - low >= least - 1e-9 && best.is_none_or(|(a, _)| area > a + 1e-9) {
                    best = Some((area, Bounds::new(Point::new(left, low), Point::new(right, top))));
                }
                low = high.map_or(low, |o| low.max(o.max.y));
            }
        }
    }
    best.map(|(_, b)| b)
}
