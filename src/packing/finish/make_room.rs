//! Making room: copies that lie under what was laid on them are parted from it, and from one another, by small moves.

use std::{collections::BTreeMap, f64::consts::TAU, sync::Arc};

use rayon::prelude::*;

use crate::packing::{
    Item, Layout, Problem, Shape, ZoneCache,
    bodies::contacts::CONTACT_MM,
    bodies::zone_table::{Exact, ZoneTable},
    mixed::heap::Heap,
    mixed::plan,
};
use crate::{
    geom::{Bounds, Outline, Placement, Point, Region, boolean},
    rng::Rng,
    watch::Watch,
};

/// Sweeps over all copies before it is given up, at most; of few copies fewer: more copies may be asked to make room.
const SWEEPS: usize = 200;
const FIRST_SWEEPS: usize = 40;
const SWEEPS_A_COPY: usize = 8;
/// How exactly copies are drawn back towards where they lay, mm.
const EXACT_MM: f64 = 0.01;
/// A copy that stays where it is is worth so much way of the others, mm (no source: a matter of taste).
pub const A_COPY_MM: f64 = 3.0;
/// Going past others counts for so much more than pushing them on.
pub const PASSING: f64 = 1.1;
/// Hulls that meet deeper than this lie in one another's hollows, mm.
const HOLLOW_MM: f64 = 1e-3;
/// Copies no farther apart than this are given their exact zones where hulls did not do, mm.
const BESIDE_MM: f64 = 10.0;

/// Moves copies, without turning them, until none overlaps another, what is fixed on the first bed, its keep-outs or
/// its edge; then each as far back towards its place as the others let it. `movable` is in the order of the answer. All
/// stay within `limit`. Copies that lie in one another's hollows are parted from the rest as one, where that can be
/// done. Twins keep clear as well. `None` where they could not be parted, or on cancelling before they were.
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
    let (asked, come) = one_bed(problem, come)?;
    cache.trim();
    let ask = Question { limit, come, seed, cache, watch };
    let groups = interlocked(&asked, movable);
    let locked = groups.iter().any(|g| g.len() > 1);
    let together = if locked { ask.parted_together(&asked, movable, &groups) } else { None };
    together.or_else(|| ask.parted(&asked, movable))
}

/// How much a person has to take in: the way of all copies, and something for each that has moved, mm.
fn disturbance(from: &[Item], to: &[Item]) -> f64 {
    let ways = from.iter().zip(to).map(|(a, b)| a.at.origin().distance(b.at.origin()));
    ways.filter(|way| *way > 0.0).map(|way| way + A_COPY_MM).sum()
}

/// The first bed alone, its twins left out, and how many of its fixed copies have come.
fn one_bed(problem: &Problem, come: usize) -> Option<(Problem, usize)> {
    let mut one = problem.clone();
    one.beds.truncate(1);
    let known = one.beds.first()?.fixed.len();
    let mut all = one.untwinned().into_owned();
    let bed = all.beds.first_mut()?;
    // The image of what has come has come as well.
    let images = bed.fixed.split_off(known);
    let here = |i: &&Item| i.shape < one.shapes.len() && i.at.turn_rad.is_finite();
    let have_come = bed.fixed.iter().take(come).filter(here).count().min(images.len());
    let (first, rest) = images.split_at(have_come);
    bed.fixed.splice(come.min(known)..come.min(known), first.iter().copied());
    bed.fixed.extend_from_slice(rest);
    for shape in &mut all.shapes {
        shape.turn_step_rad = Some(TAU);
    }
    Some((all, come + have_come))
}

/// The turns of copies, by shape; `None` for an unknown shape.
fn turns_of(problem: &Problem, items: &[Item]) -> Option<Vec<Vec<f64>>> {
    let mut turns = vec![Vec::new(); problem.shapes.len()];
    for item in items {
        let of: &mut Vec<f64> = turns.get_mut(item.shape)?;
        if !of.contains(&item.at.turn_rad) {
            of.push(item.at.turn_rad);
        }
    }
    Some(turns)
}

/// What does not change from one way of parting to the next.
struct Question<'a> {
    limit: Bounds,
    come: usize,
    seed: u64,
    cache: &'a Arc<ZoneCache>,
    watch: &'a dyn Watch<Layout>,
}

impl Question<'_> {
    /// Each copy moved for itself.
    fn parted(&self, one: &Problem, movable: &[Item]) -> Option<Vec<Item>> {
        let all = self.laid_out(one, movable)?;
        let turns = turns_of(&all, movable)?;
        // By their hulls first, but for those that lie in one another's already: zones of hulls take no time. What lies in
        // a hollow keeps to it all the same.
        [true, false].into_iter().find_map(|by_hulls| {
            let (table, start) = lying(&all, &turns, movable.len(), by_hulls, self.cache, self.watch)?;
            let sweeps = SWEEPS.min(FIRST_SWEEPS + SWEEPS_A_COPY * movable.len());
            let mut found: Vec<(f64, Vec<Item>)> = Vec::new();
            // Pushing on keeps the order in which copies lie: past others only where that disturbs clearly less.
            for (passes_by, dearer) in [(false, 1.0), (true, PASSING)] {
                let heap = Heap::new(&table, 0, start.clone(), self.limit).staying_near(self.come);
                let mut heap = if passes_by { heap.passing_by() } else { heap };
                // Where they cannot be pushed on, more of them may be: going past others so soon takes longer ways.
                if !heap.nudge(sweeps, &mut Rng::new(self.seed), self.watch) {
                    break;
                }
                let spots = drawn_back(&heap, heap.spots().to_vec(), &start, self.watch);
                let out: Vec<Item> = spots.into_iter().map(|(v, at)| plan::item(&table, v, at)).collect();
                found.push((dearer * disturbance(movable, &out), out));
                if self.watch.cancelled() {
                    break;
                }
            }
            found.into_iter().min_by(|a, b| a.0.total_cmp(&b.0)).map(|f| f.1)
        })
    }

    /// The copies of each group moved as one.
    fn parted_together(&self, one: &Problem, movable: &[Item], groups: &[Vec<usize>]) -> Option<Vec<Item>> {
        let mut all = one.clone();
        let mut as_one = Vec::new();
        for group in groups {
            let members: Vec<Item> = group.iter().map(|&k| movable[k]).collect();
            if let [single] = members[..] {
                as_one.push(single);
            } else {
                all.shapes.push(joined(one, &members)?);
                as_one.push(Item { shape: all.shapes.len() - 1, at: Placement::default() });
            }
        }
        let moved = self.parted(&all, &as_one)?;
        let mut out = movable.to_vec();
        for ((group, from), to) in groups.iter().zip(&as_one).zip(&moved) {
            let by = to.at.origin() - from.at.origin();
            for &k in group {
                out[k].at = Placement { x: out[k].at.x + by.x, y: out[k].at.y + by.y, ..out[k].at };
            }
        }
        // Each for itself as far back as the others let it, where they stay in one another's hollows.
        let back = self.drawn_back_alone(one, movable, &out);
        Some(back.filter(|back| interlocked(one, back) == groups).unwrap_or(out))
    }

    fn drawn_back_alone(&self, one: &Problem, movable: &[Item], out: &[Item]) -> Option<Vec<Item>> {
        let all = self.laid_out(one, movable)?;
        let (table, start) = lying(&all, &turns_of(&all, movable)?, movable.len(), true, self.cache, self.watch)?;
        let heap = Heap::new(&table, 0, start.clone(), self.limit).staying_near(self.come);
        let spots = start.iter().zip(out).map(|(&(v, _), to)| (v, to.at.origin())).collect();
        let back = drawn_back(&heap, spots, &start, self.watch);
        Some(back.into_iter().map(|(v, at)| plan::item(&table, v, at)).collect())
    }

    /// The bed with the copies that may move as its last fixed ones.
    fn laid_out(&self, one: &Problem, movable: &[Item]) -> Option<Problem> {
        let mut all = one.clone();
        let bed = all.beds.first_mut()?;
        bed.fixed.extend_from_slice(movable);
        // What lies outside the limit matters to none of them.
        bed.keep_outs.retain(|k| k.bounds().overlaps(self.limit));
        if boolean::difference(&Region::rectangle(self.limit), &bed.room).is_empty() {
            bed.room = Region::rectangle(self.limit);
        }
        Some(all)
    }
}

/// Copies as they lie, as one shape.
fn joined(problem: &Problem, members: &[Item]) -> Option<Shape> {
    let like = problem.shapes.get(members.first()?.shape)?;
    let of = |outline: fn(&Shape) -> &Outline| {
        let placed = members.iter().filter_map(|i| Some(outline(problem.shapes.get(i.shape)?).region().placed(i.at)));
        Outline::new(boolean::union(&placed.collect::<Vec<_>>()))
    };
    Some(Shape { shadow: of(|s| &s.shadow), contact: of(|s| &s.contact), footing: of(|s| &s.footing), ..like.clone() })
}

/// Copies by groups: those whose hulls meet where they lie are of one group, for one of them lies in a hollow of another.
fn interlocked(problem: &Problem, movable: &[Item]) -> Vec<Vec<usize>> {
    let hull = |i: &Item| -> Vec<Point> {
        let outline = problem.shapes.get(i.shape).map(|s| s.shadow.hull()).unwrap_or_default();
        outline.iter().map(|&p| i.at.apply(p)).collect()
    };
    let hulls: Vec<(Vec<Point>, Bounds)> =
        movable.iter().map(hull).map(|h| (h.clone(), Bounds::of(h.iter().copied()))).collect();
    let mut group: Vec<usize> = (0..movable.len()).collect();
    for (j, one) in hulls.iter().enumerate() {
        for (i, other) in hulls[..j].iter().enumerate() {
            if one.1.overlaps(other.1) && !apart(&one.0, &other.0) && !apart(&other.0, &one.0) {
                let (from, to) = (group[j].max(group[i]), group[j].min(group[i]));
                group.iter_mut().filter(|g| **g == from).for_each(|g| *g = to);
            }
        }
    }
    let mut groups: BTreeMap<usize, Vec<usize>> = BTreeMap::new();
    for (k, g) in group.into_iter().enumerate() {
        groups.entry(g).or_default().push(k);
    }
    groups.into_values().collect()
}

/// Does an edge of the first convex outline part the two, but for a sliver?
fn apart(one: &[Point], other: &[Point]) -> bool {
    let edges = one.iter().zip(one.iter().cycle().skip(1));
    edges.into_iter().any(|(&a, &b)| {
        let inward = (b - a).perpendicular().normalized();
        other.iter().all(|&p| inward.dot(p - a) <= HOLLOW_MM)
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
fn drawn_back(
    heap: &Heap<'_>,
    mut spots: Vec<(usize, Point)>,
    start: &[(usize, Point)],
    watch: &dyn Watch<Layout>,
) -> Vec<(usize, Point)> {
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
        geom::Polygon,
        packing::{Aim, Bed, Twin, verify},
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

    /// A ring with walls of 2 mm and a block in it, under a block laid 14 mm into it. By itself the block inside is deepest
    /// in the far wall, and its shortest way leads out through it: as one they go 14 mm.
    #[test]
    fn what_lies_in_a_ring_goes_along() {
        let mut p = problem(200.0, vec![at(60.0, 90.0)], 1);
        let mut ring = Polygon::rectangle(Bounds::new(Point::default(), Point::new(28.0, 28.0)));
        let mut hole = Polygon::rectangle(Bounds::new(Point::new(2.0, 2.0), Point::new(26.0, 26.0))).outer;
        hole.reverse();
        ring.holes.push(hole);
        let ring = Outline::new(Region::from(ring));
        p.shapes.push(Shape { shadow: ring.clone(), contact: ring.clone(), footing: ring, ..block(20.0) });
        let small = Outline::new(square(18.0));
        p.shapes.push(Shape { shadow: small.clone(), contact: small.clone(), footing: small, ..block(20.0) });
        p.aim = Aim::Pack { counts: vec![0, 1, 1] };
        let movable =
            [Item { shape: 1, at: Placement::at(68.0, 86.0) }, Item { shape: 2, at: Placement::at(73.0, 91.0) }];
        let out =
            make_room(&p, &movable, p.beds[0].room.bounds(), 1, 1, &Arc::default(), &Quiet).expect("there is room");
        assert_eq!(verify(&p, &Layout { beds: vec![out.clone()], unplaced: vec![0; 3] }), Ok(()));
        let inside = out[1].at.origin() - out[0].at.origin();
        assert!((4.0..6.01).contains(&inside.x) && (4.0..6.01).contains(&inside.y), "still in the ring: {out:?}");
        assert!((out[0].at.x - 82.0).abs() < 0.02 && (out[0].at.y - 86.0).abs() < 0.02, "14 mm to the right: {out:?}");
    }

    /// Two halves of 100 mm: a block pushed towards the middle would meet the twin of what was laid, and one in the way of
    /// the laid one's twin moves though nothing was laid on it.
    #[test]
    fn twins_are_given_room_too() {
        let mut p = problem(200.0, vec![at(30.0, 90.0)], 2);
        p.beds[0].twin = Some(Twin::Shifted { by_mm: 100.0, strip_mm: 0.0 });
        let movable = [at(40.0, 91.0), at(20.0, 20.0)];
        let out = parted(&p, &movable).expect("there is room");
        assert_eq!(out[1], movable[1]);
        assert!((out[0].at.x - 52.0).abs() < 0.02 && (out[0].at.y - 91.0).abs() < 0.02, "{out:?}");
        // Nearer to the middle than that its twin is in the way: down or up instead.
        p.beds[0].fixed = vec![at(52.0, 90.0)];
        let out = parted(&p, &[at(64.0, 92.0), at(20.0, 20.0)]).expect("there is room");
        assert!((out[0].at.x - 74.0).abs() < 0.02, "22 mm on is 2 mm off the middle: {out:?}");
        p.beds[0].fixed = vec![at(57.0, 90.0)];
        let out = parted(&p, &[at(69.0, 92.0), at(20.0, 20.0)]).expect("there is room");
        assert!(out[0].at.y > 111.9 || out[0].at.y < 68.1, "past it there are 3 mm too few: {out:?}");
    }

    #[test]
    fn no_room_no_answer() {
        let p = problem(40.0, vec![at(10.0, 10.0)], 1);
        assert_eq!(make_room(&p, &[at(12.0, 12.0)], p.beds[0].room.bounds(), 1, 1, &Arc::default(), &Quiet), None);
    }
}
