//! The lattice move: many copies of one shape in rows, each row the same, alone or with its half-turned self.
//!
//! Rows run along one of the room's directions. A row repeats a cell (one copy, or a copy and its half-turned self at
//! any contact) at a pitch, from the closest one up to the pitch that spreads a row over the whole room; the next row
//! is moved along by any share of the pitch and lies as close as the outlines let it; rows lean on in one direction or
//! to and fro. Sources: double lattices, Kuperberg & Kuperberg 1990; rows on a sheet, Stoyan & Pankratov 1999.

use std::f64::consts::{FRAC_PI_2, PI};

use rayon::prelude::*;

use super::{
    lattice::Lattice,
    lattice_family::{Found, LatticeEffort, families},
    row_pairs::RowPairs,
};
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

/// The best lattice found for copies of `shape` on `bed`, with at most `most` copies (0: no limit). Copies fixed there
/// and those of `taken` are kept clear of. `half`: may it be half-turned too? `None` when cancelled early or nothing fits.
pub(in crate::packing) fn best(
    table: &ZoneTable<'_>,
    bed: usize,
    shape: usize,
    taken: &[(usize, Point)],
    effort: LatticeEffort,
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
    let pairs = RowPairs::new(same, flip, l.psi);
    let spot = |r: i64, k: i64, off: Point| {
        Point::new(l.row_shift(r) + off.x + k as f64 * l.pitch, off.y + r as f64 * l.height)
    };
    // Every member of rows 0 and 1 against all near ones above and beside it.
    let reach = [[0, 0], [0, 1], [1, 0], [1, 1]]
        .iter()
        .map(|&[i, j]: &[usize; 2]| pairs.borders[i][j].reach)
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
