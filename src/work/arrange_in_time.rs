//! Pack and Top up with as many copies as end in time.

use std::time::{Duration, Instant};

use super::{
    Deadline,
    arrange::{Terms, arrange},
};
use crate::{
    estimate::RecipeFault,
    packing::{self, Aim, Item, Layout, Problem},
    studies::{MostInTime, PlateTimer},
    watch::Watch,
};

/// Share of the time for adding to the copies as they lie.
const AS_IT_LIES: f64 = 0.4;

/// The layout with as many copies on the first bed as end in time, and what that takes.
///
/// Top up: copies are first added to those that are there as they lie; only where all of these end in time, and more may, is room made for
/// more by moving some. Pack: copies are packed as ever; those that do not end in time go, at their places, to an empty bed of the
/// problem, or are left over where there is none.
pub(super) fn arrange_in_time(
    problem: &Problem,
    now: Option<&Layout>,
    terms: &Terms,
    timer: &PlateTimer,
    watch: &dyn Watch<Layout>,
) -> Result<(Layout, MostInTime), RecipeFault> {
    let fixed: &[Item] = problem.beds.first().map_or(&[], |b| &b.fixed);
    let told = Untold(watch);
    let begun = Instant::now();
    let Aim::TopUp { shares, .. } = &problem.aim else {
        let layout = arrange(problem, now, terms, &told);
        return packed(problem, fixed, layout, timer, &told);
    };
    let Some(now) = now.filter(|n| n.count() > 0) else {
        let all = arrange(problem, None, terms, &told);
        let further = PlateTimer::order(problem, fixed, items(&all), shares);
        let most = timer.most(fixed, &further, &told)?;
        return Ok((one_bed(problem, &further[..most.count]), most));
    };
    let stay: Vec<Item> = fixed.iter().chain(items(now)).copied().collect();
    let kept = packing::kept(problem, now);
    let added = {
        let limit = terms.limit.map(|l| l.mul_f64(AS_IT_LIES));
        packing::solve(&kept, terms.seed, terms.rounds, &Deadline::new(&told, limit))
    };
    let further = PlateTimer::order(problem, &stay, items(&added), shares);
    let most = timer.most(&stay, &further, &told)?;
    let as_it_lies = |most: MostInTime| (packing::laid_on(now, &one_bed(problem, &further[..most.count])), most);
    if most.count < most.of || !most.is_in_time(timer.longest_s) || Watch::<Layout>::cancelled(&told) {
        return Ok(as_it_lies(most));
    }
    let left = terms.limit.map(|l| l.saturating_sub(begun.elapsed()).max(Duration::from_millis(50)));
    let moved = arrange(problem, Some(now), &Terms { limit: left, ..terms.clone() }, &told);
    let (must, rest) = must_and_rest(problem, now, &moved);
    let stay: Vec<Item> = fixed.iter().chain(&must).copied().collect();
    let more = PlateTimer::order(problem, &stay, &rest, shares);
    let most_moved = timer.most(&stay, &more, &told)?;
    if most_moved.count > most.count && most_moved.is_in_time(timer.longest_s) {
        let kept: Vec<Item> = must.iter().chain(&more[..most_moved.count]).copied().collect();
        // Before anything was moved.
        return Ok((one_bed(problem, &kept), MostInTime { stay_s: most.stay_s, ..most_moved }));
    }
    Ok(as_it_lies(most))
}

fn items(layout: &Layout) -> &[Item] {
    layout.beds.first().map_or(&[], Vec::as_slice)
}

fn one_bed(problem: &Problem, items: &[Item]) -> Layout {
    let mut beds = vec![Vec::new(); problem.beds.len()];
    if let Some(first) = beds.first_mut() {
        first.extend_from_slice(items);
    }
    Layout { beds, unplaced: vec![0; problem.shapes.len()] }
}

/// As many copies of each shape as were there, those first that lie where one lay, and all others.
fn must_and_rest(problem: &Problem, now: &Layout, moved: &Layout) -> (Vec<Item>, Vec<Item>) {
    let mut needed = vec![0_usize; problem.shapes.len()];
    for item in items(now) {
        if let Some(n) = needed.get_mut(item.shape) {
            *n += 1;
        }
    }
    let (mut must, mut rest) = (Vec::new(), Vec::new());
    let (there, elsewhere): (Vec<Item>, Vec<Item>) = items(moved).iter().partition(|i| items(now).contains(i));
    for item in there.into_iter().chain(elsewhere) {
        match needed.get_mut(item.shape).filter(|n| **n > 0) {
            Some(n) => {
                *n -= 1;
                must.push(item);
            }
            None => rest.push(item),
        }
    }
    (must, rest)
}

/// A packed plate with as many copies as end in time, in the proportion in which they were on it.
fn packed(
    problem: &Problem,
    fixed: &[Item],
    mut layout: Layout,
    timer: &PlateTimer,
    watch: &dyn Watch,
) -> Result<(Layout, MostInTime), RecipeFault> {
    let here = items(&layout).to_vec();
    let mut shares = vec![0.0; problem.shapes.len()];
    for item in &here {
        shares[item.shape] += 1.0;
    }
    let further = PlateTimer::order(problem, fixed, &here, &shares);
    let most = timer.most(fixed, &further, watch)?;
    let (kept, off) = further.split_at(most.count);
    layout.unplaced.resize(problem.shapes.len(), 0);
    if let Some(first) = layout.beds.first_mut() {
        *first = kept.to_vec();
    }
    let class = problem.beds.first().and_then(|b| b.class);
    let is_free = |n: usize| problem.beds[n].class == class && problem.beds[n].fixed.is_empty();
    let empty = (1..layout.beds.len()).find(|&n| layout.beds[n].is_empty() && is_free(n));
    if let Some(bed) = empty.and_then(|n| layout.beds.get_mut(n)) {
        bed.extend_from_slice(off);
    } else {
        off.iter().for_each(|item| layout.unplaced[item.shape] += 1);
    }
    Ok((layout, most))
}

/// Passes on how far the work is, and no layout: one with more copies than end in time is none to be shown or taken.
struct Untold<'a>(&'a dyn Watch<Layout>);

impl Watch<Layout> for Untold<'_> {
    fn cancelled(&self) -> bool {
        self.0.cancelled()
    }
    fn progress(&self, done: f64, what: &str) {
        self.0.progress(done, what);
    }
}

impl Watch for Untold<'_> {
    fn cancelled(&self) -> bool {
        self.0.cancelled()
    }
    fn progress(&self, done: f64, what: &str) {
        self.0.progress(done, what);
    }
}
