//! Saving where somebody else may have written: nothing is lost unasked.

use std::path::{Path, PathBuf};

use stonehand::session::{Action, Ask, Disk, SaveDoubt};

use super::{
    desk::{Desk, Odd, on},
    world::Files,
};

const JOB: &str = "/shop/job.stonehand";

/// Two windows on one job: the other one has saved "Theirs", this one has changed to "Ours" and wants to save.
fn too_late() -> (Files, Desk) {
    let mut theirs = Desk::with_job();
    let mut ours = Desk::over(&theirs.files);
    ours.act(Action::Open(JOB.into()));
    theirs.act(Action::SetTitle("Theirs".into()));
    theirs.act(Action::Save);
    ours.act(Action::SetTitle("Ours".into()));
    ours.act(Action::Save);
    assert_eq!(ours.session.take_ask(), Some(Ask::Replace));
    let replacing = ours.session.replacing().expect("it is asked");
    assert_eq!((replacing.path.as_path(), replacing.why), (Path::new(JOB), SaveDoubt::Changed));
    assert!(replacing.sentence().contains("/shop/job.stonehand was changed by another window"));
    assert!(ours.session.changed() && ours.saved(JOB).title == "Theirs", "nothing is written yet");
    (theirs.files.clone(), ours)
}

#[test]
fn the_later_of_two_windows_is_asked_and_may_overwrite() {
    let (_, mut ours) = too_late();
    ours.act(Action::Overwrite);
    assert_eq!((ours.saved(JOB).title.as_str(), ours.session.changed()), ("Ours", false));
    // It is this window's file again.
    ours.act(Action::SetTitle("Later".into()));
    ours.act(Action::Save);
    assert_eq!((ours.session.take_ask(), ours.saved(JOB).title.as_str()), (None, "Later"));
    let why = ours.session.try_act(Action::Overwrite).expect_err("nothing is asked any more").to_string();
    assert!(why.contains("nothing to overwrite"), "{why}");
}

#[test]
fn or_save_as_a_copy() {
    let (files, mut ours) = too_late();
    files.put("/shop/job copy.stonehand", b"somebody's".to_vec());
    ours.act(Action::SaveCopy);
    assert_eq!(ours.session.path(), Some(Path::new("/shop/job copy 2.stonehand")));
    assert_eq!(ours.saved("/shop/job copy 2.stonehand").title, "Ours");
    assert_eq!(ours.saved(JOB).title, "Theirs");
    assert!(ours.told().contains("saved as /shop/job copy 2.stonehand") && !ours.session.changed());
}

#[test]
fn or_open_what_is_there() {
    let (_, mut ours) = too_late();
    ours.act(Action::Open(JOB.into()));
    assert_eq!((ours.session.job().title.as_str(), ours.session.changed()), ("Theirs", false));
    assert!(ours.session.replacing().is_none());
    ours.act(Action::SetTitle("Both".into()));
    ours.act(Action::Save);
    assert_eq!((ours.session.take_ask(), ours.saved(JOB).title.as_str()), (None, "Both"));
}

#[test]
fn the_same_bytes_written_again_are_no_change() {
    let mut desk = Desk::with_job();
    let bytes = desk.files.get(JOB).expect("it is there");
    desk.files.put(JOB, bytes);
    desk.act(Action::SetTitle("Ours".into()));
    desk.act(Action::Save);
    assert_eq!((desk.session.take_ask(), desk.saved(JOB).title.as_str()), (None, "Ours"));
    // A file that is gone takes nothing with it.
    stonehand::session::World::remove(&desk.files, Path::new(JOB)).expect("it is there");
    desk.act(Action::SetTitle("Again".into()));
    desk.act(Action::Save);
    assert_eq!((desk.session.take_ask(), desk.saved(JOB).title.as_str()), (None, "Again"));
}

#[test]
fn a_typed_name_that_is_taken_is_asked_about() {
    let mut desk = Desk::with_job();
    desk.files.put("/shop/other.stonehand", b"somebody's".to_vec());
    desk.act(Action::SaveNew("/shop/other".into()));
    assert_eq!(desk.session.take_ask(), Some(Ask::Replace));
    assert_eq!(desk.session.replacing().map(|r| r.why), Some(SaveDoubt::Taken));
    assert_eq!(desk.files.get("/shop/other.stonehand"), Some(b"somebody's".to_vec()));
    desk.act(Action::Overwrite);
    assert_eq!(desk.session.path(), Some(Path::new("/shop/other.stonehand")));
    // Chosen in the system's dialog, which has asked itself.
    desk.act(Action::SaveAs(JOB.into()));
    assert_eq!((desk.session.take_ask(), desk.session.path()), (None, Some(Path::new(JOB))));
}

#[test]
fn a_write_protected_job_is_not_replaced_unasked() {
    let desk = Desk::with_job();
    let before = desk.files.get(JOB);
    let protected = Some("job.stonehand");
    let mut session = on(Box::new(Odd { files: desk.files.clone(), protected, ..Odd::default() }));
    session.act(Action::Open(JOB.into()));
    session.act(Action::SetTitle("Ours".into()));
    session.act(Action::Save);
    assert_eq!((session.take_ask(), desk.files.get(JOB)), (Some(Ask::Replace), before));
    assert!(session.replacing().expect("it is asked").sentence().contains("write-protected"));
    session.act(Action::Overwrite);
    assert_eq!(desk.saved(JOB).title, "Ours");
}

/// A command reads, works for a while, and writes: what was written by somebody else meanwhile stays.
#[test]
fn a_command_does_not_replace_what_changed_while_it_ran() {
    let desk = Desk::with_job();
    for (output, there) in [(JOB, true), ("/shop/packed.stonehand", true), ("/shop/fresh.stonehand", false)] {
        if there && output != JOB {
            desk.files.put(output, b"old".to_vec());
        }
        let mut session = on(Box::new(desk.files.clone()));
        session.note_output(Path::new(output));
        session.act(Action::Open(JOB.into()));
        desk.files.put(output, b"somebody's".to_vec());
        session.try_act(Action::SaveAs(output.into())).expect("it is asked");
        assert_eq!(session.take_ask(), Some(Ask::Replace), "{output}");
        let refusal = session.replacing().expect("it is asked").refusal();
        assert!(refusal.starts_with(&format!("{output}: was changed by another program while")), "{refusal}");
        assert_eq!(desk.files.get(output), Some(b"somebody's".to_vec()));
        desk.files.put(JOB, desk.bytes());
    }
    // What nobody touched is the named output, and replaced.
    let mut session = on(Box::new(desk.files.clone()));
    session.note_output(Path::new("/shop/packed.stonehand"));
    session.act(Action::Open(JOB.into()));
    session.try_act(Action::SaveAs("/shop/packed.stonehand".into())).expect("it can be saved");
    assert_eq!(session.take_ask(), None);
    assert!(desk.saved("/shop/packed.stonehand").parts.len() == 1);
}

#[test]
fn a_folder_is_no_job_file() {
    let folder = tempfile::tempdir().expect("a temporary folder");
    std::fs::create_dir(folder.path().join("b.stonehand")).expect("a folder");
    let mut session = on(Box::new(Disk::plain()));
    for path in [PathBuf::from("/"), folder.path().to_path_buf(), folder.path().join("b"), folder.path().join("..")] {
        let why = session.try_act(Action::SaveAs(path.clone())).expect_err("it is a folder").to_string();
        assert!(why.contains("is a folder"), "{}: {why}", path.display());
    }
    assert_eq!(std::fs::read_dir(folder.path()).expect("it is there").count(), 1);
}
