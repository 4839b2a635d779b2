//! The plan for tables and calendars.

use jiff::Timestamp;

use super::Timeline;
use crate::{
    batch::sequence::Window,
    document::{Job, MachineId},
    formats::write::{RunRecord, calendar, timeline_csv},
    session::{Session, SessionError},
};

impl Session {
    /// Every plate of the plan in time, machine by machine, the earliest first.
    pub fn run_records(&self) -> Vec<RunRecord> {
        self.timeline().map(|t| records(self.job(), t)).unwrap_or_default()
    }

    /// Writes the plan as a calendar file (RFC 5545).
    pub fn write_calendar(&self, path: &std::path::Path) -> Result<(), SessionError> {
        let bytes = calendar(&self.job().title, &self.run_records(), self.now());
        self.world.write(path, &bytes).map_err(|why| SessionError::Write { path: path.into(), why })
    }

    /// Writes the plan as a table (RFC 4180).
    pub fn write_timeline_csv(&self, path: &std::path::Path) -> Result<(), SessionError> {
        let zone = crate::batch::zone_of(&self.job().shifts.hours);
        let bytes = timeline_csv(&self.run_records(), &zone).map_err(|e| SessionError::Other(e.to_string()))?;
        self.world.write(path, &bytes).map_err(|why| SessionError::Write { path: path.into(), why })
    }
}

fn records(job: &Job, t: &Timeline) -> Vec<RunRecord> {
    let at = |s: i64| t.calendar.at(s).timestamp();
    let both = |w: Window| (at(w.from_s), at(w.to_s));
    let name = |id: MachineId| job.machine(id).map_or_else(String::new, |m| m.name.clone());
    let mut all: Vec<(usize, i64, RunRecord)> = Vec::new();
    for timed in &t.plan.timed {
        let (Some(about), Some(machine)) = (t.about.get(timed.run), t.floor.machines.get(timed.bench)) else {
            continue;
        };
        let preparing = Some(timed.preparing).filter(|_| !about.is_running);
        let record = RunRecord {
            id: about.plate.0,
            plate: about.number,
            machine: name(*machine),
            copies: about.copies,
            parts: about.letters.clone(),
            state: if about.is_running { "running" } else { "planned" },
            preparing: preparing.map(both),
            print: both(timed.print),
            end_range: Some(both(t.end_range(timed))),
            cool: Some(at(timed.cool_s)),
            removal: timed.removal.map(both),
            due: t.due_s(timed.run).map(at),
            late_s: t.late_s(timed.run),
        };
        all.push((timed.bench, timed.print.from_s, record));
    }
    for ended in &t.ended {
        let bench = t.floor.machines.iter().position(|m| *m == ended.machine).unwrap_or(usize::MAX);
        let ran: (Timestamp, Timestamp) = both(ended.ran);
        let record = RunRecord {
            id: ended.plate.0,
            plate: ended.number,
            machine: name(ended.machine),
            copies: ended.copies,
            parts: String::new(),
            state: if ended.failed { "failed" } else { "ended" },
            preparing: None,
            print: ran,
            end_range: None,
            cool: None,
            removal: None,
            due: None,
            late_s: None,
        };
        all.push((bench, ended.ran.from_s, record));
    }
    all.sort_by_key(|(bench, from_s, _)| (*bench, *from_s));
    all.into_iter().map(|(_, _, record)| record).collect()
}
