//! The figures of a run sheet.

use super::moment::{Moments, after_s, dated};
use crate::{
    batch::{Calendar, cool_down_s, real_time_factors, sequence::Window},
    document::{Job, Plate, SpoolId},
    drawing::run_sheet::Fact,
    estimate::{PlateEstimate, RunsOut, SpoolUse},
    session::PlateView,
    words,
};

/// Start, end, filament, first layer.
pub(super) fn figures(job: &Job, plate: &Plate, view: &PlateView, moments: Moments<'_>) -> Vec<Fact> {
    let mut all = start_and_end(job, view, moments);
    all.extend(job.twin(plate).map(|t| Fact {
        name: "Printed twice at once".into(),
        value: t.words().into(),
        notes: Vec::new(),
    }));
    all.extend(filament(job, plate, view, moments));
    all.extend(view.estimate.as_ref().and_then(|e| first_layer(e, moments)));
    all
}

fn start_and_end(job: &Job, view: &PlateView, moments: Moments<'_>) -> Vec<Fact> {
    let fact = |name: &str, value: String, notes: Vec<String>| Fact { name: name.into(), value, notes };
    let time_s = view.estimate.as_ref().map(|e| e.time_s);
    if let Some((t, timed)) = moments.plan() {
        let range = t.end_range(timed);
        let mut notes = vec![format!("95 of 100 end {}", span_words(&t.calendar, range, timed.print.to_s))];
        if let Some(late) = t.late_s(timed.run) {
            notes.insert(0, format!("late by {}", words::time(late as f64)));
        }
        let end = time_s.map_or_else(|| "End".to_owned(), |s| format!("End, after {}", words::time(s)));
        return vec![
            fact("Start", dated(&t.calendar, timed.print.from_s), Vec::new()),
            fact(&end, dated(&t.calendar, timed.print.to_s), notes),
        ];
    }
    let (least, most) = real_time_factors(&job.assumptions);
    let range = time_s.map(|s| format!("95 of 100 take {} to {}", words::time(s * least), words::time(s * most)));
    vec![
        fact("Start (not planned: write it down)", String::new(), Vec::new()),
        fact(
            "End, after the start",
            time_s.map_or_else(|| "not known".to_owned(), words::time),
            range.into_iter().collect(),
        ),
    ]
}

/// "13:56 to 15:09" where both are on the day of `near_s`, else with their days.
fn span_words(calendar: &Calendar, span: Window, near_s: i64) -> String {
    let day = calendar.at(near_s).date();
    if [span.from_s, span.to_s].into_iter().all(|s| calendar.at(s).date() == day) {
        let clock = |s: i64| calendar.at(s).strftime("%H:%M").to_string();
        return format!("{} to {}", clock(span.from_s), clock(span.to_s));
    }
    format!("{} to {}", calendar.words(span.from_s), calendar.words(span.to_s))
}

/// Filament by spool, and when the spool has to be changed.
fn filament(job: &Job, plate: &Plate, view: &PlateView, moments: Moments<'_>) -> Vec<Fact> {
    let Some(e) = &view.estimate else { return Vec::new() };
    let second = plate.twin_spool.filter(|_| job.twin(plate).is_some());
    let of = |spool: Option<SpoolId>, drawn: Option<SpoolUse>, name: &str| {
        let spool = spool.and_then(|id| job.spool(id))?;
        let mut notes = Vec::new();
        if let Some(drawn) = drawn {
            let before = format!("{} on it", words::mass(drawn.before.nominal_g));
            let out =
                |how: &str, out: RunsOut| format!("{how} {}, at {:.0} mm", moments.words(out.after_s), out.height_mm);
            match (drawn.runs_out, drawn.runs_out_earliest) {
                (Some(at), _) => notes.extend([before, out("Runs out", at) + ": change it there"]),
                (None, Some(at)) => notes.extend([before, out("May run out", at)]),
                (None, None) => {
                    let after = words::mass(drawn.after.nominal_g.max(0.0));
                    notes.push(format!("{before}, {after} left after"));
                }
            }
        }
        let needed = words::mass(e.of_one_head().mass_g);
        Some(Fact { name: format!("{name} from spool {}", words::plain(&spool.name)), value: needed, notes })
    };
    let mut all: Vec<Fact> = of(plate.spool, view.spool, "Filament").into_iter().collect();
    all.extend(of(second, view.twin_spool, "Second carriage"));
    if all.is_empty() {
        let value = words::mass(e.filament.mass_g);
        all.push(Fact { name: "Filament (no spool chosen)".into(), value, notes: Vec::new() });
    }
    all
}

fn first_layer(e: &PlateEstimate, moments: Moments<'_>) -> Option<Fact> {
    let first = e.layers.first()?;
    let until_s = after_s(e, first.top_mm);
    let begins = format!("it begins {}", moments.words(e.items.heat_up_s));
    Some(Fact { name: "Watch the first layer until".into(), value: moments.words(until_s), notes: vec![begins] })
}

/// What is checked before parts come off: "Bed below 43 °C, about Mon 14:41".
pub(super) fn removal(job: &Job, plate: &Plate, moments: Moments<'_>) -> String {
    let cool = match (moments.plan(), job.machine(plate.machine), job.material(plate.material)) {
        (Some((t, timed)), ..) => format!(", {}", t.calendar.words(timed.cool_s)),
        (None, Some(machine), Some(material)) => {
            let s = cool_down_s(machine, material, &job.shifts.changeover);
            format!(", {} after the end", words::time(s))
        }
        _ => String::new(),
    };
    format!("Bed below {:.0} °C{cool}", job.shifts.changeover.removal_c)
}
