//! New, open, save, save as, recent, recovery.

use std::{
    path::{Path, PathBuf},
    sync::{
        Arc,
        atomic::{AtomicUsize, Ordering},
    },
};

use stonehand::{
    document::Machine,
    finding::FindingKind,
    session::{Action, Ask, Disk, World},
};

use super::{
    desk::{Desk, Odd, on},
    world::Files,
};

fn kept(files: &Files) -> Vec<PathBuf> {
    let mut all = files.list(Path::new("/own/unsaved"));
    all.retain(|p| p.extension().is_some_and(|e| e == "stonehand"));
    all
}

/// A window whose work is kept, on the job in `/shop`.
fn window(files: &Files) -> Desk {
    let mut desk = Desk::over(files);
    desk.session.set_recovers(true);
    desk.act(Action::Open("/shop/job.stonehand".into()));
    desk
}

#[test]
fn a_new_job_has_the_shops_machines() {
    let mut desk = Desk::with_job();
    desk.act(Action::New);
    assert!(desk.session.job().parts.is_empty() && desk.session.path().is_none() && !desk.session.changed());
    let starter = desk.session.job().machines.len();
    desk.act(Action::AddMachine(Box::new(Machine::rectangular(
        desk.session.job().machines[0].id,
        "Attic",
        90.0,
        90.0,
        90.0,
    ))));
    desk.act(Action::KeepAsShop);
    let mut other = Desk::over(&desk.files);
    let names: Vec<&str> = other.session.job().machines.iter().map(|m| m.name.as_str()).collect();
    assert_eq!((names.len(), names.last()), (starter + 1, Some(&"Attic")));
    // A shop file that cannot be read is told, and a new job comes all the same.
    other.files.put("/own/shop.stonehand-shop", b"{".to_vec());
    other.act(Action::New);
    assert_eq!(other.session.job().machines.len(), starter);
    assert!(other.told().contains("shop.stonehand-shop"));
}

#[test]
fn saving_asks_for_a_place_where_there_is_none() {
    let mut desk = Desk::new();
    desk.act(Action::SetTitle("Gates".into()));
    desk.act(Action::Save);
    assert_eq!(desk.session.take_ask(), Some(Ask::SaveAs));
    assert!(desk.session.changed());
    desk.act(Action::SaveAs("/shop/gates".into()));
    assert_eq!(desk.session.path(), Some(Path::new("/shop/gates.stonehand")));
    assert_eq!(desk.saved("/shop/gates.stonehand").title, "Gates");
    desk.act(Action::SetTitle("Rails".into()));
    assert!(desk.session.changed());
    desk.act(Action::Save);
    assert_eq!(desk.session.take_ask(), None);
    assert_eq!(desk.saved("/shop/gates.stonehand").title, "Rails");
}

#[test]
fn a_change_undone_is_no_change() {
    let mut desk = Desk::with_job();
    desk.act(Action::SetTitle("Rails".into()));
    assert!(desk.session.changed());
    desk.act(Action::Undo);
    assert!(!desk.session.changed());
    desk.act(Action::Redo);
    desk.act(Action::Save);
    assert!(!desk.session.changed());
    desk.act(Action::Undo);
    assert!(desk.session.changed(), "what was saved is another");
}

#[test]
fn opening_takes_the_job_and_forgets_the_past() {
    let mut desk = Desk::with_job();
    let bytes = desk.files.get("/shop/job.stonehand").expect("it is saved");
    desk.act(Action::New);
    desk.act(Action::Open("/shop/job.stonehand".into()));
    assert_eq!(desk.bytes(), bytes);
    assert_eq!((desk.session.undo_label(), desk.session.changed()), (None, false));
    assert_eq!(desk.places().len(), 3);
    assert!(!desk.has(FindingKind::MissingMesh));
    // One that cannot be opened changes nothing.
    desk.files.put("/shop/bad.stonehand", b"{\"stonehand\": 1".to_vec());
    for path in ["/shop/bad.stonehand", "/shop/gone.stonehand"] {
        let why = desk.session.try_act(Action::Open(path.into())).expect_err("it cannot be opened").to_string();
        assert!(why.contains(path), "{why}");
        assert_eq!(desk.bytes(), bytes);
        assert_eq!(desk.session.path(), Some(Path::new("/shop/job.stonehand")));
    }
}

#[test]
fn recent_jobs_are_newest_first_and_still_there() {
    let mut desk = Desk::with_job();
    desk.act(Action::SaveAs("/shop/second.stonehand".into()));
    desk.act(Action::SaveAs("/shop/third.stonehand".into()));
    desk.act(Action::Open("/shop/job.stonehand".into()));
    let names = |d: &Desk| d.session.recent().iter().map(|p| p.display().to_string()).collect::<Vec<_>>();
    let all = ["/shop/job.stonehand", "/shop/third.stonehand", "/shop/second.stonehand"];
    assert_eq!(names(&desk), all);
    desk.files.remove(Path::new("/shop/third.stonehand")).expect("it is there");
    assert_eq!(names(&Desk::over(&desk.files)), [all[0], all[2]]);
}

#[test]
fn mesh_paths_follow_the_job_in_every_step() {
    let mut desk = Desk::with_job();
    assert_eq!(desk.saved("/shop/job.stonehand").meshes[0].file, "entrance-gate.stl");
    desk.act(Action::SetTitle("Rails".into()));
    desk.act(Action::SaveAs("/away/deep/job.stonehand".into()));
    assert_eq!(desk.saved("/away/deep/job.stonehand").meshes[0].file, "../../shop/entrance-gate.stl");
    // A step back in time is no step back to the other folder.
    desk.act(Action::Undo);
    desk.act(Action::Save);
    assert_eq!(desk.saved("/away/deep/job.stonehand").meshes[0].file, "../../shop/entrance-gate.stl");
    desk.act(Action::Redo);
    assert_eq!(desk.session.job().title, "Rails");
    assert_eq!(desk.session.job().meshes[0].file, "../../shop/entrance-gate.stl");
}

#[test]
fn where_nothing_can_be_written_the_job_lies_where_it_lay() {
    let desk = Desk::with_job();
    let before = desk.files.get("/shop/job.stonehand");
    let mut session = on(Box::new(Odd { files: desk.files.clone(), stuck: Some("/away"), ..Odd::default() }));
    session.act(Action::Open("/shop/job.stonehand".into()));
    session.tick();
    session.act(Action::SetTitle("Rails".into()));
    let why = session.try_act(Action::SaveAs("/away/job.stonehand".into())).expect_err("it cannot be written");
    assert!(why.to_string().starts_with("/away/job.stonehand: cannot be written"), "{why}");
    assert_eq!(session.path(), Some(Path::new("/shop/job.stonehand")));
    assert_eq!(session.job().meshes[0].file, "entrance-gate.stl");
    assert!(session.changed());
    assert_eq!(desk.files.get("/shop/job.stonehand"), before);
    assert!(desk.files.get("/away/job.stonehand").is_none());
}

#[test]
fn unsaved_work_outlives_a_crash() {
    let mut desk = Desk::with_job();
    desk.session.set_recovers(true);
    desk.session.tick();
    assert!(kept(&desk.files).is_empty(), "nothing has changed yet");
    desk.act(Action::SetTitle("Rails".into()));
    let bytes = desk.bytes();
    let [path] = &kept(&desk.files)[..] else { panic!("one job is kept") };
    // The program is gone without a word; the next one finds the work.
    let mut next = Desk::over(&desk.files);
    assert!(next.session.unsaved_jobs().is_empty(), "the window still runs");
    drop(desk);
    next.session.set_recovers(true);
    let [unsaved] = &next.session.unsaved_jobs()[..] else { panic!("one job is offered") };
    assert_eq!((&unsaved.path, unsaved.name.as_str()), (path, "job.stonehand"));
    assert!(unsaved.age.is_some_and(|age| age.as_secs() >= 120), "{unsaved:?}");
    next.act(Action::Recover(path.clone()));
    assert_eq!(next.session.job().title, "Rails");
    assert!(next.session.changed() && next.session.path() == Some(Path::new("/shop/job.stonehand")));
    assert_eq!(next.session.job().meshes[0].file, "entrance-gate.stl");
    assert!(!next.has(FindingKind::MissingMesh), "its meshes are found from where it was kept");
    assert_eq!(kept(&next.files), std::slice::from_ref(path), "and it is kept until it is saved");
    assert!(Desk::over(&next.files).session.unsaved_jobs().is_empty(), "and offered to nobody else meanwhile");
    let why = Desk::over(&next.files).session.try_act(Action::Recover(path.clone())).expect_err("it is taken");
    assert!(why.to_string().contains("another window"), "{why}");
    next.act(Action::Save);
    assert_eq!((next.session.take_ask(), next.files.get("/shop/job.stonehand")), (None, Some(bytes)));
    assert!(kept(&next.files).is_empty());
    assert!(next.files.list(Path::new("/own/unsaved")).is_empty(), "not even a lock is left");
}

#[test]
fn what_was_recovered_does_not_overwrite_what_was_saved_since() {
    let mut first = Desk::with_job();
    first.session.set_recovers(true);
    first.act(Action::SetTitle("Rails".into()));
    let files = first.files.clone();
    drop(first);
    let mut second = Desk::over(&files);
    second.act(Action::Open("/shop/job.stonehand".into()));
    second.act(Action::SetTitle("Gates".into()));
    second.act(Action::Save);
    let mut third = Desk::over(&files);
    third.session.set_recovers(true);
    let path = third.session.unsaved_jobs().remove(0).path;
    third.act(Action::Recover(path));
    third.act(Action::Save);
    assert_eq!(third.session.take_ask(), Some(Ask::Replace));
    assert_eq!(third.saved("/shop/job.stonehand").title, "Gates");
}

/// In containers every program may be process 1: files are told apart by more than that.
#[test]
fn windows_of_one_process_number_keep_their_work_apart() {
    let files = Desk::with_job().files;
    let (mut one, mut two) = (window(&files), window(&files));
    one.act(Action::SetTitle("one".into()));
    two.act(Action::SetTitle("two".into()));
    assert_eq!(kept(&files).len(), 2);
    drop((one, two));
    let mut titles = Vec::new();
    for unsaved in Desk::over(&files).session.unsaved_jobs() {
        let mut next = Desk::over(&files);
        next.act(Action::Recover(unsaved.path));
        titles.push(next.session.job().title.clone());
    }
    assert_eq!(titles, ["two", "one"], "the newest first");
}

#[test]
fn the_next_job_is_offered_once_one_is_decided_about() {
    let files = Desk::with_job().files;
    for title in ["one", "two", "three"] {
        let mut gone = window(&files);
        gone.act(Action::SetTitle(title.into()));
        files.put(format!("/own/unsaved/{title} (9).stonehand"), gone.bytes());
        gone.session.leave();
    }
    // One that cannot be read is offered once, and not again and again.
    files.put("/own/unsaved/torn (9).stonehand", b"{".to_vec());
    let mut next = Desk::over(&files);
    next.session.set_recovers(true);
    let mut offered = Vec::new();
    while let Some(unsaved) = next.session.next_unsaved() {
        offered.push(unsaved.name);
        let recovers = offered.len() % 2 == 0;
        next.act(if recovers { Action::Recover(unsaved.path) } else { Action::Forget(unsaved.path) });
        assert!(offered.len() < 9, "{offered:?}");
    }
    offered.sort_unstable();
    assert_eq!(offered, ["one", "three", "torn", "two"]);
}

#[test]
fn what_an_earlier_version_kept_is_offered() {
    let desk = Desk::with_job();
    let own = std::process::id();
    for process in [77, 78, own] {
        desk.files.put(format!("/own/unsaved/job ({process}).stonehand"), desk.bytes());
    }
    desk.files.put("/running/77", Vec::new());
    desk.files.put(format!("/running/{own}"), Vec::new());
    let mut next = Desk::over(&desk.files);
    next.session.set_recovers(true);
    let offered: Vec<_> = next.session.unsaved_jobs().into_iter().map(|u| (u.path, u.name)).collect();
    let path = |process| PathBuf::from(format!("/own/unsaved/job ({process}).stonehand"));
    assert_eq!(offered, [own, 78].map(|p| (path(p), "job".to_owned())), "a window with 77 still runs");
    next.act(Action::Recover(path(78)));
    assert!(next.session.changed() && next.session.path().is_none(), "where it lay was not written down");
    let now = kept(&next.files);
    assert!(now.len() == 3 && !now.contains(&path(78)), "kept anew, under this window's own name: {now:?}");
}

#[test]
fn long_names_of_jobs_are_kept_and_copied() {
    let folder = tempfile::tempdir().expect("a temporary folder");
    let disk = || Box::new(Disk { own: Some(folder.path().join("own")), ..Disk::default() });
    // 240 letters of two bytes do not fit a name; 122 and the ending do.
    for name in ["x".repeat(240), "ö".repeat(122)] {
        let path = folder.path().join(format!("{name}.stonehand"));
        let mut session = on(disk());
        session.set_recovers(true);
        session.try_act(Action::SaveAs(path.clone())).expect("it can be saved");
        session.act(Action::SetTitle("Rails".into()));
        session.tick();
        assert_eq!(session.take_notices(), [], "{name}");
        std::fs::write(&path, b"{}").expect("somebody else writes it");
        session.act(Action::Save);
        assert_eq!(session.take_ask(), Some(Ask::Replace));
        drop(session);
        let unsaved = on(disk()).unsaved_jobs();
        assert_eq!(unsaved.iter().map(|u| u.name.clone()).collect::<Vec<_>>(), [format!("{name}.stonehand")]);
        let mut next = on(disk());
        next.set_recovers(true);
        next.try_act(Action::Recover(unsaved[0].path.clone())).expect("it is there");
        next.act(Action::Save);
        next.try_act(Action::SaveCopy).expect("a copy has room for its name");
        assert!(next.path().is_some_and(|p| p.exists() && *p != path), "{next:?}");
    }
}

#[test]
fn what_cannot_be_kept_is_tried_again_and_told_once() {
    let desk = Desk::with_job();
    let room = Arc::new(AtomicUsize::new(0));
    let mut session = on(Box::new(Odd { files: desk.files.clone(), room: Some(room.clone()), ..Odd::default() }));
    session.set_recovers(true);
    session.act(Action::Open("/shop/job.stonehand".into()));
    session.tick();
    session.take_notices();
    let mut told = Vec::new();
    for title in ["a", "b", "c"] {
        session.act(Action::SetTitle(title.into()));
        session.tick();
        told.extend(session.take_notices());
    }
    let [once] = &told[..] else { panic!("told once: {told:?}") };
    assert!(once.fault && once.text.contains("cannot be kept for recovery"), "{once:?}");
    assert!(kept(&desk.files).is_empty());
    room.store(usize::MAX / 2, Ordering::Relaxed);
    session.act(Action::SetTitle("d".into()));
    session.tick();
    assert_eq!((session.take_notices(), kept(&desk.files).len()), (Vec::new(), 1), "there is room again");
    room.store(0, Ordering::Relaxed);
    session.act(Action::SetTitle("e".into()));
    session.tick();
    assert_eq!(session.take_notices().len(), 1, "full once more: told once more");
}

#[test]
fn what_is_saved_or_not_wanted_is_not_kept() {
    let mut desk = Desk::with_job();
    desk.session.set_recovers(true);
    let change = |desk: &mut Desk, title: &str| {
        desk.act(Action::SetTitle(title.into()));
        assert_eq!(kept(&desk.files).len(), 1, "{title}");
    };
    change(&mut desk, "saved");
    desk.act(Action::Save);
    assert!(kept(&desk.files).is_empty());
    change(&mut desk, "undone");
    desk.act(Action::Undo);
    assert!(kept(&desk.files).is_empty());
    change(&mut desk, "left for a new job");
    desk.act(Action::New);
    assert!(kept(&desk.files).is_empty(), "the person was asked, and did not want it");
    change(&mut desk, "thrown away by the next run");
    let path = kept(&desk.files).remove(0);
    Desk::over(&desk.files).act(Action::Forget(path));
    assert!(kept(&desk.files).is_empty());
    change(&mut desk, "closed without saving");
    desk.session.leave();
    assert!(kept(&desk.files).is_empty());
    desk.act(Action::SetTitle("after".into()));
    assert!(kept(&desk.files).is_empty());
    // Only what lies there is ever thrown away.
    desk.act(Action::Forget("/shop/job.stonehand".into()));
    assert!(desk.files.get("/shop/job.stonehand").is_some());
}
