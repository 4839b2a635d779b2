//! Hours, states, moves and files of the plan, sensible or not; and what must hold of every plan.

use jiff::{
    Timestamp,
    civil::{Date, DateTime, date},
};
use stonehand::{
    batch::sequence::Window,
    document::{
        Carriages, Changeover, ClockTime, Downtime, Job, MachineId, OtherHours, PlateId, Shifts, Span, Spool, SpoolId,
        Twin,
    },
    drawing::{Mark, TimelineFrame, timeline},
    geom::Point,
    session::{Action, RunMark, Session, TimelineFile},
};

use super::dice::Dice;

/// What is said of hours, plates and spools.
pub(crate) fn action(session: &Session, dice: &mut Dice) -> Action {
    let job = session.job();
    let plates: Vec<PlateId> = job.plates.iter().map(|p| p.id).collect();
    let machines: Vec<MachineId> = job.machines.iter().map(|m| m.id).collect();
    let spools: Vec<SpoolId> = job.spools.iter().map(|s| s.id).collect();
    let plate = |d: &mut Dice| plates.get(d.below(plates.len() + 1)).copied().unwrap_or(PlateId(999_999));
    let machine = |d: &mut Dice| machines.get(d.below(machines.len() + 1)).copied().unwrap_or(MachineId(999_999));
    let spool = |d: &mut Dice| spools.get(d.below(spools.len() + 1)).copied().unwrap_or(SpoolId(999_999));
    match dice.below(18) {
        0..3 => Action::SetShifts(Box::new(shifts(dice, job))),
        3 => Action::UseHours,
        4..8 => Action::MarkRun(plate(dice), mark(dice)),
        8..10 => {
            let before = dice.one_in(2).then(|| plate(dice));
            Action::MoveRun { plate: plate(dice), machine: machine(dice), before }
        }
        10 => Action::ImproveSequence,
        11 => Action::CancelImprove,
        12 => Action::SetTwin(plate(dice), *dice.of(&[None, Some(Twin::Shifted), Some(Twin::Handed)])),
        13 => {
            let Some(mut m) = job.machines.get(dice.below(job.machines.len())).cloned() else {
                return Action::UseHours;
            };
            match dice.below(3) {
                0 => m.carriages = dice.one_in(2).then(|| Carriages { strip_mm: dice.length() }),
                1 => m.bed_cooling_s = dice.length() * 10.0,
                _ => m.downtimes = (0..dice.below(4)).map(|_| downtime(dice)).collect(),
            }
            Action::SetMachine(Box::new(m))
        }
        14 => {
            let Some(mut p) = job.parts.get(dice.below(job.parts.len())).cloned() else { return Action::UseHours };
            let dues =
                ["", "2026-12-01", "2026-12-01T16:30", "soon", "0000-00-00", "-009999-01-02", "9999-12-31", "25:00"];
            p.due = if dice.one_in(4) { None } else { Some((*dice.of(&dues)).to_owned()) };
            Action::SetPart(Box::new(p))
        }
        15 => match job.materials.get(dice.below(job.materials.len())) {
            Some(m) if job.spools.len() < 6 => {
                let full = Spool::full(SpoolId(0), "Straw \u{1b}9", m.id, "straw");
                Action::AddSpool(Box::new(Spool {
                    grams_left: dice.length(),
                    tolerance_mm: dice.share() / 10.0,
                    ..full
                }))
            }
            _ => Action::RemoveSpool(spool(dice)),
        },
        16 => {
            let spool = if dice.one_in(3) { None } else { Some(spool(dice)) };
            if dice.one_in(2) {
                Action::ChooseSpool(plate(dice), spool)
            } else {
                Action::ChooseTwinSpool(plate(dice), spool)
            }
        }
        _ => {
            let file = *dice.of(&[TimelineFile::Calendar, TimelineFile::Table]);
            match dice.below(4) {
                0 => Action::Overwrite,
                1 => Action::SaveCopy,
                2 => Action::SaveTimeline(file, "/shop/plan".into()),
                _ => Action::SaveNewTimeline(file, "/shop/plan".into()),
            }
        }
    }
}

/// The time now: seldom the computer's, now and then at the end of all calendars.
pub(crate) fn now(dice: &mut Dice) -> Option<Timestamp> {
    match dice.below(12) {
        0 => None,
        1 => Some(Timestamp::MIN),
        2 => Some(Timestamp::MAX),
        _ => Some(instant(dice)),
    }
}

fn instant(dice: &mut Dice) -> Timestamp {
    let odd = [Timestamp::MIN, Timestamp::MAX, Timestamp::UNIX_EPOCH];
    // Monday 30 November 2026, 16:30 UTC, and the weeks round it; the nights in which clocks are changed in Berlin.
    let about = [1_796_056_200, 1_806_105_600, 1_825_027_200];
    if dice.one_in(12) {
        return *dice.of(&odd);
    }
    let s = *dice.of(&about) + (dice.share() * 4e6) as i64 - 2_000_000;
    Timestamp::from_second(s).unwrap_or(Timestamp::UNIX_EPOCH)
}

fn day(dice: &mut Dice) -> Date {
    match dice.below(16) {
        0 => Date::MIN,
        1 => Date::MAX,
        2 => date(2027, 3, 28),
        3 => date(2027, 10, 31),
        _ => date(2026, 11, 28 + dice.below(3) as i8),
    }
}

fn local(dice: &mut Dice) -> DateTime {
    let day = day(dice);
    day.at(dice.below(24) as i8, dice.below(60) as i8, 0, 0)
}

fn clock(dice: &mut Dice) -> ClockTime {
    ClockTime::from_minutes(dice.below(1441) as u16).unwrap_or(ClockTime::END)
}

/// Spans in no order at all, over one another, and none.
fn spans(dice: &mut Dice) -> Vec<Span> {
    match dice.below(8) {
        0 => Vec::new(),
        1 => vec![Span { from: ClockTime::MIDNIGHT, to: ClockTime::END }],
        2 => (0..30).map(|_| Span { from: clock(dice), to: clock(dice) }).collect(),
        3 => vec![Span { from: clock(dice), to: clock(dice) }, Span { from: clock(dice), to: clock(dice) }],
        _ => vec![Span { from: clock(dice), to: clock(dice) }],
    }
}

fn shifts(dice: &mut Dice, job: &Job) -> Shifts {
    let mut new = job.shifts.clone();
    match dice.below(7) {
        0 => new.hours.week = std::array::from_fn(|_| spans(dice)),
        1 => new.hours.week[dice.below(7)] = spans(dice),
        2 => new.hours.people = *dice.of(&[0, 1, 2, 1000, u32::MAX]),
        3 => {
            let zones = ["", "UTC", "Europe/Berlin", "Europe/Lisbon", "Pacific/Kiritimati", "Moon/Dust", "\u{0}"];
            (*dice.of(&zones)).clone_into(&mut new.hours.time_zone);
        }
        4 => {
            new.hours.exceptions = (0..dice.below(5))
                .map(|_| OtherHours { from: day(dice), to: day(dice), name: "=1+1\u{1b}".into(), spans: spans(dice) })
                .collect();
        }
        5 => {
            new.changeover = Changeover {
                removal_s: dice.length() * 20.0,
                preparing_s: dice.length() * 20.0,
                colour_change_s: dice.length(),
                material_change_s: dice.length(),
                removal_c: dice.length() / 2.0,
                ..new.changeover
            };
        }
        _ => new.start = if dice.one_in(3) { None } else { Some(local(dice)) },
    }
    new
}

fn mark(dice: &mut Dice) -> RunMark {
    let some = |dice: &mut Dice| dice.one_in(2).then(|| instant(dice));
    match dice.below(6) {
        0 => RunMark::Started(some(dice)),
        1 => RunMark::Ended(some(dice)),
        2 => RunMark::Failed,
        3 => RunMark::NotStarted,
        4 => RunMark::Fixed(dice.one_in(2)),
        _ => RunMark::NotBefore(some(dice)),
    }
}

fn downtime(dice: &mut Dice) -> Downtime {
    Downtime { from: local(dice), to: local(dice), why: "nozzle\u{202e}".into() }
}

/// What must hold of every plan: hand work lies in attended time, a machine does one thing at a time, and what is drawn has a place.
pub(crate) fn sound(session: &Session) -> Result<(), String> {
    let Some(t) = session.timeline() else { return Ok(()) };
    let attended = t.calendar.attended();
    if attended.windows(2).any(|w| w[0].to_s >= w[1].from_s) {
        return Err("attended times overlap or touch".into());
    }
    let is_attended =
        |w: Window| w.length_s() == 0 || attended.iter().any(|a| a.from_s <= w.from_s && w.to_s <= a.to_s);
    for bench in 0..t.floor.machines.len() {
        let mut free_s = 0;
        for run in t.sequence(bench) {
            let (Some(x), Some(about)) = (t.timed(run), t.about.get(run)) else {
                return Err("a run of no plate".into());
            };
            if about.is_running {
                continue;
            }
            if !is_attended(x.preparing) || x.removal.is_some_and(|w| !is_attended(w)) {
                return Err(format!("hand work with nobody there: {x:?}"));
            }
            if x.preparing.from_s < free_s {
                return Err(format!("two plates at once: {x:?}"));
            }
            free_s = x.removal.map_or(i64::MAX, |w| w.to_s);
            if t.run_words(session.job(), run).is_empty() || t.bound_words(x.print.to_s).is_empty() {
                return Err("a run without words".into());
            }
        }
    }
    let drawn = t.drawn(session.job(), session.plate_id());
    let span = drawn.whole();
    let rows = t.floor.machines.len().max(1);
    let frame = TimelineFrame { width_mm: 200.0, height_mm: 20.0 * rows as f64, names_mm: 20.0, rows, span };
    let is_odd = |p: Point| !p.is_finite();
    let odd = timeline(&drawn, &frame).marks.iter().any(|m| match m {
        Mark::Text { at, .. } => is_odd(*at),
        Mark::Stroke { points, .. } => points.iter().any(|p| is_odd(*p)),
        Mark::Fill { region, .. } => !region.area().is_finite(),
        _ => false,
    });
    if odd || span.length_s() <= 0 {
        return Err(format!("a timeline of {span:?} with a mark that has no place"));
    }
    for next in t.start_now() {
        if t.start_words(next.what).is_empty() {
            return Err("a machine without words".into());
        }
    }
    drop(session.run_records());
    Ok(())
}
