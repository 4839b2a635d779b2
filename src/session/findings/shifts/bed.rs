//! A bed that may still be hot when parts come off.

use super::note::note;
use crate::{
    document::Job,
    finding::{Finding, FindingKind, Level},
    session::shifts::Timeline,
};

/// Bare metal at this temperature may be touched for eight hours, °C. From memory, after ISO 13732-1.
const TOUCHABLE_C: f64 = 43.0;

/// Said where the removal temperature is above what can be touched for long.
pub(super) fn finding(job: &Job, t: &Timeline) -> Option<Finding> {
    let removal_c = job.shifts.changeover.removal_c;
    let hot = t.about.iter().filter_map(|a| job.material(job.plate(a.plate)?.material)).any(|m| m.bed_c > TOUCHABLE_C);
    if removal_c <= TOUCHABLE_C || !hot {
        return None;
    }
    let text = format!(
        "Parts come off at a bed of {removal_c:.0} °C. Hot parts burn skin: let the bed fall below {TOUCHABLE_C:.0} °C, or lift parts off with \
         gloves or a tool."
    );
    Some(note(Level::Note, FindingKind::HotBed, None, text))
}
