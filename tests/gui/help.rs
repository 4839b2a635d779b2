//! The guide by key and by menu, every key in it, and hints that go away.

use egui::{Key, Modifiers, Vec2};
use egui_kittest::{
    Harness,
    kittest::{NodeT, Queryable},
};
use stonehand::gui::App;

use super::{Window, press, push, session, small_window, window_of, world::Files};

/// Is there something with these words in its name?
fn is_there(w: &Window, words: &str) -> bool {
    w.query_all_by_label_contains(words).count() > 0
}

/// A window with hints, as a person's is.
fn with_hints(files: &Files) -> Window {
    let app = App::new(session(files)).with_hints();
    let mut w = Harness::builder().with_size(Vec2::new(1280.0, 800.0)).with_max_steps(60).build_eframe(move |_| app);
    w.run();
    w
}

fn labels(w: &Window) -> Vec<String> {
    let words = |n: egui_kittest::Node<'_>| n.accesskit_node().label().or_else(|| n.accesskit_node().value());
    w.root().children_recursive().filter_map(words).collect()
}

fn buttons(w: &Window) -> Vec<String> {
    let all = w.root().children_recursive().filter(|n| n.accesskit_node().role() == egui::accesskit::Role::Button);
    all.filter_map(|n| n.accesskit_node().label()).collect()
}

#[test]
fn f1_opens_the_page_about_what_is_shown_and_escape_closes_it() {
    let mut empty = window_of(session(&Files::samples()));
    press(&mut empty, Key::F1, Modifiers::NONE);
    assert!(is_there(&empty, "The way of an order") && is_there(&empty, "Drawing: a mesh"));
    assert_eq!(empty.unnamed_widgets(), Vec::<String>::new());

    let (_, mut w) = small_window();
    for (tab, drawing) in [
        (Key::Num1, "Drawing: a bed with five copies"),
        (Key::Num2, "Drawing: a peg from the side"),
        (Key::Num3, "Drawing: a timeline of two machines"),
    ] {
        press(&mut w, tab, Modifiers::COMMAND);
        assert!(!is_there(&w, drawing));
        press(&mut w, Key::F1, Modifiers::NONE);
        assert!(is_there(&w, drawing), "{drawing}");
        press(&mut w, Key::Escape, Modifiers::NONE);
        assert!(!is_there(&w, drawing), "{drawing}");
    }
}

#[test]
fn cautions_name_who_decides() {
    let (_, mut w) = small_window();
    push(&mut w, "Help");
    push(&mut w, "Safety");
    for words in
        ["manufacturer, your site's rules, your insurer", "nobody present", "43 °C", "Ventilate", "highly flammable"]
    {
        assert!(is_there(&w, words), "{words}");
    }
}

#[test]
fn words_that_are_looked_for_bring_up_their_sections_alone() {
    let (_, mut w) = small_window();
    press(&mut w, Key::F1, Modifiers::NONE);
    w.get_by_label("search the guide").focus();
    w.run();
    w.get_by_label("search the guide").type_text("flammable");
    w.run();
    assert!(is_there(&w, "2-propanol") && !is_there(&w, "Drawing: a bed"));
    // Escape closes the guide, also from the field.
    press(&mut w, Key::Escape, Modifiers::NONE);
    assert!(!is_there(&w, "search the guide"));
    press(&mut w, Key::F1, Modifiers::NONE);
    w.get_by_label("search the guide").focus();
    w.run();
    w.get_by_label("search the guide").type_text("zoom strip");
    w.run();
    assert!(is_there(&w, "Zoom the height strip") && !is_there(&w, "Move by 1 mm"));
    w.get_by_label("search the guide").type_text(" xyzzy");
    w.run();
    assert!(is_there(&w, "Nothing in the guide has these words."));
}

/// What the menus show beside their items is what the guide lists: read off the open menus, not off the table behind both.
#[test]
fn every_key_that_a_menu_shows_is_in_the_guide() {
    let (_, mut w) = small_window();
    press(&mut w, Key::A, Modifiers::COMMAND);
    let bare = buttons(&w);
    let mut shown: Vec<(String, String)> = Vec::new();
    // Job, Change, Plate, View, Help.
    for letter in [Key::J, Key::C, Key::P, Key::V, Key::H] {
        press(&mut w, letter, Modifiers::ALT);
        let is_key = |word: &str| {
            word.split('+').all(|k| {
                k.chars().next().is_some_and(|c| c.is_ascii_uppercase() || c.is_ascii_digit() || "+-".contains(c))
            })
        };
        for label in buttons(&w).into_iter().filter(|l| !bare.contains(l)) {
            if let Some((name, keys)) = label.rsplit_once(' ').filter(|(_, keys)| *keys != "Stonehand" && is_key(keys))
            {
                shown.push((name.trim().to_owned(), keys.to_owned()));
            }
        }
        press(&mut w, Key::Escape, Modifiers::NONE);
    }
    assert!(shown.len() >= 25, "{shown:?}");
    press(&mut w, Key::F1, Modifiers::NONE);
    push(&mut w, "Keyboard shortcuts");
    let listed = labels(&w);
    for (name, keys) in &shown {
        let name = name.split(':').next().unwrap_or(name);
        assert!(listed.iter().any(|l| l == name), "{name} ({keys}) is missing");
    }
    for keys in ["Ctrl + S", "Ctrl + Shift + Z", "R", "Shift + P", "Delete", "PageDown", "F1", "Ctrl + 3"] {
        assert!(listed.iter().any(|l| l == keys), "{keys} is missing: {listed:?}");
    }
}

#[test]
fn hints_go_away_stay_away_and_can_be_brought_back() {
    let files = Files::samples();
    assert!(!is_there(&window_of(session(&files)), "Dismiss"));
    let mut w = with_hints(&files);
    let sheet = w.get_by_label("sheet").rect();
    let hint = w.get_by_label_contains("Drop meshes here").rect();
    assert!(hint.bottom() <= sheet.top() && hint.height() < 30.0, "it takes room of its own: {hint} {sheet}");
    assert_eq!(w.unnamed_widgets(), Vec::<String>::new());
    push(&mut w, "Guide");
    assert!(is_there(&w, "The way of an order"));
    press(&mut w, Key::Escape, Modifiers::NONE);
    push(&mut w, "Dismiss");
    assert!(!is_there(&w, "Drop meshes here"));
    assert!(w.get_by_label("sheet").rect().top() < sheet.top());
    // Those of other places are still there.
    press(&mut w, Key::Num3, Modifiers::COMMAND);
    assert!(is_there(&w, "Set your hours under Hours"));
    press(&mut w, Key::Num1, Modifiers::COMMAND);
    w.run_steps(8);

    let mut again = with_hints(&files);
    assert!(!is_there(&again, "Drop meshes here"));
    push(&mut again, "Help");
    push(&mut again, "Show hints again");
    assert!(is_there(&again, "Drop meshes here"));
    push(&mut again, "Help");
    assert!(!is_there(&again, "Show hints again"));
}

#[test]
fn a_small_window_with_large_text_keeps_the_guide_readable() {
    let files = Files::samples();
    files.put("/own/window.json", b"{\"text_percent\": 200}".to_vec());
    let mut w = with_hints(&files);
    press(&mut w, Key::F1, Modifiers::NONE);
    let screen = w.ctx.content_rect();
    for name in ["search the guide", "Shifts", "Close"] {
        let found: Vec<_> = w.query_all_by_label(name).map(|n| n.rect()).collect();
        assert!(found.iter().any(|r| screen.contains_rect(*r)), "{name}: {found:?} in {screen}");
    }
    let text = w.get_by_label_contains("Add parts. Drop mesh").rect();
    assert!(text.width() > 300.0 && screen.x_range().contains(text.right()), "{text} in {screen}");
}
