//! The plan for tables and calendars, and saved as them.

use std::path::Path;

use jiff::Timestamp;

use super::{Timeline, TimelineFile};
use crate::{
    batch::sequence::Window,
    document::{Job, MachineId, Plate},
    formats::write::{RunRecord, calendar, timeline_csv},
    session::{Ask, Replacing, Session, SessionError, files::on_disk::Consent},
};

impl Session {
    /// Every plate of the plan in time, machine by machine, the earliest first.
    pub fn run_records(&self) -> Vec<RunRecord> {
        self.timeline().map(|t| records(self.job(), t)).unwrap_or_default()
    }

    /// Writes the plan as a calendar file (RFC 5545).
    pub fn write_calendar(&self, path: &Path) -> Result<(), SessionError> {
        self.write_timeline(TimelineFile::Calendar, path)
    }

    /// Writes the plan as a table (RFC 4180).
    pub fn write_timeline_csv(&self, path: &Path) -> Result<(), SessionError> {
        self.write_timeline(TimelineFile::Table, path)
    }

    /// Saves the plan under a name with the right ending. Where a question comes first, nothing is written and [`Ask::Replace`] is asked.
    pub(in crate::session) fn save_timeline(
        &mut self,
        file: TimelineFile,
        path: &Path,
        consent: Consent,
    ) -> Result<(), SessionError> {
        let other = |why: String| Err(SessionError::Other(why));
        let Some(t) = self.timeline() else { return other("there is no plan yet: place copies first".into()) };
        if !t.pending.is_empty() {
            return other("print times are still being worked out: try again in a moment".into());
        }
        if t.plan.timed.is_empty() {
            return other("no plate is planned: place copies on plates, and set the hours".into());
        }
        let path = file.with_ending(path);
        if self.world.is_folder(&path) || path.file_name().is_none() {
            return other(format!("{}: is a folder: name a file", path.display()));
        }
        if let Some(why) = self.doubt(&path, consent) {
            self.on_disk.replacing = Some(Replacing { path, why, plan: Some(file) });
            self.asked = Some(Ask::Replace);
            return Ok(());
        }
        self.write_timeline(file, &path)?;
        self.on_disk.replacing = None;
        self.tell(format!("plan saved as {}", path.display()));
        Ok(())
    }

    fn write_timeline(&self, file: TimelineFile, path: &Path) -> Result<(), SessionError> {
        let (runs, zone) = (self.run_records(), crate::batch::zone_of(&self.job().shifts.hours));
        let bytes = match file {
            TimelineFile::Calendar => calendar(&self.job().title, &runs, &zone, self.now()),
            TimelineFile::Table => timeline_csv(&runs, &zone).map_err(|e| SessionError::Other(e.to_string()))?,
        };
        self.world.write(path, &bytes).map_err(|why| SessionError::Write { path: path.into(), why })
    }
}

/// Letters and names of a plate's parts, in the order of the order lines.
fn parts_of(job: &Job, plate: Option<&Plate>) -> Vec<(String, String)> {
    let on = |id| plate.is_some_and(|plate| plate.copies.iter().any(|c| c.part == id));
    job.parts.iter().filter(|p| on(p.id)).map(|p| (p.letter.clone(), p.name.clone())).collect()
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
            parts: parts_of(job, job.plate(about.plate)),
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
            parts: parts_of(job, job.plate(ended.plate)),
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
