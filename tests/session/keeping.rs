//! New, open, save, save as, recent, recovery.

use std::path::{Path, PathBuf};

use stonehand::{
    document::Machine,
    plate::FindingKind,
    session::{Action, Ask, World},
};

use super::{
    desk::{Desk, Odd, on},
    world::Files,
};

fn kept(files: &Files) -> Vec<PathBuf> {
    files.list(Path::new("/own/unsaved"))
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
    drop(desk);
    next.session.set_recovers(true);
    assert_eq!(next.session.unsaved_jobs(), std::slice::from_ref(path));
    next.act(Action::Recover(path.clone()));
    assert_eq!(next.session.job().title, "Rails");
    assert!(next.session.changed() && next.session.path().is_none(), "it has no place of its own yet");
    assert!(!next.has(FindingKind::MissingMesh), "its meshes are found from where it was kept");
    assert_eq!(kept(&next.files).len(), 1, "and it is kept again until it is saved");
    next.act(Action::SaveAs("/shop/job.stonehand".into()));
    assert_eq!(next.files.get("/shop/job.stonehand"), Some(bytes));
    assert!(kept(&next.files).is_empty());
}

#[test]
fn the_unsaved_job_of_a_window_that_runs_is_not_offered() {
    let desk = Desk::with_job();
    for process in [77, 78] {
        desk.files.put(format!("/own/unsaved/job ({process}).stonehand"), desk.bytes());
    }
    desk.files.put("/running/77", Vec::new());
    let next = Desk::over(&desk.files);
    assert_eq!(next.session.unsaved_jobs(), [PathBuf::from("/own/unsaved/job (78).stonehand")]);
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
