//! Profiles are kept between runs.

use std::path::{Path, PathBuf};

use stonehand::{
    document::{Footing, Recipe, RecipeId},
    session::{Action, Session, World},
};

use super::{desk::Desk, world::Files};

fn kept(files: &Files) -> Vec<PathBuf> {
    files.list(Path::new("/cache/profiles"))
}

/// The job opened by a new session; what it shows of the plate's time.
fn opened(files: &Files) -> (Session, f64) {
    let mut desk = Desk::over(files);
    desk.act(Action::Open("/shop/job.stonehand".into()));
    let s = desk.session;
    let plate = s.plate_id().expect("a plate");
    let time_s = s.view(plate).and_then(|v| v.estimate.as_ref()).expect("an estimate").time_s;
    (s, time_s)
}

#[test]
fn a_second_run_computes_nothing_and_shows_the_same() {
    let desk = Desk::with_job();
    assert_eq!((desk.session.profiles_computed(), kept(&desk.files).len()), (1, 1));
    let (again, time_s) = opened(&desk.files);
    assert_eq!(again.profiles_computed(), 0);
    // Without what is kept it is computed, to the same last bit.
    for path in kept(&desk.files) {
        desk.files.remove(&path).expect("it can be removed at any time");
    }
    let (fresh, fresh_s) = opened(&desk.files);
    assert_eq!((fresh.profiles_computed(), fresh_s), (1, time_s));
}

#[test]
fn cut_and_garbled_files_are_ignored_and_replaced() {
    let desk = Desk::with_job();
    let (_, time_s) = opened(&desk.files);
    let path = kept(&desk.files).remove(0);
    let good = desk.files.get(&path).expect("it is kept");
    let mut garbled = good.clone();
    garbled[good.len() / 2] ^= 1;
    let zeros = vec![0; 3 << 20];
    for bad in [good[..good.len() / 2].to_vec(), garbled, Vec::new(), b"of another program".to_vec(), zeros] {
        desk.files.put(&path, bad);
        let (s, again_s) = opened(&desk.files);
        assert_eq!((s.profiles_computed(), again_s), (1, time_s));
        assert_eq!(desk.files.get(&path).as_ref(), Some(&good), "a whole one is in its place");
    }
}

#[test]
fn a_number_that_counts_for_plates_alone_computes_nothing_and_a_speed_does() {
    let mut desk = Desk::with_job();
    let recipe = desk.session.job().recipes[0].clone();
    assert_eq!(recipe.id, desk.session.job().parts[0].recipe);
    let set = |desk: &mut Desk, recipe: Recipe| {
        desk.act(Action::SetRecipe(Box::new(recipe)));
        desk.session.profiles_computed()
    };
    assert_eq!(set(&mut desk, Recipe { time_factor: 1.25, skirt_loops: 2, name: "other".into(), ..recipe.clone() }), 1);
    assert_eq!(set(&mut desk, Recipe { wall_mm_s: 41.0, ..recipe.clone() }), 2);
    assert_eq!(set(&mut desk, recipe), 2, "and back is known");
    assert_eq!(kept(&desk.files).len(), 2);
    assert_eq!(stonehand::estimate::profile_recipe(&Recipe::plain(RecipeId(9))).id, RecipeId(0));
}

#[test]
fn moving_turning_and_adding_copies_computes_nothing() {
    let mut desk = Desk::with_job();
    desk.act(Action::SelectAll);
    for action in [Action::Nudge(3.0, -2.0), Action::Turn(30.0), Action::Duplicate, Action::Undo, Action::Redo] {
        desk.act(action);
    }
    assert_eq!(desk.session.profiles_computed(), 1);
}

#[test]
fn brims_and_rafts_are_worked_out_where_parts_are() {
    let mut desk = Desk::with_job();
    let plate = desk.session.plate_id().expect("a plate");
    let footing_s = |s: &Session| s.view(plate).and_then(|v| v.estimate.as_ref()).map(|e| e.items.footing_s);
    for footing in [Footing::Brim { width_mm: 6.0 }, Footing::Raft { width_mm: 3.0 }] {
        desk.session.act(Action::SelectAll);
        desk.session.act(Action::Footing(Some(footing)));
        // The footing, and how firmly a part of so many corners stands on it.
        assert_eq!((footing_s(&desk.session), desk.session.preparing()), (None, 2));
        desk.session.tick();
        assert!(footing_s(&desk.session).is_some_and(|s| s > 0.0) && desk.session.preparing() == 0);
    }
    // Nobody waits for the first of two any more, and what is known already is there at once.
    desk.session.act(Action::Footing(Some(Footing::Brim { width_mm: 7.0 })));
    desk.session.act(Action::Footing(Some(Footing::Brim { width_mm: 6.0 })));
    assert!(footing_s(&desk.session).is_some());
    desk.session.tick();
    assert_eq!(desk.session.preparing(), 0);
    // A bare one is there at once.
    desk.session.act(Action::Footing(Some(Footing::Bare)));
    assert_eq!(footing_s(&desk.session), Some(0.0));
}

#[test]
fn what_nobody_asks_for_any_more_holds_nothing_up() {
    let mut desk = Desk::with_job();
    let recipe = desk.session.job().recipes[0].clone();
    // Both at once: the first is still under way, or has not begun, when the second takes its place.
    desk.session.act(Action::SetRecipe(Box::new(Recipe { wall_mm_s: 37.0, ..recipe.clone() })));
    desk.session.act(Action::SetRecipe(Box::new(Recipe { wall_mm_s: 38.0, ..recipe })));
    desk.session.tick();
    let plate = desk.session.plate_id().expect("a plate");
    assert!(desk.session.view(plate).and_then(|v| v.estimate.as_ref()).is_some());
    assert_eq!((desk.session.preparing(), desk.session.profile_progress()), (0, None));
}
