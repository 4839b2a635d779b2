//! A job from meshes and counts, made at once.

use std::path::PathBuf;

use super::{Session, SessionError};
use crate::{
    document::{Footing, Job, Machine, Margins, Turns},
    edit::{Command, NewPart},
    work::read_file,
};

/// What a job is made from.
#[derive(Debug, Clone)]
pub struct Start {
    /// The job's title.
    pub title: String,
    /// Its machines; ids are given here.
    pub machines: Vec<Machine>,
    /// Clearances.
    pub margins: Margins,
    /// What holds the parts down.
    pub footing: Footing,
    /// Turns the parts may take.
    pub turns: Turns,
    /// Mesh files and how many of each (of each object in it).
    pub parts: Vec<(PathBuf, u32)>,
    /// Where the job will be saved: mesh paths are relative to it.
    pub place: PathBuf,
}

impl Session {
    /// Makes a new job from meshes and counts. Nothing is placed yet.
    ///
    /// # Errors
    /// The first mesh that cannot be read, or a number that a job refuses.
    pub fn start(&mut self, start: Start) -> Result<(), SessionError> {
        let mut shop = self.shop();
        shop.machines.clear();
        let job = Job { margins: start.margins, ..Job::with_shop(&start.title, &shop) };
        self.load(job, Some(start.place));
        for machine in start.machines {
            self.change("New machine", &Command::AddMachine { machine })?;
        }
        for (path, wanted) in start.parts {
            let bytes = self.read_path(&path)?;
            let file = read_file(&path.display().to_string(), &bytes)?;
            self.library.keep(&file);
            let parts = self
                .new_parts(&path, &file, wanted)
                .into_iter()
                .map(|p| NewPart { footing: start.footing, turns: start.turns, ..p })
                .collect();
            self.change("Add part", &Command::AddParts { parts })?;
        }
        self.caches.generation += 1;
        self.refresh();
        Ok(())
    }

    /// Turns for all parts in place of their own, for one search; `None` gives each its own back.
    pub fn override_turns(&mut self, turns: Option<Turns>) {
        self.turns = turns;
    }

    /// The job as Pack and Top up see it.
    pub(super) fn job_to_arrange(&self) -> Job {
        let mut job = self.job().clone();
        if let Some(turns) = self.turns {
            for part in &mut job.parts {
                part.turns = turns;
            }
        }
        job
    }

    /// Copies of a plate in the order in which its estimate counts them: those whose mesh is there.
    pub fn estimated_copies<'a>(&self, plate: &'a crate::document::Plate) -> Vec<&'a crate::document::Copy> {
        let job = self.job();
        plate
            .copies
            .iter()
            .filter(|c| job.part(c.part).is_some_and(|p| self.library.loaded(&p.mesh).is_some()))
            .collect()
    }
}
