//! Studies: begun, heard, taken over as one step, and told when they are out of date.

use stonehand::{
    document::{CopyId, Footing, Margins},
    geom::Point,
    session::{Action, StudyState, StudyWish},
    studies::PlateVariant,
};

use super::desk::Desk;

const BRIM: Footing = Footing::Brim { width_mm: 5.0 };
const RAFT: Footing = Footing::Raft { width_mm: 3.0 };

/// Two copies of the tall peg on one plate, one of them on a raft of its own.
fn pegs() -> Desk {
    let mut desk = Desk::new();
    desk.act(Action::AddFiles(vec!["/shop/queen-cage-peg.stl".into()]));
    for x in [60.0, 120.0] {
        desk.act(Action::PlaceAt(desk.part(), Point::new(x, 60.0)));
    }
    let second = copies(&desk)[1].0;
    desk.act(Action::Select { copies: vec![second], additive: false });
    desk.act(Action::Footing(Some(RAFT)));
    desk.session.take_notices();
    desk
}

/// Copies of the plate shown: which, where, on what.
fn copies(desk: &Desk) -> Vec<(CopyId, (f64, f64), Footing)> {
    let job = desk.session.job();
    let plate = desk.session.plate().expect("a plate is shown");
    plate.copies.iter().map(|c| (c.id, (c.x_mm, c.y_mm), job.footing(c))).collect()
}

fn footings(variants: Vec<Footing>, desk: &Desk) -> Action {
    Action::Study(StudyWish::Footings(desk.part(), Some(variants)))
}

#[test]
fn a_row_of_a_footing_study_becomes_the_job() {
    let mut desk = pegs();
    desk.act(footings(vec![Footing::Bare, BRIM], &desk));
    let run = desk.session.footings_studied().expect("it ran");
    assert!(matches!(run.state, StudyState::Done), "{:?}", run.state);
    let rows = run.rows.clone();
    // The suggested one is compared too.
    assert_eq!(rows.iter().map(|r| r.footing).collect::<Vec<_>>()[..2], [Footing::Bare, BRIM]);
    assert!(rows.len() == 3 && rows[2].is_suggested, "{rows:?}");
    let before = desk.bytes();

    // The part and every copy of it, also the one with a footing of its own; one step.
    desk.act(Action::UseFooting(desk.part(), BRIM));
    assert!(copies(&desk).iter().all(|c| c.2 == BRIM), "{:?}", copies(&desk));
    assert_eq!(desk.session.job().parts[0].footing, BRIM);
    desk.act(Action::Undo);
    assert_eq!(desk.bytes(), before);

    // A plate as drawn: as many copies, on this footing, in no conflict; one step.
    let plates = desk.session.job().plates.len();
    desk.act(Action::LayOutStudied(1));
    assert_eq!(desk.session.job().plates.len(), plates + 1);
    let laid = copies(&desk);
    assert_eq!(laid.len(), rows[1].copies);
    assert!(laid.len() > 10 && laid.iter().all(|c| c.2 == BRIM));
    let view = desk.session.plate_id().and_then(|p| desk.session.view(p)).expect("it is derived");
    assert!(view.conflicts.is_empty());
    let time_s = view.estimate.as_ref().expect("it is timed").time_s;
    let promised_s = rows[1].plate.expect("copies fit").time_s;
    assert!((time_s / promised_s - 1.0).abs() < 1e-9, "{time_s} s, promised {promised_s} s");
    desk.act(Action::Undo);
    assert_eq!(desk.bytes(), before);
    assert!(desk.session.try_act(Action::LayOutStudied(7)).is_err());
}

#[test]
fn a_study_of_other_numbers_is_out_of_date() {
    let mut desk = pegs();
    desk.act(footings(vec![Footing::Bare], &desk));
    desk.act(Action::Study(StudyWish::Plate(desk.session.plate_id().expect("shown"), vec![PlateVariant::AsItIs])));
    // What neither study depends on.
    desk.act(Action::SetTitle("Night".into()));
    assert!(!desk.session.footings_are_stale() && !desk.session.plate_study_is_stale());
    // A copy more concerns the plate alone.
    desk.act(Action::PlaceAt(desk.part(), Point::new(60.0, 120.0)));
    assert!(!desk.session.footings_are_stale() && desk.session.plate_study_is_stale());
    assert!(desk.session.try_act(Action::UsePlateRow(0)).is_err());
    desk.act(Action::Undo);
    assert!(!desk.session.plate_study_is_stale());
    // The gap concerns both.
    desk.act(Action::SetMargins(Margins { gap_mm: 9.0, ..desk.session.job().margins }));
    assert!(desk.session.footings_are_stale() && desk.session.plate_study_is_stale());
    assert!(desk.session.try_act(Action::LayOutStudied(0)).is_err());
    // Another job has no studies.
    desk.act(Action::New);
    assert!(desk.session.footings_studied().is_none() && desk.session.plate_studied().is_none());
}

#[test]
fn a_plate_stands_as_in_the_row_that_is_taken() {
    let mut desk = pegs();
    let plate = desk.session.plate_id().expect("shown");
    let ways = vec![PlateVariant::AsItIs, PlateVariant::All(BRIM), PlateVariant::Suggested];
    desk.act(Action::Study(StudyWish::Plate(plate, ways)));
    let rows = desk.session.plate_studied().expect("it ran").rows.clone();
    assert_eq!(rows.len(), 3);
    // As it is: the estimate of the plate itself.
    let view = desk.session.view(plate).expect("derived");
    let time_s = view.estimate.as_ref().expect("timed").time_s;
    assert!((rows[0].plate.expect("copies").time_s / time_s - 1.0).abs() < 1e-9);
    let before = desk.bytes();
    desk.act(Action::UsePlateRow(1));
    assert!(copies(&desk).iter().all(|c| c.2 == BRIM));
    let time_s = desk.session.view(plate).and_then(|v| v.estimate.as_ref()).expect("timed").time_s;
    assert!((rows[1].plate.expect("copies").time_s / time_s - 1.0).abs() < 1e-9);
    desk.act(Action::Undo);
    assert_eq!(desk.bytes(), before);
}

/// Pegs side by side with no room for brims on a narrow bed: nothing is lost, a further plate takes the rest.
#[test]
fn what_does_not_fit_goes_to_a_further_plate() {
    let mut desk = pegs();
    let wide = Footing::Brim { width_mm: 18.0 };
    let mut machine = desk.session.job().machines[0].clone();
    machine.bed = stonehand::document::BedShape::Rectangle { width_mm: 130.0, depth_mm: 70.0 };
    machine.keep_outs.clear();
    desk.act(Action::SetMachine(Box::new(machine)));
    for x in [30.0, 40.0, 50.0, 70.0, 80.0] {
        desk.act(Action::PlaceAt(desk.part(), Point::new(x, 30.0)));
    }
    let plate = desk.session.plate_id().expect("shown");
    let all: Vec<CopyId> = copies(&desk).iter().map(|c| c.0).collect();
    desk.act(Action::Study(StudyWish::Plate(plate, vec![PlateVariant::All(wide)])));
    let row = desk.session.plate_studied().expect("it ran").rows[0].clone();
    assert!(row.is_moved && !row.further.is_empty() && row.left == 0, "{}", row.words());
    desk.act(Action::UsePlateRow(0));
    let job = desk.session.job();
    let mut there: Vec<CopyId> = job.plates.iter().flat_map(|p| &p.copies).map(|c| c.id).collect();
    there.sort_unstable();
    assert_eq!(there, all);
    assert!(job.plates.iter().flat_map(|p| &p.copies).all(|c| job.footing(c) == wide));
    for p in &job.plates {
        assert!(desk.session.view(p.id).expect("derived").conflicts.is_empty());
    }
}

#[test]
fn what_cannot_be_studied_is_said() {
    let mut desk = pegs();
    let bad = desk.session.try_act(footings(vec![Footing::Brim { width_mm: f64::NAN }], &desk));
    assert!(bad.is_ok(), "the study itself says what is wrong");
    desk.session.tick();
    let state = &desk.session.footings_studied().expect("it ended").state;
    assert!(matches!(state, StudyState::Failed(why) if why.contains("width")), "{state:?}");
    desk.act(Action::NewPlate);
    let empty = desk.session.plate_id().expect("shown");
    let why = desk.session.try_act(Action::Study(StudyWish::Plate(empty, vec![PlateVariant::AsItIs])));
    assert_eq!(why.expect_err("it is empty").to_string(), "this plate is empty: place copies first");
}
