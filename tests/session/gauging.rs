//! Machine code measured beside a plate, the time factor taken from it, and folders of machine code.

use std::{
    fmt::Write as _,
    sync::{
        Arc,
        atomic::{AtomicBool, Ordering},
    },
    time::{Duration, Instant},
};

use stonehand::{
    document::Recipe,
    session::{Action, GaugedFile, Session},
    work::Runner,
};

use super::{
    desk::{Desk, Odd},
    world::Files,
};

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
    assert!(told.contains("/shop/entrance-gate.stl is not machine code"), "{told}");
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

#[test]
fn a_folder_is_listed_by_time_the_shortest_first() {
    let mut desk = Desk::with_job();
    for (name, layers) in [("a.gcode", 30), ("b.G", 10), ("c.nc", 20)] {
        desk.files.put(format!("/night/{name}"), code(layers));
    }
    desk.files.put("/night/d.gcode", Vec::new());
    desk.files.put("/night/notes.txt", code(1));
    desk.act(Action::GaugeFolder("/night".into()));
    let g = desk.session.gauging().expect("it is measured");
    let folder = g.folder.as_ref().expect("all of it");
    let order: Vec<String> = folder.files.iter().map(GaugedFile::name).collect();
    assert_eq!(order, ["b.G", "c.nc", "a.gcode"]);
    assert!(folder.files.is_sorted_by_key(|f| f.measured.time_s()));
    assert_eq!((folder.name(), folder.count, folder.finished()), ("night".to_owned(), 4, 4));
    assert!(matches!(&folder.refused[..], [why] if why.contains("/night/d.gcode is empty")), "{:?}", folder.refused);
    // The shortest is held against the plate until another one is asked for.
    assert_eq!((g.name(), g.share_done(), g.plate), ("b.G".to_owned(), 1.0, desk.session.plate_id()));
    desk.act(Action::ShowGauged(2));
    let g = desk.session.gauging().expect("it is measured");
    assert_eq!((g.name(), g.measured.as_ref().map(|m| m.layers.len())), ("a.gcode".to_owned(), Some(30)));
    assert!(Action::ShowGauged(1).enabled(&desk.session) && !Action::ShowGauged(3).enabled(&desk.session));
    assert!(desk.session.try_act(Action::ShowGauged(3)).is_err());
    desk.act(Action::EndGauge);
    assert!(desk.session.gauging().is_none());
}

#[test]
fn a_folder_with_nothing_to_measure_is_told() {
    let mut desk = Desk::with_job();
    let refused = desk.session.try_act(Action::GaugeFolder("/nowhere".into())).map_err(|e| e.to_string());
    assert!(refused.is_err_and(|e| e.contains("/nowhere: holds no machine-code files") && e.contains("gcode")));
    desk.files.put("/night/a.gcode", Vec::new());
    desk.act(Action::GaugeFolder("/night".into()));
    assert!(desk.session.gauging().is_none());
    let told = desk.told();
    assert!(told.contains("/night: none of its machine-code files can be measured: /night/a.gcode is empty"), "{told}");
    // Ended before anything is listed, nothing stays.
    desk.files.put("/night/b.gcode", code(3));
    desk.session.act(Action::GaugeFolder("/night".into()));
    desk.act(Action::EndGauge);
    assert!(desk.session.gauging().is_none() && desk.told().is_empty());
}

/// Hears what the work says until something holds; fails where that never comes.
fn until(session: &mut Session, what: &str, holds: impl Fn(&Session) -> bool) {
    let begun = Instant::now();
    while !holds(session) {
        assert!(begun.elapsed() < Duration::from_mins(1), "{what} never came");
        session.tick();
        std::thread::sleep(Duration::from_millis(2));
    }
}

/// Progress is told file by file, and a person who has waited long enough keeps what is listed.
#[test]
fn a_folder_that_is_ended_keeps_what_is_listed() {
    let files = Files::default();
    files.put("/night/a.gcode", code(3));
    files.put("/night/b.gcode", Vec::new());
    files.put("/night/c.gcode", code(1));
    let let_go = Arc::new(AtomicBool::new(false));
    let world = Odd { files, endless: Some(("b.gcode", let_go.clone())), ..Odd::default() };
    let mut session = Session::new(Box::new(world), Runner::threads(&(Arc::new(|| ()) as _)));
    session.act(Action::GaugeFolder("/night".into()));
    // One of three is measured, and something of the second.
    until(&mut session, "the second file", |s| s.gauging().is_some_and(|g| g.share_done() > 1.0 / 3.0));
    let g = session.gauging().expect("it goes on");
    assert!(g.measured.is_none() && g.share_done() < 2.0 / 3.0);
    assert_eq!((g.name(), g.folder.as_ref().map(|f| f.files.len())), ("b.gcode".to_owned(), Some(1)));
    session.act(Action::EndGauge);
    until(&mut session, "the end of reading", |_| let_go.load(Ordering::Relaxed));
    // What it says at its end comes a moment later, and changes nothing.
    std::thread::sleep(Duration::from_millis(20));
    session.tick();
    let g = session.gauging().expect("it is kept");
    assert_eq!((g.name(), g.share_done()), ("a.gcode".to_owned(), 1.0));
    assert_eq!(g.folder.as_ref().map(|f| (f.files.len(), f.count)), Some((1, 3)));
    session.act(Action::EndGauge);
    assert!(session.gauging().is_none());
}
