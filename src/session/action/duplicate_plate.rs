//! A plate once more.

use std::collections::BTreeMap;

use crate::{
    document::{Copy, CopyId, Footing, PlateId},
    edit::{Command, PlateSetup, Put, apply},
    session::{Session, SessionError},
};

impl Session {
    /// The same plate again, right after it in the docket: setup, spool, and its copies where they lie, locked and footed as
    /// they are; one step back. Copies of parts that no longer go with the plate are left out.
    pub(super) fn duplicate_plate(&mut self, label: &str, id: PlateId) -> Result<(), SessionError> {
        let job = self.shared_job();
        let place = job.plates.iter().position(|p| p.id == id);
        let (Some(place), Some(plate)) = (place, job.plate(id)) else {
            return Err(SessionError::Other("there is no such plate".into()));
        };
        let (mut with, out) = apply(&job, &Command::AddPlate { setup: PlateSetup::of(plate) })?;
        let Some(&new) = out.plates.first() else { return Ok(()) };
        let mut then = |command: Command| -> Result<Vec<CopyId>, SessionError> {
            let (next, out) = apply(&with, &command)?;
            with = next;
            Ok(out.copies)
        };
        if plate.spool.is_some() {
            then(Command::ChooseSpool { plate: new, spool: plate.spool })?;
        }
        if plate.twin_spool.is_some() {
            then(Command::ChooseTwinSpool { plate: new, spool: plate.twin_spool })?;
        }
        let goes = |c: &&Copy| job.part(c.part).is_some_and(|p| job.belongs(p, plate));
        let copies: Vec<&Copy> = plate.copies.iter().filter(goes).collect();
        let put = |c: &&Copy| Put { copy: None, ..Put::as_it_lies(c, new) };
        let puts = copies.iter().map(put).collect();
        let made = then(Command::put(puts))?;
        let mut footings: BTreeMap<String, (Footing, Vec<CopyId>)> = BTreeMap::new();
        let mut locked = Vec::new();
        for (copy, id) in copies.iter().zip(made) {
            if let Some(footing) = copy.footing {
                footings.entry(format!("{footing:?}")).or_insert_with(|| (footing, Vec::new())).1.push(id);
            }
            if copy.locked {
                locked.push(id);
            }
        }
        for (footing, copies) in footings.into_values() {
            then(Command::SetFooting { copies, footing: Some(footing) })?;
        }
        if !locked.is_empty() {
            then(Command::LockCopies { copies: locked, locked: true })?;
        }
        then(Command::OrderPlate { id: new, place: place + 1 })?;
        let left_out = plate.copies.len() - copies.len();
        self.change_to(label, with);
        self.plate = Some(new);
        self.selection.clear();
        if left_out > 0 {
            let what = if left_out == 1 { "1 copy was".to_owned() } else { format!("{left_out} copies were") };
            self.tell(format!("{what} left out: another material, colour or recipe than the plate's"));
        }
        Ok(())
    }
}
