//! The height strip's marks, and what the sheet draws at the height cursor.

use std::collections::BTreeSet;

use egui::Modifiers;
use egui_kittest::kittest::Queryable;
use stonehand::{
    document::{LayerFloor, Recipe},
    estimate::cooling_summary,
    session::Action,
};

use super::{Window, click, estimate, placed_window, world::Files};

/// Two brackets, 9 mm high where their pins are and 5 mm else, and a peg of 96 mm.
fn uneven_window() -> Window {
    let places = [(0, 60.0, 60.0), (0, 140.0, 60.0), (1, 60.0, 140.0)];
    placed_window(&Files::samples(), &["corner-bracket.stl", "queen-cage-peg.stl"], &places)
}

fn press_mark(w: &mut Window, name: &str) {
    let mark = w.get_by_label(name).rect();
    click(w, mark.center(), Modifiers::NONE);
}

fn act(w: &mut Window, action: Action) {
    let session = w.state_mut().session_mut();
    session.act(action);
    session.tick();
    w.run();
}

/// Widths on the screen of a copy and of its section at the height cursor, points.
fn widths(w: &Window, copy: &str) -> (f32, f32) {
    let width = |name: &str| w.get_by_label_contains(name).rect().width();
    (width(&format!("{copy}, corner bracket")), width(&format!("section of {copy}")))
}

/// All inks of what is drawn on the sheet, text aside.
fn inks(w: &Window) -> BTreeSet<[u8; 4]> {
    let sheet = w.get_by_label("sheet").rect();
    let mut inks = BTreeSet::new();
    for drawn in &w.output().shapes {
        if let egui::Shape::Mesh(mesh) = &drawn.shape
            && sheet.contains_rect(drawn.clip_rect)
        {
            inks.extend(mesh.vertices.iter().map(|v| v.color.to_array()));
        }
    }
    inks
}

#[test]
fn marks_lead_to_the_worst_layer_and_to_the_first_with_one_copy_left() {
    let mut w = uneven_window();
    let e = estimate(&w);
    let summary = cooling_summary(&e);
    let layer = |i: Option<usize>| &e.layers[i.expect("there is one")];
    let (worst, alone) = (layer(summary.worst_layer), layer(summary.alone_from));
    press_mark(&mut w, "worst layer");
    assert_eq!(w.state().session().height_mm(), Some(worst.top_mm));
    w.get_by_label_contains("section of B 1");

    // Layers of 0.2 mm: the brackets end with the one that reaches 9.0 mm.
    assert!((alone.top_mm - 9.2).abs() < 1e-6, "{}", alone.top_mm);
    press_mark(&mut w, "first layer with one copy left");
    assert_eq!(w.state().session().height_mm(), Some(alone.top_mm));
    w.get_by_label_contains("headroom at 9.2 mm");
    w.get_by_label_contains("section of B 1");
    assert_eq!(w.query_all_by_label_contains("section of A ").count(), 0, "they have ended");
}

#[test]
fn the_sheet_shows_the_sections_at_the_height_cursor() {
    let mut w = uneven_window();
    assert_eq!(w.query_all_by_label_contains("section of ").count(), 0, "the cursor is put away");
    // Low down all of a bracket is cut, higher up its pin alone: 6 of 46 mm.
    act(&mut w, Action::ShowHeight(Some(1.0)));
    for copy in ["A 1", "A 2"] {
        let (whole, section) = widths(&w, copy);
        assert!((section - whole).abs() < 1.0, "{copy}: {section} of {whole}");
    }
    act(&mut w, Action::ShowHeight(Some(7.0)));
    for copy in ["A 1", "A 2"] {
        let (whole, section) = widths(&w, copy);
        assert!((section / whole - 6.0 / 46.0).abs() < 0.02, "{copy}: {section} of {whole}");
    }
    act(&mut w, Action::ShowHeight(None));
    assert_eq!(w.query_all_by_label_contains("section of ").count(), 0);
}

#[test]
fn sections_of_a_layer_short_of_cooling_are_dotted() {
    let mut w = uneven_window();
    let e = estimate(&w);
    // The peg alone: a few seconds a layer.
    let alone = cooling_summary(&e).alone_from.expect("the peg outlasts the brackets");
    assert!(e.layers[alone].headroom.is_some_and(|h| h < 1.0), "{:?}", e.layers[alone]);
    press_mark(&mut w, "first layer with one copy left");
    w.get_by_label("section of B 1: short of cooling");
    let dotted = inks(&w);

    // The same height where no layer has to take any time.
    let session = w.state().session();
    let recipe = session.plate().and_then(|p| session.job().recipe(p.recipe)).expect("its recipe").clone();
    act(&mut w, Action::SetRecipe(Box::new(Recipe { floor: LayerFloor::None, ..recipe })));
    assert_eq!(w.state().session().height_mm(), Some(e.layers[alone].top_mm));
    w.get_by_label("section of B 1");
    let plain = inks(&w);
    assert!(plain.is_subset(&dotted), "nothing else is drawn in another ink");
    assert_eq!(dotted.len(), plain.len() + 1, "dots have an ink of their own");
}
