//! Plates that two carriages print twice at once: setting, counting, packing, spools, copies that go elsewhere.

use std::path::Path;

use stonehand::{
    document::{Carriages, Machine, MachineId, PlateId, Spool, SpoolId, Twin},
    finding::{Finding, FindingKind, Level, Remedy},
    formats::write::ModelOptions,
    geom::Point,
    session::{Action, HandOver, Landing, Scope, TopUp, World},
};

use super::desk::{Desk, MESH, reshaped};
use super::world::Files;

/// The job on a machine with two carriages, its plate printed twice; a strip of 20.
fn twin(kind: Twin) -> (Desk, PlateId) {
    let mut desk = Desk::with_job();
    two_carriages(&mut desk, 20.0);
    let plate = desk.session.plate_id().expect("a plate is shown");
    desk.act(Action::SetTwin(plate, Some(kind)));
    (desk, plate)
}

fn two_carriages(desk: &mut Desk, strip_mm: f64) {
    let machine = desk.session.job().machines[0].clone();
    let carriages = Some(Carriages { strip_mm });
    desk.act(Action::SetMachine(Box::new(Machine { carriages, ..machine })));
}

fn told(desk: &Desk) -> Vec<Finding> {
    desk.session.all_findings().into_iter().filter(|f| f.kind == FindingKind::Twin).cloned().collect()
}

/// Seconds and grams of the plate.
fn takes(desk: &Desk, plate: PlateId) -> (f64, f64) {
    let e = desk.session.view(plate).and_then(|v| v.estimate.as_ref()).expect("an estimate");
    (e.time_s, e.filament.mass_g)
}

#[test]
fn one_step_sets_it_and_one_takes_it_back() {
    let mut desk = Desk::with_job();
    let plate = desk.session.plate_id().expect("a plate is shown");
    let refused = desk.session.try_act(Action::SetTwin(plate, Some(Twin::Shifted)));
    assert!(refused.expect_err("there is one carriage").to_string().contains("has one carriage"));
    two_carriages(&mut desk, 20.0);
    let (before, alone) = (desk.bytes(), takes(&desk, plate));
    desk.act(Action::SetTwin(plate, Some(Twin::Shifted)));
    assert_eq!(desk.session.undo_label(), Some("Print with a shifted twin"));
    assert_eq!(desk.session.made(desk.part()), 6);
    // Two heads on one X axis print a plate twice in the time of one (common practice, no source).
    let twice = takes(&desk, plate);
    assert_eq!(twice.0, alone.0);
    assert!((twice.1 - 2.0 * alone.1).abs() < 1e-9, "{twice:?} {alone:?}");
    let after = desk.bytes();
    desk.act(Action::Undo);
    assert_eq!((desk.bytes(), desk.session.made(desk.part())), (before, 3));
    desk.act(Action::Redo);
    assert_eq!(desk.bytes(), after);
}

#[test]
fn a_copy_in_the_other_half_is_a_stop_until_it_is_packed() {
    for kind in Twin::ALL {
        let (mut desk, plate) = twin(kind);
        let stops = told(&desk);
        assert!(stops.iter().any(|f| f.level == Level::Stop && f.text.contains("beyond the left half")), "{stops:?}");
        desk.act(Action::Pack(Scope::Plate));
        let of_place = |f: &&&Finding| f.level == Level::Stop;
        assert_eq!(desk.session.all_findings().iter().filter(of_place).count(), 0, "{kind:?} {:?}", told(&desk));
        assert_eq!(desk.session.undo_label(), Some("Pack this plate"));
        let end = if kind == Twin::Shifted { 100.0 } else { 110.0 };
        assert!(desk.places().iter().all(|(x, _)| *x < end));
        // What is added keeps to the half as well.
        desk.act(Action::TopUp(TopUp::Part(desk.part())));
        assert!(desk.places().len() >= 3 && desk.places().iter().all(|(x, _)| *x < end), "{kind:?}");
        assert_eq!(desk.session.all_findings().iter().filter(of_place).count(), 0, "{kind:?}");
        assert_eq!(desk.session.plate_id(), Some(plate));
    }
}

#[test]
fn a_drag_over_the_strip_comes_back_where_it_snaps() {
    let (mut desk, plate) = twin(Twin::Handed);
    desk.act(Action::Pack(Scope::Plate));
    let copy = desk.session.job().plates[0].copies[0].clone();
    desk.session.act(Action::Select { copies: vec![copy.id], additive: false });
    desk.session.act(Action::Grab { label: "Move" });
    desk.session.act(Action::Drag { by: Point::new(118.0 - copy.x_mm, 0.0), turn_deg: 0.0 });
    let view = desk.session.view(plate).expect("it is looked at");
    assert!(view.findings.iter().any(|f| f.kind == FindingKind::Twin && f.copies == [copy.id]), "{:?}", view.findings);
    desk.act(Action::DropIt(Landing::NearestFree));
    assert_eq!(told(&desk), []);
}

#[test]
fn left_and_right_are_ordered_as_a_pair() {
    let files = Files::samples();
    let twisted = reshaped(&files.get(MESH).expect("a sample"), false, |[x, y, z]| [x + 0.02 * y * z, y, z]);
    files.put(MESH, twisted);
    let mut desk = Desk::over(&files);
    desk.act(Action::AddFiles(vec![MESH.into()]));
    for (x, y) in [(50.0, 60.0), (50.0, 140.0)] {
        desk.act(Action::PlaceAt(desk.part(), Point::new(x, y)));
    }
    two_carriages(&mut desk, 20.0);
    let plate = desk.session.plate_id().expect("a plate is shown");
    desk.act(Action::SetTwin(plate, Some(Twin::Handed)));
    let part = desk.part();
    assert_eq!(desk.session.made(part), 2, "mirrored ones are nobody's order");
    let [watch] = &told(&desk)[..] else { panic!("one finding: {:?}", told(&desk)) };
    assert_eq!(watch.level, Level::Watch);
    assert!(
        watch.text.starts_with("the handed twins of A 1, A 2 are mirrored and count for no order line"),
        "{}",
        watch.text
    );
    assert_eq!(watch.remedy, Some(Remedy::OrderHands { part }));
    let before = desk.bytes();
    desk.act(Action::Remedy(watch.remedy.clone().expect("there is one")));
    let job = desk.session.job();
    let (left, right) = (&job.parts[0], &job.parts[1]);
    assert_eq!((left.other_hand, right.other_hand), (Some(right.id), Some(left.id)));
    assert_eq!((left.pose.mirrored, right.pose.mirrored, right.wanted), (false, true, left.wanted));
    assert!(left.name.ends_with(" (left)") && right.name.ends_with(" (right)"), "{} {}", left.name, right.name);
    let right = right.id;
    assert_eq!((desk.session.made(part), desk.session.made(right)), (2, 2));
    assert_eq!(told(&desk), []);
    assert!(desk.session.try_act(Action::OrderHands(part)).is_err(), "it has its other hand");
    // The right one as it is drawn is the mirror image of the left one.
    let shape = |id| desk.session.shapes()[&id].shadow.region().clone();
    let (l, r) = (shape(part).mirrored(), shape(right));
    assert!((l.area() - r.area()).abs() < 1e-6 && (l.bounds().min - r.bounds().min).length() < 1e-6);
    desk.act(Action::Undo);
    assert_eq!(desk.bytes(), before, "one step");
    desk.act(Action::Redo);
    // Without its other hand it is alone again.
    desk.act(Action::RemovePart(right));
    assert_eq!(desk.session.job().parts[0].other_hand, None);
    assert_eq!(told(&desk).len(), 1);
}

#[test]
fn copies_elsewhere_count_as_they_are_printed_there() {
    let (mut desk, plate) = twin(Twin::Shifted);
    let part = desk.part();
    // The same again is printed so, too.
    desk.act(Action::DuplicatePlate(plate));
    assert_eq!((desk.session.job().plates[1].twin, desk.session.made(part)), (Some(Twin::Shifted), 12));
    let other = desk.session.plate_id().expect("it is shown");
    desk.act(Action::SetTwin(other, None));
    assert_eq!(desk.session.made(part), 9);
    // From a plate that is printed twice to one that is printed once.
    let copies: Vec<_> = desk.session.job().plates[0].copies.iter().map(|c| c.id).collect();
    desk.act(Action::ShowPlate(plate));
    desk.act(Action::Select { copies: copies[..1].to_vec(), additive: false });
    desk.act(Action::ToPlate(Some(other)));
    assert_eq!(desk.session.made(part), 8);
    // To a new plate it goes as it was printed.
    desk.act(Action::ShowPlate(plate));
    desk.act(Action::Select { copies: copies[1..2].to_vec(), additive: false });
    desk.act(Action::ToPlate(None));
    assert_eq!((desk.session.plate().and_then(|p| p.twin), desk.session.made(part)), (Some(Twin::Shifted), 8));
}

#[test]
fn a_machine_with_one_carriage_prints_it_once_and_says_so() {
    let (mut desk, plate) = twin(Twin::Shifted);
    let other = Machine { carriages: None, name: "Bench 9".into(), ..desk.session.job().machines[0].clone() };
    desk.act(Action::AddMachine(Box::new(other)));
    let id: MachineId = desk.session.job().machines.iter().find(|m| m.name == "Bench 9").expect("it is there").id;
    let setup = stonehand::edit::PlateSetup::of(desk.session.job().plate(plate).expect("it is there"));
    let (before, twice) = (desk.bytes(), takes(&desk, plate));
    desk.act(Action::SetPlate(plate, stonehand::edit::PlateSetup { machine: id, ..setup }));
    assert_eq!(desk.session.made(desk.part()), 3);
    assert!((2.0 * takes(&desk, plate).1 - twice.1).abs() < 1e-9);
    let [stop] = &told(&desk)[..] else { panic!("one finding: {:?}", told(&desk)) };
    assert!(stop.level == Level::Stop && stop.text.contains("but Bench 9 has one carriage"), "{}", stop.text);
    desk.act(Action::Remedy(stop.remedy.clone().expect("there is one")));
    assert_eq!((told(&desk), desk.session.job().plates[0].twin), (Vec::new(), None));
    desk.act(Action::Undo);
    desk.act(Action::Undo);
    assert_eq!(desk.bytes(), before, "nothing is lost");
    // A strip wider than the bed leaves nothing.
    two_carriages(&mut desk, 500.0);
    assert!(told(&desk).iter().any(|f| f.text.contains("leaves no room on its bed")), "{:?}", told(&desk));
    desk.session.act(Action::Pack(Scope::Plate));
    desk.session.tick();
    assert_eq!(desk.session.job().plates[0].copies.len(), 3, "nothing is thrown off");
}

#[test]
fn each_carriage_takes_from_its_own_spool() {
    let (mut desk, plate) = twin(Twin::Shifted);
    let each_g = takes(&desk, plate).1 / 2.0;
    let p = desk.session.job().plates[0].clone();
    let spool = |name: &str, grams_left| Spool {
        grams_left,
        tolerance_mm: 0.0,
        ..Spool::full(SpoolId(0), name, p.material, &p.colour)
    };
    desk.act(Action::AddSpool(Box::new(spool("White 1", 500.0))));
    desk.act(Action::AddSpool(Box::new(spool("White 2", 0.5 * each_g))));
    let [first, second] = [0, 1].map(|i| desk.session.job().spools[i].id);
    desk.act(Action::ChooseSpool(plate, Some(first)));
    desk.act(Action::ChooseTwinSpool(plate, Some(second)));
    let left = |desk: &Desk, id| desk.session.spool_after(id).expect("it is known").nominal_g;
    assert!((left(&desk, first) - (500.0 - each_g)).abs() < 1e-9);
    assert_eq!(left(&desk, second), 0.0);
    let of = |desk: &Desk| -> Vec<String> {
        let all = desk.session.all_findings().into_iter().filter(|f| f.kind == FindingKind::Spool);
        all.map(|f| f.text.clone()).collect()
    };
    let told = of(&desk);
    assert!(told.len() == 1 && told[0].starts_with("the spool White 2 runs out in layer"), "{told:?}");
    desk.act(Action::ChooseTwinSpool(plate, Some(first)));
    assert!(
        of(&desk).iter().any(|t| t.contains("both carriages are to take from the spool White 1")),
        "{:?}",
        of(&desk)
    );
    assert!(desk.session.try_act(Action::RemoveSpool(first)).is_err(), "it is in use");
    // Printed once, the second spool is left alone.
    desk.act(Action::SetTwin(plate, None));
    assert!((left(&desk, first) - (500.0 - each_g)).abs() < 1e-9);
}

#[test]
fn hand_over_files_hold_one_half_or_both() {
    for kind in Twin::ALL {
        let (mut desk, _) = twin(kind);
        desk.act(Action::Pack(Scope::Plate));
        desk.act(Action::Save);
        let facets = |desk: &mut Desk, folder: &str, both_halves| {
            let model = ModelOptions { both_halves, ..ModelOptions::default() };
            let made = desk
                .session
                .export(Path::new(folder), HandOver { model, ..HandOver::default() })
                .expect("it is written");
            let stl = made.names.iter().find(|n| Path::new(n).extension().is_some_and(|e| e == "stl")).expect("an STL");
            let bytes = desk.files.get(format!("{folder}/{stl}")).expect("it is there");
            u32::from_le_bytes([bytes[80], bytes[81], bytes[82], bytes[83]])
        };
        let one = facets(&mut desk, "/one", false);
        assert_eq!(facets(&mut desk, "/both", true), 2 * one, "{kind:?}");
        let json = desk.session.placements(None);
        assert_eq!(json.plates[0].twin.map(|t| t.kind), Some(kind));
        assert!(json.plates[0].copies.iter().all(|c| c.twin.is_some_and(|t| t.mirrored == (kind == Twin::Handed))));
        // The window's choice.
        desk.act(Action::BothHalves(true));
        assert!(desk.session.hands_over_both_halves());
        desk.act(Action::Export("/window".into()));
        let names = |folder: &str| World::list(&desk.files, Path::new(folder));
        let size = |folder: &str| {
            let all = names(folder);
            let stl = all.iter().find(|p| p.extension().is_some_and(|e| e == "stl")).expect("an STL");
            desk.files.get(stl).expect("it is there").len()
        };
        assert_eq!(size("/window"), size("/both"));
    }
}

#[test]
fn the_sheet_shows_the_twins_as_ghosts() {
    let (mut desk, plate) = twin(Twin::Handed);
    desk.act(Action::Pack(Scope::Plate));
    let s = &desk.session;
    let input = s.sheet_input(s.job(), s.job().plate(plate).expect("it is there")).expect("it can be drawn");
    assert_eq!((input.copies.len(), input.twins.len()), (3, 3));
    assert_eq!(input.title.copies, "2 × 3");
    for (copy, twin) in input.copies.iter().zip(&input.twins) {
        assert!(twin.ghost && twin.name == format!("{}\u{2032}", copy.name));
        // Mirrored about the middle of the bed.
        let (a, b) = (copy.shadow.bounds(), twin.shadow.bounds());
        assert!((a.min.x + b.max.x - 240.0).abs() < 1e-9 && (a.min.y - b.min.y).abs() < 1e-9);
    }
    let halves = input.bed.halves.as_ref().expect("there are two");
    assert_eq!((halves.strip.bounds().min.x, halves.strip.bounds().max.x, halves.middle_mm), (110.0, 130.0, 120.0));
    let palette = stonehand::drawing::Palette::light();
    let svg = stonehand::formats::write::svg(&stonehand::drawing::sheet(&input), &palette);
    assert!(svg.contains("strip 20.0 mm") && svg.contains("handed twin") && svg.contains("A 1\u{2032}"));
}
