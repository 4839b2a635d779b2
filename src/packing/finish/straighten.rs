//! Rows that are nearly straight, straightened.

use crate::packing::{
    Item, Problem,
    judge::{
        ground::Ground,
        quick_check::{clear, lies_on},
    },
    mixed::plan::IN_LINE_MM,
};
use crate::{geom::Bounds, watch::Watch};

/// Edges nearer than this to one another are meant to be in line, mm; and than a tenth of the copy.
const NEARLY_MM: f64 = 2.0;
/// Edges this near count as straightened, mm.
const STRAIGHT_MM: f64 = 1e-9;

/// Free copies of a bed, moved a little so that front edges and left edges come in line, where nothing is in the way. The
/// box round all of them grows no larger.
pub(in crate::packing) fn rows(
    problem: &Problem,
    bed: usize,
    items: &mut [Item],
    watch: &dyn Watch<crate::packing::Layout>,
) {
    let mut boxes: Vec<Bounds> = items.iter().map(|&i| area(problem, i)).collect();
    let fixed: Vec<(Item, Bounds)> = problem.beds[bed]
        .fixed
        .iter()
        .filter(|i| i.shape < problem.shapes.len() && i.at.origin().is_finite())
        .map(|&i| (i, area(problem, i)))
        .collect();
    let all = boxes.iter().fold(Bounds::EMPTY, |a, b| a.union(*b)).grown(STRAIGHT_MM);
    let reach = problem.gap_mm.max(problem.footing_gap_mm).max(0.0) + 1e-6;
    let ground = Ground::new(&problem.beds[bed]);
    for upright in [true, false] {
        let edge = |b: &Bounds| if upright { b.min.y } else { b.min.x };
        for group in groups(&boxes, edge) {
            for target in [most_common(&group, &boxes, edge), edge(&boxes[group[0]])] {
                if group.iter().all(|&n| (edge(&boxes[n]) - edge(&boxes[group[0]])).abs() <= STRAIGHT_MM) {
                    break;
                }
                for &n in &group {
                    let by = target - edge(&boxes[n]);
                    if by.abs() <= STRAIGHT_MM || by.abs() > 0.1 * boxes[n].width().min(boxes[n].height()) {
                        continue;
                    }
                    if watch.cancelled() {
                        return;
                    }
                    let mut to = items[n];
                    if upright {
                        to.at.y += by;
                    } else {
                        to.at.x += by;
                    }
                    let there = area(problem, to);
                    let near = there.grown(reach);
                    let sound = all.contains(there.min)
                        && all.contains(there.max)
                        && lies_on(&ground, problem, bed, to)
                        && (0..items.len())
                            .filter(|&m| m != n && near.overlaps(boxes[m]))
                            .all(|m| clear(problem, to, items[m]))
                        && fixed.iter().filter(|(_, b)| near.overlaps(*b)).all(|(f, _)| clear(problem, to, *f));
                    if sound {
                        items[n] = to;
                        boxes[n] = there;
                    }
                }
            }
        }
    }
}

fn area(problem: &Problem, item: Item) -> Bounds {
    let s = &problem.shapes[item.shape];
    s.shadow.bounds_at(item.at).union(s.footing.bounds_at(item.at))
}

/// Copies whose edges lie within [`NEARLY_MM`] of the first of them, by their edges; only groups that are not in line yet.
fn groups(boxes: &[Bounds], edge: impl Fn(&Bounds) -> f64) -> Vec<Vec<usize>> {
    let mut order: Vec<usize> = (0..boxes.len()).collect();
    order.sort_by(|&a, &b| edge(&boxes[a]).total_cmp(&edge(&boxes[b])).then(a.cmp(&b)));
    let mut out: Vec<Vec<usize>> = Vec::new();
    for n in order {
        match out.last_mut() {
            Some(group) if edge(&boxes[n]) - edge(&boxes[group[0]]) <= NEARLY_MM => group.push(n),
            _ => out.push(vec![n]),
        }
    }
    out.retain(|g| g.iter().any(|&n| (edge(&boxes[n]) - edge(&boxes[g[0]])).abs() > STRAIGHT_MM));
    out
}

/// The edge that most of the group share; the first where none is shared.
fn most_common(group: &[usize], boxes: &[Bounds], edge: impl Fn(&Bounds) -> f64) -> f64 {
    let mut best = (0, edge(&boxes[group[0]]));
    let mut from = 0;
    for k in 0..group.len() {
        while edge(&boxes[group[k]]) - edge(&boxes[group[from]]) > IN_LINE_MM {
            from += 1;
        }
        if k - from > best.0 {
            best = (k - from, edge(&boxes[group[from]]));
        }
    }
    best.1
}

#[cfg(test)]
mod tests {
    use std::f64::consts::TAU;

    use super::*;
    use crate::{
        geom::{Outline, Placement, Point, Region},
        packing::{Aim, Bed, Layout, Shape, verify},
        watch::Quiet,
    };

    fn straightened(gap_mm: f64, places: &[[f64; 2]]) -> Vec<[f64; 2]> {
        let square = |w: f64| Region::rectangle(Bounds::new(Point::default(), Point::new(w, w)));
        let o = Outline::new(square(20.0));
        let shape = Shape {
            shadow: o.clone(),
            contact: o.clone(),
            footing: o,
            turn_step_rad: Some(TAU),
            class: 0,
            height_mm: 1.0,
        };
        let bed =
            Bed { room: square(200.0), keep_outs: vec![], fixed: vec![], class: None, height_mm: 9.0, twin: None };
        let problem = Problem {
            shapes: vec![shape],
            beds: vec![bed],
            gap_mm,
            footing_gap_mm: 0.0,
            footings_may_merge: false,
            aim: Aim::Pack { counts: vec![places.len()] },
        };
        let mut items: Vec<Item> = places.iter().map(|p| Item { shape: 0, at: Placement::at(p[0], p[1]) }).collect();
        rows(&problem, 0, &mut items, &Quiet);
        assert_eq!(verify(&problem, &Layout { beds: vec![items.clone()], unplaced: vec![0] }), Ok(()));
        items.iter().map(|i| [i.at.x, i.at.y]).collect()
    }

    #[test]
    fn a_crooked_row_is_straightened_to_where_most_lie() {
        let told = straightened(1.0, &[[0.0, 0.0], [22.0, 1.2], [44.0, 1.2], [66.0, 0.7]]);
        assert_eq!(told, [[0.0, 1.2], [22.0, 1.2], [44.0, 1.2], [66.0, 1.2]].map(|[x, y]: [f64; 2]| [x, y]));
    }

    /// The upper left one may not come down: the one under it is in the way. Its neighbour comes up to it instead, the lower
    /// ones stay in line.
    #[test]
    fn what_is_in_the_way_is_left_where_it_is() {
        let told = straightened(1.0, &[[0.0, 0.0], [30.0, 0.0], [0.0, 21.0], [30.0, 21.9]]);
        assert_eq!(told, [[0.0, 0.0], [30.0, 0.0], [0.0, 21.0], [30.0, 21.0]]);
    }

    #[test]
    fn far_apart_is_not_meant_to_be_in_line() {
        let crooked = [[0.0, 0.0], [22.0, 3.0]];
        assert_eq!(straightened(1.0, &crooked), crooked);
    }
}
