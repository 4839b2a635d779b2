//! What is asked before a file is replaced, handed over or recovered.

use std::path::Path;

use egui_kittest::kittest::Queryable;
use stonehand::{
    document::file,
    geom::Point,
    session::{Action, World},
};

use super::{Files, Window, session, small_window, window_of};

const JOB: &str = "/shop/small.stonehand";

/// A window whose job was saved by another one since, and that wants to save.
fn too_late() -> (Files, Window) {
    let (files, mut w) = small_window();
    w.state_mut().session_mut().act(Action::SaveAs(JOB.into()));
    let mut other = session(&files);
    other.act(Action::Open(JOB.into()));
    other.act(Action::SetTitle("Theirs".into()));
    other.act(Action::Save);
    w.state_mut().session_mut().act(Action::SetTitle("Ours".into()));
    w.state_mut().session_mut().act(Action::Save);
    w.run();
    w.get_by_label("Overwrite this file?");
    (files, w)
}

fn title(files: &Files, path: &str) -> String {
    file::read(&files.get(path).expect("it is there"), path).expect("it opens").title
}

#[test]
fn saving_over_somebody_elses_changes_is_asked_about() {
    let (files, mut w) = too_late();
    w.get_by_label("Cancel").click();
    w.run();
    assert!(w.query_by_label("Overwrite this file?").is_none() && w.state().session().changed());
    assert_eq!(title(&files, JOB), "Theirs");
    w.state_mut().session_mut().act(Action::Save);
    w.run();
    w.get_by_label("Overwrite").click();
    w.run();
    assert_eq!((title(&files, JOB).as_str(), w.state().session().changed()), ("Ours", false));

    let (files, mut w) = too_late();
    w.get_by_label("Save as a copy").click();
    w.run();
    assert_eq!(title(&files, "/shop/small copy.stonehand"), "Ours");
    assert_eq!(title(&files, JOB), "Theirs");

    let (_, mut w) = too_late();
    w.get_by_label("Open what is there").click();
    w.run();
    assert_eq!((w.state().session().job().title.as_str(), w.state().session().changed()), ("Theirs", false));
}

#[test]
fn a_plate_with_a_stop_is_handed_over_only_when_that_is_said() {
    let (files, mut w) = small_window();
    let part = w.state().session().job().parts[0].id;
    w.state_mut().session_mut().act(Action::PlaceAt(part, Point::new(65.0, 60.0)));
    w.state_mut().session_mut().tick();
    for (answer, made) in [("Cancel", false), ("Hand over anyway", true)] {
        w.state_mut().session_mut().act(Action::Export("/out".into()));
        w.run();
        w.get_by_label_contains("Plate 1: ");
        w.get_by_label(answer).click();
        w.run();
        assert_eq!(files.exists(Path::new("/out/placements.json")), made, "{answer}");
    }
}

#[test]
fn several_unsaved_jobs_are_offered_one_after_the_other() {
    let files = Files::samples();
    for title in ["Spring order", "Summer order", "Autumn order"] {
        let mut gone = session(&files);
        gone.act(Action::Open("/shop/hive-fittings.stonehand".into()));
        gone.set_recovers(true);
        gone.act(Action::SetTitle(title.into()));
        gone.tick();
    }
    let mut next = session(&files);
    next.set_recovers(true);
    let left: Vec<_> = next.unsaved_jobs().into_iter().map(|u| u.path).collect();
    assert_eq!(left.len(), 3);
    let mut w = window_of(next);
    w.get_by_label("Discard").click();
    w.run();
    assert!(files.get(&left[0]).is_none(), "discarded");
    w.get_by_label("Recover").click();
    w.run();
    let title = w.state().session().job().title.clone();
    // The job just recovered is not given up for the next one without a question.
    w.get_by_label("Recover unsaved changes?");
    w.get_by_label("Recover").click();
    w.run();
    w.get_by_label_contains("Save them before recovering another job?");
    w.get_by_label("Cancel").click();
    w.run();
    assert_eq!(w.state().session().job().title, title);
    assert!(files.get(&left[1]).is_some() && files.get(&left[2]).is_some(), "both are kept");
    assert!(w.query_by_label("Recover unsaved changes?").is_none());
}

#[test]
fn unsaved_work_is_offered_by_name_and_time() {
    let files = Files::samples();
    let mut gone = session(&files);
    gone.act(Action::Open("/shop/hive-fittings.stonehand".into()));
    gone.set_recovers(true);
    gone.act(Action::SetTitle("Spring order".into()));
    gone.tick();
    drop(gone);
    let mut next = session(&files);
    next.set_recovers(true);
    let mut w = window_of(next);
    w.get_by_label("Recover unsaved changes?");
    w.get_by_label_contains("hive-fittings.stonehand was not saved before the program ended. Last change: 2 min ago.");
    w.get_by_label("Recover").click();
    w.run();
    assert_eq!(w.state().session().job().title, "Spring order");
    assert_eq!(w.state().session().path(), Some(Path::new("/shop/hive-fittings.stonehand")));
}

#[test]
fn a_mesh_file_that_went_meanwhile_is_told_when_the_window_comes_back() {
    let (files, mut w) = small_window();
    let s = w.state().session();
    let mesh = s.path().and_then(Path::parent).unwrap_or(Path::new("")).join(&s.job().meshes[0].file);
    assert!(files.exists(&mesh), "{}", mesh.display());
    w.input_mut().focused = false;
    w.run();
    files.remove(&mesh).expect("it goes");
    w.run();
    assert!(w.query_by_label_contains("is gone").is_none(), "nobody looks meanwhile");
    w.input_mut().focused = true;
    // A frame to ask, one to hear of it, one to show it.
    w.run_steps(4);
    w.get_by_label_contains("is gone");
}
