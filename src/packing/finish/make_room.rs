//! Making room: copies that lie under what was laid on them are parted from it, and from one another, by small moves.

use std::{f64::consts::TAU, sync::Arc};

use rayon::prelude::*;

use crate::packing::{
    Item, Layout, Problem, ZoneCache,
    bodies::contacts::CONTACT_MM,
    bodies::zone_table::{Exact, ZoneTable},
    mixed::heap::Heap,
    mixed::plan,
    rng::Rng,
};
use crate::{
    geom::{Bounds, Point, Region, boolean},
    watch::Watch,
};

/// Sweeps over all copies before it is given up, at most; of few copies fewer: more copies may be asked to make room.
const SWEEPS: usize = 200;
const FIRST_SWEEPS: usize = 40;
const SWEEPS_A_COPY: usize = 8;
/// How exactly copies are drawn back towards where they lay, mm.
const EXACT_MM: f64 = 0.01;
/// Copies no farther apart than this are given their exact zones where hulls did not do, mm.
const BESIDE_MM: f64 = 10.0;

/// Moves copies, without turning them, until none overlaps another, what is fixed on the first bed, its keep-outs or
/// its edge; then each as far back towards its place as the others let it. `movable` is in the order of the answer. All
/// stay within `limit`. `None` where they could not be parted, or on cancelling before they were.
///
/// `come`: how many of the fixed copies, the first ones, lie on others; all else counts as clear of one another.
///
/// The problem's aim is not looked at.
pub fn make_room(
    problem: &Problem,
    movable: &[Item],
    limit: Bounds,
    come: usize,
    seed: u64,
    cache: &Arc<ZoneCache>,
    watch: &dyn Watch<Layout>,
) -> Option<Vec<Item>> {
    let mut all = problem.clone();
    all.beds.truncate(1);
    for shape in &mut all.shapes {
        shape.turn_step_rad = Some(TAU);
    }
    let bed = all.beds.first_mut()?;
    bed.fixed.extend_from_slice(movable);
    // What lies outside the limit matters to none of them.
    bed.keep_outs.retain(|k| k.bounds().overlaps(limit));
    if boolean::difference(&Region::rectangle(limit), &bed.room).is_empty() {
        bed.room = Region::rectangle(limit);
    }
    let mut turns = vec![Vec::new(); all.shapes.len()];
    for item in movable {
        let of: &mut Vec<f64> = turns.get_mut(item.shape)?;
        if !of.contains(&item.at.turn_rad) {
            of.push(item.at.turn_rad);
        }
    }
    cache.trim();
    // By their hulls first, but for those that lie in one another's already: zones of hulls take no time. What lies in
    // a hollow keeps to it all the same.
    [true, false].into_iter().find_map(|by_hulls| {
        let (table, start) = lying(&all, &turns, movable.len(), by_hulls, cache, watch)?;
        let mut heap = Heap::new(&table, 0, start.clone(), limit).staying_near(come);
        let mut rng = Rng::new(seed);
        if !heap.nudge(SWEEPS.min(FIRST_SWEEPS + SWEEPS_A_COPY * movable.len()), &mut rng, watch) {
            return None;
        }
        let spots = drawn_back(&heap, &start, watch);
        Some(spots.into_iter().map(|(v, at)| plan::item(&table, v, at)).collect())
    })
}

/// The table and, of the copies fixed on the first bed, the last `movable`, which then are no longer fixed. All zones
/// that take time are made, unless the watch says stop: then `None`.
fn lying<'a>(
    problem: &'a Problem,
    turns: &[Vec<f64>],
    movable: usize,
    by_hulls: bool,
    cache: &Arc<ZoneCache>,
    watch: &dyn Watch<Layout>,
) -> Option<(ZoneTable<'a>, Vec<(usize, Point)>)> {
    let mut table = ZoneTable::cached(problem, turns, cache);
    if table.fixed[0].len() != problem.beds[0].fixed.len() {
        return None; // a shape without area, or a place that is no number
    }
    let start = table.fixed[0].split_off(problem.beds[0].fixed.len() - movable);
    let both = |still: usize, moving: usize| [(still, moving), (moving, still)];
    let mut exact = Exact::default();
    for (j, &(v, p)) in start.iter().enumerate() {
        for &(w, q) in table.fixed[0].iter().chain(&start[..j]) {
            let meet = if by_hulls {
                table.near((v, p), (w, q)) && table.hull_zone(w, v).blocks(p - q, CONTACT_MM)
            } else {
                table.within((v, p), (w, q), BESIDE_MM)
            };
            exact.pairs.extend(both(w, v).into_iter().filter(|_| meet));
        }
        if !by_hulls || !table.hull_inner_fit(0, v).holds(p, CONTACT_MM) {
            exact.inner_fits.insert(v);
        }
    }
    let pairs: Vec<(usize, usize)> = exact.pairs.iter().copied().collect();
    let inner_fits: Vec<usize> = exact.inner_fits.iter().copied().collect();
    let table = table.with_hulls(exact);
    pairs.par_iter().filter(|_| !watch.cancelled()).for_each(|&(w, v)| {
        table.pair(w, v);
    });
    inner_fits.par_iter().filter(|_| !watch.cancelled()).for_each(|&v| {
        table.inner_fit(0, v);
    });
    (!watch.cancelled()).then_some((table, start))
}

/// Each copy as far back towards its start as stays free, again and again, for one may wait for another.
fn drawn_back(heap: &Heap<'_>, start: &[(usize, Point)], watch: &dyn Watch<Layout>) -> Vec<(usize, Point)> {
    let mut spots = heap.spots().to_vec();
    for _ in 0..3 {
        for i in 0..spots.len() {
            let (v, at) = spots[i];
            let home = start[i].1;
            let far = at.distance(home);
            if far <= EXACT_MM || watch.cancelled() {
                continue;
            }
            // The whole way first: many copies were only in the way for a while.
            let (mut good, mut bad) = (0.0, 1.0);
            if heap.free(&spots, i, (v, home)) {
                good = 1.0;
            }
            while (bad - good) * far > EXACT_MM && good < 1.0 {
                let middle = f64::midpoint(good, bad);
                if heap.free(&spots, i, (v, at.lerp(home, middle))) {
                    good = middle;
                } else {
                    bad = middle;
                }
            }
            spots[i].1 = at.lerp(home, good);
        }
    }
    spots
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::{
        geom::{Outline, Placement, Polygon},
        packing::{Aim, Bed, Shape, verify},
        watch::Quiet,
    };

    fn square(side: f64) -> Region {
        Region::rectangle(Bounds::new(Point::default(), Point::new(side, side)))
    }

    fn block(side: f64) -> Shape {
        let o = Outline::new(square(side));
        Shape { shadow: o.clone(), contact: o.clone(), footing: o, turn_step_rad: None, class: 0, height_mm: 1.0 }
    }

    fn problem(side: f64, fixed: Vec<Item>, movable: usize) -> Problem {
        let bed = Bed { room: square(side), keep_outs: vec![], fixed, class: None, height_mm: 9.0, twin: None };
        Problem {
            shapes: vec![block(20.0)],
            beds: vec![bed],
            gap_mm: 2.0,
            footing_gap_mm: 0.0,
            footings_may_merge: false,
            aim: Aim::Pack { counts: vec![movable] },
        }
    }

    fn at(x: f64, y: f64) -> Item {
        Item { shape: 0, at: Placement::at(x, y) }
    }

    fn parted(p: &Problem, movable: &[Item]) -> Option<Vec<Item>> {
        let limit = p.beds[0].room.bounds();
        let out = make_room(p, movable, limit, p.beds[0].fixed.len(), 1, &Arc::default(), &Quiet)?;
        let layout = Layout { beds: vec![out.clone()], unplaced: vec![0] };
        assert_eq!(verify(p, &layout), Ok(()));
        Some(out)
    }

    /// A row of three with a fourth laid half on the first: each must go on by as much as the one before, and the last
    /// has just the room. Worked by hand: 4 × 20 + 3 × 2 = 86.
    #[test]
    fn a_whole_row_moves_up() {
        let p = problem(86.0, vec![at(0.0, 30.0), at(0.0, 52.0), at(22.0, 52.0), at(44.0, 52.0), at(66.0, 52.0)], 3);
        let mut p = p;
        // Only the row itself is open: walls in front of it and behind it.
        p.beds[0].room = Region::rectangle(Bounds::new(Point::new(0.0, 30.0), Point::new(86.0, 72.0)));
        let out = parted(&p, &[at(10.0, 30.0), at(32.0, 30.0), at(54.0, 30.0)]).expect("there is just the room");
        for (k, item) in out.iter().enumerate() {
            assert!((item.at.x - 22.0 * (k + 1) as f64).abs() < 0.02, "{out:?}");
        }
    }

    #[test]
    fn what_is_not_in_the_way_stays() {
        let p = problem(200.0, vec![at(100.0, 100.0)], 2);
        let movable = [at(110.0, 101.0), at(20.0, 20.0)];
        let out = parted(&p, &movable).expect("there is room");
        assert_eq!(out[1], movable[1]);
        assert!((out[0].at.x - 122.0).abs() < 0.02 && (out[0].at.y - 101.0).abs() < 0.02, "the shortest way: {out:?}");
    }

    /// A U with a block in it, pushed by a block laid on its leg: its hollow, of which its hull knows nothing, holds the
    /// block as before, and both go along.
    #[test]
    fn what_lies_in_a_hollow_stays_in_it() {
        let mut p = problem(200.0, vec![at(60.0, 60.0)], 1);
        let u = [[0., 0.], [60., 0.], [60., 40.], [50., 40.], [50., 10.], [10., 10.], [10., 40.], [0., 40.]];
        let u = Outline::new(Region::from(Polygon::simple(u.map(Point::from).to_vec())));
        p.shapes.push(Shape { shadow: u.clone(), contact: u.clone(), footing: u, ..block(20.0) });
        p.aim = Aim::Pack { counts: vec![1, 1] };
        // The U's left leg reaches 5 mm under the block.
        let movable = [Item { shape: 1, at: Placement::at(75.0, 50.0) }, at(87.0, 62.0)];
        let out =
            make_room(&p, &movable, p.beds[0].room.bounds(), 1, 1, &Arc::default(), &Quiet).expect("there is room");
        assert_eq!(verify(&p, &Layout { beds: vec![out.clone()], unplaced: vec![0, 0] }), Ok(()));
        let inside = out[1].at.origin() - out[0].at.origin();
        assert!((11.99..28.01).contains(&inside.x) && (11.99..20.0).contains(&inside.y), "{out:?}");
        assert!((out[0].at.x - 82.0).abs() < 0.02, "it need go no farther: {out:?}");
    }

    /// A second question with what the first one left gives the same answer.
    #[test]
    fn what_is_kept_changes_nothing() {
        let p = problem(200.0, vec![at(100.0, 100.0)], 2);
        let movable = [at(110.0, 101.0), at(93.0, 81.0)];
        let cache = Arc::new(ZoneCache::default());
        cache.learn(&p);
        let limit = p.beds[0].room.bounds();
        let ask = |cache: &Arc<ZoneCache>| make_room(&p, &movable, limit, 1, 1, cache, &Quiet);
        let first = ask(&cache);
        assert!(first.is_some());
        assert_eq!(ask(&cache), first);
        assert_eq!(ask(&Arc::default()), first);
        cache.clear();
        assert_eq!(ask(&cache), first);
    }

    #[test]
    fn no_room_no_answer() {
        let p = problem(40.0, vec![at(10.0, 10.0)], 1);
        assert_eq!(make_room(&p, &[at(12.0, 12.0)], p.beds[0].room.bounds(), 1, 1, &Arc::default(), &Quiet), None);
    }
}
