//! The tally and the checklist: what is written down counts in the order, on the shelf and in the next estimate; each step can be undone.

use stonehand::{
    document::{Cause, PlateId, ReadyItem, Recipe, Spool, SpoolId},
    finding::FindingKind,
    session::{Action, RunMark, SpoolCount, TallyEntry, offers},
};

use super::desk::Desk;

fn plate(desk: &Desk) -> PlateId {
    desk.session.job().plates[0].id
}

/// Three gates on a plate, 1.5 h each run.
fn entry(desk: &Desk, bad: &[&str]) -> TallyEntry {
    TallyEntry {
        bad_copies: bad.iter().map(|n| ((*n).to_owned(), Some(Cause::Warped))).collect(),
        by: "JK".into(),
        ..TallyEntry::all_good(plate(desk), 1.5)
    }
}

fn tally(desk: &mut Desk, bad: &[&str]) {
    let entry = entry(desk, bad);
    desk.act(Action::Tally(Box::new(entry)));
}

#[test]
fn good_copies_count_and_bad_ones_are_wanted_again() {
    let mut desk = Desk::with_job();
    let part = desk.session.job().part(desk.part()).expect("a part").clone();
    desk.act(Action::SetPart(Box::new(stonehand::document::Part { wanted: 3, ..part })));
    assert!(!desk.has(FindingKind::Unplaced));
    let before = desk.bytes();
    tally(&mut desk, &["A 2"]);
    let after = desk.bytes();
    assert_eq!((desk.session.made(desk.part()), desk.session.unplaced_count()), (2, 1));
    assert!(desk.has(FindingKind::Unplaced) && !desk.has(FindingKind::Surplus));
    let run = desk.session.job().plates[0].run;
    let took = run.ended.expect("it ended").as_second() - run.started.expect("it started").as_second();
    assert_eq!(took, 5400);
    // One step back, and forward again.
    desk.act(Action::Undo);
    assert_eq!(desk.bytes(), before);
    desk.act(Action::Redo);
    assert_eq!(desk.bytes(), after);
    // What came good stays good when the plate goes.
    desk.act(Action::RemovePlate(plate(&desk)));
    assert_eq!((desk.session.made(desk.part()), desk.session.job().tally.outcomes().len()), (2, 1));
    let o = desk.session.job().tally.outcomes()[0].clone();
    assert_eq!((o.copies.len(), o.parts[0].name.as_str(), o.estimated_s.is_some()), (3, "entrance gate", true));
}

#[test]
fn a_run_more_adds_and_a_correction_replaces() {
    let mut desk = Desk::with_job();
    tally(&mut desk, &["A 1"]);
    tally(&mut desk, &[]);
    assert_eq!(desk.session.job().tally.good(desk.part()), 5);
    let again = TallyEntry { run: Some(1), ..entry(&desk, &[]) };
    let refused = desk.session.try_act(Action::Tally(Box::new(again.clone()))).expect_err("it is there").to_string();
    assert_eq!(refused, "run 1 of plate 1 is tallied already: replace it, or tally a further run");
    desk.act(Action::Tally(Box::new(TallyEntry { replace: true, ..again })));
    assert_eq!((desk.session.job().tally.good(desk.part()), desk.session.job().tally.outcomes().len()), (6, 2));
    let id = desk.session.job().tally.outcomes()[0].id;
    desk.act(Action::RemoveOutcome(id));
    assert_eq!(desk.session.job().tally.good(desk.part()), 3);
}

#[test]
fn a_spool_is_counted_down_once() {
    let mut desk = Desk::with_job();
    let (material, colour) = (desk.session.job().plates[0].material, desk.session.job().plates[0].colour.clone());
    desk.act(Action::AddSpool(Box::new(Spool::full(SpoolId(0), "White 1", material, &colour))));
    let spool = desk.session.job().spools[0].id;
    desk.act(Action::ChooseSpool(plate(&desk), Some(spool)));
    let left = |d: &Desk| d.session.job().spools[0].grams_left;
    let after = |d: &Desk| d.session.spool_after(spool).expect("known").nominal_g;
    let needed = 1000.0 - after(&desk);
    assert!(needed > 1.0);
    let taken = TallyEntry { grams: Some(40.0), spool: SpoolCount::TakeOff, ..entry(&desk, &[]) };
    desk.act(Action::Tally(Box::new(taken)));
    // Off the spool once: neither by the estimate nor by the docket again.
    assert_eq!((left(&desk), after(&desk)), (960.0, 960.0));
    let weighed = TallyEntry { spool: SpoolCount::Left(512.5), ..entry(&desk, &[]) };
    desk.act(Action::Tally(Box::new(weighed)));
    assert_eq!(left(&desk), 512.5);
    let wrong = TallyEntry { spool: SpoolCount::Left(f64::NAN), ..entry(&desk, &[]) };
    assert!(desk.session.try_act(Action::Tally(Box::new(wrong))).is_err());
}

/// Ten runs that took 1.3 times the estimate: what is offered moves the next estimate towards that.
#[test]
fn what_came_out_moves_the_next_estimate() {
    let mut desk = Desk::with_job();
    let time = |d: &Desk| d.session.view(plate(d)).and_then(|v| v.estimate.as_ref()).expect("estimated").time_s;
    let estimated_s = time(&desk);
    for _ in 0..10 {
        let e = TallyEntry { hours: 1.3 * estimated_s / 3600.0, ..entry(&desk, &[]) };
        desk.act(Action::Tally(Box::new(e)));
    }
    assert_eq!(time(&desk), estimated_s);
    let offered = offers(desk.session.job(), desk.session.learned());
    let factor = offered.iter().find(|o| o.offer.word() == "time-factor").expect("ten plates are enough").clone();
    // ln 1.3 drawn towards 0 by one plate: 10/11.
    assert!((factor.offer.value().ln() - 1.3_f64.ln() * 10.0 / 11.0).abs() < 1e-3, "{factor:?}");
    assert!(factor.low < factor.offer.value() && factor.offer.value() < factor.high);
    desk.act(Action::UseLearned(factor.offer));
    assert!(time(&desk) > 1.2 * estimated_s && time(&desk) < 1.3 * estimated_s);
    // A changed factor does not change what was learned.
    let again = offers(desk.session.job(), desk.session.learned());
    assert!(again.iter().all(|o| o.offer.word() != "time-factor"), "the job has it: {again:?}");
    let recipe = desk.session.job().recipes[0].clone();
    desk.act(Action::SetRecipe(Box::new(Recipe { time_factor: 2.0, ..recipe })));
    let again = offers(desk.session.job(), desk.session.learned());
    assert_eq!(again.iter().find(|o| o.offer == factor.offer).map(|o| o.now), Some(2.0));
}

#[test]
fn what_does_not_agree_is_refused_and_nothing_changes() {
    let mut desk = Desk::with_job();
    let before = desk.bytes();
    let base = entry(&desk, &[]);
    for (wrong, said) in [
        (
            TallyEntry { good: Some(2), bad: Some(2), ..base.clone() },
            "2 good and 2 bad do not agree with the 3 copies on it",
        ),
        (TallyEntry { good: Some(usize::MAX), bad: Some(usize::MAX), ..base.clone() }, "do not agree"),
        (TallyEntry { hours: f64::NAN, ..base.clone() }, "NaN hours cannot be"),
        (TallyEntry { hours: -1.0, ..base.clone() }, "-1 hours cannot be"),
        (TallyEntry { grams: Some(f64::INFINITY), ..base.clone() }, "inf g cannot be"),
        (TallyEntry { by: "J".repeat(10_000), ..base.clone() }, "initials: it has 10000 letters"),
        (TallyEntry { note: "a\nb".into(), ..base.clone() }, "note: it holds characters that are no text"),
        (
            TallyEntry { bad_copies: vec![("Z 9".into(), None)], ..base.clone() },
            "there is no copy \"Z 9\" on it: it has A 1",
        ),
        (TallyEntry { ended: "2999-01-01T00:00:00Z".parse().ok(), ..base.clone() }, "is in the future"),
        (TallyEntry { plate: PlateId(999_999), ..base.clone() }, "there is no such plate"),
    ] {
        let told = desk.session.try_act(Action::Tally(Box::new(wrong))).expect_err("it must be refused").to_string();
        assert!(told.contains(said), "{said}: {told}");
    }
    assert_eq!(desk.bytes(), before);
}

#[test]
fn bad_copies_of_several_parts_are_to_be_named() {
    let mut desk = Desk::with_job();
    desk.act(Action::AddFiles(vec!["/shop/corner-bracket.stl".into()]));
    let other = desk.session.job().parts[1].id;
    desk.act(Action::PlaceAt(other, stonehand::geom::Point::new(180.0, 140.0)));
    let e = TallyEntry { good: Some(3), bad: Some(1), ..entry(&desk, &[]) };
    desk.act(Action::Tally(Box::new(e.clone())));
    assert!(desk.has(FindingKind::Tally));
    assert_eq!((desk.session.made(desk.part()), desk.session.made(other)), (2, 0));
    let named = TallyEntry { replace: true, bad_copies: vec![("B 1".into(), None)], ..e };
    desk.act(Action::Tally(Box::new(named)));
    assert!(!desk.has(FindingKind::Tally));
    assert_eq!((desk.session.made(desk.part()), desk.session.made(other)), (3, 0));
}

#[test]
fn the_checklist_warns_of_the_next_plate_alone() {
    let mut desk = Desk::with_job();
    desk.session.set_now("2026-11-30T16:30:00Z".parse().ok());
    desk.act(Action::DuplicatePlate(plate(&desk)));
    assert!(!desk.has(FindingKind::Readiness), "nobody has ticked anything");
    let first = plate(&desk);
    desk.act(Action::Tick(first, ReadyItem::Clean, "JK".into()));
    let all = desk.session.all_findings();
    let open: Vec<_> = all.iter().filter(|f| f.kind == FindingKind::Readiness).collect();
    assert_eq!(open.len(), 1);
    assert!(open[0].text.starts_with("Plate 1 is next on its machine, and 7 of 8 items"), "{}", open[0].text);
    for item in ReadyItem::ALL {
        desk.act(Action::Tick(first, item, "JK".into()));
    }
    assert!(!desk.has(FindingKind::Readiness));
    let lines = desk.session.ready_lines(first);
    assert!(lines.iter().all(|l| l.done.as_ref().is_some_and(|(_, by)| by == "JK")));
    // What is of the machine holds for the next plate; its own items are open.
    desk.act(Action::MarkRun(first, RunMark::Ended(None)));
    let open: Vec<String> = desk
        .session
        .all_findings()
        .iter()
        .filter(|f| f.kind == FindingKind::Readiness)
        .map(|f| f.text.clone())
        .collect();
    assert!(open.len() == 1 && open[0].starts_with("Plate 2 is next on its machine, and 5 of 8"), "{open:?}");
    let machine = desk.session.job().plates[0].machine;
    desk.session.set_now(Some(jiff::Timestamp::from_second(desk.session.now().as_second() + 60).expect("a time")));
    desk.act(Action::NozzleChanged(machine));
    assert!(desk.session.all_findings().iter().any(|f| f.text.contains("6 of 8")));
    desk.act(Action::Untick(first, ReadyItem::Level));
    assert!(desk.session.all_findings().iter().any(|f| f.text.contains("7 of 8")));
    let refused = desk.session.try_act(Action::Tick(first, ReadyItem::Level, "J".repeat(10_000)));
    assert!(refused.is_err());
}

#[test]
fn plates_since_the_surface_was_refreshed_are_counted() {
    let mut desk = Desk::with_job();
    let now: jiff::Timestamp = "2026-11-30T16:30:00Z".parse().expect("an instant");
    let later = |s: i64| jiff::Timestamp::from_second(now.as_second() - 10_000 + s).ok();
    desk.session.set_now(later(0));
    let p = plate(&desk);
    desk.act(Action::Tick(p, ReadyItem::Surface, String::new()));
    desk.session.set_now(Some(now));
    for k in 1..=3 {
        let e = TallyEntry { ended: later(100 * k), hours: 0.5, ..entry(&desk, &["A 1"]) };
        desk.act(Action::Tally(Box::new(e)));
    }
    let since: Vec<_> = desk.session.job().tally.outcomes().iter().map(|o| o.since_surface).collect();
    assert_eq!(since, [Some(0), Some(1), Some(2)]);
}
