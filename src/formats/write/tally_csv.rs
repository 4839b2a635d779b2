//! The tally as a table: a line a run of a plate, for a spreadsheet, and to be read again.

use jiff::tz::TimeZone;

use super::{
    WriteError,
    values::{cell, places},
};
use crate::document::{Cause, Job, PlateOutcome};

const HEADS: [&str; 20] = [
    "plate",
    "run",
    "date",
    "hours",
    "good",
    "bad",
    "bad_copies",
    "cause",
    "grams",
    "initials",
    "note",
    "machine",
    "material",
    "recipe",
    "parts",
    "copies",
    "estimated_hours",
    "estimated_grams",
    "time_factor",
    "plates_since_surface",
];

/// A heading, then a line an outcome in the order written; comma between fields, lines ended by CR LF (RFC 4180). `plate` is the plate's number now,
/// empty where it was removed; `date` is local time of `zone` with its offset (RFC 3339). No text begins as a formula does.
///
/// # Errors
/// None that bytes in memory can have; kept for the table's writer.
pub fn tally_csv(job: &Job, zone: &TimeZone) -> Result<Vec<u8>, WriteError> {
    let numbers: std::collections::BTreeMap<_, usize> =
        job.plates.iter().enumerate().map(|(i, p)| (p.id, i + 1)).collect();
    let mut out = Vec::new();
    let mut table = csv::WriterBuilder::new().terminator(csv::Terminator::CRLF).from_writer(&mut out);
    table.write_record(HEADS)?;
    let hours = |s: f64| places(s / 3600.0, 4);
    for o in job.tally.outcomes() {
        table.write_record([
            numbers.get(&o.plate).map_or_else(String::new, ToString::to_string),
            o.run.to_string(),
            o.ended.display_with_offset(zone.to_offset(o.ended)).to_string(),
            hours(o.actual_s),
            o.good().to_string(),
            o.bad().to_string(),
            cell(&named(o)),
            o.unnamed_cause.filter(|_| o.unnamed_bad > 0).map_or("", Cause::word).to_owned(),
            o.actual_g.map_or_else(String::new, |g| places(g, 2)),
            cell(&o.by),
            cell(&o.note),
            cell(&o.machine_name),
            cell(&o.material_name),
            cell(&o.recipe_name),
            cell(&o.parts.iter().map(|p| p.name.as_str()).collect::<Vec<_>>().join(", ")),
            o.copies.len().to_string(),
            o.estimated_s.map_or_else(String::new, hours),
            o.estimated_g.map_or_else(String::new, |g| places(g, 2)),
            places(o.time_factor, 4),
            o.since_surface.map_or_else(String::new, |n| n.to_string()),
        ])?;
    }
    table.flush()?;
    drop(table);
    Ok(out)
}

/// "E 14:warped, E 15:other".
fn named(o: &PlateOutcome) -> String {
    let bad = o.copies.iter().filter_map(|c| Some(format!("{}:{}", c.copy, c.bad?.word())));
    bad.collect::<Vec<_>>().join(", ")
}
