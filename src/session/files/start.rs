//! A job from meshes and counts, made at once.

use std::path::PathBuf;

use crate::{
    document::{Footing, Job, Machine, Margins, Turns},
    edit::{Command, NewPart},
    session::{Session, SessionError},
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
}
