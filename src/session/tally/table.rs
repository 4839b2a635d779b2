//! The tally as a table on the disk.

use std::path::Path;

use jiff::{
    Timestamp,
    civil::{Date, DateTime},
};

use super::TallyEntry;
use crate::{
    batch::zone_of,
    document::PlateId,
    formats::{
        read::{TallyRow, tally_csv as read_csv},
        write::tally_csv as write_csv,
    },
    session::{Session, SessionError, SpoolCount},
};

impl Session {
    /// Reads outcomes from a table: all of them in one step, or nothing. Runs that are tallied already are refused.
    pub(in crate::session) fn read_tally(&mut self, label: &str, path: &Path) -> Result<(), SessionError> {
        self.read_tally_as(label, path, false).map(drop)
    }

    /// The same; runs that are tallied already are written anew where `replace` is set. Returns how many were read.
    pub fn read_tally_as(&mut self, label: &str, path: &Path, replace: bool) -> Result<usize, SessionError> {
        let bytes = self.world.read(path).map_err(|why| SessionError::Read { path: path.into(), why })?;
        let named = |why: &dyn std::fmt::Display| SessionError::Other(format!("{}: {why}", path.display()));
        let rows = read_csv(&bytes).map_err(|e| named(&e))?;
        let mut entries = Vec::with_capacity(rows.len());
        for row in &rows {
            entries.push(
                self.entry_of(row, replace)
                    .map_err(|why| named(&format!("line {}: {why}; nothing was taken over", row.line)))?,
            );
        }
        let command = self.tally_command(&entries);
        let line = |i: usize| rows.get(i).map_or(0, |r| r.line);
        let command = command.map_err(|(i, why)| named(&format!("line {}: {why}; nothing was taken over", line(i))))?;
        self.command(label, &command)?;
        Ok(rows.len())
    }

    /// Writes the tally as a table (RFC 4180).
    pub fn write_tally_csv(&self, path: &Path) -> Result<(), SessionError> {
        let zone = zone_of(&self.job().shifts.hours);
        let bytes = write_csv(self.job(), &zone).map_err(|e| SessionError::Other(e.to_string()))?;
        self.world.write(path, &bytes).map_err(|why| SessionError::Write { path: path.into(), why })
    }

    fn entry_of(&self, row: &TallyRow, replace: bool) -> Result<TallyEntry, String> {
        let plates = &self.job().plates;
        let plate: Option<PlateId> = row.plate.checked_sub(1).and_then(|i| plates.get(i)).map(|p| p.id);
        let have = crate::words::count(plates.len(), "plate");
        let plate = plate.ok_or_else(|| format!("there is no plate {}: the job has {have}", row.plate))?;
        let ended = if row.date.is_empty() { None } else { Some(self.when_ended(&row.date)?) };
        Ok(TallyEntry {
            plate,
            run: row.run,
            replace,
            ended,
            hours: row.hours,
            good: row.good,
            bad: row.bad,
            bad_copies: row.bad_copies.clone(),
            cause: row.cause,
            grams: row.grams,
            spool: SpoolCount::Leave,
            by: row.initials.clone(),
            note: row.note.clone(),
        })
    }

    /// When a plate ended, as typed: an instant with its offset, a local time of the job's time zone, or a day. Of a day noon is meant, of today now.
    pub fn when_ended(&self, text: &str) -> Result<Timestamp, String> {
        let text = text.trim();
        if let Ok(at) = text.parse::<Timestamp>() {
            return Ok(at);
        }
        let zone = zone_of(&self.job().shifts.hours);
        let today = self.now().to_zoned_datetime(zone.clone()).date();
        let local = match text.parse::<Date>() {
            Ok(day) if !text.contains([':', 'T', 't']) && day == today => return Ok(self.now()),
            Ok(day) if !text.contains([':', 'T', 't']) => Some(day.at(12, 0, 0, 0)),
            _ => text.parse::<DateTime>().ok(),
        };
        let at = local.and_then(|t| t.to_zoned_datetime(zone).ok()).map(|z| z.timestamp());
        let shown: String = text.chars().take(40).collect();
        at.ok_or_else(|| format!("the date {shown:?} cannot be read: write a day, as 2026-11-30, or a day and a time, as 2026-11-30T16:30"))
    }
}
