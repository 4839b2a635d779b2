//! A plate tallied on the sheet, what it teaches, and the checklist.

use egui::{Key, Modifiers};
use egui_kittest::kittest::Queryable;
use stonehand::{
    document::Cause,
    session::{Action, TallyEntry},
};

use super::{Window, click, copies, on_screen, press, small_window, type_into};

fn outcomes(w: &Window) -> Vec<stonehand::document::PlateOutcome> {
    w.state().session().job().tally.outcomes().to_vec()
}

#[test]
fn copies_are_marked_on_the_sheet_and_written_down() {
    let (_, mut w) = small_window();
    w.get_by_label("Tally plate…").click();
    w.run();
    w.get_by_label("Tally of plate 1");
    assert_eq!(w.unnamed_widgets(), Vec::<String>::new());
    let before = copies(&w);
    // A click marks, a second one takes it back; a drag moves nothing.
    let (a, b) = (on_screen(&w, "A 1, "), on_screen(&w, "A 2, "));
    for at in [a, b, b] {
        click(&mut w, at, Modifiers::NONE);
    }
    super::drag(&mut w, b, egui::Vec2::new(40.0, -30.0));
    assert_eq!(copies(&w), before);
    press(&mut w, Key::Escape, Modifiers::NONE);
    w.get_by_label("good copies 2");
    type_into(&mut w, "hours", "2.5");
    type_into(&mut w, "initials", "JK");
    w.get_by_label("Write it down").click();
    w.run();
    let all = outcomes(&w);
    assert_eq!((all.len(), all[0].good(), all[0].actual_s, all[0].by.as_str()), (1, 2, 9000.0, "JK"));
    assert_eq!(all[0].copies[0].bad, Some(Cause::CameLoose));
    assert!(w.query_by_label("Tally of plate 1").is_none(), "the form is closed");
    w.get_by_label_contains("tallied 2 good, 1 bad");
    // One step back.
    press(&mut w, Key::Z, Modifiers::COMMAND);
    assert!(outcomes(&w).is_empty());
}

#[test]
fn what_does_not_agree_cannot_be_written_down() {
    let (_, mut w) = small_window();
    press(&mut w, Key::T, Modifiers::COMMAND);
    type_into(&mut w, "bad copies", "Z 9");
    w.get_by_label_contains("there is no copy \"Z 9\" on it");
    w.get_by_label("Write it down").click();
    w.run();
    assert!(outcomes(&w).is_empty());
    w.get_by_label("Close without writing").click();
    w.run();
    assert!(w.query_by_label("Tally of plate 1").is_none());
}

#[test]
fn what_plates_teach_is_used_on_request() {
    let (_, mut w) = small_window();
    let s = w.state_mut().session_mut();
    let plate = s.plate_id().expect("a plate");
    for k in 0..10 {
        let bad_copies = if k == 3 { vec![("A 1".to_owned(), Some(Cause::Warped))] } else { Vec::new() };
        let entry = TallyEntry { bad_copies, ..TallyEntry::all_good(plate, 20.0) };
        s.act(Action::Tally(Box::new(entry)));
    }
    s.tick();
    press(&mut w, Key::Num2, Modifiers::COMMAND);
    w.get_by_label("Tally").click();
    w.run();
    w.get_by_label_contains("10 plates: 30 copies");
    assert_eq!(w.unnamed_widgets(), Vec::<String>::new());
    w.get_by_label("Use this: Copies that fail").click();
    w.run();
    // Jeffreys: 1.5 of 31.
    assert_eq!(w.state().session().job().assumptions.failing_percent, 4.84);
    assert!(w.query_by_label("Use this: Copies that fail").is_none());
    // On the sheet they can be marked.
    w.get_by_label("Remove plate 1, run 10 from the tally").click_accesskit();
    w.run();
    assert_eq!(outcomes(&w).len(), 9);
}

#[test]
fn the_checklist_is_ticked_by_name() {
    let (_, mut w) = small_window();
    w.get_by_label("Checklist: 8 of 8 open").click();
    w.run();
    type_into(&mut w, "initials of who looks", "JK");
    w.get_by_label("Surface clean").click();
    w.run();
    let ticks = &w.state().session().job().readiness.ticks;
    assert_eq!((ticks.len(), ticks[0].by.as_str()), (1, "JK"));
    w.get_by_label_contains("Checklist: 7 of 8 open");
    type_into(&mut w, "further items", "Door shut; fan on");
    w.get_by_label("Door shut");
    w.get_by_label_contains("Checklist: 9 of 10 open");
}
