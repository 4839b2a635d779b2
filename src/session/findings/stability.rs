//! What could fall over, lift or start in mid-air.

use crate::{
    document::{Job, Plate},
    finding::Finding,
    session::PartStanding,
    stability::{self, JudgedCopies},
};

/// Findings of a plate's copies, those of one part with one footing in one.
pub(super) fn findings(job: &Job, p: &Plate, standing: &[PartStanding]) -> Vec<Finding> {
    let (Some(material), Some(machine)) = (job.material(p.material), job.machine(p.machine)) else { return Vec::new() };
    let adhesion_origin = material.adhesion_on(&machine.surface).1;
    let named = |s: &PartStanding| {
        let mut copies: Vec<_> = p.copies.iter().filter(|c| s.copies.contains(&c.id)).collect();
        copies.sort_by_key(|c| c.number);
        copies.into_iter().map(|c| (c.id, job.copy_name(c))).collect()
    };
    let judged: Vec<JudgedCopies<'_>> = standing
        .iter()
        .map(|s| JudgedCopies {
            copies: named(s),
            footing: s.footing,
            judgement: &s.judged.judgement,
            looks: &s.judged.looks,
            suggestion: Some(&s.judged.suggestion),
            conditions: &s.judged.conditions,
            adhesion_origin,
            force_origin: job.assumptions.origin("sideways_n"),
            strikes: &[],
        })
        .collect();
    stability::findings(p.id, &judged)
}
