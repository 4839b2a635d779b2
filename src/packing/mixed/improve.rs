//! What the separating move is tried on: one more copy on a bed, a copy off the last bed, the box round all smaller.

use crate::packing::{
    Aim, Layout,
    bodies::zone_table::ZoneTable,
    mixed::heap::Heap,
    mixed::place::{self, Style},
    mixed::plan::Plan,
    mixed::separate::SeparationEffort,
};
use crate::{
    geom::{Bounds, Point},
    rng::Rng,
    watch::Watch,
};

/// A plan that may be better than `from`, by parting copies on one bed; those left over `together`, else now all and now
/// one. `None` where it failed or there is nothing to try.
pub(in crate::packing) fn attempt(
    table: &ZoneTable<'_>,
    from: &Plan,
    together: bool,
    style: Style,
    effort: SeparationEffort,
    rng: &mut Rng,
    watch: &dyn Watch<Layout>,
) -> Option<Plan> {
    let mut plan = from.clone();
    match &table.problem.aim {
        Aim::TopUp { shares, at_most, .. } => {
            let placed = plan.counts(table);
            let least = |s: usize| table.problem.aim.least(s);
            let need = |s: usize| (placed[s].saturating_sub(least(s)) as f64 + 0.5) / shares[s];
            let owed = (0..placed.len()).find(|&s| placed[s] < least(s) && table.bodies[s].usable);
            let shape = owed.or_else(|| {
                (0..placed.len())
                    .filter(|&s| shares.get(s).is_some_and(|x| x.is_finite() && *x > 0.0))
                    .filter(|&s| placed[s] < at_most.get(s).copied().unwrap_or(0) && table.bodies[s].usable)
                    .min_by(|&a, &b| need(a).total_cmp(&need(b)))
            })?;
            let bed = bed_for(table, &plan, shape, None, rng)?;
            squeeze(table, &mut plan, bed, &[shape], effort, rng, watch)?;
            place::top_up(table, &mut plan, style, watch);
        }
        Aim::Pack { counts } => {
            let placed = plan.counts(table);
            let left: Vec<usize> = (0..placed.len())
                .filter(|&s| table.bodies[s].usable)
                .flat_map(|s| std::iter::repeat_n(s, counts.get(s).map_or(0, |n| n.saturating_sub(placed[s]))))
                .collect();
            let used: Vec<usize> = (0..plan.beds.len()).filter(|&b| !plan.beds[b].is_empty()).collect();
            if !left.is_empty() {
                let shape = left[rng.below(left.len())];
                let bed = bed_for(table, &plan, shape, None, rng)?;
                // All at once where few are missing, else one.
                let together: Vec<usize> = left
                    .iter()
                    .copied()
                    .filter(|&s| table.admits(bed, s))
                    .take(if together || rng.below(2) == 0 { 6 } else { 1 })
                    .collect();
                let add = if together.len() > 1 { together.as_slice() } else { &[shape] };
                squeeze(table, &mut plan, bed, add, effort, rng, watch)?;
                let placed = plan.counts(table);
                let rest = (0..placed.len())
                    .flat_map(|s| std::iter::repeat_n(s, counts.get(s).map_or(0, |n| n.saturating_sub(placed[s]))));
                place::fill(table, &mut plan, rest.collect::<Vec<_>>(), style, watch);
            } else if let [.., last] = used[..]
                && used.len() > 1
            {
                let k = rng.below(plan.beds[last].len());
                let shape = table.variants[plan.beds[last][k].0].shape;
                let bed = bed_for(table, &plan, shape, Some(last), rng)?;
                plan.beds[last].remove(k);
                squeeze(table, &mut plan, bed, &[shape], effort, rng, watch)?;
            } else if let [bed] = used[..] {
                tighten(table, &mut plan, bed, effort, rng, watch)?;
            } else {
                return None;
            }
        }
    }
    Some(plan)
}

/// A used bed that may take the shape, not `but`; any that may where none is used.
fn bed_for(table: &ZoneTable<'_>, plan: &Plan, shape: usize, but: Option<usize>, rng: &mut Rng) -> Option<usize> {
    let class = table.problem.shapes[shape].class;
    let free = |&b: &usize| {
        Some(b) != but
            && table.admits(b, shape)
            && plan.class(table, b).is_none_or(|c| c == class)
            && table.of_shape[shape].iter().any(|&v| !table.inner_fit(b, v).sites.is_empty())
            && room_left(table, plan, b) > 0.98 * table.bodies[shape].true_area
            && (but.is_none() || !plan.beds[b].is_empty())
    };
    let beds: Vec<usize> = (0..plan.beds.len()).filter(free).collect();
    (!beds.is_empty()).then(|| beds[rng.below(beds.len())])
}

/// Area of the room less that of the free copies' shadows, mm².
fn room_left(table: &ZoneTable<'_>, plan: &Plan, bed: usize) -> f64 {
    let taken: f64 = plan.beds[bed].iter().map(|&(v, _)| table.bodies[table.variants[v].shape].true_area).sum();
    table.problem.beds[bed].room.area() - taken
}

/// Puts more shapes on a bed and parts all free copies on it.
fn squeeze(
    table: &ZoneTable<'_>,
    plan: &mut Plan,
    bed: usize,
    shapes: &[usize],
    effort: SeparationEffort,
    rng: &mut Rng,
    watch: &dyn Watch<Layout>,
) -> Option<()> {
    let everywhere = Bounds::new(Point::new(-1e9, -1e9), Point::new(1e9, 1e9));
    let mut heap = Heap::new(table, bed, plan.beds[bed].clone(), everywhere);
    for &s in shapes {
        if !heap.insert(s, rng) {
            return None;
        }
    }
    if !heap.part(effort, rng, watch) {
        return None;
    }
    plan.beds[bed] = heap.into_spots();
    Some(())
}

/// Parts the copies of a bed within a smaller box.
fn tighten(
    table: &ZoneTable<'_>,
    plan: &mut Plan,
    bed: usize,
    effort: SeparationEffort,
    rng: &mut Rng,
    watch: &dyn Watch<Layout>,
) -> Option<()> {
    let now = plan.bounds(table, bed);
    let by = [0.03, 0.01, 0.003, 0.001][rng.below(4)];
    let limit = if rng.below(2) == 0 {
        Bounds::new(now.min, Point::new(now.max.x - by * now.width(), now.max.y))
    } else {
        Bounds::new(now.min, Point::new(now.max.x, now.max.y - by * now.height()))
    };
    let mut spots = plan.beds[bed].clone();
    for (v, at) in &mut spots {
        let own = table.variants[*v].bounds.moved(*at);
        at.x -= (own.max.x - limit.max.x).max(0.0);
        at.y -= (own.max.y - limit.max.y).max(0.0);
    }
    let mut heap = Heap::new(table, bed, spots, limit);
    if !heap.part(effort, rng, watch) {
        return None;
    }
    plan.beds[bed] = heap.into_spots();
    Some(())
}
