//! The timeline as it is drawn.

use std::fmt::Write as _;

use super::Timeline;
use crate::{
    document::{Job, PlateId},
    drawing::{DrawnRow, DrawnRun, DrawnTimeline, RunLook},
    words,
};

impl Timeline {
    /// What is drawn of the timeline of a job, the selected plate marked.
    pub fn drawn(&self, job: &Job, selected: Option<PlateId>) -> DrawnTimeline {
        let rows = self.floor.machines.iter().enumerate().map(|(bench, id)| {
            let machine = job.machine(*id);
            let why = |from_s: i64, to_s: i64| {
                let inside = |d: &&crate::document::Downtime| {
                    let at = |t| self.calendar.second_of_local(t);
                    at(d.from).zip(at(d.to)).is_some_and(|(a, z)| from_s <= a && z <= to_s)
                };
                let of = machine.into_iter().flat_map(|m| &m.downtimes);
                of.filter(inside)
                    .find(|d| !d.why.is_empty())
                    .map_or_else(String::new, |d| words::plain(&d.why).into_owned())
            };
            let down = self.floor.runs.benches.get(bench).map_or(&[][..], |b| &b.down);
            DrawnRow {
                name: machine.map_or_else(String::new, |m| words::plain(&m.name).into_owned()),
                down: down.iter().map(|w| (*w, why(w.from_s, w.to_s))).collect(),
            }
        });
        let planned = self.plan.timed.iter().filter_map(|t| {
            let about = self.about.get(t.run)?;
            let spool_out = self.spool_out(t.run).map(|(s, out)| {
                let (name, clock) = (words::plain(&out.spool), self.calendar.at(s).strftime("%H:%M").to_string());
                let may = if out.only_thick { "may run out" } else { "runs out" };
                (s, format!("{name} {may} {clock}"))
            });
            Some(DrawnRun {
                name: about.number.to_string(),
                copies: words::copies(about.copies),
                row: t.bench,
                hue: about.hue,
                look: if about.is_running { RunLook::Running } else { RunLook::Planned },
                preparing: Some(t.preparing),
                print: t.print,
                cool_s: Some(t.cool_s),
                removal: t.removal,
                end_range: Some(self.end_range(t)),
                late: self.late_s(t.run).map(|s| format!("late {}", words::long_time(s as f64))),
                spool_out,
                fixed: about.fixed,
                selected: selected == Some(about.plate),
            })
        });
        let ended = self.ended.iter().filter_map(|e| {
            Some(DrawnRun {
                name: e.number.to_string(),
                copies: words::copies(e.copies),
                row: self.floor.machines.iter().position(|m| *m == e.machine)?,
                hue: 0,
                look: if e.failed { RunLook::Failed } else { RunLook::Ended },
                preparing: None,
                print: e.ran,
                cool_s: None,
                removal: None,
                end_range: None,
                late: None,
                spool_out: None,
                fixed: false,
                selected: selected == Some(e.plate),
            })
        });
        DrawnTimeline {
            calendar: self.calendar.clone(),
            rows: rows.collect(),
            runs: ended.chain(planned).collect(),
            now_s: self.now_s,
        }
    }

    /// A run for those who hear it: "Plate 3 on Bench 2, Mon 16:30 to Tue 08:20, 12 copies, late 1 h 10 min".
    pub fn run_words(&self, job: &Job, run: usize) -> String {
        let (Some(about), Some(t)) = (self.about.get(run), self.timed(run)) else { return String::new() };
        let machine = self.machine_of(run).and_then(|id| job.machine(id)).map_or("?", |m| m.name.as_str());
        let mut text = format!(
            "Plate {} on {}, {} to {}, {}",
            about.number,
            words::plain(machine),
            self.calendar.words(t.print.from_s),
            self.calendar.words(t.print.to_s),
            words::copies(about.copies)
        );
        if about.is_running {
            text += ", running";
        }
        if let Some(s) = self.late_s(run) {
            let _ = write!(text, ", late {}", words::long_time(s as f64));
        }
        if let Some((s, out)) = self.spool_out(run) {
            let may = if out.only_thick { "may run" } else { "runs" };
            let _ = write!(text, ", the spool {} {may} out {}", words::plain(&out.spool), self.calendar.words(s));
        }
        if about.fixed {
            text += ", fixed";
        }
        text
    }
}
