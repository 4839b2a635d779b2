//! The view *Shifts*: bars by name, dragged and moved by keys; plates marked; hours typed.

use egui::{Key, Modifiers, Pos2, Vec2};
use egui_kittest::{
    Harness,
    kittest::{NodeT, Queryable},
};
use stonehand::{
    document::{Machine, PlateId},
    geom::Point,
    gui::App,
    session::{Action, RunMark, Session},
};

use super::{Window, press, push, reach, session, type_into, world::Files};

/// Three plates of brackets on the first of some equal machines, Monday 30 November 2026, 16:30 UTC.
fn shop(machines: usize) -> Session {
    let mut s = session(&Files::samples());
    s.act(Action::AddFiles(vec!["/shop/corner-bracket.stl".into()]));
    s.tick();
    let part = s.job().parts[0].id;
    for n in 1..=3 {
        if n > 1 {
            s.act(Action::NewPlate);
        }
        for k in 0..n {
            s.act(Action::PlaceAt(part, Point::new(50.0 + 60.0 * f64::from(k), 60.0)));
            s.tick();
        }
    }
    let first = s.job().machines[0].clone();
    let others: Vec<_> = s.job().machines.iter().skip(1).cloned().collect();
    for m in others {
        s.act(Action::RemoveMachine(m.id));
    }
    for n in 2..=machines {
        s.act(Action::AddMachine(Box::new(Machine { name: format!("Bench {n}"), ..first.clone() })));
    }
    let mut shifts = s.job().shifts.clone();
    shifts.hours.time_zone = "UTC".into();
    s.act(Action::SetShifts(Box::new(shifts)));
    let first = s.job().plates[0].id;
    s.act(Action::ShowPlate(first));
    s.set_now("2026-11-30T16:30:00Z".parse().ok());
    s.tick();
    assert_eq!(s.take_notices().iter().filter(|n| n.fault).count(), 0);
    s
}

fn window(session: Session, size: Vec2, theme: egui::ThemePreference) -> Window {
    let app = App::new(session).with_theme(theme);
    let mut w = Harness::builder().with_size(size).with_max_steps(60).build_eframe(move |_| app);
    w.run_steps(4);
    push_tab(&mut w);
    w
}

/// To the view by its keys. The line of the time now asks for frames without end, so steps are counted.
fn push_tab(w: &mut Window) {
    w.key_press_modifiers(Modifiers::COMMAND, Key::Num3);
    w.run_steps(4);
}

fn shifts(machines: usize) -> Window {
    window(shop(machines), Vec2::new(1280.0, 800.0), egui::ThemePreference::Light)
}

fn plates(w: &Window) -> Vec<PlateId> {
    w.state().session().job().plates.iter().map(|p| p.id).collect()
}

/// The machine of each plate, by the docket's order.
fn places(w: &Window) -> Vec<(u32, String)> {
    let job = w.state().session().job();
    let name = |p: &stonehand::document::Plate| job.machine(p.machine).expect("a machine").name.clone();
    job.plates.iter().map(|p| (p.id.0, name(p))).collect()
}

fn bar(w: &Window, plate: usize, machine: &str) -> egui::Rect {
    w.get_by_label_contains(&format!("Plate {plate} on {machine}, ")).rect()
}

#[test]
fn every_bar_has_a_name_and_a_click_selects_its_plate() {
    let mut w = shifts(3);
    let second = plates(&w)[1];
    let label = w.get_by_label_contains("Plate 2 on Bench 1, ").accesskit_node().label().expect("a name");
    assert!(label.starts_with("Plate 2 on Bench 1, Tue ") && label.contains(", 2 copies"), "{label}");
    let at = bar(&w, 2, "Bench 1").center();
    super::click(&mut w, at, Modifiers::NONE);
    assert_eq!(w.state().session().plate_id(), Some(second));
    w.get_by_label_contains("Bench 1: start plate 1 now; it ends Mon ");
    w.get_by_label("Bench 3: nothing planned");
    w.get_by_label("Improve the sequence");
    assert_eq!(w.unnamed_widgets(), Vec::<String>::new());
    // Its menu opens it on the sheet.
    for pressed in [true, false] {
        let button = egui::PointerButton::Secondary;
        w.event(egui::Event::PointerButton { pos: at, button, pressed, modifiers: Modifiers::NONE });
    }
    w.run_steps(4);
    w.get_by_label("Open on the sheet").click();
    w.run_steps(4);
    assert!(w.query_by_label("sheet").is_some());
}

#[test]
fn a_bar_is_dragged_to_another_machine_and_escape_lets_go() {
    let mut w = shifts(3);
    let before = places(&w);
    let from = bar(&w, 3, "Bench 1").center();
    // One row down, as far as the rows are apart.
    let row = w.get_by_label("timeline").rect();
    let each = (row.height() - 38.0) / 3.0;
    let to = from + Vec2::new(0.0, each);
    let begin = |w: &mut Window| {
        w.hover_at(from);
        w.step();
        w.drag_at(from);
        w.step();
        for i in 1..=4 {
            w.hover_at(from + Vec2::new(0.0, each * i as f32 / 4.0));
            w.step();
        }
        w.step();
    };
    begin(&mut w);
    // The preview answers while it is dragged: the bar stands on the other machine, and nothing has happened yet.
    let there = bar(&w, 3, "Bench 2");
    assert!((there.center().y - to.y).abs() < each / 2.0, "{there:?} {to:?}");
    assert_eq!(places(&w), before);
    w.key_press(Key::Escape);
    w.step();
    w.drop_at(to);
    w.run_steps(3);
    assert_eq!(places(&w), before, "Escape lets go");
    begin(&mut w);
    w.drop_at(to);
    w.run_steps(3);
    assert_eq!(places(&w)[2].1, "Bench 2");
    assert_eq!(w.state().session().undo_label(), Some("Move plate in sequence"));
    press(&mut w, Key::Z, Modifiers::COMMAND);
    assert_eq!(places(&w), before);
}

#[test]
fn bars_are_reached_and_moved_by_keys() {
    let mut w = shifts(3);
    let all = plates(&w);
    w.get_by_label_contains("Plate 1 on Bench 1, ").focus();
    w.run_steps(3);
    let focused = |w: &Window| {
        w.root().children_recursive().find(egui_kittest::Node::is_focused).and_then(|n| n.accesskit_node().label())
    };
    w.key_press(Key::ArrowRight);
    w.run_steps(3);
    assert!(focused(&w).is_some_and(|l| l.starts_with("Plate 2 on Bench 1")), "{:?}", focused(&w));
    w.key_press_modifiers(Modifiers::ALT, Key::ArrowLeft);
    w.run_steps(3);
    assert_eq!(plates(&w), [all[1], all[0], all[2]]);
    assert!(
        focused(&w).is_some_and(|l| l.starts_with("Plate 1 on Bench 1")),
        "it keeps the keyboard: {:?}",
        focused(&w)
    );
    w.key_press_modifiers(Modifiers::ALT, Key::ArrowDown);
    w.run_steps(3);
    assert!(places(&w).contains(&(all[1].0, "Bench 2".into())), "{:?}", places(&w));
    // Enter selects.
    w.key_press(Key::Enter);
    w.run_steps(3);
    assert_eq!(w.state().session().plate_id(), Some(all[1]));
    // Tab comes to bars.
    let mut seen = Vec::new();
    for _ in 0..70 {
        w.key_press(Key::Tab);
        w.run_steps(2);
        seen.extend(focused(&w));
    }
    for wanted in ["Plate 1 on", "plan starts", "Monday", "part removal", "Improve the sequence"] {
        assert!(seen.iter().any(|l| l.starts_with(wanted)), "Tab never came to {wanted}: {seen:?}");
    }
}

#[test]
fn plates_are_marked_from_the_panel_and_from_the_menu() {
    let mut w = shifts(2);
    let all = plates(&w);
    push(&mut w, "Mark as started");
    let run = |w: &Window, id| w.state().session().job().plate(id).expect("there").run;
    assert!(run(&w, all[0]).is_running());
    w.get_by_label_contains("Bench 1: runs plate 1 until ");
    push(&mut w, "Mark as failed");
    assert!(run(&w, all[0]).failed);
    w.get_by_label_contains("Plate 1 on Bench 1, failed ");
    push(&mut w, "Mark as not started");
    // The menu of a bar.
    let at = bar(&w, 2, "Bench 1").center();
    w.hover_at(at);
    w.step();
    for pressed in [true, false] {
        let button = egui::PointerButton::Secondary;
        w.event(egui::Event::PointerButton { pos: at, button, pressed, modifiers: Modifiers::NONE });
        w.step();
    }
    w.run_steps(3);
    w.get_by_label("Open on the sheet");
    let fix = w.query_all_by_label("Fix machine and place").last().expect("in the menu");
    fix.click();
    w.run_steps(3);
    assert!(run(&w, all[1]).fixed);
    // Not before a time.
    type_into(&mut w, "not before", "2026-12-02 10:00");
    assert_eq!(run(&w, all[0]).not_before, "2026-12-02T10:00:00Z".parse().ok());
    w.state_mut().session_mut().act(Action::MarkRun(all[0], RunMark::NotBefore(None)));
}

#[test]
fn hours_are_typed_and_nonsense_stays_with_its_reason() {
    let mut w = shifts(2);
    type_into(&mut w, "Monday", "8-12, 13-18");
    let hours = |w: &Window| w.state().session().job().shifts.hours.clone();
    assert_eq!(hours(&w).week[0].len(), 2);
    assert_eq!(w.state().session().undo_label(), Some("Change hours"));
    type_into(&mut w, "Tuesday", "eight to five");
    assert!(w.query_by_label_contains("is not a time of day; write hours and minutes").is_some());
    assert_eq!(hours(&w).week[1].len(), 1);
    press(&mut w, Key::Escape, Modifiers::NONE);
    reach(&mut w, "Add a day");
    push(&mut w, "Add a day");
    reach(&mut w, "days of exception 1");
    type_into(&mut w, "days of exception 1", "2026-12-24 to 2026-12-26");
    assert_eq!(hours(&w).exceptions[0].to.to_string(), "2026-12-26");
    reach(&mut w, "Add a downtime of Bench 2");
    push(&mut w, "Add a downtime of Bench 2");
    assert_eq!(w.state().session().job().machines[1].downtimes.len(), 1);
    reach(&mut w, "plan starts");
    type_into(&mut w, "plan starts", "2026-12-01 08:00");
    assert_eq!(w.state().session().timeline().expect("a plan").calendar.words(0), "Tue 08:00");
    reach(&mut w, "part removal");
    type_into(&mut w, "part removal", "10 min");
    assert_eq!(w.state().session().job().shifts.changeover.removal_s, 600.0);
}

#[test]
fn the_sequence_is_improved_from_the_window() {
    let mut w = shifts(3);
    w.state_mut().session_mut().set_limits(super::ONE_ROUND);
    let before = w.state().session().timeline().expect("a plan").plan.cost;
    push(&mut w, "Improve the sequence");
    w.state_mut().session_mut().tick();
    w.run_steps(3);
    let after = w.state().session().timeline().expect("a plan").plan.cost;
    assert!(after < before, "{after:?} {before:?}");
    assert_eq!(w.state().session().undo_label(), Some("Improve the sequence"));
}

#[test]
fn the_wheel_zooms_and_a_double_click_shows_the_whole_plan() {
    let mut w = shifts(2);
    let wide = bar(&w, 3, "Bench 1").width();
    let board = w.get_by_label("timeline").rect();
    let at = Pos2::new(board.center().x, board.bottom() - 8.0);
    w.hover_at(at);
    w.step();
    w.event(egui::Event::Zoom(1.5));
    w.run_steps(4);
    assert!(w.query_by_label("whole plan").is_some());
    push(&mut w, "whole plan");
    w.run_steps(3);
    assert!((bar(&w, 3, "Bench 1").width() - wide).abs() < 0.5);
}

/// With 20 machines every row can be reached, and with 3 the rows are high.
#[test]
fn three_machines_and_twenty() {
    for (machines, size) in
        [(3, Vec2::new(2560.0, 1440.0)), (20, Vec2::new(1280.0, 800.0)), (20, Vec2::new(2560.0, 1440.0))]
    {
        let w = window(shop(machines), size, egui::ThemePreference::Dark);
        let board = w.get_by_label("timeline").rect();
        let row = (board.height() - 38.0) / machines as f32;
        assert!(row >= 29.5, "{machines} at {size:?}: {row}");
        let first = bar(&w, 1, "Bench 1");
        assert!(first.height() > 10.0 && first.width() > 2.0, "{first:?}");
        assert_eq!(w.unnamed_widgets(), Vec::<String>::new());
    }
}
