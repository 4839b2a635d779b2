//! Handing over: asked first where a plate has faults, whole or not at all, and in the background.

use std::{
    path::Path,
    sync::{Arc, Mutex, atomic::AtomicUsize},
};

use stonehand::{
    geom::Point,
    session::{Action, Ask, HandOver, Session, World},
    work::{Event, Runner},
};

use super::{
    desk::{Desk, MESH, Odd, on},
    world::Files,
};

const JOB: &str = "/shop/job.stonehand";

/// All files in a folder and below it, by name.
fn below(files: &Files, folder: &str) -> Vec<(String, Vec<u8>)> {
    let all = ["", "/.stonehand-export.tmp", "/.stonehand-export.tmp/new", "/.stonehand-export.tmp/old"];
    let all = all.iter().flat_map(|f| files.list(Path::new(&format!("{folder}{f}"))));
    all.map(|p| (p.display().to_string(), files.get(&p).expect("it is listed"))).collect()
}

/// Files of a job exported into `/out`; then the job changed, so that every name and content of the next export is another.
fn exported() -> (Files, Desk) {
    let mut desk = Desk::with_job();
    desk.act(Action::Export("/out".into()));
    assert!(desk.told().contains("11 files handed over in /out"));
    let part = desk.part();
    desk.act(Action::PlaceAt(part, Point::new(180.0, 140.0)));
    desk.act(Action::Save);
    (desk.files.clone(), desk)
}

#[test]
fn a_hand_over_says_how_far_it_is() {
    let (files, mut desk) = exported();
    let plate = desk.session.plate_id().expect("a plate is shown");
    desk.act(Action::DuplicatePlate(plate));
    desk.act(Action::Save);
    let told: Arc<Mutex<Vec<(f64, String)>>> = Arc::default();
    let kept = told.clone();
    let heard = Arc::new(move |event: &Event| {
        if let Event::Progress(_, done, what) = event {
            kept.lock().expect("no test panics").push((*done, what.clone()));
        }
    });
    let mut session = Session::new(Box::new(files), Runner::inline_heard(heard));
    session.act(Action::Open(JOB.into()));
    session.tick();
    told.lock().expect("no test panics").clear();
    session.export(Path::new("/twice"), HandOver::default()).expect("it is written");
    let told = told.lock().expect("no test panics").clone();
    let words: Vec<&str> = told.iter().map(|t| t.1.as_str()).collect();
    assert_eq!(words, ["placements", "plate 1 of 2", "plate 2 of 2"]);
    assert!(told.windows(2).all(|w| w[0].0 < w[1].0) && told[2].0 < 1.0, "{told:?}");
}

#[test]
fn a_full_disk_leaves_the_earlier_export_whole() {
    let (files, mut desk) = exported();
    let before = below(&files, "/out");
    assert_eq!(before.len(), 12, "eleven files and their list: {:?}", before.iter().map(|f| &f.0).collect::<Vec<_>>());
    desk.act(Action::Export("/copy".into()));
    let needed: usize = below(&files, "/copy").iter().map(|f| f.1.len()).sum();
    // However far it comes.
    for room in [0, 100, needed / 3, needed / 2, needed - 200] {
        let left = Some(Arc::new(AtomicUsize::new(room)));
        let mut session = on(Box::new(Odd { files: files.clone(), room: left, ..Odd::default() }));
        session.act(Action::Open(JOB.into()));
        session.tick();
        session.take_notices();
        let why = session.export(Path::new("/out"), HandOver::default()).expect_err("the disk is full").to_string();
        assert!(why.contains("/out/") && why.ends_with("what was there before is untouched"), "{room}: {why}");
        assert!(below(&files, "/out") == before, "{room} bytes");
    }
    desk.act(Action::Export("/out".into()));
    assert!(below(&files, "/out") != before);
    assert_eq!(below(&files, "/out").len(), 12);
}

#[test]
fn files_that_cannot_all_be_moved_are_all_put_back() {
    let (files, _) = exported();
    let before = below(&files, "/out");
    for moves in 0..12 {
        let left = Arc::new(AtomicUsize::new(moves));
        let odd = Odd { files: files.clone(), moves: Some(left.clone()), ..Odd::default() };
        let mut session = on(Box::new(odd));
        session.act(Action::Open(JOB.into()));
        session.tick();
        // The disk moves no more files: not even back. This is also what a run that is killed leaves.
        let why = session.export(Path::new("/out"), HandOver::default()).expect_err("it ends half way").to_string();
        if moves > 0 {
            assert!(why.contains("export into /out again"), "{moves}: {why}");
        }
        // The next export puts the earlier files back first, and has no room for its own.
        let room = Some(Arc::new(AtomicUsize::new(0)));
        let mut next = on(Box::new(Odd { files: files.clone(), room, ..Odd::default() }));
        next.act(Action::Open(JOB.into()));
        next.tick();
        next.export(Path::new("/out"), HandOver::default()).expect_err("the disk is full");
        assert!(below(&files, "/out") == before, "after {moves} moves");
    }
}

#[test]
fn a_folder_made_for_nothing_goes_again_and_one_export_writes_at_a_time() {
    let (files, mut desk) = exported();
    let mut session =
        on(Box::new(Odd { files: files.clone(), room: Some(Arc::new(AtomicUsize::new(0))), ..Odd::default() }));
    session.act(Action::Open(JOB.into()));
    session.export(Path::new("/fresh"), HandOver::default()).expect_err("the disk is full");
    assert!(!files.exists(Path::new("/fresh")));
    files.put("/out/.stonehand-export.tmp/new/placements.csv", Vec::new());
    let lock = files.lock(Path::new("/out/.stonehand-export.tmp/lock")).expect("locks work").expect("it is free");
    let before = below(&files, "/out");
    let why = desk.session.export(Path::new("/out"), HandOver::default()).expect_err("it is taken").to_string();
    assert!(why.contains("another export is being written"), "{why}");
    assert!(below(&files, "/out") == before);
    drop(lock);
    desk.session.export(Path::new("/out"), HandOver::default()).expect("it is free");
    assert!(!files.exists(Path::new("/out/.stonehand-export.tmp")));
}

#[test]
fn a_plate_with_a_stop_is_asked_about_first() {
    let mut desk = Desk::with_job();
    let part = desk.part();
    desk.act(Action::PlaceAt(part, Point::new(65.0, 60.0)));
    desk.act(Action::Export("/out".into()));
    assert_eq!(desk.session.take_ask(), Some(Ask::HandOverFaulty));
    let lines = desk.session.hand_over_doubt().expect("it is asked").lines();
    assert!(lines.len() == 1 && lines[0].starts_with("Plate 1: ") && lines[0].contains("A 4"), "{lines:?}");
    assert!(!desk.files.exists(Path::new("/out")), "nothing is written yet");
    desk.act(Action::ExportAnyway);
    assert!(desk.files.get("/out/placements.json").is_some());
    let why = desk.session.try_act(Action::ExportAnyway).expect_err("it was answered").to_string();
    assert!(why.contains("nothing to hand over"), "{why}");
}

#[test]
fn a_plate_with_a_missing_mesh_is_asked_about_and_gets_no_models() {
    let desk = Desk::with_job();
    desk.files.remove(Path::new(MESH)).expect("it is there");
    let mut next = Desk::over(&desk.files);
    next.act(Action::Open(JOB.into()));
    next.act(Action::Export("/out".into()));
    assert_eq!(next.session.take_ask(), Some(Ask::HandOverFaulty));
    let lines = next.session.hand_over_doubt().expect("it is asked").lines().join("\n");
    assert!(lines.contains("entrance-gate.stl") && lines.contains("gets no 3MF and no STL"), "{lines}");
    next.act(Action::ExportAnyway);
    let names: Vec<String> = below(&desk.files, "/out").into_iter().map(|f| f.0).collect();
    let has = |ending: &str| names.iter().any(|n| n.ends_with(ending));
    assert!(has(".svg") && has("placements.csv") && !has(".stl") && !has(".3mf"), "{names:?}");
    // Where nobody can be asked, it is refused.
    let why = next.session.export(Path::new("/other"), HandOver::default()).expect_err("no mesh").to_string();
    assert!(why.starts_with("A 1 cannot be written") && !desk.files.exists(Path::new("/other")), "{why}");
}

#[test]
fn files_are_written_beside_the_window_and_can_be_cancelled() {
    let (files, _) = exported();
    let before = below(&files, "/out");
    // A disk that waits until it is told to go on, in the middle of a file.
    let gate = Arc::new(std::sync::Barrier::new(2));
    let slow = Odd { files: files.clone(), gate: Some(gate.clone()), ..Odd::default() };
    let mut session = Session::new(Box::new(slow), Runner::threads(&(Arc::new(|| ()) as _)));
    let until = |session: &mut Session, done: &dyn Fn(&Session) -> bool| {
        let begun = std::time::Instant::now();
        while !done(session) {
            session.tick();
            assert!(begun.elapsed().as_secs() < 60, "it takes too long");
            std::thread::sleep(std::time::Duration::from_millis(2));
        }
    };
    session.act(Action::Open(JOB.into()));
    until(&mut session, &|s| s.preparing() == 0);
    session.take_notices();
    session.act(Action::Export("/out".into()));
    assert_eq!(session.take_notices(), [], "it has begun");
    gate.wait();
    // The window goes on meanwhile, and one export is enough.
    session.act(Action::SetTitle("Rails".into()));
    assert!(session.handing_over().is_some_and(|h| h.folder == Path::new("/out")));
    let why = session.try_act(Action::Export("/out".into())).expect_err("one runs").to_string();
    assert!(why.contains("still being handed over"), "{why}");
    session.act(Action::CancelExport);
    gate.wait();
    until(&mut session, &|s| s.handing_over().is_none());
    let told: Vec<String> = session.take_notices().into_iter().map(|n| n.text).collect();
    assert!(told.iter().any(|t| t.contains("nothing was handed over: /out is as it was")), "{told:?}");
    assert!(below(&files, "/out") == before);
}
