//! New plates.

use crate::{
    document::{Machine, Part, PlateId},
    edit::{Command, Outcome, PlateSetup, apply},
    session::{Session, SessionError},
};

impl Session {
    pub(super) fn show_plate(&mut self, id: PlateId) {
        if self.job().plate(id).is_some() {
            self.plate = Some(id);
            self.selection.clear();
        }
    }

    /// A new plate like the one shown.
    pub(super) fn new_plate(&mut self, label: &str) -> Result<(), SessionError> {
        let setup = self.new_plate_setup()?;
        let out = self.add_plate(label, setup)?;
        self.plate = out.plates.first().copied().or(self.plate);
        self.selection.clear();
        Ok(())
    }

    pub(super) fn set_plate(&mut self, label: &str, id: PlateId, setup: PlateSetup) -> Result<(), SessionError> {
        let machine = setup.machine;
        self.change_beds(label, &Command::SetPlate { id, setup }, |m| m == machine).map(drop)
    }

    pub(super) fn set_machine(&mut self, label: &str, machine: Machine) -> Result<(), SessionError> {
        let id = machine.id;
        self.change_beds(label, &Command::SetMachine { machine }, |m| m == id).map(drop)
    }

    /// A plate for a part, on the machine of the plate shown or the first one that is high enough.
    pub(super) fn setup_for(&self, part: &Part) -> Result<PlateSetup, SessionError> {
        let job = self.job();
        let height = self.shapes().get(&part.id).map_or(0.0, |s| s.height_mm);
        let shown = self.plate().and_then(|p| job.machine(p.machine));
        let machine = shown
            .filter(|m| m.height_mm >= height)
            .or_else(|| job.machines.iter().find(|m| m.height_mm >= height))
            .or(job.machines.first())
            .ok_or_else(|| SessionError::Other("there is no machine in the job: add one first".into()))?;
        Ok(PlateSetup::for_part(part, machine.id))
    }

    fn new_plate_setup(&self) -> Result<PlateSetup, SessionError> {
        if let Some(p) = self.plate() {
            return Ok(PlateSetup::of(p));
        }
        let job = self.job();
        if let Some(part) = job.parts.first() {
            return self.setup_for(part);
        }
        match (job.machines.first(), job.materials.first(), job.recipes.first()) {
            (Some(m), Some(material), Some(r)) => {
                let (machine, material, recipe) = (m.id, material.id, r.id);
                Ok(PlateSetup { machine, material, colour: String::new(), recipe, twin: None })
            }
            _ => Err(SessionError::Other("a plate needs a machine, a material and a recipe: add them first".into())),
        }
    }

    /// A plate set up so, made from the spool of the one shown where that fits; one step back.
    fn add_plate(&mut self, label: &str, setup: PlateSetup) -> Result<Outcome, SessionError> {
        let spool = self.plate().and_then(|p| p.spool);
        let (with, out) = apply(self.job(), &Command::AddPlate { setup })?;
        let chosen = out.plates.first().filter(|_| spool.is_some()).map(|&plate| Command::ChooseSpool { plate, spool });
        let with = match chosen {
            Some(command) => apply(&with, &command)?.0,
            None => with,
        };
        self.change_to(label, with);
        Ok(out)
    }
}
