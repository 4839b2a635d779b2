//! Small moves that clear conflicts.

use std::{collections::BTreeSet, f64::consts::TAU};

use super::{
    Checker, Conflict, ConflictKind,
    part_aside::{item, numbers, part_aside, problem},
};
use crate::{
    document::CopyId,
    geom::{Placement, Point},
    packing::{A_COPY_MM, Item, Layout, PASSING, nearest_place},
    watch::{Quiet, Watch},
};

/// Directions tried where there is no time for the nearest place, evenly round the circle.
const DIRECTIONS: usize = 24;
/// The farthest move tried then, mm.
const FARTHEST_MM: f64 = 60.0;
/// Rather than push others, a copy goes no farther than so many of its sizes.
const FAR_SIZES: f64 = 3.0;
/// How exactly copies are drawn back to where they lay, mm.
const EXACT_MM: f64 = 0.001;

/// Where the copy could go, without turning, so that it is in no conflict any more: the nearest such place. `None` where
/// there is none on the bed, or where it is in no conflict.
pub fn move_apart(checker: &Checker, copy: CopyId) -> Option<Placement> {
    let start = checker.placement(copy)?;
    if checker.conflicts_of(&[(copy, start)]).is_empty() {
        return None;
    }
    nearest_free(checker, &[], &[(copy, start)], &Quiet, &Quiet).map(|to| to[0].1)
}

/// Copies moved together, without turning, to the nearest place on the bed where none of them is in a conflict that a
/// move can cure; where they are, if that is such a place. Exact but for outlines of very many corners, which are taken a
/// hair too large. `elsewhere`: what else has moved. `None` where there is no such place, or when `watch` says so.
///
/// `searching`: when to give up on the nearest place; then, as where a skirt takes room, the first place found in one of 24
/// directions is taken, within 60 mm.
pub fn nearest_free(
    checker: &Checker,
    elsewhere: &[(CopyId, Placement)],
    together: &[(CopyId, Placement)],
    searching: &dyn Watch<Layout>,
    watch: &dyn Watch<Layout>,
) -> Option<Vec<(CopyId, Placement)>> {
    let of_these = |c: &Conflict| together.iter().any(|(id, _)| c.involves(*id));
    nearest(checker, elsewhere, together, true, |c| of_these(c) && curable(c), [searching, watch])
}

/// The shortest move of copies off everything that stays; with `off_others`, off other copies too.
fn shortest(
    checker: &Checker,
    elsewhere: &[(CopyId, Placement)],
    together: &[(CopyId, Placement)],
    off_others: bool,
    watch: &dyn Watch<Layout>,
) -> Option<Point> {
    let number = numbers(checker);
    let moves = |id: CopyId| together.iter().any(|(other, _)| *other == id);
    let place = |id: CopyId| {
        let moved = elsewhere.iter().find(|(other, _)| *other == id);
        Some((id, moved.map_or_else(|| checker.placement(id), |m| Some(m.1))?))
    };
    let others = checker.copies().filter(|&id| off_others && !moves(id)).filter_map(place);
    let fixed = others.filter_map(|(id, at)| item(checker, &number, id, at)).collect();
    let items: Vec<Item> = together.iter().filter_map(|&(id, at)| item(checker, &number, id, at)).collect();
    nearest_place(&problem(checker, fixed)?, &items, checker.zones(), watch)
}

/// As [`nearest_free`]; `matters`: what there must be none of.
fn nearest(
    checker: &Checker,
    elsewhere: &[(CopyId, Placement)],
    together: &[(CopyId, Placement)],
    off_others: bool,
    matters: impl Fn(&Conflict) -> bool,
    [searching, watch]: [&dyn Watch<Layout>; 2],
) -> Option<Vec<(CopyId, Placement)>> {
    let moved = |by: Point| -> Vec<(CopyId, Placement)> {
        together.iter().map(|&(id, at)| (id, Placement { x: at.x + by.x, y: at.y + by.y, ..at })).collect()
    };
    let free = |by: Point| {
        let all: Vec<_> = moved(by).into_iter().chain(elsewhere.iter().copied()).collect();
        !checker.conflicts_of(&all).iter().any(&matters)
    };
    if free(Point::default()) {
        return Some(together.to_vec());
    }
    if let Some(by) = shortest(checker, elsewhere, together, off_others, searching).filter(|&by| free(by)) {
        // Search outlines of many corners are a hair too large: back as far as the true ones allow.
        let (mut bad, mut good) = (0.0, 1.0);
        while (good - bad) * by.length() > EXACT_MM {
            let middle = f64::midpoint(bad, good);
            if free(by * middle) { good = middle } else { bad = middle }
        }
        return Some(moved(by * good));
    }
    let directions: Vec<Point> =
        (0..DIRECTIONS).map(|i| Point::new(1.0, 0.0).turned(TAU * i as f64 / DIRECTIONS as f64)).collect();
    let mut far = 0.25;
    let mut short = 0.0;
    while far <= FARTHEST_MM {
        // Back towards the start as long as it stays free; of several ways the shortest.
        let back = |&d: &Point| {
            let (mut bad, mut good) = (short, far);
            while good - bad > 0.01 {
                let middle = f64::midpoint(bad, good);
                if free(d * middle) { good = middle } else { bad = middle }
            }
            (good, d)
        };
        if watch.cancelled() {
            return None;
        }
        let ways = directions.iter().filter(|&&d| !watch.cancelled() && free(d * far)).map(back);
        if let Some((good, d)) = ways.min_by(|a, b| a.0.total_cmp(&b.0)) {
            return Some(moved(d * good));
        }
        short = far;
        far *= 1.25;
    }
    None
}

/// Copies that make room for what was laid on them, and `laid` itself where it is, or, where it lies over the bed's edge
/// or a keep-out, at the nearest place where it does not: those round it are parted by small moves, all together; where
/// that does not clear it, each goes to its nearest free place. `may_move` says which; `parting` when to give up parting,
/// `watch` when to give up altogether. `None` where one of them finds no room, or may not move.
pub fn push_aside(
    checker: &Checker,
    laid: &[(CopyId, Placement)],
    may_move: impl Fn(CopyId) -> bool,
    parting: &dyn Watch<Layout>,
    watch: &dyn Watch<Layout>,
) -> Option<Vec<(CopyId, Placement)>> {
    let on = |id: &CopyId| laid.iter().any(|(other, _)| other == id);
    let laid = &nearest(checker, &[], laid, false, |c| curable(c) && c.copies.iter().all(on), [parting, watch])?;
    let mut conflicts: Vec<Conflict> = checker.conflicts_of(laid).into_iter().filter(curable).collect();
    if conflicts.is_empty() {
        return Some(laid.clone());
    }
    if conflicts.iter().flat_map(|c| &c.copies).any(|id| !on(id) && !may_move(*id)) {
        return None;
    }
    let cleared = |all: &[(CopyId, Placement)]| !checker.conflicts_of(all).iter().any(curable);
    let parted = part_aside(checker, laid, &may_move, parting).map(|moved| [&laid[..], &moved].concat());
    let parted = parted.filter(|all| cleared(all));
    // The one deepest in first: it has the least choice.
    conflicts.sort_by(|a, b| b.amount_mm.total_cmp(&a.amount_mm));
    let one_by_one = |watch: &dyn Watch<Layout>| {
        let mut all = laid.clone();
        for id in conflicts.iter().flat_map(|c| &c.copies) {
            if !all.iter().any(|(other, _)| other == id) {
                let at = checker.placement(*id)?;
                all.extend(nearest_free(checker, &all, &[(*id, at)], watch, watch)?);
            }
        }
        cleared(&all).then_some(all)
    };
    let Some(parted) = parted else { return one_by_one(watch) };
    // Where copies had to push others on, each one's nearest free place may disturb less.
    let hit = conflicts.iter().flat_map(|c| &c.copies).filter(|id| !on(id)).collect::<BTreeSet<_>>().len();
    let other = if parted.len() > laid.len() + hit { one_by_one(parting) } else { None };
    // A copy that goes far is hard to follow: none farther than it would past its neighbours.
    let near = |(id, to): &(CopyId, Placement)| {
        let from = checker.placement(*id).unwrap_or_default();
        let size = checker.bounds(*id).map_or(0.0, |b| b.width().max(b.height()));
        from.origin().distance(to.origin()) <= FAR_SIZES * size
    };
    let other = other.filter(|all| all[laid.len()..].iter().all(near));
    let worth = |all: &[(CopyId, Placement)]| -> f64 {
        let from = |id| checker.placement(id).unwrap_or_default();
        all[laid.len()..].iter().map(|(id, to)| A_COPY_MM + from(*id).origin().distance(to.origin())).sum()
    };
    Some(other.filter(|other| PASSING * worth(other) < worth(&parted)).unwrap_or(parted))
}

/// Can a move clear it?
pub(super) fn curable(conflict: &Conflict) -> bool {
    use ConflictKind::{HalfTooSmall, MixedRecipe, TooLarge, TooTall};
    !matches!(conflict.kind, TooTall | TooLarge | HalfTooSmall | MixedRecipe)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::plate::{Prepared, samples::Bench};

    fn checker(b: &Bench) -> Checker {
        Checker::new(&b.job, &b.job.plates[0], &b.shapes, &Prepared::new())
    }

    #[test]
    fn the_shortest_way_out_is_found_and_clears_everything() {
        let mut b = Bench::new();
        let e = b.block(20.0, 20.0);
        let (_, near) = (b.put(e, 50.0, 50.0), b.put(e, 68.0, 50.0));
        let checker = checker(&b);
        let at = move_apart(&checker, near).expect("there is room to the right");
        assert!(at.x >= 73.0 - 1e-6 && at.x < 73.02 && (at.y - 50.0).abs() < 1e-9, "{at:?}");
        assert!(checker.conflicts_of(&[(near, at)]).is_empty());
    }

    #[test]
    fn back_onto_the_bed_and_nothing_to_do() {
        let mut b = Bench::new();
        let e = b.block(20.0, 20.0);
        let (off, fine) = (b.put(e, 236.0, 100.0), b.put(e, 100.0, 100.0));
        let checker = checker(&b);
        let at = move_apart(&checker, off).expect("the bed is to the left");
        assert!(at.x <= 230.0 + 1e-6 && at.x > 229.97);
        assert_eq!(move_apart(&checker, fine), None);
    }

    #[test]
    fn what_is_laid_on_others_stays_and_they_make_room() {
        let mut b = Bench::new();
        let e = b.block(20.0, 20.0);
        let (left, right) = (b.put(e, 90.0, 100.0), b.put(e, 120.0, 100.0));
        let laid = b.put(e, 200.0, 100.0);
        let checker = checker(&b);
        let on_both = [(laid, Placement::at(105.0, 100.0))];
        let all = push_aside(&checker, &on_both, |_| true, &Quiet, &Quiet).expect("there is room all round");
        assert_eq!(all[0], on_both[0]);
        assert!([left, right].iter().all(|id| all.iter().any(|(other, _)| other == id)));
        assert!(checker.conflicts_of(&all).is_empty());
        // The gap is 3: each goes 8 mm, to 23 mm from the middle of what was laid.
        for (_, at) in &all[1..] {
            assert!(((at.x - 105.0).abs() - 23.0).abs() < 0.02 && (at.y - 100.0).abs() < 1e-9, "{at:?}");
        }
        assert_eq!(push_aside(&checker, &on_both, |id| id != left, &Quiet, &Quiet), None, "it may not move");
    }

    /// Half over the edge, with another one where it comes to lie: the nearest place on the bed first, then room there.
    #[test]
    fn what_is_laid_over_the_edge_comes_back_and_others_make_room() {
        let mut b = Bench::new();
        let e = b.block(20.0, 20.0);
        let near = b.put(e, 220.0, 100.0);
        let laid = b.put(e, 20.0, 20.0);
        let checker = checker(&b);
        let over = [(laid, Placement::at(238.0, 100.0))];
        let all = push_aside(&checker, &over, |_| true, &Quiet, &Quiet).expect("there is room to the left");
        assert!(checker.conflicts_of(&all).is_empty());
        assert!((all[0].1.x - 230.0).abs() < 0.02 && (all[0].1.y - 100.0).abs() < 1e-9, "{all:?}");
        let to = all.iter().find(|(id, _)| *id == near).expect("it lay in the way").1;
        assert!((to.x - 207.0).abs() < 0.04 && (to.y - 100.0).abs() < 1e-9, "{all:?}");
    }

    /// Two that overlap, one of them locked, and a third that hangs over the edge: none of them is the drop's business.
    #[test]
    fn conflicts_elsewhere_are_left_alone() {
        let mut b = Bench::new();
        let e = b.block(20.0, 20.0);
        let (stuck, other, over) = (b.put(e, 40.0, 100.0), b.put(e, 45.0, 100.0), b.put(e, 236.0, 160.0));
        let hit = b.put(e, 90.0, 100.0);
        let laid = b.put(e, 200.0, 20.0);
        let checker = checker(&b);
        let laid = [(laid, Placement::at(92.0, 100.0))];
        let all = push_aside(&checker, &laid, |id| id != stuck, &Quiet, &Quiet).expect("there is room");
        let moved: Vec<CopyId> = all.iter().map(|(id, _)| *id).collect();
        assert!(moved.contains(&hit) && ![stuck, other, over].iter().any(|id| moved.contains(id)), "{all:?}");
    }

    /// A row of nine and no room in it but at its far end: one after another they go on by a block and the gap, though
    /// each one's nearest free place is taken. Worked by hand: 10 × 20 + 9 × 3 = 227 of 240.
    #[test]
    fn a_full_row_moves_up_together() {
        let mut b = Bench::new();
        let (e, wall) = (b.block(20.0, 20.0), b.block(240.0, 80.0));
        let row: Vec<CopyId> = (0..9).map(|k| b.put(e, 10.0 + 23.0 * f64::from(k), 100.0)).collect();
        let walls = [b.put(wall, 120.0, 100.0 - 53.0), b.put(wall, 120.0, 100.0 + 53.0)];
        let laid = b.put(e, 10.0, 100.0);
        let checker = checker(&b);
        let laid = [(laid, Placement::at(10.0, 100.0))];
        let all = push_aside(&checker, &laid, |id| !walls.contains(&id), &Quiet, &Quiet).expect("13 mm are left");
        assert!(checker.conflicts_of(&all).is_empty());
        for (k, id) in row.iter().enumerate() {
            let at = all.iter().find(|(other, _)| other == id).expect("each has moved").1;
            assert!((at.x - 33.0 - 23.0 * k as f64).abs() < 0.05, "{k}: {at:?}");
        }
    }

    /// A loose plate of 8 × 7 blocks, 5 mm of room beside each; one is lifted and let go between four others. The sum of
    /// moves is compared with what no way of parting can beat: each block that is hit must get off what was laid.
    #[test]
    fn few_copies_move_and_not_far() {
        let mut b = Bench::new();
        let e = b.block(20.0, 20.0);
        let ids: Vec<CopyId> =
            (0..56).map(|k| b.put(e, 12.0 + 29.0 * f64::from(k % 8), 12.0 + 28.0 * f64::from(k / 8))).collect();
        let checker = checker(&b);
        assert!(checker.conflicts().is_empty());
        let (mut moved, mut sum_mm, mut least_mm) = (0, 0.0, 0.0);
        for (dx, dy) in [(14.0, 14.0), (3.0, 9.0), (14.0, 0.0), (0.0, 0.0), (25.0, 7.0)] {
            let at = checker.placement(ids[27]).expect("it lies there");
            let laid = [(ids[0], Placement { x: at.x + dx, y: at.y + dy, ..at })];
            least_mm += checker.conflicts_of(&laid).iter().map(|c| c.amount_mm).sum::<f64>();
            let all = push_aside(&checker, &laid, |_| true, &Quiet, &Quiet).expect("there is room");
            assert!(checker.conflicts_of(&all).is_empty());
            moved += all.len() - 1;
            let way = |(id, at): &(CopyId, Placement)| {
                checker.placement(*id).map_or(0.0, |p| p.origin().distance(at.origin()))
            };
            sum_mm += all[1..].iter().map(way).sum::<f64>();
        }
        let said = format!("{moved} copies moved by {sum_mm:.1} mm in five drops; no fewer than {least_mm:.1} mm");
        assert!(moved <= 40 && sum_mm <= 6.0 * least_mm, "{said}");
    }

    /// A full plate of 8 × 7 blocks; one is lifted and let go on others, far from where it lay: it goes back there, the only
    /// free place, though that is in no direction in particular.
    #[test]
    fn a_copy_finds_the_place_it_just_left() {
        let mut b = Bench::new();
        let e = b.block(25.0, 25.0);
        let ids: Vec<CopyId> =
            (0..56).map(|k| b.put(e, 14.0 + 30.0 * f64::from(k % 8), 13.0 + 29.0 * f64::from(k / 8))).collect();
        let checker = checker(&b);
        assert!(checker.conflicts().is_empty());
        let (lifted, home) = (ids[21], checker.placement(ids[21]).expect("it lies there"));
        let laid = [(lifted, Placement { x: home.x - 71.0, y: home.y + 44.0, ..home })];
        let to = nearest_free(&checker, &[], &laid, &Quiet, &Quiet).expect("there is one place");
        // It may lie anywhere in its gap of 30 × 29 mm: at its corner nearest to where it was let go.
        assert!((to[0].1.x - (home.x - 2.0)).abs() < 0.01 && (to[0].1.y - (home.y + 1.0)).abs() < 0.01, "{to:?}");
    }

    #[test]
    fn several_snap_together_to_the_nearest_free_place() {
        let mut b = Bench::new();
        let e = b.block(20.0, 20.0);
        b.put(e, 100.0, 100.0);
        let pair = [b.put(e, 150.0, 50.0), b.put(e, 150.0, 80.0)];
        let checker = checker(&b);
        let laid = [(pair[0], Placement::at(118.0, 70.0)), (pair[1], Placement::at(118.0, 100.0))];
        let to = nearest_free(&checker, &[], &laid, &Quiet, &Quiet).expect("to the right");
        assert!((to[1].1.x - 123.0).abs() < 0.02, "{to:?}");
        assert!((to[1].1.y - to[0].1.y - 30.0).abs() < 1e-9 && to[0].1.x == to[1].1.x, "they keep their distance");
        assert!(checker.conflicts_of(&to).is_empty());
        assert_eq!(nearest_free(&checker, &[], &to, &Quiet, &Quiet), Some(to));
    }
}
