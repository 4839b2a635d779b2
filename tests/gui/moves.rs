//! Pack of a part of the plate, drops that make room or look for it, and a search that is taken.

use std::time::Duration;

use egui::{Key, Modifiers};
use egui_kittest::kittest::Queryable;
use stonehand::{document::Copy, geom::Point, session::Action};

use super::{
    ONE_ROUND, Window, arrange, click, copies, drag_holding, is_sound, on_screen, place, placed_window, press, push,
    searching_window, small_window, until, world::Files,
};

/// Locks a copy with the pointer and a key, and lets go of it.
fn lock(w: &mut Window, name: &str) {
    let at = on_screen(w, name);
    click(w, at, Modifiers::NONE);
    press(w, Key::L, Modifiers::NONE);
    press(w, Key::Escape, Modifiers::NONE);
}

/// One step back leads to `before`, and to the step that came before.
#[track_caller]
fn is_one_step(w: &mut Window, label: &str, before: &[Copy], step_before: &str) {
    assert_eq!(w.state().session().undo_label(), Some(label));
    press(w, Key::Z, Modifiers::COMMAND);
    assert_eq!(copies(w), before);
    assert_eq!(w.state().session().undo_label(), Some(step_before));
}

#[test]
fn only_what_is_selected_is_packed() {
    let (_files, mut w) = small_window();
    w.state_mut().session_mut().set_limits(ONE_ROUND);
    let before = copies(&w);
    let (first, third) = (on_screen(&w, "A 1, "), on_screen(&w, "A 3, "));
    click(&mut w, first, Modifiers::NONE);
    click(&mut w, third, Modifiers::SHIFT);
    push(&mut w, "Plate");
    arrange(&mut w, "Pack selected copies");
    let after = copies(&w);
    assert_eq!(after.len(), before.len());
    assert_eq!(after[1], before[1], "what is not selected stays");
    let between_mm = |c: &[Copy]| place(&c[0]).distance(place(&c[2]));
    assert!(between_mm(&after) < between_mm(&before) - 10.0, "{after:?}");
    assert!(is_sound(&w));
    is_one_step(&mut w, "Pack selected copies", &before, "Place a copy");
}

#[test]
fn copies_that_are_kept_where_they_are_stay_there() {
    let (_files, mut w) = small_window();
    w.state_mut().session_mut().set_limits(ONE_ROUND);
    lock(&mut w, "A 2, ");
    w.get_by_label_contains("A 2, corner bracket, at 140.0 60.0, locked");
    let before = copies(&w);
    arrange(&mut w, "Pack");
    let after = copies(&w);
    assert_eq!(after[1], before[1]);
    assert!(after[0] != before[0] || after[2] != before[2], "{after:?}");
    assert!(is_sound(&w));
    is_one_step(&mut w, "Pack this plate", &before, "Lock");

    // All of them: there is nothing to move, and it says so.
    press(&mut w, Key::A, Modifiers::COMMAND);
    press(&mut w, Key::L, Modifiers::NONE);
    let before = copies(&w);
    arrange(&mut w, "Pack");
    assert_eq!(copies(&w), before);
    w.get_by_label_contains("nothing here may be moved");
}

/// Two brackets side by side with 4 mm between them, a third far off, and over the second a locked one.
fn neighbours_window() -> Window {
    let places = [(0, 60.0, 60.0), (0, 110.0, 60.0), (0, 200.0, 140.0), (0, 110.0, 110.0)];
    let mut w = placed_window(&Files::samples(), &["corner-bracket.stl"], &places);
    // Tests are not held against the clock.
    w.state_mut().session_mut().set_drop_time(Duration::from_mins(1));
    assert!(is_sound(&w));
    lock(&mut w, "A 4, ");
    w
}

#[test]
fn neighbours_part_for_a_copy_let_go_with_ctrl() {
    let mut w = neighbours_window();
    let before = copies(&w);
    let [one, two, three] = ["A 1, ", "A 2, ", "A 3, "].map(|name| w.get_by_label_contains(name).rect().center());
    let from = on_screen(&w, "A 3, ");
    drag_holding(&mut w, from, one.lerp(two, 0.5) - three, Modifiers::COMMAND);
    let after = copies(&w);
    assert!(place(&after[2]).distance(Point::new(85.0, 60.0)) < 0.2, "it lies where it was let go: {after:?}");
    assert!(after[0] != before[0] && after[1] != before[1], "both were in the way: {after:?}");
    assert_eq!(after[3], before[3], "what is locked makes no room");
    assert!(is_sound(&w));
    is_one_step(&mut w, "Move", &before, "Lock");
}

#[test]
fn a_copy_let_go_with_alt_goes_to_the_nearest_free_place() {
    let (_files, mut w) = small_window();
    w.state_mut().session_mut().set_drop_time(Duration::from_mins(1));
    lock(&mut w, "A 3, ");
    let before = copies(&w);
    let [one, two] = ["A 1, ", "A 2, "].map(|name| w.get_by_label_contains(name).rect().center());
    let from = on_screen(&w, "A 2, ");
    // Seven eighths of the way from 140 to 60: on top of the first.
    let by = (one - two) * 0.875;
    drag_holding(&mut w, from, by, Modifiers::NONE);
    assert!(!is_sound(&w), "without a key it lies there");
    is_one_step(&mut w, "Move", &before, "Lock");

    let from = on_screen(&w, "A 2, ");
    drag_holding(&mut w, from, by, Modifiers::ALT);
    let after = copies(&w);
    assert_eq!((&after[0], &after[2]), (&before[0], &before[2]), "nobody else moves");
    assert!(is_sound(&w));
    // Beside the first there is room in any case: 46 mm of bracket and the gap of 3 to the right of it.
    let far_mm = place(&after[1]).distance(Point::new(70.0, 60.0));
    assert!(far_mm > 1.0 && far_mm < 109.0 - 70.0 + 0.5, "{far_mm}");
    is_one_step(&mut w, "Move", &before, "Lock");
}

#[test]
fn a_search_says_how_it_stands_and_what_is_taken_is_one_step() {
    let mut w = searching_window();
    let session = w.state_mut().session_mut();
    let gate = session.job().parts.iter().find(|p| p.name == "entrance gate").expect("the sample has gates").id;
    session.act(Action::NewPlate);
    session.act(Action::SelectPart(gate));
    w.run();
    let before = w.state().session().job().clone();
    // An empty sheet offers it too.
    w.get_all_by_label("Top up").next().expect("the move").click();
    // While it runs, in one line: copies, density, the bound and what gave it, time.
    let line = |w: &Window| w.query_by_label_contains(" of 60 s").and_then(|n| n.value()).unwrap_or_default();
    let parts = [" copies, ", " % covered, ", "at most ", " can fit (by "];
    until(&mut w, &|w| parts.iter().all(|part| line(w).contains(part)));
    assert_eq!(w.state().session().job(), &before, "the job itself waits");
    // A line more or less has moved the buttons: they come to rest before a hand is there.
    w.run_steps(3);
    w.get_by_label("Take best so far").click();
    until(&mut w, &|w| w.state().session().arranging().is_none());

    // And after: copies, density and bound.
    let session = w.state().session();
    let many = copies(&w).len();
    let bound = session.plate_id().and_then(|p| session.bound(p)).expect("the bound is kept");
    assert!(many > 1 && bound.value >= many as u64, "{many} copies, at most {}", bound.value);
    let covered = 100.0 * session.plate_id().and_then(|p| session.density(p)).expect("there are copies");
    let (most, by) = (bound.value, bound.kind.words());
    w.get_by_label_contains(&format!("{many} copies, {covered:.1} % covered; at most {most} can fit ({by})"));
    assert!(is_sound(&w));
    assert_eq!(session.undo_label(), Some("Top up"));
    press(&mut w, Key::Z, Modifiers::COMMAND);
    assert_eq!(w.state().session().job(), &before);
}
