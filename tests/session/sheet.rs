//! What is asked of plates and beds on the sheet: another plate, room there, conflicts cleared, rows, keep-outs.

use stonehand::{
    document::{CopyId, PlateId},
    finding::FindingKind,
    geom::{Bounds, Point},
    session::{Action, GridOf, Landing},
};

use super::desk::Desk;

fn copies(desk: &Desk, plate: usize) -> Vec<CopyId> {
    desk.session.job().plates[plate].copies.iter().map(|c| c.id).collect()
}

fn plate(desk: &Desk, n: usize) -> PlateId {
    desk.session.job().plates[n].id
}

fn select(desk: &mut Desk, copies: Vec<CopyId>) {
    desk.act(Action::Select { copies, additive: false });
}

fn is_sound(desk: &Desk) -> bool {
    ![FindingKind::Overlap, FindingKind::Clearance, FindingKind::OffBed, FindingKind::KeepOut]
        .iter()
        .any(|k| desk.has(*k))
}

#[test]
fn a_plate_is_duplicated_with_its_copies_and_their_locks() {
    let mut desk = Desk::with_job();
    let before = desk.session.job().clone();
    let first = copies(&desk, 0)[0];
    select(&mut desk, vec![first]);
    desk.act(Action::Lock(true));
    desk.act(Action::DuplicatePlate(before.plates[0].id));
    let job = desk.session.job();
    assert_eq!(job.plates.len(), 2);
    let [a, b] = [&job.plates[0], &job.plates[1]];
    assert_eq!((a.machine, a.material, a.recipe), (b.machine, b.material, b.recipe));
    let lie = |p: &stonehand::document::Plate| -> Vec<_> {
        p.copies.iter().map(|c| (c.part, c.x_mm, c.y_mm, c.turn_deg, c.locked, c.footing)).collect()
    };
    assert_eq!(lie(a), lie(b));
    assert!(b.copies[0].locked && !b.copies[1].locked);
    assert_eq!(desk.session.plate_id(), Some(b.id), "the new one is shown");
    assert_eq!(desk.session.undo_label(), Some("Duplicate plate"));
    desk.act(Action::Undo);
    assert_eq!(desk.session.job().plates.len(), 1, "one step back");
}

#[test]
fn a_copy_moved_to_a_plate_lies_at_a_free_place_there() {
    let mut desk = Desk::with_job();
    desk.act(Action::DuplicatePlate(plate(&desk, 0)));
    desk.session.set_drop_time(std::time::Duration::from_mins(1));
    let moved = copies(&desk, 1)[0];
    select(&mut desk, vec![moved]);
    let target = plate(&desk, 0);
    desk.act(Action::ToPlate(Some(target)));
    let there = &desk.session.job().plates[0];
    assert_eq!(there.copies.len(), 4);
    assert!(there.copies.iter().any(|c| c.id == moved));
    assert!(is_sound(&desk), "it lay on another one there: {:?}", desk.places());
    // Where it lay is free again: back to its own place.
    desk.act(Action::Undo);
    let lay = desk.session.job().copy(moved).map(|(_, c)| (c.x_mm, c.y_mm));
    assert_eq!(lay, Some((60.0, 60.0)));
}

#[test]
fn copies_never_end_where_nobody_sees_them() {
    let mut desk = Desk::with_job();
    let third = copies(&desk, 0)[2];
    let bed = {
        let job = desk.session.job();
        let machine = job.machine(job.plates[0].machine).expect("its machine");
        Bounds::of(machine.bed.outline(0.1).outer)
    };
    let seen = |desk: &Desk| {
        let (_, c) = desk.session.job().copy(third).expect("it is there");
        let b = desk.session.copy_bounds(c).expect("it has a shape");
        b.overlaps(bed)
    };
    select(&mut desk, vec![third]);
    desk.act(Action::Grab { label: "Move" });
    desk.act(Action::Drag { by: Point::new(900.0, -700.0), turn_deg: 0.0 });
    assert!(!seen(&desk), "it follows the hand");
    desk.act(Action::DropIt(Landing::There));
    assert!(seen(&desk));
    assert!(desk.told().contains("edge of the bed"));
    desk.act(Action::Undo);
    assert_eq!(desk.places()[2], (60.0, 140.0), "one step back");

    desk.act(Action::Nudge(-5000.0, 0.0));
    assert!(seen(&desk));
    desk.act(Action::PlaceAt(desk.part(), Point::new(1e5, 1e5)));
    let last = desk.session.job().plates[0].copies.last().cloned().expect("it was placed");
    assert!(desk.session.copy_bounds(&last).expect("it has a shape").overlaps(bed), "{last:?}");
}

#[test]
fn a_heap_is_moved_apart_in_one_step_and_locked_copies_stay() {
    let mut desk = Desk::with_job();
    desk.session.set_drop_time(std::time::Duration::from_mins(1));
    for (x, y) in [(62.0, 64.0), (70.0, 55.0), (-2.0, 60.0)] {
        desk.act(Action::PlaceAt(desk.part(), Point::new(x, y)));
    }
    let first = copies(&desk, 0)[0];
    select(&mut desk, vec![first]);
    desk.act(Action::Lock(true));
    let before = desk.places();
    assert!(!is_sound(&desk));
    assert!(Action::MoveAllApart.enabled(&desk.session));
    desk.act(Action::MoveAllApart);
    assert!(is_sound(&desk), "{:?}", desk.places());
    let after = desk.places();
    assert_eq!(after[0], before[0], "it is locked");
    assert_eq!(after[1], before[1], "it was in no conflict");
    assert!(!Action::MoveAllApart.enabled(&desk.session));
    desk.act(Action::Undo);
    assert_eq!(desk.places(), before);
}

#[test]
fn rows_and_columns_leave_out_what_would_lie_over_something_or_off_the_bed() {
    let mut desk = Desk::with_job();
    let first = copies(&desk, 0)[0];
    select(&mut desk, vec![first]);
    let of = GridOf { columns: 9, rows: 3, pitch_x_mm: None, pitch_y_mm: None };
    let spots = desk.session.grid_spots(of).expect("there are places");
    assert_eq!(spots.len(), 26);
    let free = spots.iter().filter(|s| s.free).count();
    assert!(free > 0 && free < 26, "some are taken, some run off: {free}");
    desk.act(Action::Grid { columns: 9, rows: 3, pitch_x_mm: None, pitch_y_mm: None });
    assert_eq!(desk.session.job().plates[0].copies.len(), 3 + free, "what was shown is what is made");
    assert!(is_sound(&desk));
    assert!(desk.told().contains(&format!("{free} of 26 placed")));
    // A pitch smaller than the part: each would lie on the one before.
    let tight = GridOf { columns: 4, rows: 1, pitch_x_mm: Some(1.0), pitch_y_mm: None };
    desk.act(Action::Undo);
    assert!(desk.session.grid_spots(tight).expect("places").iter().all(|s| !s.free));
    let grid = Action::Grid { columns: 4, rows: 1, pitch_x_mm: Some(1.0), pitch_y_mm: None };
    let why = desk.session.try_act(grid).expect_err("nothing fits").to_string();
    assert!(why.contains("another copy or off the bed"), "{why}");
}

#[test]
fn keep_outs_are_added_moved_and_removed_each_one_step() {
    let mut desk = Desk::with_job();
    let machine = desk.session.job().plates[0].machine;
    let outlines = |desk: &Desk| -> Vec<Bounds> {
        let m = desk.session.job().machine(machine).expect("it is there");
        m.keep_outs.iter().map(|k| Bounds::of(k.outline.iter().copied())).collect()
    };
    let before = outlines(&desk);
    let at = Bounds::new(Point::new(50.0, 50.0), Point::new(70.0, 60.0));
    desk.act(Action::AddKeepOut(machine, at.corners().to_vec()));
    let n = before.len();
    assert_eq!(outlines(&desk)[n], at);
    let name = desk.session.job().machine(machine).map(|m| m.name.clone()).expect("it is there");
    assert_eq!(desk.told(), format!("Keep-out added to {name}: it counts on every plate of this machine"));
    assert!(desk.has(FindingKind::KeepOut), "the first copy covers it");
    desk.act(Action::MoveKeepOut(machine, n, Point::new(40.0, 30.0)));
    assert_eq!(outlines(&desk)[n], at.moved(Point::new(40.0, 30.0)));
    desk.act(Action::MoveKeepOut(machine, n, Point::new(1e6, f64::NAN)));
    assert!(outlines(&desk)[n].min.x < 1000.0, "it stays over the bed: {:?}", outlines(&desk)[n]);
    desk.act(Action::Undo);
    desk.act(Action::RemoveKeepOut(machine, n));
    assert_eq!(outlines(&desk), before);
    for _ in 0..2 {
        desk.act(Action::Undo);
    }
    assert_eq!(outlines(&desk)[n], at);
    for outline in [vec![Point::default(); 3], vec![Point::new(0.0, 0.0), Point::new(9.0, 9.0)]] {
        assert!(desk.session.try_act(Action::AddKeepOut(machine, outline)).is_err());
    }
    assert!(desk.session.try_act(Action::RemoveKeepOut(machine, 99)).is_err());
}
