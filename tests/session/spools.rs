//! The shelf, and plates that take from it in docket order.

use stonehand::{
    document::{PlateId, Sensor, Spool, SpoolId, TailFixed, file},
    finding::{FindingKind, Level},
    geom::Point,
    session::{Action, Session},
};

use super::desk::Desk;

/// The job with a spool of the plate's material and colour, chosen for it.
fn with_spool(grams_left: f64) -> (Desk, PlateId, Spool) {
    let mut desk = Desk::with_job();
    let plate = desk.session.job().plates[0].clone();
    let full = Spool::full(SpoolId(0), "White 1", plate.material, &plate.colour);
    desk.act(Action::AddSpool(Box::new(Spool { grams_left, tolerance_mm: 0.0, ..full })));
    let spool = desk.session.job().spools[0].clone();
    desk.act(Action::ChooseSpool(plate.id, Some(spool.id)));
    (desk, plate.id, spool)
}

fn mass_g(s: &Session, plate: PlateId) -> f64 {
    s.view(plate).and_then(|v| v.estimate.as_ref()).expect("an estimate").filament.mass_g
}

/// Level and words of what is found of spools.
fn told(s: &Session) -> Vec<(Level, String)> {
    let all = s.all_findings().into_iter().filter(|f| f.kind == FindingKind::Spool);
    all.map(|f| (f.level, f.text.clone())).collect()
}

#[test]
fn a_spool_that_lasts_is_silent_and_says_what_is_left() {
    let (desk, plate, spool) = with_spool(500.0);
    let s = &desk.session;
    assert_eq!(told(s), []);
    let left_g = s.view(plate).and_then(|v| v.spool).expect("it is known").after.nominal_g;
    assert!((left_g - (500.0 - mass_g(s, plate))).abs() < 1e-9);
    assert_eq!(s.spool_after(spool.id).map(|l| l.nominal_g), Some(left_g));
}

#[test]
fn a_new_plate_like_this_one_takes_from_the_same_spool() {
    let (mut desk, plate, spool) = with_spool(500.0);
    let before = desk.bytes();
    desk.act(Action::NewPlate);
    let new = desk.session.plate().expect("it is shown").clone();
    assert_ne!(new.id, plate);
    assert_eq!((new.spool, new.copies.len()), (Some(spool.id), 0));
    assert_eq!(desk.session.undo_label(), Some("New plate"));
    desk.act(Action::Undo);
    assert_eq!(desk.bytes(), before, "one step");
    desk.act(Action::ChooseSpool(plate, None));
    desk.act(Action::NewPlate);
    assert_eq!(desk.session.plate().and_then(|p| p.spool), None);
}

#[test]
fn it_runs_out_where_the_sum_of_the_layers_says() {
    let (mut desk, plate, spool) = with_spool(500.0);
    let grams_left = 0.6 * mass_g(&desk.session, plate);
    desk.act(Action::SetSpool(Box::new(Spool { grams_left, ..spool.clone() })));
    let s = &desk.session;
    let e = s.view(plate).and_then(|v| v.estimate.as_ref()).expect("an estimate");
    // By hand: purge first, then layer upon layer.
    let density = s.job().material(spool.material).expect("it is there").density_g_cm3;
    let mut left = grams_left - s.job().recipes[0].purge_mm3 * density / 1000.0;
    let mut after_s = e.items.heat_up_s;
    let mut layer = 0;
    while left - e.layers[layer].volume_mm3 * density / 1000.0 >= 0.0 {
        left -= e.layers[layer].volume_mm3 * density / 1000.0;
        after_s += e.layers[layer].time_s;
        layer += 1;
    }
    let found = told(s);
    let [(level, text)] = found.as_slice() else { panic!("one finding: {found:?}") };
    assert_eq!(*level, Level::Stop);
    let words = format!(
        "the spool White 1 runs out in layer {} of {}, at {:.1} mm, about {} after the start: it has ",
        layer + 1,
        e.layers.len(),
        e.layers[layer].top_mm,
        stonehand::drawing::words::time(after_s),
    );
    assert!(text.starts_with(&words), "{text}\n{words}");
    assert!(text.ends_with("without a sensor the machine goes on printing without filament"), "{text}");
}

#[test]
fn what_a_sensor_means_depends_on_the_tail() {
    let (mut desk, _, spool) = with_spool(1.0);
    for (sensor, tail_fixed, level, words) in [
        (Sensor::Presence, TailFixed::Yes, Level::Stop, "never passes the presence sensor"),
        (
            Sensor::Presence,
            TailFixed::Unknown,
            Level::Watch,
            "unless the tail is fixed to the hub; see its maker's manual",
        ),
        (Sensor::Presence, TailFixed::No, Level::Watch, "when the tail passes the presence sensor; see"),
        (Sensor::Motion, TailFixed::Yes, Level::Watch, "when the filament stops; see its maker's manual"),
        (Sensor::None, TailFixed::No, Level::Stop, "goes on printing without filament"),
    ] {
        desk.act(Action::SetSpool(Box::new(Spool { sensor, tail_fixed, ..spool.clone() })));
        let found = told(&desk.session);
        assert!(found.len() == 1 && found[0].0 == level && found[0].1.contains(words), "{found:?}");
    }
}

#[test]
fn plates_of_one_spool_take_from_it_in_docket_order() {
    let (mut desk, first, spool) = with_spool(500.0);
    desk.act(Action::NewPlate);
    let second = desk.session.plate_id().expect("the new one");
    desk.act(Action::PlaceAt(desk.part(), Point::new(100.0, 100.0)));
    desk.act(Action::ChooseSpool(second, Some(spool.id)));
    let (a, b) = (mass_g(&desk.session, first), mass_g(&desk.session, second));
    assert!(b > 0.0 && b < a);
    // Enough for the first plate and half of the second.
    desk.act(Action::SetSpool(Box::new(Spool { grams_left: a + b / 2.0, ..spool.clone() })));
    let short = |s: &Session| {
        let all = s.all_findings().into_iter().filter(|f| f.kind == FindingKind::Spool);
        all.filter_map(|f| f.plate).collect::<Vec<_>>()
    };
    assert_eq!(short(&desk.session), [second]);
    let before = desk.session.view(second).and_then(|v| v.spool).expect("it is known").before;
    assert!((before.nominal_g - b / 2.0).abs() < 1e-9);
    // The other way round the long plate comes last.
    desk.act(Action::OrderPlate(second, 0));
    assert_eq!(short(&desk.session), [first]);
    // And a spool that ran out is found empty, not owing.
    desk.act(Action::SetSpool(Box::new(Spool { grams_left: b / 2.0, ..spool })));
    assert_eq!(short(&desk.session), [second, first]);
    assert_eq!(desk.session.view(first).and_then(|v| v.spool).map(|u| u.before.nominal_g), Some(0.0));
}

#[test]
fn thick_filament_makes_a_spool_that_may_not_last() {
    let (mut desk, plate, spool) = with_spool(500.0);
    let grams_left = 1.01 * mass_g(&desk.session, plate);
    // +2.3 % for 0.02 mm on 1.75 mm.
    desk.act(Action::SetSpool(Box::new(Spool { grams_left, tolerance_mm: 0.02, ..spool })));
    let found = told(&desk.session);
    assert!(found.len() == 1 && found[0].0 == Level::Watch, "{found:?}");
    assert!(found[0].1.starts_with("the spool White 1 may run out in layer "), "{found:?}");
}

#[test]
fn another_material_is_a_stop_and_another_colour_a_watch() {
    let (mut desk, plate, spool) = with_spool(900.0);
    let petg = desk.session.job().materials.iter().find(|m| m.name == "PETG").expect("it is there").id;
    desk.act(Action::SetSpool(Box::new(Spool { material: petg, colour: "ochre".into(), ..spool })));
    let found = told(&desk.session);
    assert_eq!(found[0], (Level::Stop, "the spool White 1 is PETG, this plate PLA".into()));
    assert_eq!(found[1].0, Level::Watch);
    assert!(found[1].1.starts_with("the spool White 1 is ochre, this plate "), "{found:?}");
    // Without a spool there is nothing to say.
    desk.act(Action::ChooseSpool(plate, None));
    assert_eq!(told(&desk.session), []);
}

#[test]
fn the_shelf_is_undone_kept_and_refused_like_all_else() {
    let (mut desk, _, spool) = with_spool(250.0);
    let with = desk.bytes();
    assert!(desk.session.try_act(Action::RemoveSpool(spool.id)).is_err(), "a plate is made from it");
    assert!(desk.session.try_act(Action::RemoveMaterial(spool.material)).is_err());
    assert!(desk.session.try_act(Action::SetSpool(Box::new(Spool { grams_left: -1.0, ..spool }))).is_err());
    assert_eq!(desk.bytes(), with);
    assert_eq!(file::read(&with, "job").expect("it opens"), *desk.session.job());
    desk.act(Action::Undo);
    assert_eq!(desk.session.undo_label(), Some("New spool"));
    desk.act(Action::Undo);
    assert!(desk.session.job().spools.is_empty());
    desk.act(Action::Redo);
    desk.act(Action::Redo);
    assert_eq!(desk.bytes(), with);
    // The shop keeps the shelf, and a new job has it.
    desk.act(Action::KeepAsShop);
    desk.act(Action::New);
    assert_eq!(desk.session.job().spools.iter().map(|s| s.name.as_str()).collect::<Vec<_>>(), ["White 1"]);
}
