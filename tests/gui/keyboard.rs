//! Menus, focus and text size by keyboard.

use egui::{Key, Modifiers, Vec2};
use egui_kittest::{
    Harness,
    kittest::{NodeT, Queryable},
};
use stonehand::{gui::App, session::Action};

use super::{Window, copies, on_screen, press, push, session, small_window, window_of, world::Files};

fn focused(w: &Window) -> Option<String> {
    w.root().children_recursive().find(egui_kittest::Node::is_focused).and_then(|n| n.accesskit_node().label())
}

#[test]
fn f10_and_alt_with_a_letter_open_menus() {
    let (_, mut w) = small_window();
    let before = copies(&w);
    for (key, modifiers, item) in [
        (Key::F10, Modifiers::NONE, "Save job as…"),
        (Key::P, Modifiers::ALT, "Pack this plate"),
        (Key::V, Modifiers::ALT, "Measure a distance"),
        (Key::C, Modifiers::ALT, "Select all on this plate"),
        (Key::H, Modifiers::ALT, "About Stonehand"),
        (Key::J, Modifiers::ALT, "Save job as…"),
    ] {
        assert_eq!(w.query_all_by_label_contains(item).count(), 0, "{item}");
        press(&mut w, key, modifiers);
        assert!(w.query_all_by_label_contains(item).count() > 0, "{item}");
        press(&mut w, Key::Escape, Modifiers::NONE);
    }
    assert!(w.state().session().arranging().is_none());
    assert_eq!(copies(&w), before, "Alt + P is a menu, not Pack");
    // An Alt letter without a menu does nothing either.
    press(&mut w, Key::A, Modifiers::COMMAND);
    press(&mut w, Key::L, Modifiers::ALT);
    assert!(copies(&w).iter().all(|c| !c.locked));
}

#[test]
fn arrows_walk_through_menus_and_enter_takes_an_item() {
    let (_, mut w) = small_window();
    press(&mut w, Key::F10, Modifiers::NONE);
    assert_eq!(focused(&w).as_deref(), Some("Job"));
    press(&mut w, Key::ArrowRight, Modifiers::NONE);
    assert_eq!(focused(&w).as_deref(), Some("Change"));
    assert!(w.query_all_by_label_contains("Select all on this plate").count() > 0);
    press(&mut w, Key::ArrowLeft, Modifiers::NONE);
    press(&mut w, Key::ArrowLeft, Modifiers::NONE);
    assert_eq!(focused(&w).as_deref(), Some("Help"), "round the end");
    press(&mut w, Key::ArrowDown, Modifiers::NONE);
    assert!(focused(&w).is_some_and(|l| l.starts_with("Guide")), "{:?}", focused(&w));
    press(&mut w, Key::ArrowDown, Modifiers::NONE);
    assert!(focused(&w).is_some_and(|l| l.starts_with("Keyboard shortcuts")), "{:?}", focused(&w));
    press(&mut w, Key::Enter, Modifiers::NONE);
    w.get_by_label("Ctrl + Shift + S");
}

#[test]
fn tab_begins_at_the_top_and_not_in_the_sheet() {
    let files = Files::samples();
    let mut w = window_of(session(&files));
    press(&mut w, Key::Tab, Modifiers::NONE);
    assert_eq!(focused(&w).as_deref(), Some("Job"));
    let mut seen = Vec::new();
    for _ in 0..12 {
        press(&mut w, Key::Tab, Modifiers::NONE);
        seen.extend(focused(&w));
    }
    let place = |name: &str| seen.iter().position(|l| l == name);
    assert!(place("Change") < place("Add part…") && place("Add part…") < place("gap"), "{seen:?}");
    assert!(place("gap").is_some(), "{seen:?}");
}

#[test]
fn what_has_the_keyboard_is_brought_into_sight() {
    let (_, mut w) = super::sample_window();
    let foot = |w: &Window| w.get_by_label("New plate").rect().top();
    w.get_by_label_contains("plate 7, ").focus();
    w.run();
    assert!(w.get_by_label_contains("plate 7, ").rect().bottom() <= foot(&w) + 0.5);
}

#[test]
fn text_size_and_panel_sizes_are_there_in_the_next_run() {
    let files = Files::samples();
    let mut w = window_of(session(&files));
    push(&mut w, "View");
    w.get_by_label_contains("Text size").click();
    w.run();
    push(&mut w, "125 %");
    w.run();
    let sheet = w.get_by_label("sheet").rect();
    w.get_by_label("width of the order").focus();
    w.run();
    for _ in 0..3 {
        press(&mut w, Key::ArrowRight, Modifiers::NONE);
    }
    assert!((w.get_by_label("sheet").rect().left() - sheet.left() - 30.0).abs() < 1.5);
    let wider = w.get_by_label("sheet").rect();
    push(&mut w, "View");
    push(&mut w, "Chalk on slate");
    // Kept once all is quiet for a second; a step of the test's clock is a quarter.
    w.run_steps(8);
    let kept = String::from_utf8(files.get("/own/window.json").expect("it is kept")).expect("text");
    assert!(kept.contains("\"text_percent\": 125") && kept.contains("\"dark\""), "{kept}");
    assert!(kept.len() < 1000);

    let app = App::new(session(&files));
    let mut again =
        Harness::builder().with_size(Vec2::new(1280.0, 800.0)).with_max_steps(60).build_eframe(move |_| app);
    again.run();
    assert!((again.ctx.zoom_factor() - 1.25).abs() < 1e-6);
    assert_eq!(again.ctx.theme(), egui::Theme::Dark);
    assert!((again.get_by_label("sheet").rect().left() - wider.left()).abs() < 1.5);
}

#[test]
fn damaged_settings_are_as_none() {
    let files = Files::samples();
    files.put("/own/window.json", b"{\"panels\": {\"left\": 1e30}, \"text_percent\": 7}".to_vec());
    let w = window_of(session(&files));
    assert!((w.ctx.zoom_factor() - 1.0).abs() < 1e-6);
    assert!(w.get_by_label("sheet").rect().width() > 300.0);
}

#[test]
fn presses_in_one_frame_all_count() {
    let (_, mut w) = small_window();
    let at = on_screen(&w, "A 1, ");
    super::click(&mut w, at, Modifiers::NONE);
    let key = |pressed| egui::Event::Key {
        key: Key::R,
        physical_key: None,
        pressed,
        repeat: false,
        modifiers: Modifiers::NONE,
    };
    w.input_mut().events.extend([key(true), key(false), key(true), key(false)]);
    w.step();
    w.run();
    assert_eq!(copies(&w)[0].turn_deg, 180.0);
    w.state_mut().session_mut().act(Action::SelectNone);
}
