//! The way of the head from copy to copy on a layer: an open path, short but not proved shortest.

use std::{collections::VecDeque, sync::Arc};

use crate::geom::Point;

use super::{neighbours::Neighbours, paths::Nearest};

/// How the ways between copies are found.
#[derive(Debug, Clone, Copy, Default)]
pub enum Tour<'a> {
    /// Left out: sums only.
    None,
    /// Computed afresh: nearest neighbour, then 2-opt and Or-opt until neither helps. A function of the places alone.
    #[default]
    Exact,
    /// While dragging: the order of an earlier plan, the moved copies put back where they lengthen it least.
    Approximate(&'a TourPlan),
}

/// The order in which copies are visited, for each set of copies that grow together. Cheap to clone.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct TourPlan {
    sets: Arc<Vec<PlannedSet>>,
}

/// One set and its way.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct PlannedSet {
    /// Indices of the copies, ascending.
    pub(super) members: Arc<[u32]>,
    /// The same in the order of the visit.
    pub(super) order: Vec<u32>,
    /// Where each of `order` was.
    places: Vec<Point>,
}

/// More moved copies than this keep their places in the order: they move together, and so does the way.
const MOST_REINSERTED: usize = 16;
/// Neighbours looked at for each copy.
const NEIGHBOURS: usize = 8;

/// Ways for sets of copies, each a subset of the one before; `place[i]` is where copy i is.
pub(super) fn plan(sets: &[Arc<[u32]>], place: &[Point], tour: Tour<'_>) -> TourPlan {
    match tour {
        Tour::None => TourPlan::default(),
        Tour::Approximate(kept)
            if kept.sets.len() == sets.len() && kept.sets.iter().zip(sets).all(|(k, s)| k.members == *s) =>
        {
            TourPlan { sets: Arc::new(kept.sets.iter().map(|set| patched(set, place)).collect()) }
        }
        Tour::Exact | Tour::Approximate(_) => {
            let mut planned: Vec<PlannedSet> = Vec::with_capacity(sets.len());
            let mut around = Neighbours::default();
            for members in sets {
                if around.count < 2 * NEIGHBOURS || members.len() * 2 <= around.count {
                    around = Neighbours::new(members, place, 2 * NEIGHBOURS);
                }
                let (order, fresh) = match planned.last() {
                    // Those that are finished are skipped; only round the holes the way can have become worse.
                    Some(before) => shortened(&before.order, members),
                    None => (nearest_first(members, place), members.to_vec()),
                };
                let order = improved(order, fresh, place, &around);
                let places = order.iter().map(|&i| place[i as usize]).collect();
                planned.push(PlannedSet { members: members.clone(), order, places });
            }
            TourPlan { sets: Arc::new(planned) }
        }
    }
}

impl TourPlan {
    pub(super) fn sets(&self) -> &[PlannedSet] {
        &self.sets
    }
    /// Length of the way of the first set (the first layer), mm: for display.
    pub fn length_mm(&self) -> f64 {
        self.sets.first().map_or(0.0, |s| s.legs_mm().sum())
    }
}

impl PlannedSet {
    /// Lengths of the ways from copy to copy, mm.
    pub(super) fn legs_mm(&self) -> impl Iterator<Item = f64> + '_ {
        self.places.windows(2).map(|w| w[0].distance(w[1]))
    }
}

fn patched(set: &PlannedSet, place: &[Point]) -> PlannedSet {
    let moved: Vec<usize> = (0..set.order.len()).filter(|&k| set.places[k] != place[set.order[k] as usize]).collect();
    if moved.is_empty() {
        return set.clone();
    }
    let mut order = set.order.clone();
    if moved.len() <= MOST_REINSERTED {
        let out: Vec<u32> = moved.iter().map(|&k| set.order[k]).collect();
        order.retain(|i| !out.contains(i));
        let at = |i: u32| place[i as usize];
        for i in out {
            let p = at(i);
            let mut best = (f64::INFINITY, 0);
            for k in 0..=order.len() {
                let before = k.checked_sub(1).and_then(|b| order.get(b)).map(|&b| at(b));
                let after = order.get(k).map(|&a| at(a));
                let longer = match (before, after) {
                    (Some(b), Some(a)) => b.distance(p) + p.distance(a) - b.distance(a),
                    (Some(q), None) | (None, Some(q)) => q.distance(p),
                    (None, None) => 0.0,
                };
                if longer < best.0 {
                    best = (longer, k);
                }
            }
            order.insert(best.1, i);
        }
    }
    let places = order.iter().map(|&i| place[i as usize]).collect();
    PlannedSet { members: set.members.clone(), order, places }
}

/// From the copy at the front left, always the nearest one next.
fn nearest_first(members: &[u32], place: &[Point]) -> Vec<u32> {
    let mut left = Nearest::new(members.iter().map(|&i| (place[i as usize], i)));
    let start = members.iter().map(|&i| place[i as usize]).min_by(|a, b| (a.x + a.y).total_cmp(&(b.x + b.y)));
    let mut at = start.unwrap_or_default();
    let mut order = Vec::with_capacity(members.len());
    while let Some((p, i)) = left.take(at) {
        order.push(i);
        at = p;
    }
    order
}

/// `order` without those that are not in `members` (ascending), and the copies beside the gaps.
fn shortened(order: &[u32], members: &[u32]) -> (Vec<u32>, Vec<u32>) {
    let mut kept = Vec::with_capacity(members.len());
    let mut beside = Vec::new();
    let mut gap = false;
    for &i in order {
        if members.binary_search(&i).is_ok() {
            if gap {
                beside.extend(kept.last().copied());
                beside.push(i);
            }
            gap = false;
            kept.push(i);
        } else {
            gap = true;
        }
    }
    (kept, beside)
}

/// 2-opt and Or-opt with neighbour lists, until no move from a copy in `fresh`, or beside a change, shortens the way.
fn improved(mut order: Vec<u32>, fresh: Vec<u32>, place: &[Point], around: &Neighbours) -> Vec<u32> {
    let n = order.len();
    if n < 3 {
        return order;
    }
    let mut position = vec![usize::MAX; place.len()];
    for (k, &i) in order.iter().enumerate() {
        position[i as usize] = k;
    }
    let mut queued = vec![false; place.len()];
    let mut queue: VecDeque<u32> = VecDeque::new();
    for i in fresh {
        if !std::mem::replace(&mut queued[i as usize], true) {
            queue.push_back(i);
        }
    }
    // Every move shortens the way; the budget only guards against rounding.
    let mut budget = 200 * n;
    while let Some(a) = queue.pop_front() {
        queued[a as usize] = false;
        while budget > 0 {
            let Some(touched) = shorten(&mut order, &mut position, a, place, around) else { break };
            budget -= 1;
            for i in touched.into_iter().flatten() {
                if !std::mem::replace(&mut queued[i as usize], true) {
                    queue.push_back(i);
                }
            }
        }
    }
    order
}

/// One shortening move at copy `a`, and the copies at its changed ends; `None` where there is none.
fn shorten(
    order: &mut [u32],
    position: &mut [usize],
    a: u32,
    place: &[Point],
    around: &Neighbours,
) -> Option<[Option<u32>; 6]> {
    const LEAST: f64 = 1e-9;
    // Length between two places in the order; 0 beyond either end, for the way is open.
    let gap = |a: Option<u32>, b: Option<u32>| match (a, b) {
        (Some(a), Some(b)) => (place[a as usize] - place[b as usize]).length_squared().sqrt(),
        _ => 0.0,
    };
    let n = order.len();
    let get = |k: usize| order.get(k).copied();
    let prev = |k: usize| k.checked_sub(1).and_then(get);
    let i = position[a as usize];
    let (prev_a, next_a) = (prev(i), get(i + 1));
    let (before_a, after_a) = (gap(prev_a, Some(a)), gap(Some(a), next_a));
    // A move that shortens has an end whose new leg is shorter than the leg it replaces; it is found from there.
    let reach = before_a.max(after_a);
    let stretches = Stretch::at(order, i, &gap);
    for &c in around.of(a) {
        let j = position[c as usize];
        if j == usize::MAX || j >= n || order[j] != c {
            continue; // not growing any more
        }
        let d = gap(Some(a), Some(c));
        if d >= reach {
            break;
        }
        // 2-opt: a – next and c – next′ become a – c and next – next′; the same at the other side.
        let (prev_c, next_c) = (prev(j), get(j + 1));
        let (before_c, after_c) = (gap(prev_c, Some(c)), gap(Some(c), next_c));
        if after_a + after_c - d - gap(next_a, next_c) > LEAST {
            reverse(order, position, i.min(j) + 1, i.max(j));
            return Some([Some(a), Some(c), next_a, next_c, None, None]);
        }
        if before_a + before_c - d - gap(prev_a, prev_c) > LEAST {
            reverse(order, position, i.min(j), i.max(j) - 1);
            return Some([Some(a), Some(c), prev_a, prev_c, None, None]);
        }
        // Or-opt: up to three copies from a on (or up to a) go beside c.
        for run in stretches.iter().flatten() {
            if (run.low..=run.high).contains(&j) {
                continue;
            }
            for follow in [true, false] {
                // a lies next to c; the far end next to c's other neighbour.
                let (other, there) = if follow { (next_c, after_c) } else { (prev_c, before_c) };
                let beside = if follow { j + 1 } else { j.wrapping_sub(1) };
                if run.saved + there - d <= LEAST || (run.low..=run.high).contains(&beside) {
                    continue;
                }
                let gain = run.saved + there - d - gap(Some(run.far), other);
                if gain > LEAST {
                    let run = run.clone();
                    relocate(order, position, run.low, run.high, j, follow, run.forward);
                    return Some([Some(a), Some(c), Some(run.far), other, run.before, run.after]);
                }
            }
        }
    }
    None
}

/// Up to three copies of the order in a row that begin or end with one copy, to be moved together.
#[derive(Clone)]
struct Stretch {
    low: usize,
    high: usize,
    /// Whether that copy is the low end.
    forward: bool,
    /// The copy at the other end.
    far: u32,
    before: Option<u32>,
    after: Option<u32>,
    /// What the way shortens by when they are taken out, mm.
    saved: f64,
}

impl Stretch {
    /// Those at place `i` of the order that shorten it.
    fn at(order: &[u32], i: usize, gap: &impl Fn(Option<u32>, Option<u32>) -> f64) -> [Option<Self>; 6] {
        let get = |k: usize| order.get(k).copied();
        std::array::from_fn(|k| {
            let (more, forward) = (k / 2, k % 2 == 0);
            let (low, high) = if forward { (i, i + more) } else { (i.checked_sub(more)?, i) };
            let (first, last) = (get(low)?, get(high)?);
            let (before, after) = (low.checked_sub(1).and_then(get), get(high + 1));
            let saved = gap(before, Some(first)) + gap(Some(last), after) - gap(before, after);
            let far = if forward { last } else { first };
            (saved > 0.0).then_some(Self { low, high, forward, far, before, after, saved })
        })
    }
}

fn reverse(order: &mut [u32], position: &mut [usize], low: usize, high: usize) {
    if low > high {
        return;
    }
    order[low..=high].reverse();
    for (k, &i) in order.iter().enumerate().take(high + 1).skip(low) {
        position[i as usize] = k;
    }
}

/// Moves order[low..=high] beside place j: after it (`follow`) or before it, so that the end called `a` (the low one where
/// `forward`) touches it.
fn relocate(order: &mut [u32], position: &mut [usize], low: usize, high: usize, j: usize, follow: bool, forward: bool) {
    // After c the run must begin with a, before c it must end with a.
    if forward != follow {
        order[low..=high].reverse();
    }
    let length = high - low + 1;
    let (from, to) = if j > high {
        let end = if follow { j } else { j - 1 };
        order[low..=end].rotate_left(length);
        (low, end)
    } else {
        let start = if follow { j + 1 } else { j };
        order[start..=high].rotate_right(length);
        (start, high)
    };
    for (k, &i) in order.iter().enumerate().take(to + 1).skip(from) {
        position[i as usize] = k;
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    fn all(n: usize) -> Arc<[u32]> {
        (0..n as u32).collect()
    }

    fn length(plan: &TourPlan, k: usize) -> f64 {
        plan.sets()[k].legs_mm().sum()
    }

    /// The least length over all orders.
    fn shortest(places: &[Point]) -> f64 {
        fn go(places: &[Point], left: &mut Vec<usize>, at: Option<usize>, sum: f64, best: &mut f64) {
            if left.is_empty() {
                *best = best.min(sum);
            }
            for k in 0..left.len() {
                let i = left.swap_remove(k);
                go(places, left, Some(i), sum + at.map_or(0.0, |a| places[a].distance(places[i])), best);
                left.push(i);
                let last = left.len() - 1;
                left.swap(k, last);
            }
        }
        let mut best = f64::INFINITY;
        go(places, &mut (0..places.len()).collect(), None, 0.0, &mut best);
        best
    }

    /// A grid of 10 × 10 places has a way of 99 pitches; ours is within 8 % of it.
    #[test]
    fn a_grid() {
        let places: Vec<Point> =
            (0..100).map(|i| Point::new(f64::from(i % 10) * 20.0, f64::from(i / 10) * 20.0)).collect();
        let l = length(&plan(&[all(100)], &places, Tour::Exact), 0);
        assert!((99.0 * 20.0 - 1e-9..99.0 * 20.0 * 1.08).contains(&l), "{l}");
    }

    /// Random places: between the asymptotic shortest tour 0.7124 √(n A) (Beardwood, Halton, Hammersley 1959, constant
    /// from memory) less 5 % and 25 % above it.
    #[test]
    fn five_hundred_random_places() {
        let mut seed = 7u64;
        let mut next = || {
            seed = seed.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
            (seed >> 33) as f64 / f64::from(1u32 << 31) * 200.0
        };
        let places: Vec<Point> = (0..500).map(|_| Point::new(next(), next())).collect();
        let l = length(&plan(&[all(500)], &places, Tour::Exact), 0);
        let asymptote = 0.7124 * (500.0 * 200.0 * 200.0f64).sqrt();
        assert!((0.95 * asymptote..1.25 * asymptote).contains(&l), "{l} against {asymptote}");
    }

    proptest! {
        #![proptest_config(ProptestConfig::with_cases(64))]
        /// Every copy once; never shorter than the shortest, and close to it on few copies.
        #[test]
        fn few_copies(points in prop::collection::vec((0.0..200.0f64, 0.0..200.0f64), 1..8)) {
            let places: Vec<Point> = points.iter().map(|&(x, y)| Point::new(x, y)).collect();
            let p = plan(&[all(places.len())], &places, Tour::Exact);
            let mut visited = p.sets()[0].order.clone();
            visited.sort_unstable();
            prop_assert_eq!(&visited[..], &all(places.len())[..]);
            let (l, best) = (length(&p, 0), shortest(&places));
            prop_assert!(l >= best - 1e-9 && l <= best * 1.25 + 1e-9, "{} against {}", l, best);
        }
        /// Nested sets, and the patched way while dragging, visit every copy once.
        #[test]
        fn nested_and_patched(points in prop::collection::vec((0.0..200.0f64, 0.0..200.0f64), 30..90), dx in -50.0..50.0f64) {
            let mut places: Vec<Point> = points.iter().map(|&(x, y)| Point::new(x, y)).collect();
            let n = places.len() as u32;
            let sets: Vec<Arc<[u32]>> = vec![all(n as usize), (0..n).filter(|i| i % 3 != 0).collect(), (0..n).filter(|i| i % 3 == 1).collect()];
            let p = plan(&sets, &places, Tour::Exact);
            places[4].x += dx;
            let q = plan(&sets, &places, Tour::Approximate(&p));
            for plan in [&p, &q] {
                for (set, members) in plan.sets().iter().zip(&sets) {
                    let mut visited = set.order.clone();
                    visited.sort_unstable();
                    prop_assert_eq!(&visited[..], &members[..]);
                }
            }
            // Each way fits the places it claims to have.
            for set in q.sets() {
                for (k, &i) in set.order.iter().enumerate() {
                    prop_assert_eq!(set.places[k], places[i as usize]);
                }
            }
        }
    }
}
