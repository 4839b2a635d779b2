//! The view *Studies*: footings compared, a plate two ways, and rows taken over.

use egui::{Key, Modifiers, Vec2};
use egui_kittest::{Harness, kittest::Queryable};
use stonehand::{
    document::{CopyId, Footing},
    gui::App,
    session::Action,
};

use super::{
    ONE_ROUND, Window, arrange, choose, copies, placed_window, press, push, reach, sample_window, session, type_into,
    world::Files,
};

/// Three tall pegs, and the view *Studies*.
fn pegs() -> Window {
    let places = [(0, 60.0, 60.0), (0, 120.0, 60.0), (0, 60.0, 120.0)];
    let mut w = placed_window(&Files::samples(), &["queen-cage-peg.stl"], &places);
    w.state_mut().session_mut().set_limits(ONE_ROUND);
    push(&mut w, "Studies");
    w
}

fn footings(w: &Window) -> Vec<(CopyId, Footing)> {
    let job = w.state().session().job();
    job.plates.iter().flat_map(|p| &p.copies).map(|c| (c.id, job.footing(c))).collect()
}

#[test]
fn footings_are_compared_and_one_is_used() {
    let mut w = pegs();
    assert!(w.query_by_label_contains("Layer time and headroom").is_none(), "the strip belongs to the sheet");
    push(&mut w, "Study footings");
    let rows = w.state().session().footings_studied().expect("it ran").rows.clone();
    assert!(rows.len() >= 5);
    for r in &rows {
        assert!(w.query_all_by_label(&r.words()).count() > 0, "{}", r.words());
    }
    // A row is chosen, used for the part, and undone.
    let brim = rows.iter().find(|r| r.footing == Footing::Brim { width_mm: 8.0 }).expect("a brim");
    reach(&mut w, &brim.words());
    push(&mut w, &brim.words());
    reach(&mut w, "use brim 8 mm for A");
    push(&mut w, "use brim 8 mm for A");
    assert!(footings(&w).iter().all(|f| f.1 == brim.footing));
    press(&mut w, Key::Z, Modifiers::COMMAND);
    assert!(footings(&w).iter().all(|f| f.1 == Footing::Bare));
    // Laid out, it is on the sheet.
    let laid = format!("lay out on a new plate ({} copies)", brim.copies);
    reach(&mut w, &laid);
    push(&mut w, &laid);
    assert_eq!(copies(&w).len(), brim.copies);
    w.get_by_label_contains("Layer time and headroom");
}

#[test]
fn widths_are_typed_and_nonsense_stays_with_its_reason() {
    let mut w = pegs();
    type_into(&mut w, "widths of brims", "4, 12");
    type_into(&mut w, "widths of rafts", "two");
    assert!(w.query_by_label_contains("type widths in mm").is_some());
    push(&mut w, "Study footings");
    assert!(w.state().session().footings_studied().is_none(), "not with what is not understood");
    type_into(&mut w, "widths of rafts", "3");
    push(&mut w, "Study footings");
    let rows = &w.state().session().footings_studied().expect("it ran").rows;
    let told: Vec<String> = rows.iter().map(|r| r.footing.words()).collect();
    assert_eq!(told[..4], ["bare", "brim 4 mm", "brim 12 mm", "raft 3 mm"]);
    assert!(rows[4..].iter().all(|r| r.is_suggested), "{told:?}");
}

/// From the sheet to brim against bare in two clicks.
#[test]
fn two_clicks_compare_the_plate_with_brims() {
    let places = [(0, 60.0, 60.0), (0, 120.0, 60.0)];
    let mut w = placed_window(&Files::samples(), &["queen-cage-peg.stl"], &places);
    push(&mut w, "Studies");
    push(&mut w, "This plate, two ways");
    let rows = w.state().session().plate_studied().expect("it ran").rows.clone();
    assert_eq!(rows.len(), 2);
    for r in &rows {
        w.get_by_label(&format!("plate, {}: 2 copies", r.variant.words()));
    }
    reach(&mut w, "use for this plate");
    push(&mut w, "use for this plate");
    assert!(footings(&w).iter().all(|f| f.1 == Footing::Brim { width_mm: 5.0 }));
    press(&mut w, Key::Z, Modifiers::COMMAND);
    // Another way, and it is compared at once.
    push(&mut w, "Studies");
    choose(&mut w, "second way", "all with raft 3 mm");
    w.run();
    let rows = &w.state().session().plate_studied().expect("it ran").rows;
    assert_eq!(rows[1].variant.words(), "all with raft 3 mm");
}

/// How many copies: rows, the best of them said in words, one laid out; out of date once the job changes.
#[test]
fn numbers_of_copies_are_compared_and_one_is_laid_out() {
    let mut w = pegs();
    push(&mut w, "How many copies");
    choose(&mut w, "what a failure spoils", "the plate");
    push(&mut w, "Study copies");
    let rows = w.state().session().copies_studied().expect("it ran").rows.clone();
    assert!(rows.len() > 20 && rows[0].copies == 1);
    for line in stonehand::studies::copies_advice(&rows, stonehand::batch::Spoils::Plate) {
        w.get_by_label(&line);
    }
    reach(&mut w, &rows[4].words());
    push(&mut w, &rows[4].words());
    w.get_by_label("plate with 5 copies");
    reach(&mut w, "plates spoilt at once, assumed");
    type_into(&mut w, "plates spoilt at once, assumed", "3");
    assert_eq!(w.state().session().job().assumptions.common_cause_percent, 3.0);
    w.get_by_label_contains("The job has changed since");
    press(&mut w, Key::Z, Modifiers::COMMAND);
    reach(&mut w, "lay out on a new plate (5 copies)");
    push(&mut w, "lay out on a new plate (5 copies)");
    assert_eq!(copies(&w).len(), 5);
    w.get_by_label_contains("Layer time and headroom");
}

/// Top up by a time: chosen, typed, told.
#[test]
fn top_up_by_a_time() {
    let places = [(0, 60.0, 60.0)];
    let mut w = placed_window(&Files::samples(), &["queen-cage-peg.stl"], &places);
    w.state_mut().session_mut().set_limits(ONE_ROUND);
    choose(&mut w, "how many copies", "as many as end by");
    let end_by = w.state().session().end_by().copied().expect("it is chosen");
    assert_eq!((end_by.start, end_by.end.to_string()), (None, "08:00".into()));
    type_into(&mut w, "start", "2026-11-30T16:30");
    type_into(&mut w, "end by", "soon");
    assert!(w.query_by_label_contains("write a time of day").is_some());
    type_into(&mut w, "end by", "2026-11-30T21:30");
    arrange(&mut w, "Top up");
    let told = w.state().session().in_time_told().expect("it is told").clone();
    assert_eq!(copies(&w).len(), 1 + told.added);
    assert!(told.time_s <= 5.0 * 3600.0, "{}", told.words);
    w.get_by_label_contains("sure to end by");
    choose(&mut w, "how many copies", "as many as fit");
    assert_eq!(w.state().session().end_by(), None);
}

/// Keys of the sheet do nothing to what is not in sight.
#[test]
fn delete_removes_nothing_that_is_not_seen() {
    let mut w = pegs();
    w.state_mut().session_mut().act(Action::SelectAll);
    w.run();
    for key in [Key::Delete, Key::R, Key::D, Key::F] {
        press(&mut w, key, Modifiers::NONE);
    }
    assert_eq!(copies(&w).len(), 3);
    press(&mut w, Key::Num1, Modifiers::COMMAND);
    press(&mut w, Key::Delete, Modifiers::NONE);
    assert_eq!(copies(&w).len(), 0);
}

#[test]
fn with_nothing_to_study_it_says_what_to_do() {
    let mut w = super::window_of(session(&Files::samples()));
    push(&mut w, "Studies");
    w.get_by_label_contains("Add a part first");
    push(&mut w, "This plate, two ways");
    w.get_by_label_contains("This plate is empty");
    let (_, mut w) = sample_window();
    push(&mut w, "Studies");
    w.get_by_label("part to study");
}

/// Pictures of the view. Accept new ones with `UPDATE_SNAPSHOTS=1`.
#[test]
fn the_view_looks_as_it_did() {
    let options =
        egui_kittest::SnapshotOptions::new().output_path("tests/snapshots").threshold(1.5).max_failed_pixels(400);
    let mut results = egui_kittest::SnapshotResults::new();
    for (theme, word) in [(egui::ThemePreference::Light, "light"), (egui::ThemePreference::Dark, "dark")] {
        let mut s = session(&Files::samples());
        s.set_limits(ONE_ROUND);
        s.act(Action::Open("/shop/hive-fittings.stonehand".into()));
        s.tick();
        let peg = s.job().parts.iter().find(|p| p.name == "queen-cage peg").expect("a peg").id;
        s.act(Action::SelectPart(peg));
        let app = App::new(s).with_theme(theme);
        let mut w =
            Harness::builder().with_size(Vec2::new(1280.0, 800.0)).with_max_steps(60).build_eframe(move |_| app);
        w.run();
        push(&mut w, "Studies");
        push(&mut w, "Study footings");
        w.remove_cursor();
        w.run();
        w.snapshot_options(format!("studies-{word}"), &options);
        push(&mut w, "This plate, two ways");
        w.remove_cursor();
        w.run();
        w.snapshot_options(format!("two-ways-{word}"), &options);
        results.extend_harness(&mut w);
    }
}
