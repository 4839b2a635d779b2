//! Footings of parts and of copies.
//!
//! A copy stands on its part's footing until it is given one of its own. What is set for a part holds for all copies without their own;
//! what is set for copies is their own. Where that could surprise, it is told.

use std::collections::{BTreeMap, BTreeSet};

use crate::{
    document::{CopyId, Footing, Job, Part, PartId},
    edit::{Command, EditError, apply},
    session::{Session, SessionError},
    words,
};

impl Session {
    /// Changes a part; tells which copies do not follow a new footing.
    pub(super) fn set_part(&mut self, label: &str, part: Part) -> Result<(), SessionError> {
        let changed = self.job().part(part.id).is_some_and(|p| p.footing != part.footing);
        let keep = with_own(self.job(), part.id).len();
        let letter = part.letter.clone();
        self.command(label, &Command::SetPart { part })?;
        match keep {
            n if changed && n > 0 => {
                let (copies, verb) = (words::copies(n), if n == 1 { "keeps its" } else { "keep their" });
                self.tell(format!("{copies} of {letter} {verb} own footing"));
            }
            _ => {}
        }
        Ok(())
    }

    /// All copies of a part stand on its footing again.
    pub(super) fn footing_as_part(&mut self, label: &str, part: PartId) -> Result<(), SessionError> {
        let copies = with_own(self.job(), part);
        if copies.is_empty() {
            return Err(SessionError::Other("no copy of this part has a footing of its own".into()));
        }
        self.command(label, &Command::SetFooting { copies, footing: None })
    }

    /// Copies of a part with a footing of their own, on all plates.
    pub fn with_own_footing(&self, part: PartId) -> usize {
        with_own(self.job(), part).len()
    }

    /// Gives copies a footing, as one step: the part gets it where these are all that follow it, else it is their own.
    pub(super) fn give_footings(&mut self, label: &str, all: Vec<(Vec<CopyId>, Footing)>) -> Result<(), SessionError> {
        let mut with = (*self.shared_job()).clone();
        let mut own = 0;
        for (copies, footing) in all {
            let (job, given) = given(&with, &copies, footing)?;
            (with, own) = (job, own + given);
        }
        self.change_to(label, with);
        match own {
            0 => {}
            1 => self.tell("1 copy has a footing of its own now"),
            n => self.tell(format!("{n} copies have a footing of their own now")),
        }
        Ok(())
    }
}

fn with_own(job: &Job, part: PartId) -> Vec<CopyId> {
    let all = job.plates.iter().flat_map(|p| &p.copies);
    all.filter(|c| c.part == part && c.footing.is_some()).map(|c| c.id).collect()
}

/// The job with these copies on a footing, and how many got it as one of their own.
fn given(job: &Job, copies: &[CopyId], footing: Footing) -> Result<(Job, usize), EditError> {
    let mine: BTreeSet<CopyId> = copies.iter().copied().collect();
    // Which of them follow their part, and whether others follow it too.
    let mut following: BTreeMap<PartId, (Vec<CopyId>, bool)> = BTreeMap::new();
    for c in job.plates.iter().flat_map(|p| &p.copies).filter(|c| c.footing.is_none()) {
        let (here, others) = following.entry(c.part).or_default();
        if mine.contains(&c.id) {
            here.push(c.id);
        } else {
            *others = true;
        }
    }
    let (mut with, mut own) = (job.clone(), mine);
    for (part, (here, others)) in following {
        if let Some(part) = job.part(part).filter(|_| !here.is_empty() && !others) {
            with = apply(&with, &Command::SetPart { part: Part { footing, ..part.clone() } })?.0;
            for id in here {
                own.remove(&id);
            }
        }
    }
    if !own.is_empty() {
        let copies = own.iter().copied().collect();
        with = apply(&with, &Command::SetFooting { copies, footing: Some(footing) })?.0;
    }
    Ok((with, own.len()))
}
