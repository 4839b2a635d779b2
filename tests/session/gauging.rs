//! Machine code measured beside a plate, and the time factor taken from it.

use std::fmt::Write as _;

use stonehand::{document::Recipe, session::Action};

use super::desk::Desk;

fn code(layers: usize) -> Vec<u8> {
    let mut code = String::from("G90\nM83\n");
    for i in 1..=layers {
        let _ = writeln!(code, "G1 Z{:.1} F600\nG1 X90 E5 F1800\nG1 Y90 E5\nG1 X0 E5\nG1 Y0 E5", 0.2 * i as f64);
    }
    code.into_bytes()
}

fn recipe(desk: &Desk) -> &Recipe {
    let plate = desk.session.plate().expect("a plate");
    desk.session.job().recipe(plate.recipe).expect("its recipe")
}

#[test]
fn the_time_factor_is_taken_and_can_be_undone() {
    let mut desk = Desk::with_job();
    desk.files.put("/shop/plate.gcode", code(3000));
    assert!(!Action::TakeFactor.enabled(&desk.session) && !Action::EndGauge.enabled(&desk.session));
    assert!(desk.session.try_act(Action::TakeFactor).is_err());
    desk.act(Action::Gauge("/shop/plate.gcode".into()));
    let measured = desk.session.gauging().and_then(|g| g.measured.clone()).expect("it is measured");
    assert_eq!(measured.layers.len(), 3000);
    let factor = desk.session.measured_factor().expect("there is an estimate");
    let before = desk.bytes();
    desk.act(Action::TakeFactor);
    assert_eq!(recipe(&desk).time_factor, factor);
    // With it, the estimate takes what was measured, and would be given the same factor again.
    let again = desk.session.measured_factor().expect("as before");
    assert!((again - factor).abs() <= 2e-3 * factor, "{again} is not {factor}");
    assert_eq!(desk.session.undo_label(), Some("Set the time factor"));
    desk.act(Action::Undo);
    assert!(desk.bytes() == before);
    desk.act(Action::EndGauge);
    assert!(desk.session.gauging().is_none());
}

#[test]
fn what_is_no_machine_code_is_told_and_nothing_is_kept() {
    let mut desk = Desk::with_job();
    desk.act(Action::Gauge("/shop/entrance-gate.stl".into()));
    assert!(desk.session.gauging().is_none());
    let told = desk.told();
    assert!(told.contains("/shop/entrance-gate.stl is no machine code"), "{told}");
    let missing = desk.session.try_act(Action::Gauge("/shop/gone.gcode".into()));
    assert!(missing.is_err_and(|e| e.to_string().contains("gone.gcode: cannot be read")));
}

#[test]
fn a_measurement_belongs_to_its_job() {
    let mut desk = Desk::with_job();
    desk.files.put("/shop/plate.gcode", code(3));
    desk.act(Action::Gauge("/shop/plate.gcode".into()));
    assert!(desk.session.gauging().is_some());
    desk.act(Action::New);
    assert!(desk.session.gauging().is_none());
    // Without a plate there is nothing to hold it against; it is measured all the same.
    desk.act(Action::Gauge("/shop/plate.gcode".into()));
    assert!(desk.session.gauging().is_some_and(|g| g.measured.is_some() && g.plate.is_none()));
    assert!(desk.session.measured_factor().is_none());
}
