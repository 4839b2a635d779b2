//! Material that nobody has.

use std::collections::BTreeMap;

use super::note::{note, plates};
use crate::{
    document::{Job, MaterialId},
    finding::{Finding, FindingKind, Level},
    session::shifts::Timeline,
};

/// Plates to start whose material is on no spool, where the shop has any spools.
pub(super) fn findings(job: &Job, t: &Timeline) -> Vec<Finding> {
    if job.spools.is_empty() {
        return Vec::new();
    }
    let mut without: BTreeMap<MaterialId, Vec<usize>> = BTreeMap::new();
    for about in t.about.iter().filter(|a| !a.is_running) {
        let Some(plate) = job.plate(about.plate).filter(|p| p.spool.is_none()) else { continue };
        if !job.spools.iter().any(|s| s.material == plate.material) {
            without.entry(plate.material).or_default().push(about.number);
        }
    }
    let of = |(id, numbers): (MaterialId, Vec<usize>)| {
        let need = if numbers.len() == 1 { "needs" } else { "need" };
        let text = format!(
            "No spool holds {}, which {} {need}. Add a spool, or choose another material for the parts.",
            job.material(id).map_or("this material", |m| m.name.as_str()),
            plates(&numbers),
        );
        note(Level::Watch, FindingKind::Spool, None, text)
    };
    without.into_iter().map(of).collect()
}
