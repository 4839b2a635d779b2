//! Meshes put right, poses chosen by their drawings, and hand work typed, all in the window.

use egui::{Key, Modifiers};
use egui_kittest::kittest::Queryable;
use stonehand::document::Mend;

use super::{Window, height_of_first, parts_window, placed_window, press, push, reach, type_into, world::Files};

/// A box of 20 × 10 × 5 mm, inside out.
const INSIDE_OUT: &str = "v 0 0 0\nv 20 0 0\nv 20 10 0\nv 0 10 0\nv 0 0 5\nv 20 0 5\nv 20 10 5\nv 0 10 5\n\
                          f 1 2 3 4\nf 8 7 6 5\nf 5 6 2 1\nf 6 7 3 2\nf 7 8 4 3\nf 8 5 1 4\n";

fn mends(w: &Window) -> Vec<Mend> {
    w.state().session().job().parts[0].mends.clone()
}

#[test]
fn a_mend_is_a_button_a_line_and_a_way_back() {
    let files = Files::samples();
    files.put("/shop/box.obj", INSIDE_OUT.as_bytes().to_vec());
    let mut w = placed_window(&files, &["box.obj"], &[(0, 60.0, 100.0), (0, 120.0, 100.0)]);
    assert!(w.query_by_label_contains("inside out").is_some());
    // The finding offers it, and so may the part's particulars.
    w.query_all_by_label("Turn inside-out shells").next().expect("it is offered").click();
    w.run();
    assert_eq!(mends(&w), [Mend::FlipInsideOut]);
    assert_eq!(w.state().session().undo_label(), Some("Turn inside-out shells"));
    assert!(w.query_by_label_contains("inside out").is_none(), "the finding is gone");
    // Among the part's particulars: what was mended, and a way back.
    let part = w.state().session().job().parts[0].id;
    w.state_mut().session_mut().act(stonehand::session::Action::SelectPart(part));
    w.run();
    reach(&mut w, "undo this mend");
    assert!(w.query_by_label_contains("Mended: inside-out shells turned").is_some());
    push(&mut w, "undo this mend");
    assert_eq!(mends(&w), []);
    assert!(w.query_by_label_contains("Mended: ").is_none());
    press(&mut w, Key::Z, Modifiers::COMMAND);
    assert_eq!(mends(&w), [Mend::FlipInsideOut]);
}

#[test]
fn poses_are_chosen_by_their_drawings() {
    let (_, mut w) = parts_window(&["corner-bracket.stl"]);
    let flat = height_of_first(&w);
    type_into(&mut w, "turn about X by", "90");
    assert!(height_of_first(&w) > flat * 1.5);
    push(&mut w, "choose a face…");
    w.run();
    let drawing = "pose 1 of A from above and from the front";
    reach(&mut w, drawing);
    push(&mut w, drawing);
    assert!((height_of_first(&w) - flat).abs() < 0.01, "{} instead of {flat}", height_of_first(&w));
    assert_eq!(w.state().session().undo_label(), Some("Lay face on the bed"));
    // A turn about Z changes no height, and is a step of its own.
    type_into(&mut w, "turn about Z by", "30");
    assert!((height_of_first(&w) - flat).abs() < 0.01);
    assert_eq!(w.state().session().undo_label(), Some("Turn part"));
}

#[test]
fn hand_work_of_a_part_is_typed_in_minutes() {
    let (_, mut w) = parts_window(&["corner-bracket.stl"]);
    let own = |w: &Window| w.state().session().job().parts[0].clean_up.brim_s;
    assert_eq!(own(&w), None);
    reach(&mut w, "clean-up of a brim");
    type_into(&mut w, "clean-up of a brim", "2.5");
    assert_eq!(own(&w), Some(150.0));
    let back = "clean-up of a brim: as the job assumes (1 min)";
    reach(&mut w, back);
    push(&mut w, back);
    assert_eq!(own(&w), None);
}
