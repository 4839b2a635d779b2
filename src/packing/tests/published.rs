//! Values that others have published, or that follow from what they proved.

use super::*;

/// The row-lattice family's counts: 220 × 220, no gap (no source that can be run again:
/// what a search of that family found once; the test guards against finding less).
#[test]
fn lattices_of_regular_polygons() {
    for (corners, copies) in [(5, 114), (7, 99)] {
        let p = top_up(shape(disc::regular(Point::default(), 12.0, corners), None), bed(rectangle(220.0, 220.0)), 0.0);
        let l = solve(&p, 1, Some(1), &Quiet);
        assert_eq!(verify(&p, &l), Ok(()));
        assert!(l.count() >= copies, "{corners} corners: {}", l.count());
    }
}

/// 57 × 34 of 7 × 4: 69, proved by area; here with a gap, beside a keep-out, and with a copy that stays.
#[test]
fn equal_rectangles_with_a_gap_and_a_keep_out() {
    let mut p = top_up(shape(rectangle(6.0, 3.0), Some(90.0)), bed(rectangle(76.0, 33.0)), 1.0);
    p.beds[0].keep_outs.push(rectangle(21.0, 40.0).placed(Placement::at(56.0, -1.0)));
    assert_eq!(solved(&p, 1, 1).count(), 69);
    p.beds[0].fixed.push(Item { shape: 0, at: Placement::at(50.0, 30.0) });
    assert!(solved(&p, 1, 1).count() >= 64);
}

/// Copies of those asked for that are on the bed after so many rounds, the search ending when all are there; never more
/// than the bound.
fn reached(shape: Shape, bed: Bed, copies: usize, rounds: u64) -> usize {
    let mut p = top_up(shape, bed, 0.0);
    p.aim = Aim::TopUp { shares: vec![1.0], at_most: vec![copies], there: vec![] };
    let n = solved(&p, 1, rounds).count();
    assert!(n as u64 <= copies_bound(&p, 0).expect("a bound").value);
    n
}

/// The 48-gon with its corners on a circle of radius 10: where circles fit these do, and in straight rows they touch as
/// circles do.
fn nearly_round() -> Shape {
    shape(disc::regular(Point::default(), 10.0, 48), None)
}

/// Unit circles in squares: 25, 30 and 36 of them in sides of 10, 11 and 12 (OEIS A308578), 30 and 39 in the least sides
/// known (OEIS A084616: radii 0.0916711 and 0.0813675 in the unit square), here with a thousandth of room.
#[test]
fn circles_in_a_square() {
    for (copies, side) in [(25, 10.0), (30, 11.0), (36, 12.0), (30, 1.0 / 0.091_671_1), (39, 1.0 / 0.081_367_5)] {
        let side = 10.01 * side;
        assert_eq!(reached(nearly_round(), bed(rectangle(side, side)), copies, 20), copies, "side {side}");
    }
}

/// Unit circles in circles: 7, 11 and 27 in radii of 3, 4 and 6 (OEIS A023393), 19 in 1 + √2 + √6 (proved, Fodor 1999),
/// here with a hundredth of room. Six need a radius of 3 as well (proved, Graham 1968; from memory): in less, parts that
/// are no smaller than circles are five at most.
#[test]
fn circles_in_a_circle() {
    let room = |radius: f64| bed(disc::inside(Point::default(), 10.0 * radius, 0.001).into());
    for (copies, radius) in [(7, 3.0), (11, 4.0), (19, 1.0 + 2.0_f64.sqrt() + 6.0_f64.sqrt()), (27, 6.0)] {
        assert_eq!(reached(nearly_round(), room(1.01 * radius), copies, 20), copies, "radius {radius}");
    }
    let around = shape(disc::around(Point::default(), 10.0, 0.1), None);
    assert_eq!(reached(around, room(2.99), 7, 8), 5);
}

/// The least squares that hold five and ten unit squares: sides 2 + 1/√2 and 3 + 1/√2, proved. Source: E. Friedman,
/// Packing unit squares in squares. A five hundredth more is enough; in as much less one is left over.
#[test]
fn squares_in_the_least_square() {
    for (copies, whole) in [(5, 2.0), (10, 3.0)] {
        let least = 10.0 * (whole + std::f64::consts::FRAC_1_SQRT_2);
        let held =
            |side: f64, rounds| reached(shape(rectangle(10.0, 10.0), None), bed(rectangle(side, side)), copies, rounds);
        assert_eq!(held(1.002 * least, 60), copies);
        assert_eq!(held(0.998 * least, 8), copies - 1);
    }
}

/// Density of the densest double lattice of a convex part: its area over the longest chord in a direction times the
/// distance of the two chords half as long, best of many directions (Kuperberg & Kuperberg 1990, Mount 1991).
fn double_lattice(part: &Polygon) -> f64 {
    const DIRECTIONS: u32 = 720;
    let along = |k: u32| {
        let turn = std::f64::consts::PI * f64::from(k) / f64::from(DIRECTIONS);
        let corners: Vec<Point> = part.outer.iter().map(|p| p.turned(turn)).collect();
        let chord = |y: f64| {
            let edges = corners.iter().zip(corners.iter().cycle().skip(1));
            let cut = edges.filter(|(a, b)| (a.y <= y) != (b.y <= y));
            let ends = cut.map(|(a, b)| a.x + (b.x - a.x) * (y - a.y) / (b.y - a.y));
            let reach = ends.fold([f64::INFINITY, f64::NEG_INFINITY], |[low, high], x| [low.min(x), high.max(x)]);
            (reach[1] - reach[0]).max(0.0)
        };
        // The longest one has an end in a corner.
        let heights = corners.iter().flat_map(|p| [p.y - 1e-9, p.y + 1e-9]);
        let longest = heights.max_by(|a, b| chord(*a).total_cmp(&chord(*b))).expect("corners");
        let half = |end: f64| {
            let (mut outside, mut inside) = (end, longest);
            for _ in 0..60 {
                let y = 0.5 * (outside + inside);
                if chord(y) < 0.5 * chord(longest) {
                    outside = y;
                } else {
                    inside = y;
                }
            }
            inside
        };
        let reach = Bounds::of(corners.iter().copied());
        part.area() / (chord(longest) * (half(reach.max.y) - half(reach.min.y)))
    };
    (0..DIRECTIONS).map(along).fold(0.0, f64::max)
}

/// At least so many whole copies lie on a bed by a lattice of this density in its best phase: over all phases, the mean
/// number of centroids that lie as far inside as a part's farthest corner from it.
fn by_lattice(density: f64, part: &Polygon, (w, h): (f64, f64)) -> usize {
    let centroid = moments::moments(&part.clone().into()).centroid;
    let far = 2.0 * part.outer.iter().map(|p| p.distance(centroid)).fold(0.0, f64::max);
    (density * (w - far) * (h - far) / part.area()).ceil() as usize
}

/// Densities of the densest double lattices: of 5 corners (5 − √5)/3, the densest packing there is (Hales & Kusner, arXiv
/// 1602.07220), of 7 corners 2/97 (−111 + 492 cos π/7 − 356 cos² π/7), of 9 and 10 corners computed; of any convex part
/// √3/2 or more (Kuperberg & Kuperberg 1990).
#[test]
fn convex_parts_as_dense_as_their_double_lattices() {
    let room = (260.0, 240.0);
    let holds = |part: Polygon, density: f64| {
        let least = by_lattice(density, &part, room);
        let n = reached(shape(part, None), bed(rectangle(room.0, room.1)), 10_000, 1);
        assert!(n >= least, "density {density}: {n} of {least}");
    };
    for (corners, density) in [(5, 0.921_310_7), (7, 0.892_690_7), (9, 0.901_030_1), (10, 0.913_72)] {
        let part = disc::regular(Point::default(), 7.0, corners);
        assert!((double_lattice(&part) - density).abs() < 1e-6, "{corners} corners");
        holds(part, density);
    }
    let mut rng = Rng::new(3);
    for _ in 0..3 {
        let corners = (0..12).map(|_| Point::new(rng.between(-9.0, 9.0), rng.between(-9.0, 9.0)));
        let part = Polygon::simple(hull::convex_hull(corners));
        let density = double_lattice(&part);
        assert!((0.75_f64.sqrt()..1.0 + 1e-9).contains(&density), "{density}");
        holds(part, density);
    }
}

/// Sixty regular pentagons and heptagons of circumradius 10 in strips of height 100, as dense as the best row lattices
/// known (81.24 % and 82.24 %; no source that can be run again: the test guards against finding less), with a two hundredth of room.
#[test]
fn strips_of_regular_polygons() {
    for (corners, density) in [(5, 0.8124), (7, 0.8224)] {
        let part = disc::regular(Point::default(), 10.0, corners);
        let length = 1.005 * 60.0 * part.area() / (100.0 * density);
        assert_eq!(reached(shape(part, None), bed(rectangle(length, 100.0)), 60, 20), 60, "{corners} corners");
    }
}
