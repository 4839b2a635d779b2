//! Pack and Top up: one undo step, whatever happens meanwhile.

use stonehand::{
    document::{FileUnit, Footing, Part, PlateSpread, Preferences, Recipe},
    finding::{FindingKind, Level},
    session::{Action, Scope, TopUp},
};

use super::desk::Desk;

/// Begins to pack the plate; what comes of it is taken in by the next tick.
fn begin(desk: &mut Desk) {
    desk.session.act(Action::SelectAll);
    desk.session.act(Action::Pack(Scope::Plate));
    assert!(desk.session.arranging().is_some());
}

#[test]
fn packing_is_one_step_and_comes_back_to_the_byte() {
    let mut desk = Desk::with_job();
    let before = desk.bytes();
    let steps = |d: &mut Desk| {
        let mut n = 0;
        while d.session.undo_label().is_some() {
            d.act(Action::Undo);
            n += 1;
        }
        for _ in 0..n {
            d.act(Action::Redo);
        }
        n
    };
    let so_far = steps(&mut desk);
    begin(&mut desk);
    desk.session.tick();
    assert!(desk.session.arranging().is_none());
    let after = desk.bytes();
    assert_ne!(after, before);
    assert_eq!(desk.session.undo_label(), Some("Pack this plate"));
    assert_eq!(steps(&mut desk), so_far + 1);
    assert_eq!(desk.bytes(), after);
    desk.act(Action::Undo);
    assert_eq!(desk.bytes(), before);
    desk.act(Action::Redo);
    assert_eq!(desk.bytes(), after);
    let plate = desk.session.plate_id().expect("a plate");
    assert!(desk.session.view(plate).is_some_and(|v| v.conflicts.is_empty()));
}

#[test]
fn an_order_is_dealt_evenly_where_that_is_asked_and_kept_in_the_file() {
    let placed = |spread: PlateSpread| {
        let mut desk = Desk::new();
        desk.act(Action::AddFiles(vec![super::desk::MESH.into()]));
        let part = Part { wanted: 66, ..desk.session.job().parts[0].clone() };
        desk.act(Action::SetPart(Box::new(part)));
        desk.act(Action::SetPreferences(Preferences { spread, ..Preferences::default() }));
        desk.act(Action::Pack(Scope::Order));
        desk
    };
    let numbers = |d: &Desk| d.session.job().plates.iter().map(|p| p.copies.len()).collect::<Vec<_>>();
    let text = |d: &Desk| String::from_utf8(d.bytes()).expect("JSON is UTF-8");
    let (full, mut even) = (placed(PlateSpread::FullThenRest), placed(PlateSpread::Even));
    let (before, after) = (numbers(&full), numbers(&even));
    assert!(before.len() > 1 && before.len() == after.len(), "{before:?} {after:?}");
    assert_eq!((before.iter().sum::<usize>(), after.iter().sum::<usize>()), (66, 66));
    // Machines of several sizes, smaller ones full: of the plates of one machine none has two copies more than another.
    let apart = |d: &Desk| -> usize {
        let job = d.session.job();
        let of = |m| job.plates.iter().filter(move |p| p.machine == m).map(|p| p.copies.len());
        let one = |m| of(m).max().unwrap_or(0) - of(m).min().unwrap_or(0);
        job.machines.iter().map(|m| one(m.id)).max().expect("machines")
    };
    assert!(apart(&even) <= 1 && apart(&full) > 1, "{before:?} {after:?}");
    assert!(after.iter().max() < before.iter().max(), "{before:?} {after:?}");
    assert!(even.session.all_findings().iter().all(|f| f.kind != FindingKind::Overlap));
    assert!(text(&even).contains("\"spread\": \"even\"") && !text(&full).contains("\"spread\""));
    // More than one plate holds cannot stay together: a note says so, for as long as it is asked for.
    assert!(!even.has(FindingKind::Parted));
    let part = Part { together: true, ..even.session.job().parts[0].clone() };
    even.act(Action::SetPart(Box::new(part)));
    assert!(even.has(FindingKind::Parted) && text(&even).contains("\"together\": true"));
    even.act(Action::Undo);
    assert!(!even.has(FindingKind::Parted) && !text(&even).contains("together"));
}

#[test]
fn a_rename_meanwhile_does_no_harm() {
    let mut desk = Desk::with_job();
    let before = desk.places();
    begin(&mut desk);
    desk.session.act(Action::SetTitle("Renamed".into()));
    let part = Part { name: "renamed".into(), wanted: 40, ..desk.session.job().parts[0].clone() };
    desk.session.act(Action::SetPart(Box::new(part)));
    desk.session.tick();
    assert_eq!(desk.session.job().plates.len(), 1, "the same plate");
    let packed = desk.places();
    assert_ne!(packed, before);
    assert_eq!((desk.session.job().title.as_str(), desk.session.job().parts[0].wanted), ("Renamed", 40));
    // And survives a step back and forth.
    desk.act(Action::Undo);
    assert_eq!((desk.places(), desk.session.job().title.as_str()), (before, "Renamed"));
    assert_eq!(desk.session.redo_label(), Some("Pack this plate"));
    desk.act(Action::Redo);
    assert_eq!(desk.places(), packed);
}

#[test]
fn a_result_for_a_changed_plate_lies_on_one_of_its_own() {
    let mut desk = Desk::with_job();
    begin(&mut desk);
    let part = Part { footing: Footing::Brim { width_mm: 5.0 }, ..desk.session.job().parts[0].clone() };
    desk.session.act(Action::SetPart(Box::new(part)));
    let before = desk.places();
    desk.session.tick();
    assert!(desk.told().contains("plate of its own"));
    let plates = &desk.session.job().plates;
    assert_eq!(plates.iter().map(|p| p.copies.len()).collect::<Vec<_>>(), [3, 3]);
    assert_eq!(desk.places()[..3], before, "what was changed stays as it is");
    assert_eq!(desk.session.plate_id(), Some(plates[1].id), "the result is shown");
    let names: Vec<u32> = plates.iter().flat_map(|p| &p.copies).map(|c| c.number).collect();
    assert_eq!(names, [1, 2, 3, 4, 5, 6], "copies of their own");
    desk.act(Action::Undo);
    assert_eq!((desk.session.job().plates.len(), desk.places()), (1, before), "one step");
}

#[test]
fn a_result_for_a_plate_that_is_gone_is_not_thrown_away() {
    let mut desk = Desk::with_job();
    let gone = desk.session.job().plates[0].clone();
    begin(&mut desk);
    desk.session.act(Action::RemovePlate(gone.id));
    assert!(desk.session.job().plates.is_empty());
    desk.session.tick();
    let [plate] = &desk.session.job().plates[..] else { panic!("one plate") };
    assert_eq!((plate.copies.len(), plate.machine, plate.recipe), (3, gone.machine, gone.recipe));
    assert!(desk.told().contains("plate of its own"));
}

#[test]
fn a_result_for_a_part_that_is_gone_is_told() {
    let mut desk = Desk::with_job();
    begin(&mut desk);
    desk.session.act(Action::RemovePart(desk.part()));
    let before = desk.bytes();
    desk.session.tick();
    assert_eq!(desk.bytes(), before);
    assert!(desk.told().contains("changed meanwhile"));
}

#[test]
fn cancel_leaves_everything_as_it_was() {
    let mut desk = Desk::with_job();
    desk.act(Action::SetTitle("Undone".into()));
    desk.act(Action::Undo);
    let before = desk.bytes();
    begin(&mut desk);
    desk.session.act(Action::Cancel);
    desk.session.tick();
    assert!(desk.session.arranging().is_none());
    assert_eq!(desk.bytes(), before);
    assert_eq!(desk.session.redo_label(), Some("Title"), "nor is what was undone forgotten");
    desk.act(Action::Redo);
    assert_eq!(desk.session.job().title, "Undone");
    // Another job meanwhile: the search is for nobody.
    begin(&mut desk);
    desk.session.act(Action::New);
    desk.session.tick();
    assert!(desk.session.job().plates.is_empty() && desk.session.undo_label().is_none());
}

#[test]
fn take_keeps_the_best_so_far() {
    let mut desk = Desk::with_job();
    let before = desk.bytes();
    begin(&mut desk);
    desk.session.act(Action::Take);
    desk.session.tick();
    assert!(desk.session.arranging().is_none());
    assert_ne!(desk.bytes(), before);
    assert_eq!(desk.session.undo_label(), Some("Pack this plate"));
}

#[test]
fn topping_up_keeps_what_is_there_where_asked_and_its_bound_counts_it() {
    let mut desk = Desk::with_job();
    desk.act(Action::KeepLying(true));
    let before = desk.places();
    let plate = desk.session.plate_id().expect("a plate");
    for _ in 0..2 {
        desk.act(Action::TopUp(TopUp::Part(desk.part())));
        let many = desk.places().len();
        assert_eq!(desk.places()[..3], before);
        assert!(many > 3);
        let bound = desk.session.bound(plate).expect("a bound").value;
        assert!(bound >= many as u64, "{many} copies, and no more than {bound} can fit");
    }
    assert!(desk.session.view(plate).is_some_and(|v| v.conflicts.is_empty()));
}

/// An empty plate holds so many; three that lie about in the way make it no fewer, unless they are to stay. One step
/// takes it all back, and a second Top up adds nothing and moves nothing.
#[test]
fn topping_up_is_never_less_than_from_an_empty_plate() {
    let mut empty = Desk::with_job();
    empty.act(Action::SelectAll);
    empty.act(Action::Delete);
    empty.act(Action::TopUp(TopUp::Part(empty.part())));
    let full = empty.places().len();
    let topped = |keep: bool| {
        let mut desk = Desk::with_job();
        let before = desk.bytes();
        desk.act(Action::KeepLying(keep));
        desk.act(Action::TopUp(TopUp::Part(desk.part())));
        let plate = desk.session.plate_id().expect("a plate");
        assert!(desk.session.view(plate).is_some_and(|v| v.conflicts.is_empty()));
        let bound = desk.session.bound(plate).expect("a bound").value;
        let (places, told) = (desk.places(), desk.told());
        assert!(bound >= places.len() as u64, "{} copies, and no more than {bound} can fit", places.len());
        desk.act(Action::TopUp(TopUp::Part(desk.part())));
        assert_eq!(desk.places(), places);
        desk.act(Action::Undo);
        assert_eq!(desk.bytes(), before, "one step");
        (places, told)
    };
    let (kept, _) = topped(true);
    assert!(kept.len() < full, "{} of {full}: the copies must lie in the way for this test", kept.len());
    let (moved, told) = topped(false);
    assert_eq!(moved.len(), full);
    assert!(told.contains("moved to make room"), "{told}");
}

/// Brims on a full plate: not all copies fit any more. None is taken off and none is moved; a further plate is offered.
#[test]
fn packing_a_plate_that_is_too_full_takes_nothing_off() {
    let mut desk = Desk::with_job();
    desk.act(Action::TopUp(TopUp::Part(desk.part())));
    let part = Part { footing: Footing::Brim { width_mm: 8.0 }, ..desk.session.job().parts[0].clone() };
    desk.act(Action::SetPart(Box::new(part)));
    let (before, copies) = (desk.bytes(), desk.places().len());
    desk.told();
    desk.act(Action::Pack(Scope::Plate));
    assert_eq!(desk.bytes(), before);
    let told = desk.told();
    assert!(told.contains(&format!("of {copies} copies do not fit on plate 1")), "{told}");
    let all = desk.session.all_findings();
    let finding = all.iter().find(|f| f.kind == FindingKind::NoRoom).expect("it is a finding");
    assert!(told.contains(&finding.text) && !finding.copies.is_empty());
    let remedy = finding.remedy.clone().expect("a further plate");
    desk.act(Action::Remedy(remedy));
    assert!(!desk.has(FindingKind::NoRoom));
    assert_eq!((desk.session.job().plates.len(), desk.places().len()), (2, copies));
    let plates: Vec<_> = desk.session.job().plates.iter().map(|p| p.id).collect();
    assert!(plates.iter().all(|p| desk.session.view(*p).is_some_and(|v| v.conflicts.is_empty())));
    desk.act(Action::Undo);
    assert_eq!(desk.bytes(), before, "one step");
    // With narrower brims it may be another story: what was found says nothing about that.
    desk.act(Action::Pack(Scope::Plate));
    assert!(desk.has(FindingKind::NoRoom));
    let part = Part { footing: Footing::Bare, ..desk.session.job().parts[0].clone() };
    desk.act(Action::SetPart(Box::new(part)));
    assert!(!desk.has(FindingKind::NoRoom));
}

/// What the outlines of the parts depend on, changed while the search runs.
#[test]
fn a_result_for_other_outlines_is_not_applied() {
    let changes: [fn(&mut Desk); 3] = [
        |d| d.session.act(Action::SetUnit(d.part(), FileUnit::Inch)),
        |d| {
            let recipe = &d.session.job().recipes[0];
            d.session.act(Action::SetRecipe(Box::new(Recipe { first_layer_mm: 0.3, ..recipe.clone() })));
        },
        |d| {
            let recipe = &d.session.job().recipes[0];
            d.session.act(Action::SetRecipe(Box::new(Recipe { raft_layers: 9, ..recipe.clone() })));
        },
    ];
    for (n, change) in changes.iter().enumerate() {
        let mut desk = Desk::with_job();
        begin(&mut desk);
        change(&mut desk);
        let before = desk.places();
        desk.session.tick();
        assert_eq!(desk.places()[..3], before, "change {n}: what lay there stays");
        assert_eq!(desk.session.job().plates.len(), 2, "change {n}: the result is not lost");
        assert!(desk.told().contains("plate of its own"), "change {n}");
    }
}

#[test]
fn what_is_locked_stays_through_pack_and_top_up() {
    for scope in [Some(Scope::Plate), Some(Scope::Selection), Some(Scope::Job), None] {
        let mut desk = Desk::with_job();
        let second = desk.session.job().plates[0].copies[1].id;
        desk.act(Action::Select { copies: vec![second], additive: false });
        desk.act(Action::Lock(true));
        desk.act(Action::SelectAll);
        let (before, bytes) = (desk.session.job().plates[0].copies.clone(), desk.bytes());
        desk.act(Action::KeepLying(true));
        desk.act(scope.map_or(Action::TopUp(TopUp::Part(desk.part())), Action::Pack));
        let after = desk.session.job().plates[0].copies.clone();
        assert_eq!(after[1], before[1], "{scope:?}");
        let others_moved = after[0] != before[0] || after[2] != before[2];
        if scope.is_some() {
            assert!(others_moved && after.len() == before.len(), "{scope:?}: {after:?}");
        } else {
            assert!(!others_moved && after.len() > before.len(), "{after:?}");
        }
        let plate = desk.session.plate_id().expect("a plate");
        assert!(desk.session.view(plate).is_some_and(|v| v.conflicts.is_empty()), "{scope:?}");
        desk.act(Action::Undo);
        assert_eq!(desk.bytes(), bytes, "{scope:?} is one step");
        // And when all are locked, Pack says that there is nothing to move.
        desk.act(Action::SelectAll);
        desk.act(Action::Lock(true));
        desk.session.act(Action::Pack(scope.unwrap_or(Scope::Plate)));
        assert!(desk.session.arranging().is_none() && desk.told().contains("nothing here may be moved"), "{scope:?}");
    }
}

#[test]
fn packing_a_full_plate_loses_no_copy_and_never_loosens_it() {
    let mut desk = Desk::with_job();
    desk.act(Action::TopUp(TopUp::Part(desk.part())));
    let full = desk.places();
    // The very first layout, as if one took it at once: one copy after another, by far not as tight as what is there.
    let limits = desk.session.limits();
    desk.session.set_limits(stonehand::session::ArrangeLimits { rounds: Some(0), time: None, ..limits });
    desk.told();
    desk.act(Action::Pack(Scope::Plate));
    assert_eq!(desk.places(), full);
    assert!(desk.told().contains("no tighter arrangement"));
}

/// Within a time limit the layout comes first: nothing is worked out that no layout needs, until it is asked for; and what the time does not
/// reach is left out.
#[test]
fn within_a_time_limit_only_what_a_layout_needs_is_worked_out() {
    let hour = std::time::Duration::from_hours(1);
    for tells in [true, false] {
        let saved = Desk::with_job();
        let mut desk = Desk::over(&saved.files);
        let now = std::time::Instant::now();
        desk.session.limit_time(now + hour, if tells { now + hour } else { now });
        desk.act(Action::Open("/shop/job.stonehand".into()));
        let plate = desk.session.plate_id().expect("a plate");
        desk.act(Action::Pack(Scope::Plate));
        assert_ne!(desk.places(), saved.places());
        let known = |desk: &Desk| {
            let view = desk.session.view(plate).expect("a view");
            (desk.session.profile(desk.part()).is_some(), view.estimate.is_some(), !view.standing.is_empty())
        };
        assert_eq!(known(&desk), (false, false, false));
        assert_eq!(desk.session.tell_now(), tells);
        assert_eq!(known(&desk), (tells, tells, tells));
    }
    // And no time at all leaves everything where it lies, sound.
    let saved = Desk::with_job();
    let mut desk = Desk::over(&saved.files);
    let now = std::time::Instant::now();
    desk.session.limit_time(now, now);
    desk.act(Action::Open("/shop/job.stonehand".into()));
    let plate = desk.session.plate_id().expect("a plate");
    desk.act(Action::Pack(Scope::Plate));
    assert_eq!(desk.places().len(), saved.places().len());
    assert!(desk.session.view(plate).is_some_and(|v| v.conflicts.is_empty()));
}

#[test]
fn a_bound_is_said_only_of_what_it_was_found_for() {
    let mut desk = Desk::with_job();
    let plate = desk.session.plate_id().expect("a plate");
    desk.act(Action::TopUp(TopUp::Part(desk.part())));
    let bound = desk.session.bound(plate).expect("a bound");
    assert_eq!(desk.session.bound_part(plate), Some(desk.part()));
    desk.act(Action::SetTitle("Another".into()));
    assert_eq!(desk.session.bound(plate), Some(bound), "a title takes no room");
    let mut margins = desk.session.job().margins;
    margins.gap_mm += 4.0;
    desk.act(Action::SetMargins(margins));
    assert_eq!(desk.session.bound(plate), None, "with another gap others may fit");
    desk.act(Action::Undo);
    assert_eq!(desk.session.bound(plate), Some(bound));
    desk.act(Action::Undo);
    desk.act(Action::Undo);
    assert_eq!(desk.session.bound(plate), None, "the copies are gone");
}

#[test]
fn more_copies_than_wanted_are_a_note_that_takes_them_off() {
    let mut desk = Desk::with_job();
    let part = desk.session.job().parts[0].clone();
    desk.act(Action::SetPart(Box::new(Part { wanted: 1, ..part.clone() })));
    let found = desk.session.all_findings().into_iter().find(|f| f.kind == FindingKind::Surplus).expect("told").clone();
    assert_eq!(found.level, Level::Note);
    assert!(found.text.ends_with("3 copies on plates, 1 wanted: 2 more than wanted"), "{}", found.text);
    let last: Vec<_> = desk.session.job().plates[0].copies.iter().map(|c| c.id).collect();
    desk.act(Action::Select { copies: vec![last[2]], additive: false });
    desk.act(Action::Lock(true));
    let found = desk.session.all_findings().into_iter().find(|f| f.kind == FindingKind::Surplus).expect("told").clone();
    desk.act(Action::Remedy(found.remedy.expect("a remedy")));
    let left: Vec<_> = desk.session.job().plates[0].copies.iter().map(|c| c.id).collect();
    assert_eq!(left, [last[2]], "what is locked stays");
    assert!(!desk.has(FindingKind::Surplus));
}
