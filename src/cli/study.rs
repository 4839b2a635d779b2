//! `study`: one part in several ways, side by side.

use std::path::Path;

use serde_json::{Value, json};

use super::{fail::Fail, print, progress::Told};
use crate::{
    document::{Footing, Job, PartId},
    drawing::words,
    session::Session,
    stability::margin_words,
    studies::{FootingRow, FootingRows, FootingStudy, footing_study},
};

/// `study footing`.
pub(super) fn footing(
    s: &Session,
    job: &Path,
    part: PartId,
    footings_asked: Option<Vec<Footing>>,
    as_json: bool,
) -> Result<(), Fail> {
    let wrong = |e| Fail::new(format!("{}: {e}", job.display()));
    let study = FootingStudy { variants: footings_asked, ..s.footing_study(part).map_err(wrong)? };
    let told = Told::new();
    let done = footing_study(&study, &told, &mut |_| ());
    told.end();
    let done = done.map_err(wrong)?;
    if as_json { print::json(&footings_json(s.job(), &study, &done)) } else { footings(s.job(), &study, &done) }
}

/// A name in a job's own words.
fn names(job: &Job, study: &FootingStudy) -> (String, String) {
    let part = job.part(study.part).map_or_else(String::new, |p| p.name.clone());
    (part, job.machine(study.machine).map_or_else(String::new, |m| m.name.clone()))
}

const HEADS: [&str; 10] =
    ["footing", "copies", "plate", "each", "good", "per good", "g each", "clean-up", "margin", "at mm"];

fn footings(job: &Job, study: &FootingStudy, done: &FootingRows) -> Result<(), Fail> {
    let mut lines: Vec<[String; 10]> = vec![HEADS.map(str::to_owned)];
    lines.extend(done.rows.iter().map(cells));
    let widths: [usize; 10] =
        std::array::from_fn(|i| lines.iter().map(|l| l[i].chars().count()).max().unwrap_or_default());
    let (part, machine) = names(job, study);
    print::out(|w| {
        writeln!(w, "{} on {}", words::plain(&part), words::plain(&machine))?;
        for line in &lines {
            write!(w, "{:<1$}", line[0], widths[0])?;
            for (cell, width) in line.iter().zip(widths).skip(1) {
                write!(w, "  {cell:>width$}")?;
            }
            writeln!(w)?;
        }
        if done.rows.iter().any(|r| r.is_suggested) {
            writeln!(w, "* suggested")?;
        }
        let a = &job.assumptions;
        writeln!(
            w,
            "good: copies expected to come out good, assumed that {} % of those with a margin of 1 or more let go, more below 1, \
             and that each spoils the copies it would strike; clean-up is assumed: {} s for a brim and {} s for a raft, per copy; margins \
             are a ranking, not a promise",
            a.failing_percent, a.brim_clean_up_s, a.raft_clean_up_s
        )
    })
}

fn cells(row: &FootingRow) -> [String; 10] {
    let none = || "–".to_owned();
    let of_plate = row.plate.map_or_else(
        || std::array::from_fn(|_| none()),
        |p| {
            [
                words::time(p.time_s),
                FootingRow::each_words(p.time_per_copy_s),
                format!("{:.1}", p.expected_good),
                p.per_good_words(),
                format!("{:.2}", p.mass_per_copy_g),
                words::time(p.clean_up_s),
            ]
        },
    );
    let [time, each, good, per_good, mass, clean_up] = of_plate;
    let (margin, at) =
        row.least.map_or_else(|| (none(), none()), |l| (margin_words(l.margin), format!("{:.1}", l.height_mm)));
    let mark = if row.is_suggested { " *" } else { "" };
    [
        format!("{}{mark}", row.footing.words()),
        row.copies.to_string(),
        time,
        each,
        good,
        per_good,
        mass,
        clean_up,
        margin,
        at,
    ]
}

fn footings_json(job: &Job, study: &FootingStudy, done: &FootingRows) -> Value {
    let rows: Vec<Value> = done
        .rows
        .iter()
        .map(|r| {
            json!({
                "footing": {"kind": r.footing.kind(), "width_mm": r.footing.width_mm()},
                "suggested": r.is_suggested,
                "copies": r.copies,
                "time_s": r.plate.map(|p| p.time_s),
                "time_per_copy_s": r.plate.map(|p| p.time_per_copy_s),
                "mass_per_copy_g": r.plate.map(|p| p.mass_per_copy_g),
                "clean_up_s": r.plate.map(|p| p.clean_up_s),
                "expected_good": r.plate.map(|p| p.expected_good),
                "time_per_good_s": r.plate.map(|p| p.time_per_good_s()),
                "margin": r.least.map(|l| l.margin),
                "margin_at_mm": r.least.map(|l| l.height_mm),
            })
        })
        .collect();
    let (part, machine) = names(job, study);
    json!({ "part": part, "machine": machine, "rows": rows })
}
