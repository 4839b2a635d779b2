//! The quick exact check before a layout is shown: true outlines of all near pairs, room and keep-outs.

use crate::geom::{BoxTree, Outline, Polygon, Region, boolean};
use crate::packing::{Item, Layout, Problem};

/// Free copies (bed, index) that breach the room, a keep-out or a clearance by more than about 1e-9 mm: the later one of
/// a pair.
pub(in crate::packing) fn breaching(problem: &Problem, layout: &Layout) -> Vec<(usize, usize)> {
    let mut bad = Vec::new();
    for (n, (free, bed)) in layout.beds.iter().zip(&problem.beds).enumerate() {
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
        for i in 0..free.len() {
            let near = tree.touching(boxes[i]);
            let clear_of_others = near
                .into_iter()
                .filter(|&j| j < i && !bad.contains(&(n, j)) || j >= free.len())
                .all(|j| clear(problem, items[i], items[j]));
            if !clear_of_others || !inside_bed(problem, n, items[i]) {
                bad.push((n, i));
            }
        }
    }
    bad
}

/// Inside the room and off the keep-outs?
pub(in crate::packing) fn inside_bed(problem: &Problem, bed: usize, item: Item) -> bool {
    let (s, b) = (&problem.shapes[item.shape], &problem.beds[bed]);
    [&s.shadow, &s.footing].iter().all(|o| {
        let placed = o.region().placed(item.at);
        let bounds = placed.bounds();
        thin(&boolean::difference(&placed, &b.room))
            && b.keep_outs.iter().all(|k| !k.bounds().overlaps(bounds) || thin(&boolean::intersection(&placed, k)))
    })
}

/// Nothing but slivers from rounding: thinner than 1e-9 mm on the whole?
fn thin(region: &Region) -> bool {
    let border = |p: &Polygon| {
        let next = p.outer.iter().cycle().skip(1);
        p.outer.iter().zip(next).map(|(a, b)| a.distance(*b)).sum::<f64>()
    };
    region.polygons.iter().all(|p| p.area() <= 1e-9 * border(p))
}

/// Do two copies keep their clearances, to 1e-9 mm?
pub(in crate::packing) fn clear(problem: &Problem, a: Item, b: Item) -> bool {
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
    !thin(&boolean::intersection(&x.region().placed(a.at), &y.region().placed(b.at)))
}
