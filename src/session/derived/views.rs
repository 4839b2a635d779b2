//! What is derived of each plate, afresh or from what moved.

use std::{collections::BTreeSet, sync::Arc};

use crate::{
    document::{CopyId, Job, Plate, PlateId},
    estimate::{PlateEstimate, Tour},
    plate::{Checker, Conflict},
    session::{PlateView, Session, derived::plate_view::Inputs},
};

impl Session {
    pub(super) fn refresh_views(&mut self, job: &Arc<Job>) {
        let in_gesture = self.history.in_gesture();
        let known: BTreeSet<PlateId> = job.plates.iter().map(|p| p.id).collect();
        self.caches.views.retain(|id, _| known.contains(id));
        for p in &job.plates {
            let inputs = Inputs {
                plate: p.clone(),
                machine: job.machine(p.machine).cloned(),
                material: job.material(p.material).cloned(),
                recipe: job.recipe(p.recipe).cloned(),
                margins: job.margins,
                assumptions: job.assumptions.clone(),
                parts: job.parts.iter().filter(|q| p.copies.iter().any(|c| c.part == q.id)).cloned().collect(),
                generation: self.caches.generation,
            };
            let old = self.caches.views.remove(&p.id).unwrap_or_default();
            let view = if old.inputs.as_ref() == Some(&inputs) {
                old
            } else if in_gesture {
                self.moved_view(job, p, &old, inputs)
            } else {
                self.fresh_view(job, p, inputs)
            };
            self.caches.views.insert(p.id, view);
        }
    }

    fn fresh_view(&mut self, job: &Job, p: &Plate, inputs: Inputs) -> PlateView {
        let checker = Checker::new(job, p, &self.caches.shapes, &self.caches.prepared);
        let conflicts = checker.conflicts();
        let estimate = self.estimate(job, p, Tour::Exact);
        self.view_of(job, p, inputs, Arc::new(checker), conflicts, estimate)
    }

    fn view_of(
        &mut self,
        job: &Job,
        p: &Plate,
        inputs: Inputs,
        checker: Arc<Checker>,
        conflicts: Vec<Conflict>,
        (estimate, no_estimate): (Option<PlateEstimate>, Option<String>),
    ) -> PlateView {
        let standing = self.standing(job, p);
        let findings = self.plate_findings(job, p, &conflicts, estimate.as_ref(), &standing);
        PlateView {
            conflicts,
            estimate,
            no_estimate,
            findings,
            spool: None,
            twin_spool: None,
            standing,
            inputs: Some(inputs),
            checker: Some(checker),
        }
    }

    /// The view while copies are dragged: only what the moved ones touch is looked at afresh.
    fn moved_view(&mut self, job: &Job, p: &Plate, old: &PlateView, inputs: Inputs) -> PlateView {
        let Some(checker) = old.checker.clone() else { return self.fresh_view(job, p, inputs) };
        let before = old.inputs.as_ref().map(|i| &i.plate);
        if before.is_none_or(|b| b.copies.len() != p.copies.len()) {
            return self.fresh_view(job, p, inputs);
        }
        // Against the plate as the checker knows it (as it was when the drag began).
        let moved: Vec<_> = p
            .copies
            .iter()
            .filter(|c| checker.placement(c.id).is_some_and(|at| at != c.placement()))
            .map(|c| (c.id, c.placement()))
            .collect();
        let ids: BTreeSet<CopyId> = moved.iter().map(|m| m.0).collect();
        let mut conflicts: Vec<Conflict> =
            self.drag_base.iter().filter(|c| !c.copies.iter().any(|id| ids.contains(id))).cloned().collect();
        conflicts.extend(checker.conflicts_of(&moved));
        let estimate = match old.estimate.as_ref().map(|e| e.tours.clone()) {
            Some(plan) => self.estimate(job, p, Tour::Approximate(&plan)),
            None => self.estimate(job, p, Tour::Exact),
        };
        self.view_of(job, p, inputs, checker, conflicts, estimate)
    }

    /// Shadows of all copies on a plate as a share of its room, 0 to 1; `None` for an empty plate.
    pub fn density(&self, plate: PlateId) -> Option<f64> {
        Some(self.checker(plate)?.covered()).filter(|d| *d > 0.0)
    }

    /// The checker of a plate, made ready for questions.
    pub(in crate::session) fn checker(&self, plate: PlateId) -> Option<&Arc<Checker>> {
        self.caches.views.get(&plate).and_then(|v| v.checker.as_ref())
    }
}
