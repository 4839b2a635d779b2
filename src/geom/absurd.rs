//! Every operation on coordinates that no bed ever sees: an answer, never a panic.

use proptest::prelude::*;

use super::{
    Bounds, BoxTree, Outline, Placement, Point, Polygon, Region, boolean, depth, disc, hull, inner_circle, moments,
    offset, simplify, triangulate,
};

/// A coordinate: mostly one of a part, now and then next to nothing, beyond all beds, or no number.
fn coordinate() -> impl Strategy<Value = f64> {
    prop_oneof![
        4 => -200.0..200.0_f64,
        2 => prop::sample::select(vec![0.0, 1.0, -1.0, 1e-9, 5e-324, 1e9, -1e9]),
        2 => prop::sample::select(vec![1e29, -1e29, 1e36, 1e60, -1e60, 1e150]),
        1 => prop::sample::select(vec![1e200, -1e300, f64::MAX, f64::MIN, f64::INFINITY, f64::NEG_INFINITY, f64::NAN]),
    ]
}

fn region() -> impl Strategy<Value = Region> {
    let ring = || {
        prop::collection::vec((coordinate(), coordinate()), 0..9)
            .prop_map(|l| l.into_iter().map(|(x, y)| Point::new(x, y)).collect::<Vec<_>>())
    };
    let polygon = (ring(), prop::collection::vec(ring(), 0..2)).prop_map(|(outer, holes)| Polygon { outer, holes });
    prop::collection::vec(polygon, 0..3).prop_map(|polygons| Region { polygons })
}

/// New regions from old.
fn made(a: &Region, b: &Region, mm: f64) -> Vec<Region> {
    vec![
        boolean::union([a, b]),
        boolean::intersection(a, b),
        boolean::difference(a, b),
        boolean::symmetric_difference(a, b),
        boolean::intersection_quick(a, b),
        boolean::difference_quick(a, b),
        offset::grow(a, mm, 0.01),
        offset::shrink(a, mm, 0.01),
        offset::shrink_within(a, mm, 0.01),
        offset::inset(a, mm),
        offset::outset(a, mm),
        simplify::outward(a, 0.01),
        simplify::within(a, 0.01),
    ]
}

/// Numbers from regions.
fn asked(a: &Region, b: &Region, mm: f64) {
    let (p, q) = (Outline::new(a.clone()), Outline::new(b.clone()));
    let _ = p.distance(Placement::new(mm, 0.0, 1.0), &q, Placement::new(0.0, mm, 0.0));
    let _ = depth::overlap(a, b);
    let _ = hull::least_width(&hull::convex_hull(a.vertices()));
    let _ = moments::moments(a);
    let _ = inner_circle(a, 0.01);
    let _ = triangulate(a);
    let _ = BoxTree::new(&[a.bounds(), b.bounds()]).touching(a.bounds());
    let _ = (disc::inside(Point::new(mm, 0.0), mm, 0.01), disc::around(Point::new(0.0, mm), mm, 0.01));
    let _ = (a.area(), a.perimeter(), a.contains(Point::new(mm, mm)));
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(120))]
    #[test]
    fn nothing_panics(a in region(), b in region(), mm in coordinate()) {
        for r in made(&a, &b, mm) {
            asked(&r, &a, mm);
        }
    }
}

/// A half-plane without end and a bed: the bed's half, as exact as ever.
#[test]
fn a_plane_without_end_meets_a_bed() {
    let bed = Region::rectangle(Bounds::new(Point::new(0.0, 0.0), Point::new(240.0, 200.0)));
    for far in [1e29, 1e150, 1e300, f64::INFINITY] {
        let half = Region::rectangle(Bounds::new(Point::new(-far, -far), Point::new(100.0, far)));
        assert_eq!(boolean::intersection(&bed, &half).area(), 20_000.0, "{far:e}");
        assert_eq!(boolean::intersection(&half, &bed).area(), 20_000.0, "{far:e}");
    }
    let no_number = Region::rectangle(Bounds::new(Point::new(f64::NAN, 0.0), Point::new(100.0, 100.0)));
    assert!(boolean::intersection(&bed, &no_number).is_empty());
    for none in [f64::NAN, 0.0, -1.0] {
        assert_eq!(offset::grow(&bed, none, 0.01), bed);
        assert_eq!(offset::shrink(&bed, none, 0.01), bed);
    }
    assert!(offset::shrink(&bed, f64::INFINITY, 0.01).is_empty());
    // Grown without end there is no right answer; there must be one all the same, and not a panic.
    let _ = offset::grow(&bed, f64::INFINITY, 0.01);
}
