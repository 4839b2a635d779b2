//! Plates in time: what follows from hours, states and moves, and what is said about it.

use jiff::{Timestamp, civil::date, tz::TimeZone};
use stonehand::{
    document::{ClockTime, Downtime, Machine, MachineId, OtherHours, Part, PlateId, Span, Spool, SpoolId},
    drawing::{TimelineFrame, timeline},
    finding::{FindingKind, Level, Remedy},
    geom::Point,
    session::{Action, ArrangeLimits, Ask, Replacing, RunMark, Timeline, TimelineFile, WhatNow},
};

use super::desk::Desk;

pub(crate) fn at(text: &str) -> Timestamp {
    text.parse().expect("an instant")
}

pub(crate) fn clock(h: u16, m: u16) -> ClockTime {
    ClockTime::new(h, m).expect("a time of day")
}

/// Three plates of one, two and three gates on Bench 1 of two equal machines; somebody is there 08:00 to 17:00 on weekdays, UTC; now is Monday
/// 30 November 2026, 16:30.
pub(crate) fn shop() -> (Desk, Vec<PlateId>) {
    let mut desk = Desk::new();
    desk.act(Action::AddFiles(vec![super::desk::MESH.into()]));
    for n in 1..=3 {
        if n > 1 {
            desk.act(Action::NewPlate);
        }
        for (x, y) in [(60.0, 60.0), (180.0, 60.0), (60.0, 140.0)].into_iter().take(n) {
            desk.act(Action::PlaceAt(desk.part(), Point::new(x, y)));
        }
    }
    let first = desk.session.job().machines[0].clone();
    let others: Vec<_> = desk.session.job().machines.iter().skip(1).cloned().collect();
    for m in others {
        desk.act(Action::RemoveMachine(m.id));
    }
    desk.act(Action::AddMachine(Box::new(Machine { name: "Bench 2".into(), ..first })));
    let mut shifts = desk.session.job().shifts.clone();
    shifts.hours.time_zone = "UTC".into();
    desk.act(Action::SetShifts(Box::new(shifts)));
    desk.session.set_now(Some(at("2026-11-30T16:30:00Z")));
    let plates = desk.session.job().plates.iter().map(|p| p.id).collect();
    (desk, plates)
}

pub(crate) fn plan(desk: &Desk) -> &Timeline {
    desk.session.timeline().expect("a plan")
}

/// Print times by plate, s.
fn print_s(desk: &Desk, plate: PlateId) -> i64 {
    let t = plan(desk);
    t.timed(t.run_of(plate).expect("a run")).expect("in the plan").print.length_s()
}

/// Has a plate take so many hours, by the time factor of its recipe.
pub(crate) fn last(desk: &mut Desk, plate: PlateId, hours: f64) {
    // What is slowed for cooling does not scale: a few steps.
    for _ in 0..6 {
        let recipe = desk.session.job().recipes[0].clone();
        let time_factor = recipe.time_factor * hours * 3600.0 / print_s(desk, plate) as f64;
        desk.act(Action::SetRecipe(Box::new(stonehand::document::Recipe { time_factor, ..recipe })));
    }
    assert!((print_s(desk, plate) as f64 / 3600.0 - hours).abs() < 0.05 * hours, "{}", print_s(desk, plate));
}

pub(crate) fn machines(desk: &Desk) -> Vec<MachineId> {
    desk.session.job().machines.iter().map(|m| m.id).collect()
}

fn kinds(desk: &Desk) -> Vec<FindingKind> {
    desk.session.shift_findings().iter().map(|f| f.kind).collect()
}

pub(crate) fn text(desk: &Desk, kind: FindingKind) -> String {
    let found = desk.session.shift_findings().iter().find(|f| f.kind == kind);
    found.unwrap_or_else(|| panic!("{kind:?} in {:?}", desk.session.shift_findings())).text.clone()
}

/// By hand: preparing 5 min, then the print; parts come off once the bed is below 43 °C and somebody is there.
#[test]
fn plates_follow_one_another_within_hours() {
    let (desk, plates) = shop();
    let t = plan(&desk);
    assert_eq!((t.about.len(), t.now_s, t.pending.len()), (3, 0, 0));
    assert_eq!(t.calendar.words(0), "Mon 16:30");
    let first = t.timed(0).expect("in the plan");
    assert_eq!((first.preparing.from_s, first.print.from_s), (0, 300));
    let estimate = desk.session.view(plates[0]).and_then(|v| v.estimate.as_ref()).expect("an estimate").time_s;
    assert_eq!(first.print.length_s(), estimate.ceil() as i64);
    for (n, pair) in [0, 1, 2].windows(2).enumerate() {
        let (a, b) = (t.timed(pair[0]).expect("there"), t.timed(pair[1]).expect("there"));
        assert!(b.preparing.from_s >= a.removal.expect("off").to_s, "{n}");
    }
    for x in &t.plan.timed {
        for work in [x.preparing, x.removal.expect("off")] {
            assert!(t.calendar.attended().iter().any(|w| w.from_s <= work.from_s && work.to_s <= w.to_s), "{work:?}");
        }
        assert!(x.removal.expect("off").from_s >= x.cool_s);
    }
    // 95 of 100 end within 10 % of the estimate: 1 ÷ 1.1 to 1.1.
    let range = t.end_range(first);
    let print = first.print.length_s() as f64;
    assert_eq!(range.to_s - first.print.from_s, (print * 1.1).round() as i64);
    assert_eq!(range.from_s - first.print.from_s, (print / 1.1).round() as i64);
    assert!(t.bound_s() <= t.plan.cost.finish_s && t.gap().expect("a bound") >= 0.0);
}

#[test]
fn a_started_plate_counts_from_its_start_and_an_ended_one_frees_its_machine() {
    let (mut desk, plates) = shop();
    let before = desk.bytes();
    desk.act(Action::MarkRun(plates[1], RunMark::Started(Some(at("2026-11-30T16:00:00Z")))));
    let t = plan(&desk);
    let run = t.run_of(plates[1]).expect("a run");
    assert_eq!(t.timed(run).expect("there").print.from_s, -1800);
    assert!(matches!(t.start_now()[0].what, WhatNow::Runs { plate, .. } if plate == plates[1]));
    // A machine runs one plate at a time, and what runs stays where it is.
    let why = desk.session.try_act(Action::MarkRun(plates[0], RunMark::Started(None))).expect_err("one at a time");
    assert_eq!(why.to_string(), "Bench 1 runs plate 2: mark that one as ended first");
    let to = machines(&desk)[1];
    let moved = desk.session.try_act(Action::MoveRun { plate: plates[1], machine: to, before: None });
    assert_eq!(moved.expect_err("it runs").to_string(), "plate 2 has been started: mark it as not started first");
    desk.act(Action::MarkRun(plates[1], RunMark::Failed));
    let t = plan(&desk);
    assert_eq!((t.about.len(), t.ended.len()), (2, 1));
    assert!(t.ended[0].failed && t.ended[0].ran.from_s == -1800 && t.ended[0].ran.to_s == 0);
    assert_eq!(desk.session.undo_label(), Some("Mark as failed"));
    desk.act(Action::MarkRun(plates[1], RunMark::NotStarted));
    assert_eq!(desk.bytes(), before);
    // Not before a time: the print starts then or later.
    desk.act(Action::MarkRun(plates[0], RunMark::NotBefore(Some(at("2026-12-02T10:00:00Z")))));
    let t = plan(&desk);
    let print = t.timed(t.run_of(plates[0]).expect("a run")).expect("there").print;
    assert!(t.calendar.at(print.from_s).timestamp() >= at("2026-12-02T10:00:00Z"));
    // An end before the start is refused.
    desk.act(Action::MarkRun(plates[1], RunMark::Started(None)));
    let early = RunMark::Ended(Some(at("2026-11-30T10:00:00Z")));
    assert!(desk.session.try_act(Action::MarkRun(plates[1], early)).is_err());
}

#[test]
fn a_move_is_one_step_and_shows_what_the_preview_showed() {
    let (mut desk, plates) = shop();
    let before = desk.bytes();
    let to = machines(&desk)[1];
    let t = plan(&desk);
    let run = t.run_of(plates[2]).expect("a run");
    let preview = t.moved(run, 1, None);
    assert!(preview.plan.cost.finish_s < t.plan.cost.finish_s, "two machines end earlier than one");
    desk.act(Action::MoveRun { plate: plates[2], machine: to, before: None });
    assert_eq!(desk.session.undo_label(), Some("Move plate in sequence"));
    let t = plan(&desk);
    assert_eq!(t.plan.cost, preview.plan.cost);
    assert_eq!(t.machine_of(t.run_of(plates[2]).expect("a run")), Some(to));
    desk.act(Action::Undo);
    assert_eq!(desk.bytes(), before, "one step");
    // Within one machine: to the front.
    let t = plan(&desk);
    let preview = t.moved(run, 0, Some(0));
    desk.act(Action::MoveRun { plate: plates[2], machine: machines(&desk)[0], before: Some(plates[0]) });
    let order: Vec<PlateId> = desk.session.job().plates.iter().map(|p| p.id).collect();
    assert_eq!(order, [plates[2], plates[0], plates[1]]);
    assert_eq!(plan(&desk).plan.cost, preview.plan.cost);
    // A fixed plate stays on its machine.
    desk.act(Action::MarkRun(plates[2], RunMark::Fixed(true)));
    let refused = desk.session.try_act(Action::MoveRun { plate: plates[2], machine: to, before: None });
    assert_eq!(refused.expect_err("fixed").to_string(), "plate 1 is fixed: free it first");
}

#[test]
fn a_bed_that_cannot_hold_the_plate_is_refused_with_the_reason() {
    let (mut desk, plates) = shop();
    let small = desk.session.job().machines[1].clone();
    let small = Machine { bed: stonehand::document::BedShape::Rectangle { width_mm: 120.0, depth_mm: 120.0 }, ..small };
    desk.act(Action::SetMachine(Box::new(small)));
    let machine = machines(&desk)[1];
    let before = desk.bytes();
    let why = desk.session.try_act(Action::MoveRun { plate: plates[1], machine, before: None }).expect_err("too small");
    let why = why.to_string();
    assert!(why.starts_with("plate 2 does not fit Bench 2: A ") && why.contains("off the bed by"), "{why}");
    assert_eq!(desk.bytes(), before);
    let low = desk.session.job().machines[1].clone();
    let wide = desk.session.job().machines[0].bed.clone();
    desk.act(Action::SetMachine(Box::new(Machine { bed: wide, height_mm: 1.0, ..low })));
    let why = desk.session.move_refusal(plates[0], machine).expect("too low");
    assert!(why.contains("too tall"), "{why}");
    // Machines unlike each other take no part in a search.
    desk.session.set_limits(ArrangeLimits { seed: 1, rounds: Some(2), time: None });
    desk.act(Action::ImproveSequence);
    assert!(desk.session.job().plates.iter().all(|p| p.machine == machines(&desk)[0]));
}

#[test]
fn a_better_sequence_uses_both_machines_and_leaves_what_is_fixed() {
    let (mut desk, plates) = shop();
    desk.act(Action::MarkRun(plates[0], RunMark::Fixed(true)));
    let before = desk.bytes();
    let was = plan(&desk).plan.cost;
    desk.session.set_limits(ArrangeLimits { seed: 1, rounds: Some(3), time: None });
    desk.session.take_notices();
    desk.act(Action::ImproveSequence);
    assert!(desk.session.improving().is_none());
    let t = plan(&desk);
    assert!(t.plan.cost < was, "{:?} {was:?}", t.plan.cost);
    assert!(t.plan.cost.finish_s >= t.bound_s());
    let job = desk.session.job();
    assert_eq!((job.plates[0].id, job.plates[0].machine), (plates[0], machines(&desk)[0]));
    assert!(job.plates.iter().any(|p| p.machine == machines(&desk)[1]));
    let told = desk.told();
    assert!(told.contains("the last print ends") && told.contains("no sequence ends before"), "{told}");
    desk.act(Action::Undo);
    assert_eq!(desk.bytes(), before, "one step");
}

/// Common practice, no source: a part of an hour started at 16:30 leaves the machine idle overnight; a plate of 12 that takes 16 h is ready at
/// 08:30, and one of 7 h then ends within the day: two changeovers a day, and the machine is hardly idle.
#[test]
fn long_plates_by_night_and_short_ones_by_day() {
    use stonehand::batch::{
        UnitTimes,
        sequence::{Bench, HandWork, Load, OnBench, Order, Run, Runs, Window, time},
    };
    const HOUR: i64 = 3600;
    // From Monday 16:30; somebody is there 08:00 to 17:00 every day.
    let day = |d: i64| Window::new(d * 24 * HOUR - HOUR * 17 / 2, d * 24 * HOUR + HOUR / 2);
    let runs = |hours: &[i64]| Runs {
        benches: vec![Bench::default()],
        runs: hours
            .iter()
            .map(|h| Run {
                on: vec![Some(OnBench { print_s: h * HOUR, cool_s: 0 })],
                load: Load { material: 0, colour: 0 },
                due_s: None,
                not_before_s: 0,
                began: None,
            })
            .collect(),
        attended: std::iter::once(Window::new(0, HOUR / 2)).chain((1..9).map(day)).collect(),
        people: 1,
        work: HandWork { removal_s: 300, preparing_s: 300, ..HandWork::default() },
    };
    let clock = |s: i64| ((16 * 60 + 30) + s / 60) % (24 * 60);
    let single = runs(&[1, 1]);
    let plan = time(&single, &Order::as_given(vec![0, 0]));
    assert_eq!(clock(plan.timed[0].print.to_s), 17 * 60 + 35);
    let idle_s = plan.timed[1].print.from_s - plan.timed[0].print.to_s;
    assert!(idle_s > 14 * HOUR, "idle until the morning: {idle_s}");
    let pairs = runs(&[16, 7, 16, 7, 16, 7, 16, 7]);
    let plan = time(&pairs, &Order::as_given(vec![0; 8]));
    assert_eq!(clock(plan.timed[0].print.to_s), 8 * 60 + 35, "ready in the morning");
    assert!(clock(plan.timed[1].print.to_s) < 16 * 60 + 30, "and the next within the day");
    for (n, t) in plan.timed.iter().enumerate() {
        let date = usize::try_from((t.print.from_s + HOUR * 33 / 2) / (24 * HOUR)).expect("after the start");
        assert_eq!(date, n.div_ceil(2), "two changeovers a day: {n}");
    }
    let until_s = plan.cost.finish_s;
    let times = UnitTimes::of(&pairs, &plan, 0, until_s);
    assert!(times.availability().expect("busy") > 0.95, "{times:?}");
}

/// Common practice, no source: a plate of about an hour started at 16:30 leaves the machine idle until morning, and a long one runs through the
/// night. Print times here are made by the time factor of the recipe.
#[test]
fn what_to_start_at_half_past_four() {
    let (mut desk, plates) = shop();
    last(&mut desk, plates[2], 16.0);
    desk.act(Action::MoveRun { plate: plates[2], machine: machines(&desk)[0], before: Some(plates[0]) });
    let t = plan(&desk);
    let WhatNow::Start { plate, at_s, end_s, .. } = t.start_now()[0].what else { panic!("{:?}", t.start_now()) };
    assert_eq!((plate, at_s), (plates[2], 0));
    let words = t.start_words(t.start_now()[0].what);
    assert!(words.starts_with("start plate 1 now; it ends Tue 0"), "{words}");
    assert!(t.calendar.is_attended(end_s), "somebody is there: {words}");
    assert_eq!(t.start_words(t.start_now()[1].what), "nothing planned");
}

#[test]
fn findings_say_what_when_and_what_to_do() {
    let (mut desk, plates) = shop();
    last(&mut desk, plates[0], 10.0);
    // It starts 16:35 on Monday and ends in the night.
    let after = text(&desk, FindingKind::AfterHours);
    assert!(after.starts_with("Plate 1 on Bench 1 ends Tue 0"), "{after}");
    assert!(after.contains("after the last person has left. Somebody is there again Tue 08:00"), "{after}");
    let night = text(&desk, FindingKind::Unattended);
    assert!(night.starts_with("Machines print with nobody there from Mon 17:00 to Tue 0"), "{night}");
    assert!(night.contains("Ask your insurer and the local fire authority"), "{night}");
    // A due date missed, past, and unreadable.
    let part = desk.session.job().parts[0].clone();
    let due = |d: &str| Action::SetPart(Box::new(Part { due: Some(d.into()), ..part.clone() }));
    desk.act(due("2026-12-01"));
    let late = text(&desk, FindingKind::Late);
    assert!(late.contains("is late by") && late.contains("and A is due Tue 1 Dec"), "{late}");
    assert!(plan(&desk).late_s(2).is_some_and(|s| s > 0));
    desk.act(due("2026-11-01"));
    assert_eq!(
        text(&desk, FindingKind::DueDate),
        "A entrance gate was due Sun 1 Nov, which is past. Agree on a new date, or take it out."
    );
    desk.act(due("soon"));
    assert!(
        text(&desk, FindingKind::DueDate).contains("the due date \"soon\" cannot be read. Write a day, as 2026-12-01")
    );
    assert!(!kinds(&desk).contains(&FindingKind::Late));
    // The others hear of it too, once hours are set.
    assert!(desk.has(FindingKind::DueDate));
}

#[test]
fn hours_that_are_an_example_empty_overlapping_or_too_short() {
    let (mut desk, _) = shop();
    let set = desk.session.job().shifts.clone();
    desk.act(Action::SetShifts(Box::default()));
    // Setting the example names its zone, so nothing is an example that somebody has set.
    assert!(!plan(&desk).hours_are_example);
    let mut fresh = Desk::with_job();
    assert!(plan(&fresh).hours_are_example);
    let example = fresh.session.shift_findings().iter().find(|f| f.kind == FindingKind::NoHours).expect("it is said");
    assert_eq!((example.level, example.remedy.clone()), (Level::Note, Some(Remedy::UseHours)));
    assert!(!fresh.has(FindingKind::NoHours), "not among the others while nobody has said anything about shifts");
    fresh.act(Action::Remedy(Remedy::UseHours));
    assert!(
        !plan(&fresh).hours_are_example
            && fresh.session.shift_findings().iter().all(|f| f.kind != FindingKind::NoHours)
    );

    let mut none = set.clone();
    none.hours.week = Default::default();
    desk.act(Action::SetShifts(Box::new(none)));
    assert_eq!(
        text(&desk, FindingKind::NoHours),
        "Nobody is ever there: the hours are empty. Set the hours of at least one day."
    );
    assert_eq!(plan(&desk).plan.not_run.len(), 3);
    assert!(!kinds(&desk).contains(&FindingKind::NoTime), "said once");

    let mut short = set.clone();
    short.hours.week = std::array::from_fn(|_| vec![Span { from: clock(8, 0), to: clock(8, 4) }]);
    desk.act(Action::SetShifts(Box::new(short)));
    let stop = text(&desk, FindingKind::NoTime);
    assert!(stop.starts_with("Plates 1, 2 and 3 cannot be started. Preparing takes up to 15 min, and the longest stretch of hours is 4 min: lengthen the hours"), "{stop}");

    let mut twice = set;
    let off = |from, to| OtherHours {
        from: date(2026, 12, from),
        to: date(2026, 12, to),
        name: String::new(),
        spans: Vec::new(),
    };
    twice.hours.exceptions = vec![off(24, 26), off(26, 26)];
    desk.act(Action::SetShifts(Box::new(twice)));
    assert_eq!(
        text(&desk, FindingKind::Hours),
        "The exceptions 24 Dec 2026 to 26 Dec 2026 and 26 Dec 2026 share a day. The later one in the list applies: take the day out of the other one."
    );
}

#[test]
fn downtimes_overdue_plates_and_spools_at_night() {
    let (mut desk, plates) = shop();
    let machine = desk.session.job().machines[0].clone();
    let day = |d, h| date(2026, 12, d).at(h, 0, 0, 0);
    let down = Downtime { from: date(2026, 11, 30).at(16, 0, 0, 0), to: day(1, 12), why: "new nozzle".into() };
    desk.act(Action::SetMachine(Box::new(Machine { downtimes: vec![down], ..machine.clone() })));
    assert_eq!(
        text(&desk, FindingKind::Downtime),
        "Bench 1 is down until Tue 12:00 (new nozzle): plates 1, 2 and 3 wait for it."
    );
    assert!(
        plan(&desk).timed(0).expect("there").preparing.from_s
            >= plan(&desk).calendar.second_of(at("2026-12-01T12:00:00Z"))
    );
    desk.act(Action::SetMachine(Box::new(machine)));
    // Started long ago.
    desk.act(Action::MarkRun(plates[0], RunMark::Started(Some(at("2026-11-28T08:00:00Z")))));
    let overdue = text(&desk, FindingKind::Overdue);
    assert!(overdue.starts_with("Plate 1 on Bench 1 should have ended Sat 28 Nov"), "{overdue}");
    let remedy = Remedy::MarkEnded { plate: plates[0] };
    desk.act(Action::Remedy(remedy));
    assert!(!kinds(&desk).contains(&FindingKind::Overdue));
    // A spool for half of a plate that runs into the night.
    let plate = desk.session.job().plate(plates[2]).expect("there").clone();
    let mass = desk.session.view(plates[2]).and_then(|v| v.estimate.as_ref()).expect("an estimate").filament.mass_g;
    let full = Spool::full(SpoolId(0), "White 1", plate.material, &plate.colour);
    desk.act(Action::AddSpool(Box::new(Spool { grams_left: 0.5 * mass, tolerance_mm: 0.0, ..full })));
    let spool = desk.session.job().spools[0].id;
    desk.act(Action::ChooseSpool(plates[2], Some(spool)));
    last(&mut desk, plates[2], 14.0);
    desk.act(Action::MoveRun { plate: plates[2], machine: machines(&desk)[0], before: Some(plates[1]) });
    let night = text(&desk, FindingKind::Spool);
    assert!(
        night.starts_with("The spool White 1 runs out ") && night.contains("with nobody there, on plate"),
        "{night}"
    );
    assert!(night.ends_with("somebody comes Tue 08:00."), "{night}");
    let drawn = plan(&desk).drawn(desk.session.job(), Some(plates[2]));
    assert!(
        drawn
            .runs
            .iter()
            .any(|r| r.selected && r.spool_out.as_ref().is_some_and(|(_, w)| w.starts_with("White 1 runs out ")))
    );
}

#[test]
fn one_copy_at_a_time_takes_longer_and_more_hands() {
    let (mut desk, _) = shop();
    let t = plan(&desk);
    let (finish_s, hand_s) = (t.plan.cost.finish_s, t.hand_work_s());
    let alone = desk.session.one_at_a_time().expect("times are known");
    assert_eq!((alone.plates, alone.not_run), (6, 0));
    assert!(alone.finish_s > finish_s && alone.hand_work_s == 2 * hand_s, "{alone:?} {finish_s} {hand_s}");
    assert_eq!(alone.hand_work_s, 6 * 600);
}

#[test]
fn the_plan_as_a_table_a_calendar_and_a_drawing() {
    let (desk, _) = shop();
    let records = desk.session.run_records();
    assert_eq!(records.len(), 3);
    assert!(records.iter().all(|r| r.state == "planned" && r.machine == "Bench 1"));
    desk.session.write_calendar("/out/plan.ics".as_ref()).expect("it is written");
    desk.session.write_timeline_csv("/out/plan.csv".as_ref()).expect("it is written");
    let ics = String::from_utf8(desk.files.get("/out/plan.ics").expect("there")).expect("text");
    assert_eq!(ics.matches("BEGIN:VEVENT").count(), 9);
    assert!(ics.contains("DTSTART:20261130T163500Z"), "{ics}");
    let csv = String::from_utf8(desk.files.get("/out/plan.csv").expect("there")).expect("text");
    assert_eq!(csv.lines().count(), 4);
    let (head, first) = (csv.lines().next().unwrap_or_default(), csv.lines().nth(1).unwrap_or_default());
    assert!(head.contains(",parts,part_names,") && first.contains(",A,entrance gate,planned,"), "{csv}");
    let drawn = plan(&desk).drawn(desk.session.job(), None);
    let frame = TimelineFrame { width_mm: 250.0, height_mm: 60.0, names_mm: 25.0, rows: 2, span: drawn.whole() };
    assert!(timeline(&drawn, &frame).marks.len() > 20);
    assert_eq!(plan(&desk).run_words(desk.session.job(), 0).split(',').next(), Some("Plate 1 on Bench 1"));
}

/// In the night of 28 March 2027 clocks go forward in Lisbon (IANA time zone database): the night is 14 hours long, not 15.
#[test]
fn a_night_in_which_clocks_are_changed() {
    let (mut desk, _) = shop();
    let mut shifts = desk.session.job().shifts.clone();
    shifts.hours.time_zone = "Europe/Lisbon".into();
    shifts.hours.week = std::array::from_fn(|_| vec![Span { from: clock(8, 0), to: clock(17, 0) }]);
    shifts.start = Some(date(2027, 3, 27).at(8, 0, 0, 0));
    desk.act(Action::SetShifts(Box::new(shifts)));
    let t = plan(&desk);
    assert_eq!(t.calendar.at(0).timestamp(), at("2027-03-27T08:00:00Z"));
    let w = t.calendar.attended();
    assert_eq!((w[1].from_s - w[0].to_s) / 3600, 14);
    assert!(t.now_s < 0, "the plan starts later than now");
    assert_eq!(t.calendar.zone(), &TimeZone::get("Europe/Lisbon").expect("a zone"));
}

/// A preview has to answer while a bar is dragged: 200 plates on 10 machines. The limit here is for an unoptimised build on a busy machine.
#[test]
fn a_preview_of_200_plates_is_quick() {
    let (mut desk, plates) = shop();
    for _ in 3..200 {
        desk.session.try_act(Action::DuplicatePlate(plates[0])).expect("another plate");
    }
    let first = desk.session.job().machines[0].clone();
    for n in 3..=10 {
        desk.session
            .try_act(Action::AddMachine(Box::new(Machine { name: format!("Bench {n}"), ..first.clone() })))
            .expect("a machine");
    }
    desk.act(Action::ShowHeight(None));
    let t = plan(&desk);
    assert_eq!((t.about.len(), t.floor.machines.len()), (200, 10));
    let begun = std::time::Instant::now();
    let mut next = t.clone();
    for n in 0..10 {
        next = next.moved(n, (n + 1) % 10, Some(150 + n));
    }
    let each = begun.elapsed() / 10;
    assert!(each.as_millis() < 80, "{each:?}");
    eprintln!("a preview of 200 plates: {each:?}");
}

/// Winter time in Berlin is UTC+1 (IANA time zone database): the range in an event's description is in the shop's time, and the zone is named.
#[test]
fn a_calendar_file_is_in_the_shop_s_time_and_saved_with_a_question() {
    let (mut desk, _) = shop();
    let mut shifts = desk.session.job().shifts.clone();
    shifts.hours.time_zone = "Europe/Berlin".into();
    desk.act(Action::SetShifts(Box::new(shifts)));
    desk.session.set_now(Some(at("2026-11-30T15:30:00Z")));
    desk.session.take_notices();
    desk.act(Action::SaveNewTimeline(TimelineFile::Calendar, "/out/plan".into()));
    assert_eq!(desk.told(), "plan saved as /out/plan.ics");
    let ics = String::from_utf8(desk.files.get("/out/plan.ics").expect("there")).expect("text").replace("\r\n ", "");
    let t = plan(&desk);
    let range = t.end_range(t.timed(0).expect("there"));
    let words = |s: i64| t.calendar.at(s).strftime("%a %-d %b %Y %H:%M").to_string();
    let clock = t.calendar.at(range.to_s).strftime("%H:%M").to_string();
    assert!(words(range.from_s).starts_with("Mon 30 Nov 2026 1"), "{}", words(range.from_s));
    let expected = format!("between {} and {clock} (Europe/Berlin)", words(range.from_s));
    assert!(ics.contains(&expected) && ics.contains("1 copy of A entrance gate"), "{expected} in {ics}");
    // The name is taken now: a question comes first, and nothing is written.
    let before = desk.files.get("/out/plan.ics");
    desk.act(Action::MarkRun(desk.session.job().plates[0].id, RunMark::Fixed(true)));
    desk.session.set_now(Some(at("2026-11-30T15:40:00Z")));
    desk.act(Action::SaveNewTimeline(TimelineFile::Calendar, "/out/plan.ics".into()));
    assert_eq!(desk.session.take_ask(), Some(Ask::Replace));
    assert_eq!(desk.files.get("/out/plan.ics"), before);
    assert_eq!(
        desk.session.replacing().map(Replacing::sentence).as_deref(),
        Some("There is already a file /out/plan.ics.")
    );
    desk.act(Action::SaveCopy);
    assert!(desk.files.get("/out/plan copy.ics").is_some() && desk.files.get("/out/plan.ics") == before);
    desk.act(Action::SaveNewTimeline(TimelineFile::Calendar, "/out/plan.ics".into()));
    desk.act(Action::Overwrite);
    assert_ne!(desk.files.get("/out/plan.ics"), before);
    assert!(desk.session.path().is_none(), "the job itself is not saved by that");
    // Without a plate there is nothing to save.
    let mut empty = Desk::new();
    let why = empty.session.try_act(Action::SaveTimeline(TimelineFile::Table, "/out/none.csv".into()));
    assert!(why.expect_err("no plan").to_string().contains("place copies"));
}

/// A spool is drawn from in the order in which plates start, not in the docket's.
#[test]
fn a_spool_follows_the_sequence() {
    let (mut desk, plates) = shop();
    let mass = |desk: &Desk, n: usize| {
        desk.session.view(plates[n]).and_then(|v| v.estimate.as_ref()).expect("an estimate").filament.mass_g
    };
    let plate = desk.session.job().plate(plates[0]).expect("there").clone();
    // Enough for the plate of three gates and half of that of one.
    let grams_left = mass(&desk, 2) + 0.5 * mass(&desk, 0);
    let full = Spool::full(SpoolId(0), "White 1", plate.material, &plate.colour);
    desk.act(Action::AddSpool(Box::new(Spool { grams_left, tolerance_mm: 0.0, ..full })));
    let spool = desk.session.job().spools[0].id;
    for n in [0, 2] {
        desk.act(Action::ChooseSpool(plates[n], Some(spool)));
    }
    let out = |desk: &Desk, n: usize| {
        let t = plan(desk);
        t.run_of(plates[n]).and_then(|run| t.spool_out(run)).map(|(s, out)| (s, out.spool.clone()))
    };
    assert!(out(&desk, 0).is_none() && out(&desk, 2).is_some_and(|(_, name)| name == "White 1"));
    // The first waits until the week after: the spool now runs out on it, at a time within its print.
    desk.act(Action::MarkRun(plates[0], RunMark::NotBefore(Some(at("2026-12-07T10:00:00Z")))));
    desk.act(Action::MoveRun { plate: plates[0], machine: machines(&desk)[1], before: None });
    desk.act(Action::OrderPlate(plates[0], 0));
    let t = plan(&desk);
    assert_eq!(desk.session.job().plates[0].id, plates[0], "it is still the first of the docket");
    assert_eq!(t.by_start().last(), Some(&plates[0]));
    assert!(out(&desk, 2).is_none(), "{:?}", out(&desk, 2));
    let (s, _) = out(&desk, 0).expect("it runs out");
    let print = t.timed(t.run_of(plates[0]).expect("a run")).expect("there").print;
    assert!(print.from_s < s && s < print.to_s && s >= t.calendar.second_of(at("2026-12-07T10:00:00Z")));
    let words = t.run_words(desk.session.job(), t.run_of(plates[0]).expect("a run"));
    assert!(words.contains("the spool White 1 runs out Mon 7 Dec 10:"), "{words}");
}

#[test]
fn a_plan_from_another_start_leaves_the_job_as_it_is() {
    let (mut desk, plates) = shop();
    last(&mut desk, plates[0], 10.0);
    let mut shifts = desk.session.job().shifts.clone();
    shifts.start = Some(date(2026, 12, 2).at(8, 0, 0, 0));
    desk.act(Action::SetShifts(Box::new(shifts)));
    let before = desk.bytes();
    assert_eq!(plan(&desk).calendar.words(0), "Wed 08:00");
    assert!(text(&desk, FindingKind::AfterHours).starts_with("Plate 1 on Bench 1 ends Wed 18:"));
    desk.session.plan_from(at("2026-12-01T16:00:00Z"));
    assert_eq!((plan(&desk).calendar.words(0), plan(&desk).now_s), ("Tue 16:00".into(), -84_600));
    let after = text(&desk, FindingKind::AfterHours);
    assert!(after.starts_with("Plate 1 on Bench 1 ends Wed 0"), "{after}");
    // Also one that is past.
    desk.session.plan_from(at("2026-11-27T09:00:00Z"));
    assert_eq!((plan(&desk).now_s, plan(&desk).timed(0).expect("there").preparing.from_s), (0, 0));
    assert_eq!(desk.bytes(), before);
}

#[test]
fn the_bound_is_told_in_words() {
    let (mut desk, plates) = shop();
    let t = plan(&desk);
    let bound = t.bound_s();
    let words = t.bound_words(3 * bound);
    assert!(words.contains(": at least ") && words.contains(" are needed, and this plan takes "), "{words}");
    assert!(!words.contains('%'), "{words}");
    let slightly = t.bound_words(bound + bound / 8);
    assert!(
        slightly.ends_with("; this plan takes 12 % longer.") || slightly.ends_with("; this plan takes 13 % longer."),
        "{slightly}"
    );
    assert_eq!(t.bound_words(bound), "No sequence on these machines ends earlier.");
    // Lateness in days, and a due date of another year with its year.
    let part = desk.session.job().parts[0].clone();
    desk.act(Action::MarkRun(plates[2], RunMark::NotBefore(Some(at("2027-01-11T08:00:00Z")))));
    desk.act(Action::SetPart(Box::new(Part { due: Some("2027-01-04".into()), ..part })));
    let late = text(&desk, FindingKind::Late);
    assert!(late.contains(" is late by 6 days ") && late.contains("on the table Mon 11 Jan 2027 "), "{late}");
    assert!(late.ends_with("and A is due Mon 4 Jan 2027."), "{late}");
}
