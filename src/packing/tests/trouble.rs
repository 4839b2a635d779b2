//! Bad input, very many copies, and whether every breach is seen.

use super::*;

#[test]
fn bad_input_is_left_unplaced() {
    let good = || shape(rectangle(10.0, 10.0), Some(90.0));
    let crossing =
        Polygon { outer: [[0., 0.], [10., 10.], [10., 0.], [0., 10.]].map(Point::from).to_vec(), holes: vec![] };
    let flat = Polygon { outer: [[0., 0.], [10., 0.], [5., 0.]].map(Point::from).to_vec(), holes: vec![] };
    let wild =
        Polygon { outer: [[0., 0.], [f64::NAN, 0.], [5., f64::INFINITY]].map(Point::from).to_vec(), holes: vec![] };
    let one = |s: Shape, b: Bed, gap: f64| solve(&pack(vec![s], vec![b], gap, vec![1]), 1, Some(5), &Quiet);
    let room = || bed(rectangle(50.0, 50.0));
    for bad in [Region::EMPTY, flat.into(), wild.into()] {
        let p = pack(vec![good(), shape(bad, None)], vec![room()], 1.0, vec![2, 1]);
        let l = solve(&p, 1, Some(5), &Quiet);
        assert_eq!((l.count(), l.unplaced.as_slice()), (2, [0, 1].as_slice()));
    }
    assert_eq!(one(shape(crossing, None), room(), 1.0).count(), 1);
    assert_eq!(one(shape(rectangle(51.0, 10.0), Some(90.0)), room(), 0.0).count(), 0);
    assert_eq!(one(good(), room(), 500.0).count(), 1);
    assert_eq!(solve(&pack(vec![good()], vec![room()], 500.0, vec![3]), 1, Some(5), &Quiet).unplaced, [2]);
    assert_eq!(one(good(), bed(Region::EMPTY), 0.0).count(), 0);
    let covered = Bed { keep_outs: vec![rectangle(60.0, 60.0).placed(Placement::at(-5.0, -5.0))], ..room() };
    assert_eq!(one(good(), covered, 0.0).count(), 0);
    assert_eq!(one(Shape { height_mm: 300.0, ..good() }, room(), 0.0).count(), 0);
    assert_eq!(solve(&pack(vec![], vec![], 0.0, vec![]), 1, None, &Quiet).count(), 0);
    assert_eq!(solve(&pack(vec![good()], vec![room()], 0.0, vec![0]), 1, None, &Quiet).count(), 0);
}

#[test]
fn ten_thousand_copies_do_not_hang() {
    let p = pack(vec![shape(rectangle(10.0, 10.0), Some(90.0))], vec![bed(rectangle(200.0, 200.0))], 1.0, vec![10_000]);
    let l = solved(&p, 1, 2);
    assert!(l.count() >= 324, "{}", l.count());
    assert_eq!(l.count() + l.unplaced[0], 10_000);
}

/// Squares of 10 on a bed of 1000: a hundred rows of a hundred fit exactly, and the rest is left over.
#[test]
fn ten_thousand_copies_on_one_bed() {
    let p = pack(vec![shape(rectangle(10.0, 10.0), Some(90.0))], vec![bed(rectangle(1e3, 1e3))], 0.0, vec![20_000]);
    let l = solved(&p, 1, 0);
    assert_eq!((l.count(), l.unplaced.as_slice()), (10_000, [10_000].as_slice()));
    assert_eq!(copies_bound(&p, 0).expect("a bound").value, 10_000);
}

/// Squares of 9 with gap 1 on beds of 199.5: twenty rows of twenty on each, all of 10 000 on 25 of them.
#[test]
fn ten_thousand_copies_on_many_beds() {
    let beds = vec![bed(rectangle(199.5, 199.5)); 30];
    let p = pack(vec![shape(rectangle(9.0, 9.0), Some(90.0))], beds, 1.0, vec![10_000]);
    let l = solved(&p, 1, 0);
    let on_each: Vec<usize> = l.beds.iter().map(Vec::len).collect();
    assert_eq!(on_each.split_at(25), ([400; 25].as_slice(), [0; 5].as_slice()));
    assert_eq!(beds_bound(&p, &Quiet).expect("a bound").value, 25);
}

#[test]
fn outlines_of_three_thousand_corners() {
    let gear = Polygon::simple(
        (0..3000)
            .map(|i| {
                let a = f64::from(i) * std::f64::consts::TAU / 3000.0;
                Point::new(20.0 + 2.0 * (17.0 * a).sin(), 0.0).turned(a)
            })
            .collect(),
    );
    let p = pack(vec![shape(gear, None)], vec![bed(rectangle(220.0, 220.0))], 2.0, vec![16]);
    let l = solved(&p, 1, 1);
    assert_eq!(l.count(), 16);
}

#[test]
fn verify_sees_every_kind_of_breach() {
    let at = |x: f64, y: f64, turn: f64| Item { shape: 0, at: Placement::new(x, y, turn) };
    let mut p = pack(vec![shape(rectangle(10.0, 10.0), Some(90.0))], vec![bed(rectangle(50.0, 50.0))], 1.0, vec![2]);
    let check = |p: &Problem, a: Item, b: Item| {
        verify(p, &Layout { beds: vec![vec![a, b]], unplaced: vec![0] }).err().and_then(|e| e.into_iter().next())
    };
    assert_eq!(check(&p, at(0., 0., 0.), at(11., 0., 0.)), None);
    assert!(
        matches!(check(&p, at(0., 0., 0.), at(10.5, 0., 0.)), Some(Breach::Gap { short_mm, .. }) if (short_mm - 0.5).abs() < 1e-9)
    );
    assert!(matches!(check(&p, at(0., 0., 0.), at(5., 5., 0.)), Some(Breach::Gap { .. })));
    assert!(
        matches!(check(&p, at(-0.1, 0., 0.), at(20., 0., 0.)), Some(Breach::Room { out_mm, .. }) if (out_mm - 0.1).abs() < 1e-9)
    );
    assert!(matches!(check(&p, at(10., 10., 0.1), at(30., 0., 0.)), Some(Breach::Turn { .. })));
    assert!(matches!(check(&p, at(0., 0., f64::NAN), at(30., 0., 0.)), Some(Breach::Unknown { .. })));
    let l = Layout { beds: vec![vec![at(0., 0., 0.)]], unplaced: vec![0] };
    assert!(matches!(verify(&p, &l).expect_err("one copy is missing")[0], Breach::Count { placed: 1, .. }));
    p.footing_gap_mm = 3.0;
    assert!(
        matches!(check(&p, at(0., 0., 0.), at(11., 0., 0.)), Some(Breach::Footing { short_mm, .. }) if (short_mm - 2.0).abs() < 1e-9)
    );
    p.beds[0].keep_outs.push(rectangle(5.0, 5.0));
    assert!(matches!(check(&p, at(4., 4., 0.), at(30., 0., 0.)), Some(Breach::KeepOut { .. })));
    p.beds[0].class = Some(9);
    assert!(matches!(check(&p, at(20., 4., 0.), at(35., 0., 0.)), Some(Breach::Class { .. })));
    p.beds[0].height_mm = 1.0;
    assert!(matches!(check(&p, at(20., 4., 0.), at(35., 0., 0.)), Some(Breach::Height { .. })));
}
