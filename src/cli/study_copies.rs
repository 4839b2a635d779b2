//! `study copies`: how many copies at once.

use std::path::Path;

use serde_json::{Value, json};

use super::{fail::Fail, print, progress::Told};
use crate::{
    batch::Spoils,
    document::{Job, PartId},
    drawing::words,
    session::Session,
    studies::{CopiesRow, CopiesStudy, CopiesWay, best_row, copies_advice, copies_study, slowing_ends_at},
};

/// `study copies`.
pub(super) fn copies(
    s: &Session,
    job: &Path,
    part: PartId,
    (spoils, confidence): (Spoils, f64),
    as_json: bool,
) -> Result<(), Fail> {
    let wrong = |e| Fail::new(format!("{}: {e}", job.display()));
    let study = CopiesStudy { time: s.limits().time, ..s.copies_study(part, spoils, confidence).map_err(wrong)? };
    let told = Told::new();
    let mut rows = Vec::new();
    let done = copies_study(&study, &told, &mut |row| rows.push(row.clone()));
    told.end();
    done.map_err(wrong)?;
    if as_json { print::json(&as_value(s, &study, &rows)) } else { table(s, &study, &rows) }
}

fn names<'a>(job: &'a Job, study: &CopiesStudy) -> (&'a str, &'a str) {
    let part = job.part(study.part).map_or("", |p| p.name.as_str());
    (part, job.machine(study.machine).map_or("", |m| m.name.as_str()))
}

const HEADS: [&str; 12] = [
    "copies",
    "time",
    "each",
    "slowed",
    "changeovers/day",
    "good/day",
    "loss: copy",
    "reach",
    "plate",
    "common",
    "all good",
    "plates to start",
];

fn table(s: &Session, study: &CopiesStudy, rows: &[CopiesRow]) -> Result<(), Fail> {
    let (part, machine) = names(&study.job, study);
    let mut lines: Vec<[String; 12]> = vec![HEADS.map(str::to_owned)];
    let best = best_row(rows);
    lines.extend(rows.iter().enumerate().map(|(i, r)| cells(r, best == Some(i))));
    let widths: [usize; 12] =
        std::array::from_fn(|i| lines.iter().map(|l| l[i].chars().count()).max().unwrap_or_default());
    print::out(|w| {
        writeln!(w, "{} on {}", words::plain(part), words::plain(machine))?;
        for line in &lines {
            write!(w, "{:<1$}", line[0], widths[0])?;
            for (cell, width) in line.iter().zip(widths).skip(1) {
                write!(w, "  {cell:>width$}")?;
            }
            writeln!(w)?;
        }
        if rows.is_empty() {
            writeln!(w, "no copy fits")?;
        }
        if best.is_some() {
            writeln!(w, "* most good parts a day")?;
        }
        for line in remarks(s, study, rows) {
            writeln!(w, "{}", words::plain(&line))?;
        }
        let wanted = study.job.part(study.part).map_or(0, |p| p.wanted);
        let (a, sure) = (&study.job.assumptions, study.confidence * 100.0);
        writeln!(
            w,
            "assumed: {} % of copies with a margin of 1 or more let go, more below 1; {} % of plates are spoilt at once; a failure spoils {} and is \
             found at the end of the plate; plates to start: {wanted} good ones come out, {sure} % sure",
            a.failing_percent,
            a.common_cause_percent,
            study.spoils.words()
        )
    })
}

/// What there is to say besides the numbers.
fn remarks(s: &Session, study: &CopiesStudy, rows: &[CopiesRow]) -> Vec<String> {
    let mut told = copies_advice(rows, study.spoils);
    told.extend(study.hours_fault());
    told.extend(study.too_tall_in_turn());
    let slowed = rows.iter().any(|r| r.slowed > 0.0);
    match slowing_ends_at(rows) {
        Some(n) if slowed => told.push(format!("Slowing ends at {}.", crate::words::copies(n))),
        None if slowed => {
            if let Some(until) = s.copies_until_slowing_ends(study.part) {
                told.push(format!("Slowing does not end on a full plate: it takes {}.", until.words()));
            }
        }
        _ => {}
    }
    told
}

fn cells(row: &CopiesRow, is_best: bool) -> [String; 12] {
    let mark = if is_best { " *" } else { "" };
    let in_turn = row.way == CopiesWay::InTurn;
    let hours = row.hours;
    let loss = |spoils| format!("{:.2}", row.lost(spoils));
    let none = || "–".to_owned();
    [
        match row.way {
            CopiesWay::Together => format!("{}{mark}", row.copies),
            CopiesWay::InTurn | CopiesWay::Twin => format!("{} {}{mark}", row.copies, row.way.words()),
        },
        words::time(row.time_s),
        row.each_words(),
        format!("{:.0} %", row.slowed * 100.0),
        hours.map_or_else(none, |h| format!("{:.2}", h.changeovers_per_day)),
        hours.map_or_else(none, |h| format!("{:.1}", h.good_per_day)),
        loss(Spoils::Copy),
        if in_turn { none() } else { loss(Spoils::Reach) },
        if in_turn { none() } else { loss(Spoils::Plate) },
        format!("{:.2}", row.lost_to_common_causes),
        format!("{:.1} %", row.all_good * 100.0),
        row.plates_to_start.map_or_else(none, |n| n.to_string()),
    ]
}

fn as_value(s: &Session, study: &CopiesStudy, rows: &[CopiesRow]) -> Value {
    let best = best_row(rows);
    let told: Vec<Value> = rows
        .iter()
        .enumerate()
        .map(|(i, r)| {
            let night = r
                .hours
                .and_then(|h| h.night)
                .map(|n| json!({"start": n.start.to_string(), "end": n.end.to_string(), "waits_s": n.waits_s}));
            json!({
                "copies": r.copies,
                "way": match r.way {
                    CopiesWay::Together => "together",
                    CopiesWay::InTurn => "in-turn",
                    CopiesWay::Twin => "shifted-twin",
                },
                "time_s": r.time_s, "time_per_copy_s": r.each_s(), "mass_g": r.mass_g, "slowed": r.slowed,
                "expected_good": {"copy": r.expected.copy, "reach": r.expected.reach, "plate": r.expected.plate},
                "lost": {
                    "copy": r.lost(Spoils::Copy), "reach": r.lost(Spoils::Reach), "plate": r.lost(Spoils::Plate),
                    "common_causes": r.lost_to_common_causes,
                },
                "good": r.good, "all_good": r.all_good, "plates_to_start": r.plates_to_start,
                "changeovers_per_day": r.hours.map(|h| h.changeovers_per_day), "good_per_day": r.good_per_day(),
                "night": night, "best": best == Some(i),
            })
        })
        .collect();
    let (part, machine) = names(&study.job, study);
    let a = &study.job.assumptions;
    json!({
        "part": part, "machine": machine, "wanted": study.job.part(study.part).map(|p| p.wanted),
        "spoils": study.spoils.word(), "confidence": study.confidence,
        "assumed": {"failing_percent": a.failing_percent, "common_cause_percent": a.common_cause_percent},
        "slowing_ends_at": slowing_ends_at(rows), "remarks": remarks(s, study, rows), "rows": told,
    })
}
