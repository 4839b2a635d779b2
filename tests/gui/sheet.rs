//! The sheet: the bed from the start, keep-outs by hand, copies onto the docket, rows before they are filled.

use egui::{Key, Modifiers, Vec2};
use egui_kittest::kittest::Queryable;
use stonehand::{geom::Bounds, session::Action};

use super::{Window, click, copies, drag, on_screen, press, push, session, small_window, window_of, world::Files};

fn keep_outs(w: &Window) -> Vec<Bounds> {
    let s = w.state().session();
    let machine = s.plate().and_then(|p| s.job().machine(p.machine)).expect("a plate is shown");
    machine.keep_outs.iter().map(|k| Bounds::of(k.outline.iter().copied())).collect()
}

/// Every text that is drawn.
fn written(w: &Window) -> Vec<String> {
    let texts = w.output().shapes.iter().filter_map(|s| match &s.shape {
        egui::Shape::Text(t) => Some(t.galley.text().to_owned()),
        _ => None,
    });
    texts.collect()
}

#[test]
fn an_empty_job_shows_its_bed() {
    let w = window_of(session(&Files::samples()));
    let machine = w.state().session().job().machines[0].clone();
    let bed = w.get_by_label_contains(&format!("{}, bed ", machine.name)).rect();
    let (width, depth) = machine.bed.size_mm();
    assert!((f64::from(bed.width() / bed.height()) - width / depth).abs() < 0.01, "{bed:?}");
    assert!(w.get_by_label("sheet").rect().contains_rect(bed));
}

#[test]
fn every_copy_is_numbered_far_away_too() {
    let (_files, mut w) = small_window();
    for _ in 0..6 {
        press(&mut w, Key::Minus, Modifiers::COMMAND);
    }
    let written = written(&w);
    for name in ["A 1", "A 2", "A 3"] {
        assert!(written.iter().any(|t| t == name), "{name} in {written:?}");
    }
}

#[test]
fn a_keep_out_is_drawn_dragged_and_removed_by_hand() {
    let (_files, mut w) = small_window();
    let before = keep_outs(&w);
    press(&mut w, Key::K, Modifiers::NONE);
    let bare = on_screen(&w, "A 2, ") + Vec2::new(0.0, -160.0);
    drag(&mut w, bare, Vec2::new(60.0, 40.0));
    let drawn = keep_outs(&w);
    assert_eq!(drawn.len(), before.len() + 1);
    let last = drawn[before.len()];
    assert!(last.width() > 10.0 && last.height() > 5.0, "{last:?}");
    assert_eq!(w.state().session().undo_label(), Some("Draw a keep-out"));
    // The next drag takes hold of it: the tool is put away.
    drag(&mut w, bare + Vec2::new(20.0, 15.0), Vec2::new(30.0, 0.0));
    let moved = keep_outs(&w)[before.len()];
    assert!(moved.min.x > last.min.x + 5.0 && (moved.min.y - last.min.y).abs() < 0.2, "{last:?} {moved:?}");
    assert_eq!(w.state().session().undo_label(), Some("Move keep-out"));
    press(&mut w, Key::Z, Modifiers::COMMAND);
    assert_eq!(keep_outs(&w), drawn);

    // Corner by corner, ended by Enter; Escape puts the tool away.
    press(&mut w, Key::K, Modifiers::NONE);
    for by in [Vec2::new(0.0, 80.0), Vec2::new(40.0, 80.0), Vec2::new(20.0, 120.0)] {
        click(&mut w, bare + by, Modifiers::NONE);
    }
    press(&mut w, Key::Enter, Modifiers::NONE);
    assert_eq!(keep_outs(&w).len(), before.len() + 2);
    press(&mut w, Key::K, Modifiers::NONE);
    press(&mut w, Key::Escape, Modifiers::NONE);
    drag(&mut w, bare + Vec2::new(-60.0, 0.0), Vec2::new(20.0, 20.0));
    assert_eq!(keep_outs(&w).len(), before.len() + 2);
}

#[test]
fn copies_let_go_on_a_line_of_the_docket_move_to_that_plate() {
    let (_files, mut w) = small_window();
    let shown = w.state().session().plate_id().expect("a plate");
    // Tests are not held against the clock.
    w.state_mut().session_mut().set_drop_time(std::time::Duration::from_mins(1));
    w.state_mut().session_mut().act(Action::DuplicatePlate(shown));
    w.state_mut().session_mut().tick();
    w.run();
    let moved = copies(&w)[1].id;
    let from = w.get_by_label_contains("A 5, ").rect().left_bottom() + Vec2::new(4.0, -4.0);
    let line = w.get_by_label_contains("plate 1, ").rect().center();
    drag(&mut w, from, line - from);
    let s = w.state().session();
    assert_eq!(s.job().copy(moved).map(|(p, _)| p.id), Some(shown));
    assert_eq!((s.job().plates[0].copies.len(), s.job().plates[1].copies.len()), (4, 2));
    assert!(s.view(shown).is_some_and(|v| v.conflicts.is_empty()), "at a free place");
    assert_eq!(s.undo_label(), Some("Move to plate"));

    // And on the line for a new one.
    let from = on_screen(&w, "A 1, ");
    let new = w.get_by_label("New plate").rect().center();
    drag(&mut w, from, new - from);
    assert_eq!(w.state().session().job().plates.len(), 3);
}

#[test]
fn plates_are_duplicated_and_conflicts_cleared_from_the_menu() {
    let (_files, mut w) = small_window();
    push(&mut w, "Plate");
    push(&mut w, "Duplicate plate");
    assert_eq!(w.state().session().job().plates.len(), 2);
    w.state_mut().session_mut().set_drop_time(std::time::Duration::from_mins(1));
    let at = copies(&w)[0].clone();
    w.state_mut().session_mut().act(Action::PlaceAt(at.part, stonehand::geom::Point::new(at.x_mm + 3.0, at.y_mm)));
    w.state_mut().session_mut().tick();
    w.run();
    assert!(!super::is_sound(&w));
    push(&mut w, "Plate");
    push(&mut w, "Move all apart");
    assert!(super::is_sound(&w));
}

#[test]
fn rows_and_columns_are_seen_before_they_are_filled() {
    let (_files, mut w) = small_window();
    let at = on_screen(&w, "A 1, ");
    click(&mut w, at, Modifiers::NONE);
    press(&mut w, Key::D, Modifiers::COMMAND | Modifiers::SHIFT);
    let words = written(&w).into_iter().find(|t| t.contains(" more cop")).expect("the sheet says how many");
    let counted = words.split(" more cop").next().and_then(|before| before.split(' ').next_back());
    let count: usize = counted.and_then(|n| n.parse().ok()).expect("a number");
    assert!(count > 0, "{words}");
    let before = copies(&w).len();
    push(&mut w, "Fill");
    assert_eq!(copies(&w).len(), before + count, "{words}");
}
