//! What could fall over, lift or start in mid-air.

use crate::{
    document::{Job, Plate},
    finding::{Finding, FindingKind},
    session::{PartStanding, Session, findings::tip_remedies},
    stability::{self, JudgedCopies},
};

/// Findings of a plate's copies, those of one part with one footing in one.
pub(super) fn findings(session: &Session, job: &Job, p: &Plate, standing: &[PartStanding]) -> Vec<Finding> {
    let (Some(material), Some(machine)) = (job.material(p.material), job.machine(p.machine)) else { return Vec::new() };
    let adhesion_origin = material.adhesion_on(&machine.surface).1;
    let named = |s: &PartStanding| {
        let mut copies: Vec<_> = p.copies.iter().filter(|c| s.copies.contains(&c.id)).collect();
        copies.sort_by_key(|c| c.number);
        copies.into_iter().map(|c| (c.id, job.copy_name(c))).collect()
    };
    let strikes: Vec<Vec<String>> =
        standing.iter().map(|s| session.struck_by(job, p, standing, s).unwrap_or_default()).collect();
    let judged: Vec<JudgedCopies<'_>> = standing
        .iter()
        .zip(&strikes)
        .map(|(s, strikes)| JudgedCopies {
            copies: named(s),
            footing: s.footing,
            judgement: &s.judged.judgement,
            looks: &s.judged.looks,
            suggestion: Some(&s.judged.suggestion),
            conditions: &s.judged.conditions,
            adhesion_origin,
            force_origin: job.assumptions.origin("sideways_n"),
            strikes,
        })
        .collect();
    let mut all = stability::findings(p.id, &judged);
    for f in all.iter_mut().filter(|f| f.kind == FindingKind::TipOver) {
        let of = standing.iter().zip(&strikes).find(|(s, _)| f.copies.iter().any(|id| s.copies.contains(id)));
        let Some((s, strikes)) = of else { continue };
        f.more = tip_remedies::more(session, job, p, s, !strikes.is_empty());
        if let Some(cost) = s.cost.filter(|_| s.judged.suggestion.margin > s.judged.judgement.margin()) {
            f.text.push_str("; ");
            f.text.push_str(&cost.words());
        }
    }
    all
}
