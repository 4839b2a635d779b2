//! The quick exact check before a layout is shown: true outlines of all near pairs, room and keep-outs.

use crate::geom::{BoxTree, Outline, Polygon, Region, boolean};
use crate::packing::{Item, Layout, Problem, judge::ground::Ground};

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
        let ground = Ground::new(bed);
        for i in 0..free.len() {
            let near = tree.touching(boxes[i]);
            let clear_of_others = near
                .into_iter()
                .filter(|&j| j < i && !bad.contains(&(n, j)) || j >= free.len())
                .all(|j| clear(problem, items[i], items[j]));
            if !clear_of_others || !lies_on(&ground, problem, n, items[i]) {
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

/// As [`inside_bed`], for a bed that is asked about often.
pub(in crate::packing) fn lies_on(ground: &Ground, problem: &Problem, bed: usize, item: Item) -> bool {
    let s = &problem.shapes[item.shape];
    ground.surely_holds(&s.shadow, item.at) && ground.surely_holds(&s.footing, item.at)
        || inside_bed(problem, bed, item)
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

#[cfg(test)]
mod tests {
    use super::*;
    use crate::{
        geom::{Bounds, Placement, Point, disc},
        packing::{Aim, Bed, Shape},
        rng::Rng,
    };

    /// Referee: overlays of the true outlines. Rooms with an inward corner, a hole or two pieces; parts with a hole.
    #[test]
    fn says_what_overlays_say() {
        let rectangle = |x: f64, y: f64, w: f64, d: f64| {
            Polygon::rectangle(Bounds::new(Point::new(x, y), Point::new(x + w, y + d)))
        };
        let mut holed = rectangle(0.0, 0.0, 100.0, 80.0);
        let mut hole = rectangle(60.0, 30.0, 12.0, 12.0).outer;
        hole.reverse();
        holed.holes.push(hole);
        let corner = [[0., 0.], [100., 0.], [100., 40.], [50., 40.], [50., 80.], [0., 80.]].map(Point::from).to_vec();
        let rooms: [Region; 4] = [
            rectangle(0.0, 0.0, 100.0, 80.0).into(),
            Polygon::simple(corner).into(),
            holed.into(),
            Region { polygons: vec![rectangle(0.0, 0.0, 45.0, 80.0), rectangle(55.0, 0.0, 45.0, 80.0)] },
        ];
        let mut ring = disc::regular(Point::default(), 14.0, 24);
        let mut inner = disc::regular(Point::default(), 11.0, 24).outer;
        inner.reverse();
        ring.holes.push(inner);
        let outlines: [Region; 2] = [disc::regular(Point::default(), 6.0, 8).into(), ring.into()];
        let shapes: Vec<Shape> = outlines
            .iter()
            .map(|o| {
                let o = Outline::new(o.clone());
                let (shadow, contact) = (o.clone(), o.clone());
                Shape { shadow, contact, footing: o, turn_step_rad: None, class: 0, height_mm: 1.0 }
            })
            .collect();
        let mut rng = Rng::new(3);
        let mut quick = 0;
        for room in rooms {
            let keep_outs = vec![rectangle(20.0, 20.0, 5.0, 5.0).into()];
            let bed = Bed { room, keep_outs, fixed: vec![], class: None, height_mm: 9.0, twin: None };
            let ground = Ground::new(&bed);
            let problem = Problem {
                shapes: shapes.clone(),
                beds: vec![bed],
                gap_mm: 0.0,
                footing_gap_mm: 0.0,
                footings_may_merge: false,
                aim: Aim::Pack { counts: vec![1, 1] },
            };
            for k in 0..400 {
                let at = Placement::new(rng.between(-5.0, 105.0), rng.between(-5.0, 85.0), rng.between(0.0, 6.0));
                let item = Item { shape: k % 2, at };
                let asked = inside_bed(&problem, 0, item);
                assert_eq!(lies_on(&ground, &problem, 0, item), asked, "{item:?}");
                let o = &shapes[item.shape].shadow;
                quick += usize::from(ground.surely_holds(o, at));
                assert!(asked || !ground.surely_holds(o, at), "{item:?}");
            }
        }
        assert!(quick > 200, "{quick}");
    }
}
