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

use super::{Answers, Window, press, push, reach, session, type_into, world::Files};

/// Three plates of brackets on the first of some equal machines, Monday 30 November 2026, 16:30 UTC.
fn shop(machines: usize) -> Session {
    shop_over(&Files::samples(), machines)
}

fn shop_over(files: &Files, machines: usize) -> Session {
    let mut s = session(files);
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
    w.query_all_by_label("Open on the sheet").last().expect("in the menu").click();
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
    assert_eq!(w.query_all_by_label("Open on the sheet").count(), 2, "in the panel and in the menu");
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

fn focused(w: &Window) -> Option<String> {
    w.root().children_recursive().find(egui_kittest::Node::is_focused).and_then(|n| n.accesskit_node().label())
}

/// Presses Tab until what is called so has the keyboard.
#[track_caller]
fn tab_to(w: &mut Window, name: &str) {
    let mut seen = Vec::new();
    for _ in 0..160 {
        if focused(w).is_some_and(|l| l.starts_with(name)) {
            return;
        }
        w.key_press(Key::Tab);
        w.run_steps(2);
        seen.extend(focused(w));
    }
    panic!("Tab never came to {name}: {seen:?}");
}

/// Types over what a field holds, and takes it with Enter.
fn type_over(w: &mut Window, text: &str) {
    w.event(egui::Event::Text(text.into()));
    w.run_steps(2);
    w.key_press(Key::Enter);
    w.run_steps(4);
}

fn enter(w: &mut Window) {
    w.key_press(Key::Enter);
    w.run_steps(4);
}

/// Everything of the view without a pointer: a bar reached and moved, its plate started and ended, hours changed, the plate opened.
#[test]
fn the_whole_round_with_keys_alone() {
    let app = App::new(shop(3)).with_theme(egui::ThemePreference::Light);
    let mut w = Harness::builder().with_size(Vec2::new(1280.0, 800.0)).with_max_steps(60).build_eframe(move |_| app);
    w.run_steps(4);
    push_tab(&mut w);
    let all = plates(&w);
    let run = |w: &Window, id| w.state().session().job().plate(id).expect("there").run;
    tab_to(&mut w, "Plate 1 on Bench 1, ");
    w.key_press(Key::ArrowRight);
    w.run_steps(3);
    w.key_press_modifiers(Modifiers::ALT, Key::ArrowDown);
    w.run_steps(3);
    assert!(places(&w).contains(&(all[1].0, "Bench 2".into())), "{:?}", places(&w));
    assert!(
        focused(&w).is_some_and(|l| l.starts_with("Plate 3 on Bench 2, ") && l.contains("2 copies")),
        "{:?}",
        focused(&w)
    );
    enter(&mut w);
    assert_eq!(w.state().session().plate_id(), Some(all[1]));
    tab_to(&mut w, "Mark as started");
    enter(&mut w);
    assert!(run(&w, all[1]).is_running());
    tab_to(&mut w, "Mark as ended");
    enter(&mut w);
    assert!(run(&w, all[1]).ended.is_some() && !run(&w, all[1]).failed);
    tab_to(&mut w, "Tuesday");
    type_over(&mut w, "7-19");
    let hours = w.state().session().job().shifts.hours.clone();
    assert_eq!((hours.week[1][0].from.to_string(), hours.week[1][0].to.to_string()), ("07:00".into(), "19:00".into()));
    // A bar of a plate that has ended is reached as well, from the bar above it.
    tab_to(&mut w, "Plate 1 on Bench 1, ");
    w.key_press(Key::ArrowDown);
    w.run_steps(3);
    assert!(focused(&w).is_some_and(|l| l.starts_with("Plate 3 on Bench 2, ended")), "{:?}", focused(&w));
    w.key_press(Key::ArrowUp);
    w.run_steps(3);
    enter(&mut w);
    assert!(w.query_by_label("sheet").is_none(), "the first Enter selects");
    enter(&mut w);
    assert!(w.query_by_label("sheet").is_some(), "the second one opens the plate");
    assert_eq!(w.state().session().plate_id(), Some(all[0]));
    push_tab(&mut w);
    tab_to(&mut w, "Open on the sheet");
    enter(&mut w);
    assert!(w.query_by_label("sheet").is_some());
}

/// The bars of rows out of sight are reached, and brought into sight.
#[test]
fn tab_and_arrows_come_to_rows_out_of_sight() {
    let mut s = shop(20);
    let (plate, machine) = (s.job().plates[2].id, s.job().machines[19].id);
    s.act(Action::MoveRun { plate, machine, before: None });
    let mut w = window(s, Vec2::new(1280.0, 700.0), egui::ThemePreference::Dark);
    let board = |w: &Window| w.get_by_label("timeline").rect();
    w.get_by_label_contains("Plate 1 on Bench 1, ").focus();
    w.run_steps(3);
    w.key_press(Key::ArrowDown);
    w.run_steps(40);
    assert!(focused(&w).is_some_and(|l| l.starts_with("Plate 3 on Bench 20")), "{:?}", focused(&w));
    let (last, whole) = (w.get_by_label_contains("Plate 3 on Bench 20, ").rect(), board(&w));
    assert!(whole.top() < 0.0 || whole.bottom() < 700.0, "it was scrolled: {whole:?}");
    assert!(last.bottom() < 560.0, "{last:?}");
    w.key_press(Key::ArrowUp);
    w.run_steps(40);
    assert!(focused(&w).is_some_and(|l| l.contains(" on Bench 1, ")), "{:?}", focused(&w));
    let first = w.get_by_label_contains("Plate 1 on Bench 1, ").rect();
    assert!(first.top() > 60.0, "{first:?}");
}

/// In a narrow window the column at the right stands below the timeline: everything has a name, and nothing is wider than the window.
#[test]
fn narrow_windows_fold_the_column_below_the_timeline() {
    for width in [800.0, 1000.0, 1100.0] {
        let mut w = window(shop(3), Vec2::new(width, 700.0), egui::ThemePreference::Light);
        assert_eq!(w.unnamed_widgets(), Vec::<String>::new());
        for name in [
            "Monday",
            "part removal",
            "Add a day",
            "Improve the sequence",
            "Save plan as calendar…",
            "Save plan as table…",
            "Mark as started",
        ] {
            reach(&mut w, name);
            w.run_steps(4);
            let rect = w.get_by_label(name).rect();
            assert!(rect.left() >= 0.0 && rect.right() <= width - 14.0, "{name} at {width}: {rect:?}");
            assert!(rect.top() >= 0.0 && rect.bottom() <= 700.0, "{name} at {width}: {rect:?}");
        }
        let board = w.get_by_label("timeline").rect();
        assert!(board.width() > 250.0 && board.right() <= width - 14.0, "{board:?}");
        type_into(&mut w, "Monday", "8-12");
        assert_eq!(w.state().session().job().shifts.hours.week[0][0].to.to_string(), "12:00");
    }
}

#[test]
fn the_plan_is_saved_from_the_window_and_nothing_is_overwritten_unasked() {
    let files = Files::samples();
    let s = shop_over(&files, 2);
    let app = App::new(s).with_picker(std::sync::Arc::new(Answers(vec!["/shop/week".into()])));
    let mut w = Harness::builder().with_size(Vec2::new(1280.0, 800.0)).with_max_steps(60).build_eframe(move |_| app);
    w.run_steps(4);
    push_tab(&mut w);
    let saved = |w: &mut Window, name: &str, file: &str| {
        push(w, name);
        for _ in 0..200 {
            w.step();
            std::thread::sleep(std::time::Duration::from_millis(2));
            if files.get(file).is_some() && w.query_all_by_label_contains("plan saved as").count() > 0
                || w.query_by_label("Overwrite this file?").is_some()
            {
                return;
            }
        }
        panic!("nothing came of {name}");
    };
    saved(&mut w, "Save plan as calendar…", "/shop/week.ics");
    let ics = files.get("/shop/week.ics").expect("it gets its ending");
    assert!(ics.starts_with(b"BEGIN:VCALENDAR"));
    saved(&mut w, "Save plan as table…", "/shop/week.csv");
    assert!(files.get("/shop/week.csv").expect("there").starts_with(b"machine,plate,"));
    // The dialog knew "week", not "week.ics": the window asks.
    files.put("/shop/week.ics", b"theirs".to_vec());
    push(&mut w, "Save plan as calendar…");
    super::until(&mut w, &|w| w.query_by_label("Overwrite this file?").is_some());
    w.get_by_label("Cancel").click();
    w.run_steps(3);
    assert_eq!(files.get("/shop/week.ics").as_deref(), Some(&b"theirs"[..]));
    push(&mut w, "Save plan as calendar…");
    super::until(&mut w, &|w| w.query_by_label("Overwrite this file?").is_some());
    w.get_by_label("Overwrite").click();
    w.run_steps(3);
    assert_eq!(files.get("/shop/week.ics"), Some(ics));
}
