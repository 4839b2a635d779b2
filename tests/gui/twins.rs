//! Two carriages on one X axis: set in the machine's particulars, used in the plate's, drawn as ghosts.

use egui::{Key, Modifiers};
use egui_kittest::kittest::Queryable;
use stonehand::document::Twin;

use super::{choose, press, push, reach, small_window, type_into};

#[test]
fn a_plate_is_printed_twice_and_shows_it() {
    let (_, mut w) = small_window();
    press(&mut w, Key::Escape, Modifiers::NONE);
    assert!(w.query_by_label("printed").is_none(), "one carriage");
    push(&mut w, "Machine");
    reach(&mut w, "carriages");
    choose(&mut w, "carriages", "two on one X axis");
    reach(&mut w, "strip between them");
    type_into(&mut w, "strip between them", "12");
    let strip = |w: &super::Window| w.state().session().job().machines[0].carriages.map(|c| c.strip_mm);
    assert_eq!(strip(&w), Some(12.0));
    reach(&mut w, "printed");
    choose(&mut w, "printed", "handed twin");
    let twin = |w: &super::Window| w.state().session().plate().and_then(|p| p.twin);
    assert_eq!(twin(&w), Some(Twin::Handed));
    w.run();
    // Each copy has a ghost on the sheet, mirrored about the middle of the bed.
    for (name, at) in [("A 1", "60.0 60.0"), ("A 2", "140.0 60.0"), ("A 3", "60.0 140.0")] {
        let copy = w.get_by_label(&format!("{name}, corner bracket, at {at}")).rect();
        let ghost = w.get_by_label_contains(&format!("{name}\u{2032}, twin of {name}, ")).rect();
        assert!((copy.width() - ghost.width()).abs() < 1.0 && (copy.center().y - ghost.center().y).abs() < 1.0);
        assert!(ghost.center().x > copy.center().x || name == "A 2", "{copy:?} {ghost:?}");
    }
    w.get_by_label("strip between the carriages, 12.0 mm");
    choose(&mut w, "printed", "shifted twin");
    assert_eq!(twin(&w), Some(Twin::Shifted));
    press(&mut w, Key::Z, Modifiers::COMMAND);
    press(&mut w, Key::Z, Modifiers::COMMAND);
    assert_eq!(twin(&w), None);
    assert!(w.query_by_label_contains("twin of A 1").is_none());
}
