//! Lattices put to use: which shapes and beds they are sought for, and plans made of them.

use crate::packing::{
    Aim, Item, Layout,
    bodies::zone_table::ZoneTable,
    mixed::place::{self, Style},
    mixed::plan::Plan,
    regular::block::{self, Block, Blocked},
    regular::boxes,
    regular::grid,
    regular::{
        lattice_family::LatticeEffort,
        lattice_search::{self, Pattern},
    },
};
use crate::{
    geom::{Placement, Point},
    watch::Watch,
};

/// Copies of one shape below which a lattice is not worth the time.
const FEW: usize = 6;
/// Shapes of a mixed order that lattices are sought for at most.
const SHAPES: usize = 8;

/// The best lattice of a shape, or of a block of copies, on a bed that is worth one.
#[derive(Debug, Clone)]
pub(in crate::packing) struct FilledBed {
    bed: usize,
    copies: Vec<Item>,
}

pub(in crate::packing) type Lattices = Vec<FilledBed>;

/// Lattices of the shapes that are asked for many times.
pub(in crate::packing) fn lattices(
    table: &ZoneTable<'_>,
    effort: LatticeEffort,
    watch: &dyn Watch<Layout>,
) -> Lattices {
    let mut shapes: Vec<usize> = (0..table.bodies.len()).filter(|&s| table.bodies[s].usable).collect();
    match &table.problem.aim {
        Aim::Pack { counts } => {
            let many = |s: usize| counts.get(s).copied().unwrap_or(0);
            shapes.retain(|&s| many(s) >= FEW);
            let area = |s: usize| many(s) as f64 * table.bodies[s].weight;
            shapes.sort_by(|&a, &b| area(b).total_cmp(&area(a)).then(a.cmp(&b)));
            shapes.truncate(SHAPES);
        }
        Aim::TopUp { shares, at_most, .. } => {
            let asked = |s: usize| shares.get(s).is_some_and(|x| x.is_finite() && *x > 0.0);
            shapes.retain(|&s| asked(s) && at_most.get(s).is_some_and(|&n| n >= FEW));
            // In proportions no bed holds one shape alone.
            if shapes.len() > 1 {
                return Vec::new();
            }
        }
    }
    let mut found = Lattices::new();
    for s in shapes {
        found.extend(on_beds(table, s, watch, |bed| {
            let pattern = densest(table, bed, s, effort, watch)?;
            let item = |&(turn, p): &(f64, Point)| Item { shape: s, at: Placement::new(p.x, p.y, turn) };
            Some(pattern.copies.iter().map(item).collect())
        }));
        if watch.cancelled() {
            break;
        }
    }
    found
}

/// Lattices of blocks: of sets in the proportions of a Top up, of pairs of different shapes that are both asked for many
/// times.
pub(in crate::packing) fn of_blocks(
    table: &ZoneTable<'_>,
    effort: LatticeEffort,
    watch: &dyn Watch<Layout>,
) -> Lattices {
    let sets: Vec<Vec<usize>> = match &table.problem.aim {
        Aim::Pack { counts } => {
            let mut pairs = block::pairs(table, counts);
            pairs.retain(|p| p[0] != p[1]);
            pairs
        }
        Aim::TopUp { shares, .. } => block::set(shares).into_iter().filter(|m| m.len() > 1).collect(),
    };
    let asked = |s: usize| match &table.problem.aim {
        Aim::Pack { counts: n } | Aim::TopUp { at_most: n, .. } => n.get(s).copied().unwrap_or(0),
    };
    let mut found = Lattices::new();
    for members in sets {
        let mut order = members;
        // The largest first: the others are laid beside it, or into it.
        order.sort_by(|&a, &b| table.bodies[b].true_area.total_cmp(&table.bodies[a].true_area).then(a.cmp(&b)));
        let mut best = Lattices::new();
        let closest = Block::closest(table, &order).into_iter();
        // Sets are asked for in any case; pairs only where they save something.
        let tried: Vec<Block> = match &table.problem.aim {
            Aim::Pack { .. } => closest.filter(|b| b.is_close(table)).take(1).collect(),
            Aim::TopUp { .. } => closest.collect(),
        };
        for block in tried {
            let most = order.iter().map(|&s| asked(s) / block.holds(s).max(1)).min().unwrap_or(0);
            if watch.cancelled() || most < 2 {
                break;
            }
            let blocked = Blocked::lattice(table.problem, block, most);
            let wide = ZoneTable::new(&blocked.problem, &[]);
            let last = blocked.problem.shapes.len() - 1;
            let laid: Lattices = on_beds(&wide, last, watch, |bed| {
                let pattern = densest(&wide, bed, last, effort, watch)?;
                let item =
                    |&(turn, p): &(f64, Point)| blocked.items(Item { shape: last, at: Placement::new(p.x, p.y, turn) });
                Some(pattern.copies.iter().flat_map(item).collect())
            });
            let copies = |l: &Lattices| l.iter().map(|l| l.copies.len()).sum::<usize>();
            if copies(&laid) > copies(&best) {
                best = laid;
            }
        }
        found.append(&mut best);
    }
    found
}

/// What `find` has for each bed that admits the shape; beds that are alike share it.
fn on_beds(
    table: &ZoneTable<'_>,
    shape: usize,
    watch: &dyn Watch<Layout>,
    mut find: impl FnMut(usize) -> Option<Vec<Item>>,
) -> Lattices {
    let mut found = Lattices::new();
    for bed in 0..table.problem.beds.len() {
        if watch.cancelled() {
            break;
        }
        if !table.admits(bed, shape) {
            continue;
        }
        let alike = |other: usize| {
            let (a, b) = (&table.problem.beds[bed], &table.problem.beds[other]);
            a.room == b.room && a.keep_outs == b.keep_outs && a.fixed == b.fixed
        };
        let same = found.iter().find(|l| alike(l.bed)).map(|l| l.copies.clone());
        if let Some(copies) = same.or_else(|| find(bed)).filter(|c| c.len() > 1) {
            found.push(FilledBed { bed, copies });
        }
    }
    found
}

/// The arrangement with most copies of a shape on a bed.
fn densest(
    table: &ZoneTable<'_>,
    bed: usize,
    shape: usize,
    effort: LatticeEffort,
    watch: &dyn Watch<Layout>,
) -> Option<Pattern> {
    let most = match &table.problem.aim {
        Aim::Pack { counts } => counts.get(shape),
        Aim::TopUp { at_most, .. } => at_most.get(shape),
    };
    let most = most.copied().unwrap_or(0);
    let mut best = lattice_search::best(table, bed, shape, &[], effort, watch);
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
pub(in crate::packing) fn turns<'a>(lattices: impl IntoIterator<Item = &'a FilledBed>, shapes: usize) -> Vec<Vec<f64>> {
    let mut more: Vec<Vec<f64>> = vec![Vec::new(); shapes];
    for item in lattices.into_iter().flat_map(|l| &l.copies) {
        if !more[item.shape].contains(&item.at.turn_rad) {
            more[item.shape].push(item.at.turn_rad);
        }
    }
    more
}

/// A plan of lattices, the rest placed one by one. With `partly`, a lattice is also used for fewer copies than it has.
pub(in crate::packing) fn plan(
    table: &ZoneTable<'_>,
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
    for FilledBed { bed, copies } in lattices {
        let Some(class) = copies.first().map(|i| table.problem.shapes[i.shape].class) else { continue };
        let open = plan.beds[*bed].is_empty() && plan.class(table, *bed).is_none_or(|c| c == class);
        let mut after = left.clone();
        let mut spots = Vec::new();
        for i in copies {
            let known = table.of_shape[i.shape].iter().copied();
            let Some(v) = known.into_iter().find(|&v| table.variants[v].turn_rad == i.at.turn_rad) else { continue };
            if after[i.shape] > 0 {
                after[i.shape] -= 1;
                spots.push((v, i.at.origin()));
            }
        }
        if !open || spots.is_empty() || whole_only && spots.len() < copies.len() {
            continue;
        }
        plan.beds[*bed] = spots;
        left = after;
    }
    match &table.problem.aim {
        Aim::Pack { .. } => {
            let rest = plan.rest_of(queue, table);
            place::fill(table, &mut plan, rest, style, watch);
        }
        Aim::TopUp { .. } => place::top_up(table, &mut plan, style, watch),
    }
    plan
}
