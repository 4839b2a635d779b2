//! The constructive move: one copy after another, each at the best position in contact.

use std::{cmp::Ordering, collections::BTreeMap};

use crate::packing::{
    Aim, Layout,
    bodies::contacts::Contacts,
    bodies::zone_table::ZoneTable,
    judge::quick_check,
    mixed::plan::{self, Plan},
};
use crate::{
    geom::{Bounds, Point},
    watch::Watch,
};

/// Positions that are proved before a bed is given up.
const PROVED: usize = 60;

/// What makes a position good.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(in crate::packing) enum Key {
    /// Low, then left.
    Low,
    /// Left, then low.
    Left,
    /// Smallest box round all, then low.
    Box,
    /// Towards the lower left corner.
    Corner,
    /// Towards the middle.
    Middle,
}

/// How a constructive pass goes about it.
#[derive(Debug, Clone, Copy)]
pub(in crate::packing) struct Style {
    pub(in crate::packing) key: Key,
    /// Turns tried for each shape.
    pub(in crate::packing) turns: usize,
    /// Is each position proved on the true outlines before it is taken?
    pub(in crate::packing) proved: bool,
}

/// Positions in contact of one pass, by bed and variant.
#[derive(Debug, Default)]
pub(in crate::packing) struct ContactsByBed(BTreeMap<(usize, usize), Contacts>);

impl ContactsByBed {
    /// The best position for a shape on a bed.
    fn best(
        &mut self,
        table: &ZoneTable<'_>,
        plan: &Plan,
        bed: usize,
        shape: usize,
        style: Style,
    ) -> Option<(usize, Point)> {
        if style.proved {
            return self.proved(table, plan, bed, shape, style);
        }
        let mut best: Option<([f64; 3], usize, Point)> = None;
        self.each(table, plan, bed, shape, style, |key, v, p| {
            if best.as_ref().is_none_or(|(k, ..)| less(&key, k)) {
                best = Some((key, v, p));
            }
        });
        best.map(|(_, v, p)| (v, p))
    }

    /// The best position that the exact check allows too, of the first [`PROVED`].
    fn proved(
        &mut self,
        table: &ZoneTable<'_>,
        plan: &Plan,
        bed: usize,
        shape: usize,
        style: Style,
    ) -> Option<(usize, Point)> {
        let mut all = Vec::new();
        self.each(table, plan, bed, shape, style, |key, v, p| all.push((key, v, p)));
        all.sort_by(|a, b| a.0.iter().zip(&b.0).fold(Ordering::Equal, |o, (x, y)| o.then(x.total_cmp(y))));
        let (problem, others) = (table.problem, plan.items(table, bed));
        all.into_iter().take(PROVED).map(|(_, v, p)| (v, p)).find(|&(v, p)| {
            let item = plan::item(table, v, p);
            quick_check::inside_bed(problem, bed, item)
                && others.iter().chain(&problem.beds[bed].fixed).all(|&o| quick_check::clear(problem, item, o))
        })
    }

    fn each(
        &mut self,
        table: &ZoneTable<'_>,
        plan: &Plan,
        bed: usize,
        shape: usize,
        style: Style,
        mut visit: impl FnMut([f64; 3], usize, Point),
    ) {
        let so_far = plan.bounds(table, bed);
        let middle = table.problem.beds[bed].room.bounds().centre();
        for &v in table.of_shape[shape].iter().take(style.turns) {
            let field = self.0.entry((bed, v)).or_insert_with(|| Contacts::new(table, bed, v));
            field.catch_up(table, &plan.beds[bed]);
            let own = table.variants[v].bounds;
            for &p in field.free() {
                visit(rate(style.key, own.moved(p), so_far, middle), v, p);
            }
        }
    }
}

fn rate(key: Key, b: Bounds, so_far: Bounds, middle: Point) -> [f64; 3] {
    match key {
        Key::Low => [b.max.y, b.min.x, b.max.x],
        Key::Left => [b.max.x, b.min.y, b.max.y],
        Key::Corner => [b.max.x + b.max.y, b.max.y, b.max.x],
        Key::Middle => [b.centre().distance(middle), b.max.y, b.max.x],
        Key::Box => {
            let all = so_far.union(b);
            [all.width() * all.height(), b.max.y, b.max.x]
        }
    }
}

fn less(a: &[f64; 3], b: &[f64; 3]) -> bool {
    for (x, y) in a.iter().zip(b) {
        if (x - y).abs() > 1e-7 {
            return x < y;
        }
    }
    false
}

/// Puts shapes on the first bed that takes them, in the order given. Those that fit nowhere are left out.
pub(in crate::packing) fn fill(
    table: &ZoneTable<'_>,
    plan: &mut Plan,
    queue: impl IntoIterator<Item = usize>,
    style: Style,
    watch: &dyn Watch<Layout>,
) {
    let mut fields = ContactsByBed::default();
    let mut hopeless = vec![false; table.problem.shapes.len()];
    for shape in queue {
        if watch.cancelled() {
            return;
        }
        if !hopeless[shape] && !put(table, plan, shape, |p, bed| fields.best(table, p, bed, shape, style)) {
            hopeless[shape] = true;
        }
    }
}

/// Puts a copy on the first bed that may take it and where `find` knows a position.
fn put(
    table: &ZoneTable<'_>,
    plan: &mut Plan,
    shape: usize,
    mut find: impl FnMut(&Plan, usize) -> Option<(usize, Point)>,
) -> bool {
    let class = table.problem.shapes[shape].class;
    for bed in 0..plan.beds.len() {
        if !table.admits(bed, shape) || plan.class(table, bed).is_some_and(|c| c != class) {
            continue;
        }
        if let Some(spot) = find(plan, bed) {
            plan.beds[bed].push(spot);
            return true;
        }
    }
    false
}

/// Adds copies in proportion until none fits or all are there; first of all those that were there, the largest first.
pub(in crate::packing) fn top_up(table: &ZoneTable<'_>, plan: &mut Plan, style: Style, watch: &dyn Watch<Layout>) {
    let Aim::TopUp { shares, at_most, .. } = &table.problem.aim else { return };
    let mut fields = ContactsByBed::default();
    let mut placed = plan.counts(table);
    let least = |s: usize| table.problem.aim.least(s);
    let mut owed: Vec<usize> = (0..placed.len()).filter(|&s| placed[s] < least(s) && table.bodies[s].usable).collect();
    owed.sort_by(|&a, &b| table.bodies[b].weight.total_cmp(&table.bodies[a].weight).then(a.cmp(&b)));
    for s in owed {
        while placed[s] < least(s)
            && !watch.cancelled()
            && put(table, plan, s, |p, bed| fields.best(table, p, bed, s, style))
        {
            placed[s] += 1;
        }
    }
    let limit = |s: usize| at_most.get(s).copied().unwrap_or(0);
    let mut open: Vec<usize> =
        (0..placed.len()).filter(|&s| shares.get(s).is_some_and(|x| x.is_finite() && *x > 0.0)).collect();
    loop {
        open.retain(|&s| placed[s] < limit(s));
        let next = open.iter().copied().min_by(|&a, &b| {
            let need = |s: usize| (placed[s].saturating_sub(least(s)) as f64 + 0.5) / shares[s];
            need(a).total_cmp(&need(b)).then(a.cmp(&b))
        });
        let Some(shape) = next.filter(|_| !watch.cancelled()) else { return };
        if put(table, plan, shape, |p, bed| fields.best(table, p, bed, shape, style)) {
            placed[shape] += 1;
        } else {
            open.retain(|&s| s != shape);
        }
    }
}
