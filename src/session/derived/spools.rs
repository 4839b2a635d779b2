//! What the docket's plates take from the shelf.

use std::collections::BTreeMap;

use crate::{
    document::{Job, PlateId, SpoolId},
    estimate::{SpoolLevel, draw},
    finding::FindingKind,
    session::{Session, findings::spool as spool_findings},
};

impl Session {
    /// Goes through the plates as they start, those that are not in the plan last: every plate takes from its spool what the plates before it
    /// have left.
    pub(in crate::session) fn refresh_spools(&mut self, job: &Job) {
        let mut levels: BTreeMap<SpoolId, Option<SpoolLevel>> =
            job.spools.iter().map(|s| (s.id, Some(SpoolLevel::weighed(s.grams_left)))).collect();
        let by_start = self.timeline().map(crate::session::Timeline::by_start).unwrap_or_default();
        let place: BTreeMap<PlateId, usize> = by_start.into_iter().zip(0..).collect();
        let mut plates: Vec<_> = job.plates.iter().collect();
        plates.sort_by_key(|p| place.get(&p.id).copied().unwrap_or(usize::MAX));
        for p in plates {
            let Some(view) = self.caches.views.get_mut(&p.id) else { continue };
            (view.spool, view.twin_spool) = (None, None);
            view.findings.retain(|f| f.kind != FindingKind::Spool);
            // What was tallied is off the spool already, where it was counted down by it.
            let counted = job.tally.has(p.id) && job.tally.of_plate(p.id).any(|o| o.counted_spool.is_some());
            if p.copies.is_empty() || counted {
                continue;
            }
            let second = p.twin_spool.filter(|_| job.twin(p).is_some());
            if second.is_some() && second == p.spool {
                let spool = second.and_then(|id| job.spool(id));
                view.findings.extend(spool.map(|s| spool_findings::one_for_two(p, s)));
            }
            let chosen = [p.spool, second].map(|id| id.and_then(|id| job.spool(id)));
            for (head, spool) in chosen.into_iter().enumerate() {
                let Some(spool) = spool else { continue };
                view.findings.extend(spool_findings::mismatches(job, p, spool));
                // Behind a plate that is not known yet nothing is known.
                let level = levels.get(&spool.id).copied().flatten();
                let drawn = match (level, &view.estimate, job.machine(p.machine), job.material(p.material)) {
                    (Some(level), Some(e), Some(machine), Some(material)) => {
                        let drawn = draw(level, spool.tolerance_mm, e, machine, material);
                        view.findings.extend(spool_findings::runs_out(p, spool, &drawn, e));
                        Some(drawn)
                    }
                    _ => None,
                };
                levels.insert(spool.id, drawn.map(|d| d.after.at_least_empty()));
                if head == 0 {
                    view.spool = drawn;
                } else {
                    view.twin_spool = drawn;
                }
            }
            view.findings.sort_by_key(|f| f.level);
        }
        self.caches.spool_levels = levels;
    }

    /// What is on a spool after all plates of the docket; `None` while a plate's filament is not known.
    pub fn spool_after(&self, spool: SpoolId) -> Option<SpoolLevel> {
        self.caches.spool_levels.get(&spool).copied().flatten()
    }
}
