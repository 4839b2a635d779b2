//! Small tasks whose answer is worked by hand.

use super::*;

/// Exact fits, worked by hand.
#[test]
fn exact_fits() {
    // Four 45s with gap 10 in 100.
    let p = pack(vec![shape(rectangle(45.0, 45.0), Some(90.0))], vec![bed(rectangle(100.0, 100.0))], 10.0, vec![4]);
    assert_eq!(solved(&p, 1, 10).count(), 4);
    // A part as large as its room; a peg as wide as its hole; a hundred squares in a square.
    let p = pack(vec![shape(rectangle(100.0, 50.0), Some(90.0))], vec![bed(rectangle(50.0, 100.0))], 0.0, vec![1]);
    assert_eq!(solved(&p, 1, 10).count(), 1);
    let frame = boolean::difference(&rectangle(40.0, 40.0), &rectangle(20.0, 20.0).placed(Placement::at(10.0, 10.0)));
    let p = pack(
        vec![shape(frame, Some(90.0)), shape(rectangle(20.0, 20.0), Some(90.0))],
        vec![bed(rectangle(40.0, 40.0))],
        0.0,
        vec![1, 1],
    );
    assert_eq!(solved(&p, 1, 10).count(), 2);
    let p = top_up(shape(rectangle(10.0, 10.0), None), bed(rectangle(100.0, 100.0)), 0.0);
    assert_eq!(solved(&p, 1, 10).count(), 100);
}

#[test]
fn fewest_beds_then_the_emptiest_last_one() {
    let p = pack(vec![shape(rectangle(30.0, 30.0), Some(90.0))], vec![bed(rectangle(62.0, 62.0)); 5], 2.0, vec![9]);
    let l = solved(&p, 1, 10);
    let used: Vec<usize> = l.beds.iter().map(Vec::len).collect();
    assert_eq!(used, [4, 4, 1, 0, 0]);
}

#[test]
fn footings_pass_under_overhangs_and_merge_only_where_allowed() {
    // A funnel: wide above, small contact; pegs with wide brims.
    let funnel = Shape {
        shadow: Outline::new(Region::from(disc::around(Point::default(), 20.0, 0.01))),
        ..shape(disc::around(Point::default(), 5.0, 0.01), None)
    };
    let contact: Region = disc::around(Point::default(), 4.0, 0.01).into();
    let peg = Shape { footing: Outline::new(offset::grow(&contact, 8.0, 0.01)), ..shape(contact, None) };
    // Side by side: 40 + 1 + 8 = 49 wide where the brim (8) passes under the funnel, 53 and more where it may not,
    // and the brim reaches 8 over the far side.
    let mut p = pack(vec![funnel, peg], vec![bed(rectangle(57.3, 40.2))], 1.0, vec![1, 1]);
    assert_eq!(solved(&p, 1, 20).count(), 2);
    p.beds[0].room = rectangle(55.4, 40.2);
    assert_eq!(solved(&p, 1, 20).count(), 1);
    // Two pegs: 24 + 24 wide with brims apart, 4 + 12 + 8 + 12 with brims merged.
    p.beds[0].room = rectangle(40.3, 24.2);
    p.aim = Aim::Pack { counts: vec![0, 2] };
    assert_eq!(solved(&p, 1, 20).count(), 1);
    p.footings_may_merge = true;
    assert_eq!(solved(&p, 1, 20).count(), 2);
}

/// A frame and a peg for its hole, squares with brims of 3 mm; gap 2, footing gap 1. The bed takes the frame and nothing
/// beside it.
fn frame_and_peg(hole_mm: f64) -> Problem {
    const BRIM_MM: f64 = 3.0;
    let square = |side: f64| rectangle(side, side).placed(Placement::at(-0.5 * side, -0.5 * side));
    let frame = |outer: f64, hole: f64| boolean::difference(&square(outer), &square(hole));
    let brimmed =
        |contact: Region, footing: Region| Shape { footing: Outline::new(footing), ..shape(contact, Some(90.0)) };
    let outer_mm = hole_mm + 12.0;
    let whole_mm = outer_mm + 2.0 * BRIM_MM;
    let shapes = vec![
        brimmed(frame(outer_mm, hole_mm), frame(whole_mm, hole_mm - 2.0 * BRIM_MM)),
        brimmed(square(10.0), square(10.0 + 2.0 * BRIM_MM)),
    ];
    let bed = bed(rectangle(whole_mm + 0.01, whole_mm + 0.01));
    Problem { footing_gap_mm: 1.0, ..pack(shapes, vec![bed], 2.0, vec![1, 1]) }
}

/// Worked by hand: 10 + 2 · 3 of the peg's brim, two footing gaps of 1, 2 · 3 of the frame's brim make a hole of 24 where
/// brims keep apart. Where they may merge, the peg's brim still keeps off the frame: 16; or, where that is more, the
/// gap does: 10 + 2 · 4, and 10 + 2 · 7.5 where brims keep apart.
#[test]
fn a_brimmed_peg_in_a_brimmed_frame() {
    for (least_mm, gap_mm, merge) in [(24.0, 2.0, false), (16.0, 2.0, true), (18.0, 4.0, true), (25.0, 7.5, false)] {
        for (hole_mm, fit) in [(least_mm + 0.01, 2), (least_mm - 0.09, 1)] {
            let mut p = Problem { gap_mm, footings_may_merge: merge, ..frame_and_peg(hole_mm) };
            assert_eq!(solved(&p, 1, 6).count(), fit, "hole {hole_mm}, gap {gap_mm}, merge {merge}");
            // The same where the frame is locked.
            let middle = p.beds[0].room.bounds().centre();
            p.beds[0].fixed.push(Item { shape: 0, at: Placement::at(middle.x, middle.y) });
            p.aim = Aim::Pack { counts: vec![0, 1] };
            assert_eq!(solved(&p, 1, 6).count(), fit - 1, "locked, hole {hole_mm}, gap {gap_mm}, merge {merge}");
        }
    }
}

#[test]
fn proportions_are_kept() {
    let shapes = vec![shape(rectangle(10.0, 10.0), Some(90.0)), shape(rectangle(20.0, 10.0), Some(90.0))];
    let mut p = pack(shapes, vec![bed(rectangle(100.0, 100.0))], 0.0, vec![]);
    p.aim = Aim::TopUp { shares: vec![2.0, 1.0], at_most: vec![1000, 1000], there: vec![] };
    let l = solved(&p, 1, 20);
    let n = |s| l.beds[0].iter().filter(|i| i.shape == s).count();
    assert!(n(1) >= 24 && n(0) >= 48, "{} {}", n(0), n(1));
    p.aim = Aim::TopUp { shares: vec![1.0, 0.0], at_most: vec![7, 1000], there: vec![] };
    assert_eq!(solved(&p, 1, 20).count(), 7);
}

/// Three squares of 10 in an L: two of them make 20 × 30, and five such make 60 × 50.
#[test]
fn parts_made_of_squares_tile() {
    let corner = |arm: f64, width: f64| {
        let l = [[0., 0.], [arm, 0.], [arm, width], [width, width], [width, arm], [0., arm]];
        shape(Polygon::simple(l.map(Point::from).to_vec()), Some(90.0))
    };
    let p = top_up(corner(20.0, 10.0), bed(rectangle(60.0, 50.0)), 0.0);
    assert_eq!(solved(&p, 1, 1).count(), 10);
    // With a gap of 2 between arms of 8, in a room less by the gap; and round a keep-out of two of the blocks.
    let mut p = top_up(corner(18.0, 8.0), bed(rectangle(58.0, 48.0)), 2.0);
    assert_eq!(solved(&p, 1, 1).count(), 10);
    p.beds[0].keep_outs.push(rectangle(38.0, 28.0));
    assert_eq!(solved(&p, 1, 1).count(), 6);
}

/// Two squares of 100, each cut into four by slants: worked by hand.
#[test]
fn a_jigsaw_fills_its_beds() {
    let four = |left: f64, right: f64, low: f64, high: f64| {
        let at = |x: f64| left + (right - left) * x / 100.0;
        [
            vec![[0., 0.], [low, 0.], [low, at(low)], [0., left]],
            vec![[low, 0.], [100., 0.], [100., right], [low, at(low)]],
            vec![[0., left], [high, at(high)], [high, 100.], [0., 100.]],
            vec![[high, at(high)], [100., right], [100., 100.], [high, 100.]],
        ]
    };
    let pieces = four(30.0, 60.0, 40.0, 70.0).into_iter().chain(four(55.0, 35.0, 25.0, 60.0));
    let shapes: Vec<Shape> =
        pieces.map(|p| shape(Polygon::simple(p.into_iter().map(Point::from).collect()), Some(90.0))).collect();
    let p = pack(shapes, vec![bed(rectangle(100.001, 100.001)); 6], 0.0, vec![1; 8]);
    let l = solved(&p, 1, 40);
    assert_eq!(l.beds.iter().filter(|b| !b.is_empty()).count(), 2);
    assert_eq!(l.count(), 8);
}

#[test]
fn what_is_there_is_never_made_worse_and_is_searched_on_from() {
    let p = pack(
        vec![shape(rectangle(30.0, 20.0), Some(90.0)), shape(rectangle(17.0, 11.0), Some(90.0))],
        vec![bed(rectangle(100.0, 80.0)); 3],
        1.0,
        vec![12, 10],
    );
    let best = solved(&p, 1, 40);
    let first = solved(&p, 1, 0);
    assert_ne!(best, first, "the search got on");
    let kept = solve_from(&p, Some(&best), 2, Some(0), &Quiet);
    assert_eq!(kept, best);
    // With more turns than a search goes on from, too.
    let mut p = pack(vec![shape(rectangle(6.0, 6.0), None)], vec![bed(rectangle(200.0, 200.0))], 1.0, vec![100]);
    let turned = |k: usize| Item {
        shape: 0,
        at: Placement::new(10.0 + 18.0 * (k % 10) as f64, 10.0 + 18.0 * (k / 10) as f64, 0.01 * k as f64),
    };
    let now = Layout { beds: vec![(0..100).map(turned).collect()], unplaced: vec![0] };
    assert_eq!(verify(&p, &now), Ok(()));
    let out = solve_from(&p, Some(&now), 1, Some(0), &Quiet);
    assert_eq!((verify(&p, &out), out.count()), (Ok(()), 100));
    // Not where it is not valid: then it is what the search alone finds.
    p.gap_mm = 30.0;
    assert_eq!(solve_from(&p, Some(&now), 1, Some(0), &Quiet), solve(&p, 1, Some(0), &Quiet));
}
