//! How many copies: studied, laid out as one step; as many as end by a time.

use std::collections::BTreeSet;

use jiff::civil::{DateTime, date};
use stonehand::{
    batch::Spoils,
    document::{Assumptions, CopyId, Margins, Part, Shifts},
    session::{Action, EndBy, Scope, StudyState, StudyWish, TopUp, When},
    studies::{CopiesWay, best_row},
};

use super::desk::Desk;

fn study(desk: &Desk) -> Action {
    Action::Study(StudyWish::Copies { part: desk.part(), spoils: Spoils::Reach, confidence: 0.9 })
}

fn copies(desk: &Desk) -> Vec<CopyId> {
    desk.session.job().plates.iter().flat_map(|p| &p.copies).map(|c| c.id).collect()
}

fn time_s(desk: &Desk) -> f64 {
    let view = desk.session.plate_id().and_then(|p| desk.session.view(p)).expect("it is derived");
    assert!(view.conflicts.is_empty());
    view.estimate.as_ref().expect("it is timed").time_s
}

#[test]
fn a_row_of_a_copies_study_becomes_a_plate() {
    let mut desk = Desk::with_job();
    desk.act(study(&desk));
    let run = desk.session.copies_studied().expect("it ran");
    assert!(matches!(run.state, StudyState::Done), "{:?}", run.state);
    let rows = run.rows.clone();
    assert!(rows.len() > 5 && rows.iter().all(|r| r.way == CopiesWay::Together && r.hours.is_some()));
    assert!(best_row(&rows).is_some());
    let (before, plates) = (desk.bytes(), desk.session.job().plates.len());
    desk.act(Action::LayOutCopies(4));
    assert_eq!(desk.session.job().plates.len(), plates + 1);
    assert_eq!(desk.session.plate().map(|p| p.copies.len()), Some(rows[4].copies));
    assert!((time_s(&desk) / rows[4].time_s - 1.0).abs() < 1e-9);
    desk.act(Action::Undo);
    assert_eq!(desk.bytes(), before);
    assert!(desk.session.try_act(Action::LayOutCopies(999)).is_err());

    // What the study does not depend on, and what it does.
    desk.act(Action::SetTitle("Night".into()));
    assert!(!desk.session.copies_study_is_stale());
    let part = desk.session.job().parts[0].clone();
    for change in [
        Action::SetPart(Box::new(Part { wanted: part.wanted + 7, ..part.clone() })),
        Action::SetMargins(Margins { gap_mm: 9.0, ..desk.session.job().margins }),
        Action::SetAssumptions(Assumptions { common_cause_percent: 4.0, ..Assumptions::default() }),
    ] {
        desk.act(change);
        assert!(desk.session.copies_study_is_stale());
        assert!(
            !Action::LayOutCopies(0).enabled(&desk.session) && desk.session.try_act(Action::LayOutCopies(0)).is_err()
        );
        desk.act(Action::Undo);
        assert!(!desk.session.copies_study_is_stale());
    }
    desk.act(Action::New);
    assert!(desk.session.copies_studied().is_none());
}

#[test]
fn what_cannot_be_studied_is_said() {
    let mut desk = Desk::with_job();
    desk.act(Action::Study(StudyWish::Copies { part: desk.part(), spoils: Spoils::Copy, confidence: 1.5 }));
    let state = &desk.session.copies_studied().expect("it ended").state;
    assert!(matches!(state, StudyState::Failed(why) if why.contains("confidence of 1.5")), "{state:?}");
    let mut machine = desk.session.job().machines[0].clone();
    machine.height_mm = 1.0;
    for m in desk.session.job().machines.clone() {
        desk.act(Action::SetMachine(Box::new(stonehand::document::Machine { height_mm: 1.0, ..m })));
    }
    let why = desk.session.try_act(study(&desk)).expect_err("it fits nowhere").to_string();
    assert!(why.contains("mm tall and") && why.contains("choose a taller machine"), "{why}");
}

const START: DateTime = date(2026, 11, 30).at(16, 30, 0, 0);

/// By so many seconds after the start.
fn end_by(after_s: f64, chance: f64, further_plate: bool) -> EndBy {
    let end = START.checked_add(jiff::SignedDuration::from_secs(after_s.ceil() as i64)).expect("a time");
    EndBy { start: Some(When::Date(START)), end: When::Date(end), chance, further_plate }
}

/// Times of the plate with 1 … n copies added, and the greatest n: by Top up as it is.
fn full(desk: &mut Desk) -> (usize, f64) {
    desk.act(Action::TopUp(TopUp::Order));
    let all = (copies(desk).len(), time_s(desk));
    desk.act(Action::Undo);
    desk.told();
    all
}

#[test]
fn top_up_adds_as_many_as_end_in_time() {
    let mut desk = Desk::with_job();
    let part = Part { wanted: 500, ..desk.session.job().parts[0].clone() };
    desk.act(Action::SetPart(Box::new(part)));
    let (there, at_first_s) = (copies(&desk), time_s(&desk));
    let (most, most_s) = full(&mut desk);
    assert!(most > 10);
    let before = desk.bytes();
    let mut last = usize::MAX;
    for (share, chance) in [(2.0, 0.5), (0.6, 0.5), (0.6, 0.95), (0.3, 0.5)] {
        let available_s = (at_first_s + (most_s - at_first_s) * share).ceil();
        desk.act(Action::EndBy(Some(end_by(available_s, chance, true))));
        desk.act(Action::TopUp(TopUp::Order));
        let (now, now_s, words) = (copies(&desk), time_s(&desk), desk.told());
        let told = desk.session.in_time_told().expect("it is told").clone();
        assert!(now.starts_with(&there), "those that were there stay");
        assert_eq!(told.added, now.len() - there.len());
        // What is promised is what the plate's own estimate says.
        assert!((told.time_s / now_s - 1.0).abs() < 1e-9, "{} {now_s}", told.time_s);
        assert!((told.added_s - (now_s - at_first_s)).abs() < 1e-6);
        assert!(told.chance >= chance - 1e-9 && now_s <= available_s + 1e-6, "{words}");
        assert!(words.contains(&format!("{} more cop", told.added)) && words.contains("sure to end by"), "{words}");
        assert!(now.len() <= last, "less time, or more certainty, never allows more");
        last = now.len();
        if share > 1.0 {
            assert!(now.len() >= most, "{} of {most}", now.len());
        } else {
            let later = told.one_more_ends.expect("there is room for one more");
            assert!(later > told.end_by || chance > 0.5, "{words}");
            assert!(now.len() < most && words.contains("with one copy more it ends"), "{words}");
        }
        assert_eq!(desk.session.undo_label(), Some("Top up"));
        desk.act(Action::Undo);
        assert_eq!(desk.bytes(), before);
    }
    // As many as fit again.
    desk.act(Action::EndBy(None));
    desk.act(Action::TopUp(TopUp::Order));
    assert_eq!(copies(&desk).len(), most);
}

#[test]
fn what_does_not_end_in_time_is_told() {
    let mut desk = Desk::with_job();
    let before = desk.bytes();
    let at_first_s = time_s(&desk);
    // The plate as it is takes longer.
    desk.act(Action::EndBy(Some(end_by(at_first_s * 0.5, 0.5, true))));
    desk.act(Action::TopUp(TopUp::Order));
    let told = desk.told();
    assert!(told.contains("no copy added") && told.contains("as it is it takes too long already"), "{told}");
    assert_eq!(desk.bytes(), before);
    // Pack: not even one copy.
    desk.act(Action::EndBy(Some(end_by(120.0, 0.5, true))));
    desk.act(Action::Pack(Scope::Plate));
    assert!(desk.told().contains("not even 1 copy ends in time; everything stays where it is"));
    assert_eq!(desk.bytes(), before);
    // Times and chances that cannot be.
    let early = EndBy { end: When::Date(START), ..end_by(0.0, 0.5, true) };
    desk.act(Action::EndBy(Some(early)));
    let why = desk.session.try_act(Action::TopUp(TopUp::Order)).expect_err("it ends as it starts").to_string();
    assert!(why.contains("is not after the start") && why.contains("give a later end"), "{why}");
    for chance in [0.0, 1.0, f64::NAN] {
        assert!(desk.session.try_act(Action::EndBy(Some(end_by(9.0, chance, true)))).is_err());
    }
    assert_eq!(desk.bytes(), before);
}

#[test]
fn pack_keeps_what_ends_in_time() {
    let mut desk = Desk::with_job();
    desk.act(Action::SetPart(Box::new(Part { wanted: 500, ..desk.session.job().parts[0].clone() })));
    desk.act(Action::TopUp(TopUp::Order));
    let (all, all_s) = (copies(&desk), time_s(&desk));
    let before = desk.bytes();
    desk.told();
    let available_s = (all_s * 0.5).ceil();
    for further_plate in [true, false] {
        desk.act(Action::EndBy(Some(end_by(available_s, 0.5, further_plate))));
        desk.act(Action::Pack(Scope::Plate));
        let words = desk.told();
        let told = desk.session.in_time_told().expect("it is told").clone();
        let first = desk.session.job().plates[0].clone();
        assert!(time_s(&desk) <= available_s + 1e-6 && (told.time_s / time_s(&desk) - 1.0).abs() < 1e-9, "{words}");
        assert!(!first.copies.is_empty() && first.copies.len() < all.len());
        assert_eq!(told.taken_off.len(), all.len() - first.copies.len(), "{words}");
        let now: BTreeSet<CopyId> = copies(&desk).into_iter().collect();
        if further_plate {
            assert_eq!(now, all.iter().copied().collect(), "none is lost");
            assert_eq!(desk.session.job().plates.len(), 2);
            let second = desk.session.job().plates[1].id;
            assert!(desk.session.view(second).expect("derived").conflicts.is_empty());
            assert!(words.contains("on a further plate ("), "{words}");
        } else {
            assert_eq!(now.len(), first.copies.len());
            assert!(words.contains("left out (") && words.contains(&told.taken_off[0]), "{words}");
        }
        assert_eq!(desk.session.undo_label(), Some("Pack this plate"));
        desk.act(Action::Undo);
        assert_eq!(desk.bytes(), before);
    }
    // Time for all of them: all stay.
    desk.act(Action::EndBy(Some(end_by(all_s * 3.0, 0.5, false))));
    desk.act(Action::Pack(Scope::Plate));
    assert!(desk.told().contains("every copy stays"));
    assert_eq!(copies(&desk).len(), all.len());
}

/// Two parts, three of the one ordered to one of the other: so are those that are added.
#[test]
fn a_mixed_order_keeps_its_proportion() {
    let mut desk = Desk::new();
    desk.act(Action::AddFiles(vec!["/shop/corner-bracket.stl".into(), "/shop/jar-lid-adapter.stl".into()]));
    let parts = desk.session.job().parts.clone();
    for (part, wanted) in parts.iter().zip([30, 10]) {
        let same = &parts[0];
        desk.act(Action::SetPart(Box::new(Part {
            wanted,
            material: same.material,
            colour: same.colour.clone(),
            ..part.clone()
        })));
    }
    desk.act(Action::NewPlate);
    let (most, most_s) = full(&mut desk);
    assert!(most >= 8, "{most}");
    desk.act(Action::EndBy(Some(end_by(most_s * 0.7, 0.5, true))));
    desk.act(Action::TopUp(TopUp::Order));
    let count = |n: usize| desk.session.job().placed(parts[n].id) as i64;
    let (a, b) = (count(0), count(1));
    assert!(a + b >= 4 && (a + b) < most as i64 && (a - 3 * b).abs() <= 3, "{a} and {b}");
    assert_eq!(Shifts::default(), desk.session.job().shifts);
}
