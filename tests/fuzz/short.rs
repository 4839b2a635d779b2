//! A few seconds of `main`, the same ones every time.

mod dice;
#[path = "../../src/formats/read/fixtures.rs"]
mod fixtures;
mod mutate;
mod seeds;
mod session;
mod shifts;
mod target;
mod watched;
#[path = "../gui/world.rs"]
mod world;

use target::Target;
use watched::{Order, Until};

fn clear_of(target: Target, cases: u64) {
    let order = Order { seed: 7, until: Until::Cases(cases), targets: vec![target], folder: None };
    let tally = watched::run(&order, 0, None);
    assert!(tally.finds.is_empty(), "{}", tally.words());
    assert_eq!(tally.cases.get(target.name()).map(|c| c.0), Some(cases));
}

#[test]
fn meshes() {
    for target in [Target::Stl, Target::Obj, Target::Package] {
        clear_of(target, 150);
    }
}

#[test]
fn jobs_and_shops() {
    clear_of(Target::Job, 400);
    clear_of(Target::Shop, 400);
}

#[test]
fn machine_code_and_kept_profiles() {
    clear_of(Target::Code, 400);
    clear_of(Target::Profile, 400);
}

#[test]
fn jobs_all_the_way() {
    clear_of(Target::Route, 6);
}

#[test]
fn anything_a_person_can_do() {
    clear_of(Target::Actions, 4);
}

/// What is planted is found: a run that cannot find anything proves nothing.
#[test]
fn a_planted_fault_is_found() {
    let until = Until::Time(std::time::Duration::from_millis(1500));
    let order = Order { seed: 7, until, targets: vec![Target::Stl, Target::Code], folder: None };
    let seeds = std::sync::Arc::new(seeds::Seeds::new());
    let planted: watched::Case = std::sync::Arc::new(|target, _| match target {
        Target::Stl => panic!("planted"),
        _ => Err("planted too".to_owned()),
    });
    let tally = watched::watched(&order, 0, &seeds, None, &planted);
    let found = |what: &str| tally.finds.keys().filter(|w| w.contains(what)).count();
    assert_eq!((found("stl: panic: planted"), found("code: planted too")), (1, 1), "{}", tally.words());
}
