//! Plates that are printed twice at once: conflicts, places, packing, worked by hand on a bed of 240 × 200.

use std::collections::BTreeMap;

use super::{
    Checker, Conflict, ConflictKind, Prepared, Room, Shapes, Task, TaskError, conflicts, findings, made, move_apart,
    nearest_free, order_task, pack_task, push_aside, samples::Bench, top_up_task, twin_findings,
};
use crate::{
    document::{BedShape, Carriages, CopyId, Footing, KeepOut, Part, PartId, PlateId, Turns, Twin},
    finding::{FindingKind, Level},
    geom::{Bounds, Placement, Point, Polygon, Region},
    packing::{self, Aim, Layout, verify},
    watch::Quiet,
};

/// The bench's first plate printed twice at once, a strip of 20 between.
fn bench(kind: Twin) -> Bench {
    let mut b = Bench::new();
    b.job.machines[0].carriages = Some(Carriages { strip_mm: 20.0 });
    b.job.plates[0].twin = Some(kind);
    b
}

fn found(b: &Bench) -> Vec<(ConflictKind, Vec<CopyId>, f64, Option<CopyId>)> {
    let round = |v: f64| (v * 1e6).round() / 1e6;
    let all = conflicts(&b.job, &b.job.plates[0], &b.shapes);
    all.into_iter().map(|c| (c.kind, c.copies, round(c.amount_mm), c.twin)).collect()
}

fn texts(b: &Bench) -> Vec<String> {
    let plate = &b.job.plates[0];
    findings(&b.job, plate, &conflicts(&b.job, plate, &b.shapes)).into_iter().map(|f| f.text).collect()
}

fn checker(b: &Bench) -> Checker {
    Checker::new(&b.job, &b.job.plates[0], &b.shapes, &Prepared::new())
}

fn keep_out(b: &mut Bench, min: [f64; 2], max: [f64; 2]) {
    let outline = Bounds::new(Point::from(min), Point::from(max)).corners().to_vec();
    b.job.machines[0].keep_outs.push(KeepOut { name: "clip".into(), outline });
}

/// Copies of a shifted twin end at 100, of a handed one at 110.
#[test]
fn a_copy_in_the_strip_and_one_past_it() {
    for (kind, end) in [(Twin::Shifted, 100.0), (Twin::Handed, 110.0)] {
        let mut b = bench(kind);
        let e = b.block(20.0, 20.0);
        let id = b.put(e, end - 10.0, 50.0);
        assert_eq!(found(&b), [], "{kind:?}");
        b.job.plates[0].copies[0].x_mm = end - 6.0;
        assert_eq!(found(&b), [(ConflictKind::Half, vec![id], 4.0, None)], "{kind:?}");
        assert_eq!(texts(&b), ["A 1 reaches 4.0 mm into the strip between the carriages, 20.0 mm wide"]);
        let c = &conflicts(&b.job, &b.job.plates[0], &b.shapes)[0];
        assert!((c.region.area() - 80.0).abs() < 1e-6, "4 × 20 of it are hatched");
        // A brim reaches in as well: 10 + 5 from its middle.
        b.job.plates[0].copies[0].x_mm = end - 12.0;
        b.part_mut(e).footing = Footing::Brim { width_mm: 5.0 };
        assert_eq!(found(&b), [(ConflictKind::Half, vec![id], 3.0, None)], "{kind:?}");
        // Moved apart it goes to the left.
        let at = move_apart(&checker(&b), id).expect("there is room to the left");
        assert!((at.x - (end - 15.0)).abs() < 0.02 && (at.y - 50.0).abs() < 1e-9, "{kind:?} {at:?}");
    }
}

#[test]
fn a_copy_in_the_other_half_lies_among_the_twins() {
    // Its own twin is off the bed, and it lies on that of the first: at 30 + 120.
    let mut b = bench(Twin::Shifted);
    let e = b.block(20.0, 20.0);
    let ids = [b.put(e, 30.0, 50.0), b.put(e, 155.0, 50.0)];
    assert_eq!(
        found(&b),
        [
            (ConflictKind::Overlap, ids.iter().rev().copied().collect(), 15.0, Some(ids[0])),
            (ConflictKind::OffBed, vec![ids[1]], 45.0, Some(ids[1])),
            (ConflictKind::Half, vec![ids[1]], 65.0, None),
        ]
    );
    assert_eq!(
        texts(&b),
        [
            "A 2 and the twin of A 1 overlap by 15.0 mm",
            "the twin of A 2 is 45.0 mm off the bed",
            "A 2 reaches 65.0 mm beyond the left half, through the strip between the carriages",
        ]
    );
    // Mirrored about 120: at 240 − 30 = 210. Either lies on the other's twin; it is said once.
    let mut b = bench(Twin::Handed);
    let e = b.block(20.0, 20.0);
    let ids = [b.put(e, 30.0, 50.0), b.put(e, 215.0, 50.0)];
    assert_eq!(
        found(&b),
        [(ConflictKind::Overlap, ids.to_vec(), 15.0, Some(ids[1])), (ConflictKind::Half, vec![ids[1]], 115.0, None),]
    );
    // Across the middle it meets its own twin: 105 … 125 and 115 … 135.
    let mut b = bench(Twin::Handed);
    b.job.machines[0].carriages = Some(Carriages { strip_mm: 0.0 });
    let e = b.block(20.0, 20.0);
    b.put(e, 115.0, 50.0);
    assert_eq!(texts(&b)[0], "A 1 and its twin overlap by 10.0 mm");
    b.job.plates[0].copies[0].x_mm = 109.0;
    assert_eq!(texts(&b), ["A 1 and its twin are 2.0 mm apart; the gap is 3.0 mm"]);
}

/// A clip at 200 … 220: a shifted twin covers it from 80 … 100, a handed one from 20 … 40.
#[test]
fn a_keep_out_in_the_right_half_blocks_the_left_one() {
    for (kind, x) in [(Twin::Shifted, 76.0), (Twin::Handed, 44.0)] {
        let mut b = bench(kind);
        keep_out(&mut b, [200.0, 40.0], [220.0, 60.0]);
        let e = b.block(20.0, 20.0);
        let id = b.put(e, x, 50.0);
        assert_eq!(found(&b), [(ConflictKind::KeepOut, vec![id], 6.0, Some(id))], "{kind:?}");
        assert_eq!(texts(&b), ["the twin of A 1 covers the keep-out \u{201c}clip\u{201d} by 6.0 mm"]);
        let free = nearest_free(&checker(&b), &[], &[(id, Placement::at(x, 50.0))], &Quiet, &Quiet).expect("room");
        let want = if kind == Twin::Shifted { 70.0 } else { 50.0 };
        assert!((free[0].1.x - want).abs() < 0.02, "{kind:?} {free:?}");
    }
}

/// A bracket round a clip that it touches on two sides, to a rounding error: it lies well, and 0.1 mm farther it does not.
#[test]
fn a_bracket_round_a_clip() {
    let mut b = Bench::new();
    keep_out(&mut b, [50.0, 50.0], [60.0, 65.0]);
    let corners = [[0., 0.], [20., 0.], [20., 5.], [5., 5.], [5., 25.], [0., 25.]].map(Point::from).to_vec();
    let bracket: Region = Polygon::simple(corners).into();
    let e = b.part(bracket.clone(), bracket, 5.0);
    b.put(e, 45.0 + 8e-11, 45.0 + 8e-11);
    assert_eq!(found(&b), []);
    b.job.plates[0].copies[0].x_mm += 0.1;
    assert!(matches!(found(&b)[..], [(ConflictKind::KeepOut, ..)]), "{:?}", found(&b));
}

/// On a bed whose right half is shallow a twin is off the bed where its copy is not; where both are, it is said once.
#[test]
fn a_twin_off_the_bed() {
    for kind in Twin::ALL {
        let mut b = bench(kind);
        let corners = [[0., 0.], [200., 0.], [200., 100.], [100., 100.], [100., 200.], [0., 200.]];
        b.job.machines[0].bed = BedShape::Polygon { outline: corners.map(Point::from).to_vec() };
        let e = b.block(20.0, 20.0);
        let id = b.put(e, 50.0, 95.0);
        assert_eq!(found(&b), [(ConflictKind::OffBed, vec![id], 5.0, Some(id))], "{kind:?}");
        b.job.plates[0].copies[0].y_mm = 6.0;
        assert_eq!(found(&b), [(ConflictKind::OffBed, vec![id], 4.0, None)], "{kind:?}");
    }
}

/// Moving copies are told the same conflicts as the plate that has them there.
#[test]
fn a_drag_is_told_what_the_plate_would_be() {
    for kind in Twin::ALL {
        let mut b = bench(kind);
        keep_out(&mut b, [200.0, 40.0], [220.0, 60.0]);
        let (e, f) = (b.block(20.0, 30.0), b.block(50.0, 12.0));
        let ids: Vec<CopyId> = (0..6)
            .map(|k| b.put(if k % 2 == 0 { e } else { f }, 20.0 + 17.0 * f64::from(k), 30.0 + 28.0 * f64::from(k)))
            .collect();
        for n in 0..40 {
            let mut b2 = Bench { job: b.job.clone(), shapes: b.shapes.clone() };
            let moved: Vec<(CopyId, Placement)> = (0..=n % 3)
                .map(|k| {
                    let k = (n + 2 * k) % 6;
                    let at = Placement::new((37 * n + 61 * k) as f64 % 240.0, (53 * n + 17 * k) as f64 % 200.0, 0.3);
                    (ids[k], at)
                })
                .collect();
            for (id, at) in &moved {
                let copy = b2.job.plates[0].copies.iter_mut().find(|c| c.id == *id).expect("it is there");
                (copy.x_mm, copy.y_mm, copy.turn_deg) = (at.x, at.y, at.turn_rad.to_degrees());
            }
            let key = |c: &Conflict| {
                let mut copies = c.copies.clone();
                copies.sort_unstable();
                // Of a handed pair either may be named as the twin.
                let twin = c.twin.is_some();
                (c.kind, copies, twin, (c.amount_mm * 1e5).round() as i64)
            };
            let mine = |c: &&Conflict| moved.iter().any(|(id, _)| c.involves(*id));
            let mut told: Vec<_> = checker(&b).conflicts_of(&moved).iter().map(key).collect();
            let mut is: Vec<_> = checker(&b2).conflicts().iter().filter(mine).map(key).collect();
            told.sort();
            is.sort();
            assert_eq!(told, is, "{kind:?} {n}");
        }
    }
}

fn laid(b: &mut Bench, task: &Task, layout: &Layout) {
    assert_eq!(verify(&task.problem, layout), Ok(()));
    let placed = task.mapping.back(layout);
    for plate in &placed.plates {
        let on = match plate.target {
            super::Target::Existing(id) => b.job.plates.iter().position(|p| p.id == id).expect("it is there"),
            super::Target::New(_) => panic!("no new plate is asked for"),
        };
        for copy in &plate.copies {
            match copy.copy.and_then(|id| b.job.plates[on].copies.iter_mut().find(|c| c.id == id)) {
                Some(c) => (c.x_mm, c.y_mm, c.turn_deg) = (copy.at.x, copy.at.y, copy.turn_deg()),
                None => drop(b.put_on(on, copy.part, copy.at)),
            }
        }
    }
}

fn topped(b: &mut Bench, part: PartId, area: Option<Bounds>) -> usize {
    let plates: Vec<PlateId> = b.job.plates[..1].iter().map(|p| p.id).collect();
    let before = b.job.plates[0].copies.len();
    let task = top_up_task(&b.job, &plates, Some(part), area, false, &b.shapes, &Prepared::new()).expect("a task");
    let layout = packing::solve(&task.problem, 1, Some(2), &Quiet);
    laid(b, &task, &layout);
    b.job.plates[0].copies.len() - before
}

/// Whatever the search lays is in no conflict: with a skirt, a brim, an edge, a keep-out on either side, on each kind of bed.
#[test]
fn what_is_packed_is_in_no_conflict() {
    let beds = [
        BedShape::Rectangle { width_mm: 240.0, depth_mm: 100.0 },
        BedShape::Round { diameter_mm: 160.0 },
        BedShape::Polygon { outline: [[0., 0.], [200., 0.], [230., 90.], [20., 110.]].map(Point::from).to_vec() },
    ];
    for kind in Twin::ALL {
        for (n, bed) in beds.iter().enumerate() {
            for skirt_loops in [0, 2] {
                let mut b = bench(kind);
                b.job.machines[0].bed = bed.clone();
                b.job.machines[0].edge_mm = 2.5;
                keep_out(&mut b, [0.0, 40.0], [20.0, 52.0]);
                // A skirt leads straight past what stands in the middle: there one at the right edge, too.
                let right = if skirt_loops > 0 { [225.0, 70.0] } else { [150.0, 30.0] };
                keep_out(&mut b, right, [right[0] + 12.0, right[1] + 15.0]);
                let recipe = &mut b.job.recipes[0];
                (recipe.skirt_loops, recipe.skirt_gap_mm, recipe.bead_width_mm) = (skirt_loops, 3.0, 0.5);
                let e = b.part(super::samples::frame(18.0, 10.0), super::samples::frame(18.0, 10.0), 5.0);
                b.part_mut(e).footing = Footing::Brim { width_mm: 2.0 };
                let count = topped(&mut b, e, None);
                assert!(count >= 2, "{kind:?} {n} {skirt_loops}: {count}");
                assert_eq!(texts(&b), [] as [&str; 0], "{kind:?} {n} {skirt_loops}");
            }
        }
    }
}

/// 240 × 200, strip 20, blocks of 20 × 20 with 3 between: 4 × 8 in 100 × 200, and in 110 × 200 as many (4 · 20 + 3 · 3 = 89,
/// five would take 112).
#[test]
fn a_half_is_filled() {
    for kind in Twin::ALL {
        let mut b = bench(kind);
        let e = b.block(20.0, 20.0);
        assert_eq!(topped(&mut b, e, None), 32, "{kind:?}");
        assert_eq!(made(&b.job, e, &b.shapes), if kind == Twin::Shifted { 64 } else { 32 });
    }
}

/// An area over both halves counts as far as it lies in the left one: 50 × 50 hold 2 × 2 blocks of 20.
#[test]
fn an_area_is_topped_up_in_its_half() {
    for (kind, end) in [(Twin::Shifted, 100.0), (Twin::Handed, 110.0)] {
        let mut b = bench(kind);
        let e = b.block(20.0, 20.0);
        let area = Bounds::new(Point::new(end - 50.0, 20.0), Point::new(230.0, 70.0));
        assert_eq!(topped(&mut b, e, Some(area)), 4, "{kind:?}");
        assert_eq!(texts(&b), [] as [&str; 0]);
        let right = Bounds::new(Point::new(150.0, 20.0), Point::new(230.0, 70.0));
        let plates = [b.job.plates[0].id];
        let task = top_up_task(&b.job, &plates, Some(e), Some(right), false, &b.shapes, &Prepared::new());
        assert_eq!(task.err(), Some(TaskError::NotInHalf), "{kind:?}");
    }
}

/// A copy counts otherwise on either plate: Pack leaves each where it is printed so, and new plates are printed so too.
#[test]
fn packing_moves_no_copy_between_a_plate_printed_twice_and_one_printed_once() {
    let mut b = bench(Twin::Shifted);
    b.plate(0);
    let e = b.block(20.0, 20.0);
    b.put(e, 50.0, 50.0);
    b.put_on(1, e, Placement::at(200.0, 150.0));
    let plates: Vec<PlateId> = b.job.plates.iter().map(|p| p.id).collect();
    let task = pack_task(&b.job, &plates, None, true, &b.shapes, &Prepared::new()).expect("two are free");
    assert_eq!(task.problem.aim, Aim::Pack { counts: vec![1, 1] });
    assert_ne!(task.problem.shapes[0].class, task.problem.shapes[1].class);
    let twins: Vec<bool> = task.problem.beds.iter().map(|bed| bed.twin.is_some()).collect();
    assert_eq!(twins, [true, false, true, false], "two that are there, and a new one of each kind");
    let layout = packing::solve(&task.problem, 1, Some(1), &Quiet);
    laid(&mut b, &task, &layout);
    assert_eq!(b.job.plates.iter().map(|p| p.copies.len()).collect::<Vec<_>>(), [1, 1]);
    // The bounds know of the halves: no more than 32 by hand, so 40 copies take two plates at least.
    b.job.plates.truncate(1);
    for k in 0..40 {
        b.put(e, 10.0 + f64::from(k), 10.0);
    }
    let task = pack_task(&b.job, &plates[..1], None, true, &b.shapes, &Prepared::new()).expect("all are free");
    let bound = packing::beds_bound(&task.bounding(), &Quiet).expect("there is one");
    assert!(bound.value >= 2, "{bound:?}");
}

/// The order: what a plate makes by twins is not laid again.
#[test]
fn twins_count_against_the_order() {
    let mut b = bench(Twin::Shifted);
    let e = b.block(20.0, 20.0);
    b.part_mut(e).wanted = 5;
    b.put(e, 50.0, 50.0);
    b.put(e, 50.0, 80.0);
    let missing = |b: &Bench| match order_task(&b.job, &b.shapes, &Prepared::new()) {
        Ok(Task { problem: packing::Problem { aim: Aim::Pack { counts }, .. }, .. }) => counts.iter().sum(),
        _ => 0,
    };
    assert_eq!(missing(&b), 1, "2 × 2 of 5");
    // Of a handed twin only what is its own mirror image counts.
    b.job.plates[0].twin = Some(Twin::Handed);
    assert_eq!(missing(&b), 3);
    own_mirror(&mut b.shapes, e);
    assert_eq!(missing(&b), 1);
    // On a machine with one carriage it is printed once.
    b.job.machines[0].carriages = None;
    assert_eq!(missing(&b), 3);
}

fn own_mirror(shapes: &mut Shapes, part: PartId) {
    let shape = super::PartShape { own_mirror: true, ..(*shapes[&part]).clone() };
    shapes.insert(part, std::sync::Arc::new(shape));
}

/// Left and right as a pair: a copy of either makes one of each.
#[test]
fn a_pair_is_made_by_a_handed_twin() {
    let mut b = bench(Twin::Handed);
    let (left, right) = (b.block(20.0, 20.0), b.block(20.0, 20.0));
    b.part_mut(left).other_hand = Some(right);
    b.part_mut(right).other_hand = Some(left);
    b.put(left, 30.0, 30.0);
    b.put(left, 30.0, 60.0);
    b.put(right, 30.0, 90.0);
    let on = b.job.made_on(&b.job.plates[0], |_| false);
    assert_eq!(on, BTreeMap::from([(left, 3), (right, 3)]));
    assert_eq!((made(&b.job, left, &b.shapes), made(&b.job, right, &b.shapes)), (3, 3));
    assert_eq!(twin_findings(&b.job, &b.job.plates[0], &b.shapes), []);
    b.job.plates[0].twin = Some(Twin::Shifted);
    assert_eq!((made(&b.job, left, &b.shapes), made(&b.job, right, &b.shapes)), (4, 2));
    // Topped up in the order's proportion: of a pair half as often.
    b.job.plates[0].twin = Some(Twin::Handed);
    b.part_mut(left).wanted = 6;
    b.part_mut(right).wanted = 6;
    let lone = b.block(10.0, 10.0);
    b.part_mut(lone).wanted = 6;
    let plates = [b.job.plates[0].id];
    let task = top_up_task(&b.job, &plates, None, None, false, &b.shapes, &Prepared::new()).expect("a task");
    let Aim::TopUp { shares, .. } = &task.problem.aim else { panic!("it tops up") };
    assert_eq!(shares, &[3.0, 3.0, 6.0]);
}

#[test]
fn what_a_person_should_know() {
    let mut b = bench(Twin::Handed);
    let e = b.block(20.0, 20.0);
    b.put(e, 30.0, 30.0);
    let told = |b: &Bench| -> Vec<(Level, String)> {
        let all = twin_findings(&b.job, &b.job.plates[0], &b.shapes);
        assert!(all.iter().all(|f| f.kind == FindingKind::Twin && f.remedy.is_some()));
        all.into_iter().map(|f| (f.level, f.text)).collect()
    };
    let [(Level::Watch, text)] = &told(&b)[..] else { panic!("one watch: {:?}", told(&b)) };
    assert_eq!(
        text,
        "the handed twin of A 1 is mirrored and counts for no order line: order the part as left + right, or use a shifted twin"
    );
    own_mirror(&mut b.shapes, e);
    assert_eq!(told(&b), []);
    b.job.machines[0].carriages = Some(Carriages { strip_mm: 300.0 });
    let [(Level::Stop, text)] = &told(&b)[..] else { panic!("one stop: {:?}", told(&b)) };
    assert!(text.starts_with("the strip between the carriages of Bench 1, 300.0 mm wide, leaves no room"), "{text}");
    assert!(!conflicts(&b.job, &b.job.plates[0], &b.shapes).is_empty());
    let plates = [b.job.plates[0].id];
    let task = pack_task(&b.job, &plates, None, false, &b.shapes, &Prepared::new()).expect("one is free");
    assert_eq!(packing::solve(&task.problem, 1, Some(1), &Quiet).count(), 0);
    b.job.machines[0].carriages = None;
    let [(Level::Stop, text)] = &told(&b)[..] else { panic!("one stop: {:?}", told(&b)) };
    assert!(text.starts_with("this plate is set to a handed twin, but Bench 1 has one carriage"), "{text}");
}

/// 150 × 30 lies in 110 × 200 only upright; 150 × 120 does not at all, though the bed holds it.
#[test]
fn what_does_not_fit_a_half() {
    let mut b = bench(Twin::Handed);
    let turns = |p: &mut Part| p.turns = Turns::Quarters;
    let (long, large) = (b.block(150.0, 30.0), b.block(150.0, 120.0));
    turns(b.part_mut(long));
    turns(b.part_mut(large));
    b.put(long, 80.0, 50.0);
    let id = b.put(large, 80.0, 130.0);
    let found = found(&b);
    assert!(found.iter().any(|f| f.0 == ConflictKind::Half && f.2 == 45.0));
    assert!(found.contains(&(ConflictKind::HalfTooSmall, vec![id], 45.0, None)), "{found:?}");
    assert!(texts(&b).iter().any(|t| t.starts_with("B 1 does not fit one half of Bench 1 (110.0 × 200.0 mm) at any")));
}

/// What is laid on others pushes them aside within their half: to the right there are 100 mm, and no more.
#[test]
fn copies_make_room_in_their_half() {
    let mut b = bench(Twin::Shifted);
    let e = b.block(20.0, 20.0);
    let there = b.put(e, 88.0, 100.0);
    let laid = b.put(e, 20.0, 20.0);
    let checker = checker(&b);
    let all = push_aside(&checker, &[(laid, Placement::at(80.0, 100.0))], |_| true, &Quiet, &Quiet).expect("room");
    assert!(checker.conflicts_of(&all).is_empty(), "{all:?}");
    assert!(all.iter().any(|(id, _)| *id == there));
    // Let go over the strip it comes back into the half.
    let all = push_aside(&checker, &[(laid, Placement::at(115.0, 40.0))], |_| true, &Quiet, &Quiet).expect("room");
    assert!((all[0].1.x - 90.0).abs() < 0.02, "{all:?}");
    let room = Room::new(&b.job, &b.job.machines[0]);
    assert!(room.is_rectangular());
}
