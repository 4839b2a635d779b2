//! Pack and Top up: what a search is given.

use crate::{
    document::{Job, Part, Plate, PlateId, Turns},
    geom::Bounds,
    plate,
    session::{
        Scope, Session, SessionError, TopUp,
        derived::{keys::shape_key, pending::Pending},
    },
};

impl Session {
    /// Turns for all parts in place of their own, for one search; `None` gives each its own back.
    pub fn override_turns(&mut self, turns: Option<Turns>) {
        self.turns = turns;
    }

    /// The job as Pack and Top up see it.
    pub(in crate::session) fn job_to_arrange(&self) -> Job {
        let mut job = self.job().clone();
        if let Some(turns) = self.turns {
            for part in &mut job.parts {
                part.turns = turns;
            }
        }
        job
    }

    /// A search needs the outlines of the job as it is now.
    fn outlines_are_there(&self) -> Result<(), SessionError> {
        let computed = |p: &&Part| {
            let key = shape_key(self.job(), p);
            key.is_none_or(|key| !self.pending.values().any(|(_, p)| *p == Pending::Shape(key.clone())))
        };
        match self.job().parts.iter().find(|p| !computed(p)) {
            None => Ok(()),
            Some(p) => Err(SessionError::Other(format!("{} {} is still being read: try again", p.letter, p.name))),
        }
    }

    /// What has started lies as it lies.
    fn not_started(&self) -> Result<(), SessionError> {
        let Some(plate) = self.plate().filter(|p| p.run.started.is_some() || p.run.ended.is_some()) else {
            return Ok(());
        };
        let number = self.job().plate_number(plate.id).unwrap_or(0);
        let how = if plate.run.failed {
            "has failed"
        } else if plate.run.ended.is_some() {
            "has ended"
        } else {
            "has started"
        };
        Err(SessionError::Other(format!(
            "plate {number} {how}, so its copies stay: choose another plate, or mark it as not started"
        )))
    }

    pub(super) fn pack(&mut self, label: &str, scope: Scope) -> Result<(), SessionError> {
        self.outlines_are_there()?;
        if matches!(scope, Scope::Plate | Scope::Selection) {
            self.not_started()?;
        }
        let job = self.job_to_arrange();
        let (job, shapes, prepared) = (&job, self.shapes(), self.prepared());
        let here: Vec<PlateId> = self.plate.into_iter().collect();
        let open = |p: &&Plate| p.run.started.is_none() && p.run.ended.is_none();
        let all: Vec<PlateId> = job.plates.iter().filter(open).map(|p| p.id).collect();
        if let (Scope::Plate, Some(end_by), Some(plate)) = (scope, self.end_by, self.plate) {
            let task = plate::pack_task(job, &here, None, end_by.further_plate, shapes, prepared);
            let task = task.map_err(|e| SessionError::Other(e.to_string()))?;
            return self.arrange_in_time(label, task, plate, &end_by, None);
        }
        let (task, drop_empty) = match scope {
            Scope::Plate => (plate::pack_task(job, &here, None, false, shapes, prepared), false),
            Scope::Selection => (plate::pack_task(job, &here, Some(&self.selection), false, shapes, prepared), false),
            Scope::Job => (plate::pack_task(job, &all, None, false, shapes, prepared), true),
            Scope::Order => (plate::order_task(job, shapes, prepared), false),
        };
        let task = task.map_err(|e| SessionError::Other(e.to_string()))?;
        self.arrange(label, task, drop_empty, None);
        Ok(())
    }

    pub(super) fn top_up(&mut self, label: &str, what: TopUp, area: Option<Bounds>) -> Result<(), SessionError> {
        self.outlines_are_there()?;
        self.not_started()?;
        let part = match what {
            TopUp::Part(id) => Some(id),
            TopUp::Order => None,
        };
        let here: Vec<PlateId> = self.plate.into_iter().collect();
        let (job, keep) = (self.job_to_arrange(), self.keep_lying);
        let task = plate::top_up_task(&job, &here, part, area, keep, self.shapes(), self.prepared())
            .map_err(|e| SessionError::Other(e.to_string()))?;
        // What fits an area is not what fits the plate.
        let bound_of = self.plate.filter(|_| area.is_none());
        if let (Some(end_by), Some(plate)) = (self.end_by, self.plate) {
            return self.arrange_in_time(label, task, plate, &end_by, bound_of);
        }
        self.arrange(label, task, false, bound_of);
        Ok(())
    }

    /// Ends the search; its best layout so far is taken.
    pub(super) fn take_best(&self) {
        match &self.arranging {
            Some(a) => a.ticket.cancel(),
            None => self.take_best_deal(),
        }
    }

    /// Ends the search; everything stays as it was. What is discarded is not waited for.
    pub(super) fn cancel_search(&mut self) {
        match self.arranging.take() {
            Some(a) => a.ticket.cancel(),
            None => self.cancel_deal(),
        }
    }
}
