//! What dealing out came to, by clock times.

use std::collections::BTreeMap;

use jiff::Timestamp;

use crate::{
    batch::Calendar,
    document::{Job, PartId, PlateId},
    studies::Dealt,
    words,
};

/// A plate in time.
#[derive(Debug, Clone, PartialEq)]
pub struct DealRow {
    /// The plate.
    pub plate: PlateId,
    /// The name of its machine.
    pub machine: String,
    /// When the print starts, ISO 8601 with its offset; `None` where it is never run.
    pub start: Option<String>,
    /// When the print ends.
    pub end: Option<String>,
    /// When the parts are on the table; `None` where they never come off.
    pub ready: Option<String>,
    /// The same three in words: "Tue 08:30".
    pub words: [String; 3],
    /// By how much its parts are late, s.
    pub late_s: i64,
}

/// Copies of a part that are late.
#[derive(Debug, Clone, PartialEq)]
pub struct LateLine {
    /// Of which part.
    pub part: PartId,
    /// How many.
    pub copies: usize,
    /// By how much the last of them, s.
    pub late_s: i64,
    /// "A entrance gate: 4 copies are late, by up to 3 h 20 (due 2026-12-04)".
    pub words: String,
}

/// What dealing out came to.
#[derive(Debug, Clone, PartialEq)]
pub struct DealRecord {
    /// Its plates, in the docket's sequence.
    pub rows: Vec<DealRow>,
    /// When the last print ends, ISO 8601 with its offset.
    pub finish: Option<String>,
    /// That in words: "Thu 14:20".
    pub finish_words: String,
    /// No dealing ends before.
    pub bound: Option<String>,
    /// "no dealing ends before Wed 11:05: 4.2 % later at most than the best there can be".
    pub bound_words: String,
    /// How much later than the bound it ends, as a share of the bound.
    pub gap: Option<f64>,
    /// What is late.
    pub late: Vec<LateLine>,
    /// What could not be dealt: part, how many, why.
    pub not_dealt: Vec<(PartId, usize, String)>,
}

impl DealRecord {
    pub(super) fn new(job: &Job, dealt: &Dealt, plates: &[PlateId], start: Timestamp) -> Self {
        let calendar = Calendar::new(&job.shifts.hours, start, 0);
        let iso = |s: i64| calendar.at(s).strftime("%Y-%m-%dT%H:%M:%S%:z").to_string();
        let said = |s: Option<i64>| s.map_or_else(|| "never".into(), |s| calendar.words(s));
        let rows = dealt.plates.iter().zip(plates).map(|(p, id)| DealRow {
            plate: *id,
            machine: job.machine(p.kind.machine).map_or_else(String::new, |m| m.name.clone()),
            start: p.start_s.map(iso),
            end: p.end_s.map(iso),
            ready: p.ready_s.map(iso),
            words: [p.start_s, p.end_s, p.ready_s].map(said),
            late_s: p.late_s,
        });
        let finish_s = Some(dealt.cost.finish_s).filter(|s| *s > 0);
        let bound_s = Some(dealt.bound_s).filter(|s| *s > 0);
        let gap = dealt.gap();
        let bound_words = match (bound_s, gap) {
            (Some(s), Some(gap)) if gap < 5e-4 => {
                format!("no dealing ends before {}: this one is the best there can be", calendar.words(s))
            }
            (Some(s), Some(gap)) => {
                let apart = words::time((dealt.cost.finish_s - s) as f64);
                // A share of more than all says little.
                let share = if gap <= 1.0 { format!(" ({:.1} %)", 100.0 * gap) } else { String::new() };
                format!("no dealing ends before {}: this one ends {apart}{share} after that", calendar.words(s))
            }
            _ => String::new(),
        };
        Self {
            rows: rows.collect(),
            finish: finish_s.map(iso),
            finish_words: said(finish_s),
            bound: bound_s.map(iso),
            bound_words,
            gap,
            late: late_lines(job, dealt, plates, &calendar),
            not_dealt: dealt.not_dealt.iter().map(|n| (n.part, n.count, n.why.clone())).collect(),
        }
    }
}

fn late_lines(job: &Job, dealt: &Dealt, plates: &[PlateId], calendar: &Calendar) -> Vec<LateLine> {
    let mut late: BTreeMap<PartId, (usize, i64)> = BTreeMap::new();
    for (p, id) in dealt.plates.iter().zip(plates) {
        let Some(ready_s) = p.ready_s else { continue };
        let Some(plate) = job.plate(*id) else { continue };
        let twins = plate.copies.iter().filter_map(|c| job.part_of_twin(plate, c, |_| false));
        for part in plate.copies.iter().map(|c| c.part).chain(twins) {
            let due_s = job.part(part).and_then(|part| calendar.due_s(part.due.as_deref()?));
            if let Some(by_s) = due_s.map(|due| ready_s - due).filter(|by| *by > 0) {
                let its = late.entry(part).or_default();
                *its = (its.0 + 1, its.1.max(by_s));
            }
        }
    }
    let line = |(id, (copies, late_s)): (PartId, (usize, i64))| {
        let part = job.part(id)?;
        let (is, due) = (if copies == 1 { "is" } else { "are" }, part.due.as_deref().unwrap_or_default());
        let (n, by) = (words::copies(copies), words::time(late_s as f64));
        let up_to = if copies == 1 { "" } else { "up to " };
        let words = format!("{} {}: {n} {is} late by {up_to}{by} (due {due})", part.letter, part.name);
        Some(LateLine { part: id, copies, late_s, words })
    };
    late.into_iter().filter_map(line).collect()
}
