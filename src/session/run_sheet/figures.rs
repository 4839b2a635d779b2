//! The figures of a run sheet.

use super::moment::{Moments, after_s, dated};
use crate::{
    batch::{cool_down_s, real_time_factors},
    document::{Job, Plate, SpoolId},
    drawing::run_sheet::Fact,
    estimate::{PlateEstimate, SpoolUse},
    session::PlateView,
    words,
};

/// Start, end, copies, filament, first layer, removal.
pub(super) fn figures(job: &Job, plate: &Plate, view: &PlateView, moments: Moments<'_>) -> Vec<Fact> {
    let mut all = start_and_end(job, view, moments);
    all.push(Fact {
        name: "Copies".into(),
        value: crate::drawing::words::copies_on(job, plate),
        notes: job.twin(plate).map(|t| format!("printed twice at once: {}", t.words())).into_iter().collect(),
    });
    all.extend(filament(job, plate, view, moments));
    all.extend(view.estimate.as_ref().and_then(|e| first_layer(e, moments)));
    all.push(removal(job, plate, moments));
    all
}

fn start_and_end(job: &Job, view: &PlateView, moments: Moments<'_>) -> Vec<Fact> {
    let fact = |name: &str, value: String, notes: Vec<String>| Fact { name: name.into(), value, notes };
    let time_s = view.estimate.as_ref().map(|e| e.time_s);
    let takes = time_s.map_or_else(|| "print time not known".to_owned(), |s| format!("takes {}", words::time(s)));
    if let Some((t, timed)) = moments.plan() {
        let range = t.end_range(timed);
        let (least, most) = (t.calendar.words(range.from_s), t.calendar.words(range.to_s));
        let mut notes = vec![format!("95 of 100 end between {least} and {most}"), takes];
        if let Some(late) = t.late_s(timed.run) {
            notes.insert(0, format!("late by {}", words::time(late as f64)));
        }
        return vec![
            fact("Start", dated(&t.calendar, timed.print.from_s), Vec::new()),
            fact("End", dated(&t.calendar, timed.print.to_s), notes),
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

/// Filament by spool, and when the spool has to be changed.
fn filament(job: &Job, plate: &Plate, view: &PlateView, moments: Moments<'_>) -> Vec<Fact> {
    let Some(e) = &view.estimate else { return Vec::new() };
    let second = plate.twin_spool.filter(|_| job.twin(plate).is_some());
    let of = |spool: Option<SpoolId>, drawn: Option<SpoolUse>, name: &str| {
        let spool = spool.and_then(|id| job.spool(id))?;
        let mut notes = Vec::new();
        if let Some(drawn) = drawn {
            notes.push(format!("{} on it before", words::mass(drawn.before.nominal_g)));
            if let Some(out) = drawn.runs_out {
                notes.push(format!(
                    "Runs out {}, at {:.0} mm: change it there",
                    moments.words(out.after_s),
                    out.height_mm
                ));
            } else if let Some(out) = drawn.runs_out_earliest {
                notes.push(format!("May run out {}, at {:.0} mm", moments.words(out.after_s), out.height_mm));
            } else {
                notes.push(format!("{} left after", words::mass(drawn.after.nominal_g.max(0.0))));
            }
        }
        let needed = words::mass(e.of_one_head().mass_g);
        Some(Fact { name: format!("{name} from spool {}", spool.name), value: needed, notes })
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

fn removal(job: &Job, plate: &Plate, moments: Moments<'_>) -> Fact {
    let value = format!("{:.0} °C", job.shifts.changeover.removal_c);
    let cool = match (moments.plan(), job.machine(plate.machine), job.material(plate.material)) {
        (Some((t, timed)), ..) => Some(format!("about {}", t.calendar.words(timed.cool_s))),
        (None, Some(machine), Some(material)) => {
            let s = cool_down_s(machine, material, &job.shifts.changeover);
            Some(format!("about {} after the end", words::time(s)))
        }
        _ => None,
    };
    Fact { name: "Take parts off once the bed is below".into(), value, notes: cool.into_iter().collect() }
}
