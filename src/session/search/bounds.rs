//! What no layout can beat, as far as searches have found out.

use crate::{
    document::{PartId, PlateId},
    formats::write::PlacementsBounds,
    packing::{Aim, Bound},
    session::{
        Arranging, Session,
        search::{concern::Concern, known::Known},
    },
};

impl Session {
    /// No more copies than this fit on the plate, as far as Top up has found out.
    pub fn bound(&self, plate: PlateId) -> Option<Bound> {
        self.bounds.get(&plate).filter(|(_, b)| b.holds(&self.history.shared_job())).map(|(_, b)| b.bound)
    }

    /// Of which part [`Session::bound`] speaks.
    pub fn bound_part(&self, plate: PlateId) -> Option<PartId> {
        self.bounds.get(&plate).and_then(|(part, _)| *part)
    }

    /// No fewer plates than this hold what was packed last, as long as nothing has changed since.
    pub fn plates_bound(&self) -> Option<Bound> {
        self.plates_bound.as_ref().filter(|b| b.holds(&self.history.shared_job())).map(|b| b.bound)
    }

    /// Bounds and reasons for the hand-over files.
    pub fn placements_bounds(&self) -> PlacementsBounds {
        PlacementsBounds {
            plates: self.plates_bound(),
            by_plate: self.bounds.keys().filter_map(|&p| Some((p, (self.bound_part(p), self.bound(p)?)))).collect(),
            why_unplaced: self.why_unplaced.clone(),
            ..Default::default()
        }
    }

    /// Remembers what no layout can beat, for the job as it is now.
    pub(super) fn keep_bound(&mut self, a: &Arranging) {
        let Some(bound) = a.bound else { return };
        let job = self.history.shared_job();
        let concern = match a.task.problem.aim {
            // A bound on plates is about all there are.
            Aim::Pack { .. } => Concern { plates: job.plates.iter().map(|p| p.id).collect(), ..a.concern.clone() },
            Aim::TopUp { .. } => a.concern.clone(),
        };
        let known = Known::now(&job, concern, bound);
        match (&a.task.problem.aim, a.bound_of) {
            (Aim::Pack { .. }, _) => self.plates_bound = Some(known),
            (Aim::TopUp { .. }, Some(plate)) => drop(self.bounds.insert(plate, (a.topped, known))),
            (Aim::TopUp { .. }, None) => {}
        }
    }
}
