//! The quick exact check before a layout is shown: distances of all near pairs of true outlines.

use super::{Item, Layout, Problem};
use crate::geom::{BoxTree, Outline, boolean};

/// Are all pairs with a free copy as far apart as they must be, to 1e-9 mm? Room and keep-outs are not looked at.
pub(super) fn is_sound(problem: &Problem, layout: &Layout) -> bool {
    layout.beds.iter().zip(&problem.beds).all(|(free, bed)| {
        let items: Vec<Item> =
            free.iter().chain(bed.fixed.iter().filter(|i| i.shape < problem.shapes.len())).copied().collect();
        let reach = 0.5 * problem.gap_mm.max(problem.footing_gap_mm).max(0.0);
        let boxes: Vec<_> = items
            .iter()
            .map(|i| {
                let s = &problem.shapes[i.shape];
                s.shadow.bounds_at(i.at).union(s.footing.bounds_at(i.at)).grown(reach + 1e-6)
            })
            .collect();
        let tree = BoxTree::new(&boxes);
        (0..free.len())
            .all(|i| tree.touching(boxes[i]).into_iter().filter(|&j| j > i).all(|j| clear(problem, items[i], items[j])))
    })
}

/// Do two copies keep their clearances, to 1e-9 mm?
pub(super) fn clear(problem: &Problem, a: Item, b: Item) -> bool {
    let (s, t) = (&problem.shapes[a.shape], &problem.shapes[b.shape]);
    let apart = |x: &Outline, y: &Outline, gap: f64| {
        if gap > 0.0 { x.clear_of(a.at, y, b.at, gap) } else { !overlap(x, a, y, b) }
    };
    if !apart(&s.shadow, &t.shadow, problem.gap_mm) {
        return false;
    }
    if problem.footings_may_merge {
        apart(&s.footing, &t.contact, 0.0) && apart(&s.contact, &t.footing, 0.0)
    } else {
        apart(&s.footing, &t.footing, problem.footing_gap_mm)
    }
}

/// Do the insides meet, deeper than touching?
fn overlap(x: &Outline, a: Item, y: &Outline, b: Item) -> bool {
    if x.distance(a.at, y, b.at) > 1e-9 {
        return false;
    }
    let both = boolean::intersection(&x.region().placed(a.at), &y.region().placed(b.at));
    // Slivers from rounding: thinner than 1e-9 mm on the whole.
    both.polygons.iter().any(|p| {
        p.area() > 1e-9 * p.outer.iter().zip(p.outer.iter().cycle().skip(1)).map(|(a, b)| a.distance(*b)).sum::<f64>()
    })
}
