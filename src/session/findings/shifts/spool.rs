//! Spools that run out with nobody there.

use super::note::{machine, note};
use crate::{
    document::Job,
    finding::{Finding, FindingKind, Level},
    session::shifts::Timeline,
};

/// At which clock time, on which plate, and when somebody comes.
pub(super) fn findings(job: &Job, t: &Timeline) -> Vec<Finding> {
    let of = |run: usize| {
        let (about, (at_s, out)) = (t.about.get(run)?, t.spool_out(run)?);
        if t.calendar.is_attended(at_s) {
            return None;
        }
        let runs_out = if out.only_thick { "may run out" } else { "runs out" };
        let next = match t.calendar.window_from(at_s) {
            Some(w) => format!("somebody comes {}", t.calendar.words(w.from_s)),
            None => "nobody comes afterwards".to_owned(),
        };
        let text = format!(
            "The spool {} {runs_out} {} with nobody there, on plate {} on {}; {next}.",
            out.spool,
            t.calendar.words(at_s),
            about.number,
            machine(job, t.machine_of(run)),
        );
        Some(note(Level::Watch, FindingKind::Spool, Some(about.plate), text))
    };
    (0..t.about.len()).filter_map(of).collect()
}
