//! What a study starts from, gathered.

use std::{sync::Arc, time::Duration};

use crate::{
    batch::Spoils,
    document::{Footing, Job, Machine, Part, PartId, Plate, PlateId},
    plate::PartShape,
    session::{
        Session,
        derived::keys::{mass_key, profile_key, shape_key},
    },
    studies::{CopiesStudy, FootingStudy, PlateStudy, PlateVariant, StudiedPart, StudiedParts, StudyError, check_fit},
};

/// A plate beside itself is looked at between two clicks: a search is not worth more.
const AT_MOST: Duration = Duration::from_secs(4);

impl Session {
    /// All that a study of a part's footings starts from: on the machine of the first plate where the part lies, else on the first
    /// machine that takes it, searched with the limits of Pack and Top up.
    ///
    /// # Errors
    /// [`StudyError`] where the part fits no machine, its mesh is missing, or its layers are not there yet.
    pub fn footing_study(&self, part: PartId) -> Result<FootingStudy, StudyError> {
        let job = self.shared_job();
        let part = job.part(part).ok_or(StudyError::NoPart)?;
        if self.library.loaded(&part.mesh).is_none() {
            return Err(StudyError::NoMesh(part.name.clone()));
        }
        let machine = machine_for(&job, part, Footing::Bare, self.shape_of(&job, part)?)?;
        let limits = self.limits();
        Ok(FootingStudy {
            part: part.id,
            machine: machine.id,
            studied: self.studied(&job, part)?,
            seed: limits.seed,
            rounds: limits.rounds,
            time: limits.time,
            variants: None,
            with_suggested: true,
            job: job.clone(),
        })
    }

    /// All that a study of how many copies at once starts from, on the machine that [`Self::footing_study`] takes: searched with the limits of
    /// Pack and Top up, but no longer than rows are waited for.
    ///
    /// # Errors
    /// As [`Self::footing_study`].
    pub fn copies_study(&self, part: PartId, spoils: Spoils, confidence: f64) -> Result<CopiesStudy, StudyError> {
        let job = self.shared_job();
        let part = job.part(part).ok_or(StudyError::NoPart)?;
        if self.library.loaded(&part.mesh).is_none() {
            return Err(StudyError::NoMesh(part.name.clone()));
        }
        let machine = machine_for(&job, part, part.footing, self.shape_of(&job, part)?)?;
        let limits = self.limits();
        Ok(CopiesStudy {
            part: part.id,
            machine: machine.id,
            studied: self.studied(&job, part)?,
            seed: limits.seed,
            rounds: limits.rounds,
            time: limits.time.map(|t| t.min(AT_MOST)),
            spoils,
            confidence,
            now: self.now(),
            job: job.clone(),
        })
    }

    fn shape_of(&self, job: &Job, part: &Part) -> Result<&Arc<PartShape>, StudyError> {
        let shape = shape_key(job, part).and_then(|k| self.caches.shapes_by_key.get(&k));
        shape.ok_or_else(|| StudyError::NotReady(part.name.clone()))
    }

    /// All that the comparison of a plate with itself on other footings starts from.
    ///
    /// # Errors
    /// [`StudyError`] where a part's mesh is missing or its layers are not there yet, or the plate is empty.
    pub fn plate_study(&self, plate: PlateId, variants: Vec<PlateVariant>) -> Result<PlateStudy, StudyError> {
        let job = self.shared_job();
        let its = job.plate(plate).ok_or(StudyError::NoPlate)?;
        if its.copies.is_empty() {
            return Err(StudyError::NoCopies);
        }
        let mut parts = StudiedParts::new();
        for copy in &its.copies {
            if !parts.contains_key(&copy.part) {
                let part = job.part(copy.part).ok_or(StudyError::NoPart)?;
                parts.insert(part.id, self.studied(&job, part)?);
            }
        }
        let limits = self.limits();
        Ok(PlateStudy {
            plate,
            parts,
            seed: limits.seed,
            rounds: limits.rounds,
            time: limits.time.map(|t| t.min(AT_MOST)),
            variants,
            job: job.clone(),
        })
    }

    fn studied(&self, job: &Job, part: &Part) -> Result<StudiedPart, StudyError> {
        let name = || part.name.clone();
        if self.library.loaded(&part.mesh).is_none() {
            return Err(StudyError::NoMesh(name()));
        }
        let not_ready = || StudyError::NotReady(name());
        let shape = shape_key(job, part).and_then(|k| self.caches.shapes_by_key.get(&k)).ok_or_else(not_ready)?;
        let profile = profile_key(job, part).and_then(|k| self.caches.profiles.get(&k)).ok_or_else(not_ready)?;
        let profile = profile.clone().map_err(|why| StudyError::NoTime { part: name(), why })?;
        let mass = mass_key(job, part).and_then(|k| self.caches.masses.get(&k)).ok_or_else(not_ready)?;
        let mass = mass.clone().ok_or_else(|| StudyError::NoBody(name()))?;
        let (mass, supports) = (mass.mass.clone(), mass.supports.clone());
        Ok(StudiedPart { shape: shape.clone(), profile, mass, supports })
    }
}

/// The machine of the first plate where a part lies, else the first one that takes it.
fn machine_for<'a>(
    job: &'a Job,
    part: &Part,
    footing: Footing,
    shape: &Arc<PartShape>,
) -> Result<&'a Machine, StudyError> {
    let holds_it = |p: &&Plate| p.copies.iter().any(|c| c.part == part.id);
    let its = job.plates.iter().filter(holds_it).find_map(|p| job.machine(p.machine));
    let mut why_not = StudyError::NoMachine;
    let mut takes_it = |m: &&Machine| match check_fit(job, part, footing, m, shape) {
        Ok(()) => true,
        Err(why) => {
            why_not = why;
            false
        }
    };
    its.into_iter().chain(&job.machines).find(|m| takes_it(m)).ok_or(why_not)
}
