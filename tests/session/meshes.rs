//! Meshes that move, change, are replaced or split.

use std::{
    path::Path,
    sync::{
        Arc,
        atomic::{AtomicUsize, Ordering},
    },
};

use stonehand::{
    document::{CopyId, FileUnit},
    finding::{FindingKind, Level, Remedy},
    session::{Action, World},
};

use super::desk::{Desk, MESH, Odd, on, reshaped};

/// The job's mesh file lies elsewhere now.
fn moved_to(desk: &Desk, path: &str) {
    desk.files.put(path, desk.files.get(MESH).expect("it is there"));
    desk.files.remove(Path::new(MESH)).expect("it is there");
}

fn copies(desk: &Desk) -> Vec<CopyId> {
    desk.session.job().plates.iter().flat_map(|p| &p.copies).map(|c| c.id).collect()
}

#[test]
fn a_moved_mesh_is_found_and_stays_found() {
    let desk = Desk::with_job();
    moved_to(&desk, "/shop/renamed.stl");
    let mut next = Desk::over(&desk.files);
    next.act(Action::Open("/shop/job.stonehand".into()));
    assert!(next.told().contains("renamed.stl") && !next.has(FindingKind::MissingMesh));
    assert_eq!(next.session.job().meshes[0].file, "renamed.stl");
    assert!(next.session.changed(), "where it is now is worth saving");
    // Saved elsewhere, where no search would come across it.
    next.act(Action::SaveAs("/away/deep/job.stonehand".into()));
    let mut last = Desk::over(&desk.files);
    last.act(Action::Open("/away/deep/job.stonehand".into()));
    assert!(!last.has(FindingKind::MissingMesh) && last.told().is_empty());
}

#[test]
fn a_lost_mesh_is_reported_and_shown_where_it_is() {
    let desk = Desk::with_job();
    moved_to(&desk, "/elsewhere/renamed.stl");
    let mut next = Desk::over(&desk.files);
    next.act(Action::Open("/shop/job.stonehand".into()));
    assert!(next.has(FindingKind::MissingMesh));
    assert_eq!(next.places().len(), 3, "the rest of the job opens");
    // Another mesh is not taken for it.
    next.act(Action::LocateMesh(next.part(), "/shop/queen-cage-peg.stl".into()));
    assert!(next.told().contains("is not the mesh") && next.has(FindingKind::MissingMesh));
    next.act(Action::LocateMesh(next.part(), "/elsewhere/renamed.stl".into()));
    assert!(!next.has(FindingKind::MissingMesh));
    assert_eq!(next.session.job().meshes[0].file, "../elsewhere/renamed.stl");
}

#[test]
fn a_plate_without_a_mesh_has_no_time_a_stop_and_its_last_known_outline() {
    let desk = Desk::with_job();
    let outline = |d: &Desk| d.session.shapes().get(&d.part()).map(|s| s.shadow.region().clone());
    let before = outline(&desk).expect("the mesh is there");
    desk.files.remove(Path::new(MESH)).expect("it is there");
    let mut next = Desk::over(&desk.files);
    next.act(Action::Open("/shop/job.stonehand".into()));
    let plate = next.session.job().plates[0].clone();
    let view = next.session.view(plate.id).expect("it is looked at");
    assert!(view.estimate.is_none());
    assert_eq!(view.no_estimate.as_deref(), Some("no time while the mesh of A entrance gate is missing"));
    let [missing] = &view.findings.iter().filter(|f| f.kind == FindingKind::MissingMesh).collect::<Vec<_>>()[..] else {
        panic!("once: {:?}", view.findings)
    };
    assert_eq!((missing.level, missing.plate, missing.copies.len()), (Level::Stop, Some(plate.id), 3));
    assert!(missing.text.starts_with("A entrance gate: mesh file /shop/entrance-gate.stl not found"), "{missing:?}");
    assert_eq!(next.session.all_findings().iter().filter(|f| f.kind == FindingKind::MissingMesh).count(), 1);
    // Still seen on the sheet, dashed.
    assert_eq!(outline(&next), Some(before));
    let input = next.session.sheet_input(next.session.job(), &plate).expect("it is drawn");
    assert!(input.copies.len() == 3 && input.copies.iter().all(|c| c.ghost), "{:?}", input.copies);
    // Turned over, it would look otherwise: nobody knows how.
    next.act(Action::TurnPart(next.part(), 90.0, 0.0));
    assert_eq!(outline(&next), None);
    next.act(Action::Undo);
    for path in next.files.list(Path::new("/cache/outlines")) {
        next.files.remove(&path).expect("it is there");
    }
    let mut last = Desk::over(&next.files);
    last.act(Action::Open("/shop/job.stonehand".into()));
    assert_eq!(outline(&last), None, "the cache can be emptied at any time");
}

#[test]
fn files_near_the_job_are_read_once_however_many_meshes_are_missing() {
    let mut desk = Desk::with_job();
    for n in 0..12 {
        desk.files.put(
            format!("/shop/extra-{n}.stl"),
            reshaped(&desk.files.get(MESH).expect("it is there"), false, |[x, y, z]| [x, y, z + 1.0 + n as f32]),
        );
        desk.act(Action::AddFiles(vec![format!("/shop/extra-{n}.stl").into()]));
    }
    desk.act(Action::Save);
    for n in 0..12 {
        desk.files.remove(Path::new(&format!("/shop/extra-{n}.stl"))).expect("it is there");
    }
    let near = desk.files.list(Path::new("/shop")).len();
    let reads = Arc::new(AtomicUsize::new(0));
    let mut session = on(Box::new(Odd { files: desk.files.clone(), reads: Some(reads.clone()), ..Odd::default() }));
    reads.store(0, Ordering::Relaxed);
    session.act(Action::Open("/shop/job.stonehand".into()));
    session.tick();
    let missing = session.all_findings().iter().filter(|f| f.kind == FindingKind::MissingMesh).count();
    assert_eq!(missing, 12);
    // The job, each file near it once, those that are not there, and the one that is there again to take it in.
    let count = reads.load(Ordering::Relaxed);
    assert!(count <= near + 12 + 3, "{count} reads of {near} files");
    for _ in 0..5 {
        session.act(Action::ShowHeight(None));
        session.tick();
    }
    assert_eq!(reads.load(Ordering::Relaxed), count, "nothing is looked for again");
}

#[test]
fn a_changed_mesh_is_reported_and_taken_in_place() {
    let desk = Desk::with_job();
    let old = desk.files.get(MESH).expect("it is there");
    desk.files.put(MESH, reshaped(&old, false, |[x, y, z]| [x, y, z * 1.5]));
    let mut next = Desk::over(&desk.files);
    next.act(Action::Open("/shop/job.stonehand".into()));
    assert!(next.has(FindingKind::ChangedMesh) && !next.has(FindingKind::MissingMesh));
    let before = (copies(&next), next.places());
    let mesh = next.session.job().meshes[0].id.clone();
    next.act(Action::Remedy(Remedy::TakeChangedMesh { mesh: mesh.clone() }));
    assert!(!next.has(FindingKind::ChangedMesh));
    assert_eq!((copies(&next), next.places()), before);
    assert_ne!(next.session.job().parts[0].mesh, mesh);
}

#[test]
fn a_revised_mesh_replaces_the_old_one_in_place() {
    let mut desk = Desk::with_job();
    let old = desk.files.get(MESH).expect("it is there");
    desk.files.put("/shop/gate-2.stl", reshaped(&old, false, |[x, y, z]| [x, y, z * 2.0]));
    let part = desk.session.job().parts[0].clone();
    let height = |d: &Desk| d.session.shapes()[&d.part()].height_mm;
    let (before, was_high, bytes) = ((copies(&desk), desk.places()), height(&desk), desk.bytes());
    desk.act(Action::ReplaceMesh(part.id, "/shop/gate-2.stl".into()));
    let now = &desk.session.job().parts[0];
    assert_eq!((now.id, &now.letter, &now.name), (part.id, &part.letter, &part.name));
    assert!((height(&desk) - 2.0 * was_high).abs() < 1e-4);
    assert_eq!((copies(&desk), desk.places()), before);
    assert_eq!(desk.session.job().meshes.len(), 1, "the old one is not kept beside it");
    desk.act(Action::Undo);
    assert_eq!((desk.bytes(), height(&desk)), (bytes, was_high));
    // A file that is no mesh changes nothing.
    desk.files.put("/shop/notes.stl", b"Dear keeper".to_vec());
    desk.act(Action::ReplaceMesh(part.id, "/shop/notes.stl".into()));
    assert!(desk.told().contains("/shop/notes.stl"));
    assert_eq!(desk.session.job().parts[0].mesh, part.mesh);
}

#[test]
fn the_unit_of_a_mesh_is_the_persons_to_say() {
    let mut desk = Desk::with_job();
    let width = |d: &Desk| d.session.shapes()[&d.part()].shadow.region().bounds().width();
    let mm = width(&desk);
    desk.act(Action::SetUnit(desk.part(), FileUnit::Inch));
    assert!((width(&desk) - 25.4 * mm).abs() < 1e-6 * mm);
    // And stays when a revised file takes the place of the old one.
    let old = desk.files.get(MESH).expect("it is there");
    desk.files.put("/shop/gate-2.stl", reshaped(&old, false, |[x, y, z]| [x * 2.0, y, z]));
    desk.act(Action::ReplaceMesh(desk.part(), "/shop/gate-2.stl".into()));
    assert!((width(&desk) - 50.8 * mm).abs() < 1e-6 * mm);
    desk.act(Action::Undo);
    desk.act(Action::Undo);
    assert_eq!(width(&desk), mm);
}

#[test]
fn a_file_of_several_bodies_becomes_a_part_for_each() {
    let mut desk = Desk::new();
    let one = desk.files.get(MESH).expect("it is there");
    desk.files.put("/shop/pair.stl", reshaped(&one, true, |[x, y, z]| [x + 500.0, y, z]));
    desk.act(Action::AddFiles(vec!["/shop/pair.stl".into()]));
    let (pair, before) = (desk.part(), desk.bytes());
    assert!(desk.session.shapes()[&pair].shadow.region().bounds().width() > 500.0);
    desk.act(Action::SplitBodies(pair));
    let parts = &desk.session.job().parts;
    assert_eq!(parts.iter().map(|p| p.name.as_str()).collect::<Vec<_>>(), ["pair 1", "pair 2"]);
    assert_eq!(parts.iter().map(|p| p.letter.as_str()).collect::<Vec<_>>(), ["B", "C"], "a letter is given once");
    for p in parts {
        assert!(desk.session.shapes()[&p.id].shadow.region().bounds().width() < 200.0, "each is one body");
    }
    assert_eq!(desk.session.undo_label(), Some("Split into bodies"));
    // Saved and opened, they are still two bodies of one file.
    desk.act(Action::SaveAs("/shop/pair.stonehand".into()));
    let mut next = Desk::over(&desk.files);
    next.act(Action::Open("/shop/pair.stonehand".into()));
    assert_eq!(next.session.job().parts.iter().map(|p| p.body).collect::<Vec<_>>(), [Some(0), Some(1)]);
    let why = next.session.try_act(Action::SplitBodies(next.part())).expect_err("one body").to_string();
    assert!(why.contains("is one body"), "{why}");
    desk.act(Action::Undo);
    let file = |bytes: &[u8]| String::from_utf8_lossy(bytes).replace("/shop/pair.stl", "pair.stl");
    assert_eq!(file(&desk.bytes()), file(&before), "one step back");
}

/// Feet for millimetres: 300 times as large. It is drawn and told; its 50 000 layers are not worked out.
#[test]
fn a_part_beyond_every_bed_is_told_and_no_work_is_put_into_its_layers() {
    let mut desk = Desk::with_job();
    let beyond = |d: &Desk| {
        let all = d.session.all_findings();
        all.iter().map(|f| f.text.clone()).find(|t| t.contains("check its unit and scale"))
    };
    let time =
        |d: &Desk| d.session.view(d.session.job().plates[0].id).and_then(|v| v.estimate.as_ref().map(|e| e.time_s));
    let (before, computed) = (time(&desk).expect("it is estimated"), desk.session.profiles_computed());
    assert_eq!(beyond(&desk), None);
    desk.act(Action::SetUnit(desk.part(), FileUnit::Foot));
    let text = beyond(&desk).expect("it is told");
    assert!(text.contains("mm longer than the diagonal of the largest bed"), "{text}");
    let view = desk.session.view(desk.session.job().plates[0].id).expect("a view");
    assert!(view.estimate.is_none());
    assert!(
        view.no_estimate.as_deref().is_some_and(|why| why.contains("no time is estimated for it")),
        "{:?}",
        view.no_estimate
    );
    assert!(desk.session.shapes().contains_key(&desk.part()), "its outline is drawn");
    assert_eq!((desk.session.profiles_computed(), desk.session.preparing()), (computed, 0));
    desk.act(Action::Undo);
    assert_eq!((beyond(&desk), time(&desk)), (None, Some(before)));
}

/// Laid on any of its faces, upright sides are upright but for rounding: their edges lie all but on each other. One of these poses kept
/// the outline at work for ever.
#[test]
fn a_part_laid_on_any_face_has_its_outline() {
    let mut desk = Desk::new();
    desk.act(Action::AddFiles(vec!["/shop/strap-hook.3mf".into()]));
    let part = desk.part();
    for face in [1, 7].into_iter().chain(0..20) {
        if desk.session.try_act(Action::LayOn(part, face)).is_err() {
            assert!(face > 7, "it has faces to lie on");
            break;
        }
        desk.session.act(Action::ShowHeight(None));
        desk.session.tick();
        assert!(desk.session.shapes()[&part].shadow.region().area() > 1.0, "laid on face {face}");
    }
}

/// Seen when the job is saved, and when the window gets the keyboard back; told once.
#[test]
fn a_mesh_file_that_vanishes_is_told_once() {
    let mut desk = Desk::with_job();
    let mesh = desk.files.get(MESH).expect("it is there");
    desk.act(Action::LookForMeshes);
    assert_eq!(desk.told(), "");
    desk.files.remove(Path::new(MESH)).expect("it goes");
    desk.act(Action::SetTitle("Gates".into()));
    desk.act(Action::Save);
    assert!(desk.told().contains("entrance-gate.stl is gone"));
    desk.act(Action::LookForMeshes);
    assert_eq!(desk.told(), "", "once");
    // The job works on.
    assert!(desk.session.library().loaded(&desk.session.job().meshes[0].id).is_some());
    desk.files.put(MESH, mesh);
    desk.act(Action::LookForMeshes);
    desk.files.remove(Path::new(MESH)).expect("it goes");
    desk.act(Action::LookForMeshes);
    assert!(desk.told().contains("is gone"), "a second time");
}
