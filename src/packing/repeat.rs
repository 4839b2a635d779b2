//! Lattices put to use: which shapes and beds they are sought for, and plans made of them.

use super::{
    Aim, Layout, boxes, grid,
    pattern::{self, Effort, Pattern},
    place::{self, Style},
    plan::Plan,
    table::Table,
};
use crate::watch::Watch;

/// Copies of one shape below which a lattice is not worth the time.
const FEW: usize = 6;
/// Shapes of a mixed order that lattices are sought for at most.
const SHAPES: usize = 8;

/// The best lattice of a shape on each bed that is worth one: shape, bed, copies.
pub(super) type Lattices = Vec<(usize, usize, Pattern)>;

/// Lattices of the shapes that are asked for many times.
pub(super) fn lattices(table: &Table<'_>, effort: Effort, watch: &dyn Watch<Layout>) -> Lattices {
    let mut shapes: Vec<usize> = (0..table.bodies.len()).filter(|&s| table.bodies[s].usable).collect();
    match &table.problem.aim {
        Aim::Pack { counts } => {
            let many = |s: usize| counts.get(s).copied().unwrap_or(0);
            shapes.retain(|&s| many(s) >= FEW);
            let area = |s: usize| many(s) as f64 * table.bodies[s].weight;
            shapes.sort_by(|&a, &b| area(b).total_cmp(&area(a)).then(a.cmp(&b)));
            shapes.truncate(SHAPES);
        }
        Aim::TopUp { shares, at_most } => {
            let asked = |s: usize| shares.get(s).is_some_and(|x| x.is_finite() && *x > 0.0);
            shapes.retain(|&s| asked(s) && at_most.get(s).is_some_and(|&n| n >= FEW));
            // In proportions no bed holds one shape alone.
            if shapes.len() > 1 {
                return Vec::new();
            }
        }
    }
    let mut found: Lattices = Vec::new();
    for s in shapes {
        for bed in 0..table.problem.beds.len() {
            if !table.admits(bed, s) {
                continue;
            }
            let alike = |other: usize| {
                let (a, b) = (&table.problem.beds[bed], &table.problem.beds[other]);
                a.room == b.room && a.keep_outs == b.keep_outs && a.fixed == b.fixed
            };
            if let Some((.., same)) = found.iter().find(|(t, b, _)| *t == s && alike(*b)) {
                let same = same.clone();
                found.push((s, bed, same));
            } else if let Some(p) = densest(table, bed, s, effort, watch) {
                found.push((s, bed, p));
            }
            if watch.cancelled() {
                return found;
            }
        }
    }
    found.retain(|(.., p)| p.copies.len() > 1);
    found
}

/// The arrangement with most copies of a shape on a bed.
fn densest(table: &Table<'_>, bed: usize, shape: usize, effort: Effort, watch: &dyn Watch<Layout>) -> Option<Pattern> {
    let most = match &table.problem.aim {
        Aim::Pack { counts } => counts.get(shape),
        Aim::TopUp { at_most, .. } => at_most.get(shape),
    };
    let most = most.copied().unwrap_or(0);
    let mut best = pattern::best(table, bed, shape, &[], effort, watch);
    let so_far = |best: &Option<Pattern>| best.as_ref().map_or(0, |p| p.copies.len());
    if so_far(&best) < most
        && let Some(p) = boxes::best(table, bed, shape, most, watch)
        && p.copies.len() > so_far(&best)
    {
        best = Some(p);
    }
    if so_far(&best) < most
        && let Some(p) = grid::best(table, bed, shape, [so_far(&best), most], watch)
    {
        best = Some(p);
    }
    best
}

/// Turns that lattices use, by shape.
pub(super) fn turns(lattices: &Lattices, shapes: usize) -> Vec<Vec<f64>> {
    let mut more: Vec<Vec<f64>> = vec![Vec::new(); shapes];
    for (s, _, p) in lattices {
        for &(t, _) in &p.copies {
            if !more[*s].contains(&t) {
                more[*s].push(t);
            }
        }
    }
    more
}

/// A plan of lattices, the rest placed one by one. With `partly`, a lattice is also used for fewer copies than it has.
pub(super) fn plan(
    table: &Table<'_>,
    lattices: &Lattices,
    queue: &[usize],
    partly: bool,
    style: Style,
    watch: &dyn Watch<Layout>,
) -> Plan {
    let mut plan = Plan::new(table.problem.beds.len());
    let mut left: Vec<usize> = match &table.problem.aim {
        Aim::Pack { counts } => counts.clone(),
        Aim::TopUp { at_most, .. } => at_most.clone(),
    };
    left.resize(table.problem.shapes.len(), 0);
    let whole_only = matches!(table.problem.aim, Aim::Pack { .. }) && !partly;
    for (s, bed, pattern) in lattices {
        let n = pattern.copies.len();
        let class = table.problem.shapes[*s].class;
        let open = plan.beds[*bed].is_empty() && plan.class(table, *bed).is_none_or(|c| c == class);
        if !open || left[*s] == 0 || whole_only && left[*s] < n {
            continue;
        }
        let spots = pattern.copies.iter().filter_map(|&(t, p)| {
            let v = table.of_shape[*s].iter().copied().find(|&v| table.variants[v].turn_rad == t)?;
            Some((v, p))
        });
        plan.beds[*bed] = spots.take(left[*s]).collect();
        left[*s] -= plan.beds[*bed].len();
    }
    match &table.problem.aim {
        Aim::Pack { .. } => {
            let rest = queue.iter().copied().filter(|&s| {
                let take = left[s] > 0;
                left[s] = left[s].saturating_sub(1);
                take
            });
            place::fill(table, &mut plan, rest.collect::<Vec<_>>(), style, watch);
        }
        Aim::TopUp { .. } => place::top_up(table, &mut plan, style, watch),
    }
    plan
}
