//! Plates on machines that are down.

use super::note::{machine, note, plates};
use crate::{
    document::Job,
    finding::{Finding, FindingKind, Level},
    session::shifts::Timeline,
};

/// Machines that are down now with plates planned on them, and prints that run into a downtime.
pub(super) fn findings(job: &Job, t: &Timeline) -> Vec<Finding> {
    let mut all = Vec::new();
    for (bench, b) in t.floor.runs.benches.iter().enumerate() {
        let id = t.floor.machines.get(bench).copied();
        let name = machine(job, id);
        let why = |from_s: i64| {
            let of = id.and_then(|id| job.machine(id)).into_iter().flat_map(|m| &m.downtimes);
            let same = |d: &&crate::document::Downtime| {
                let at = |x| t.calendar.second_of_local(x);
                at(d.from).zip(at(d.to)).is_some_and(|(a, z)| a <= from_s && from_s < z)
            };
            let why = of.filter(|d| !d.why.is_empty()).find(same).map(|d| format!(" ({})", d.why));
            why.unwrap_or_default()
        };
        let runs: Vec<_> = t.plan.timed.iter().filter(|x| x.bench == bench).collect();
        if let Some(now) = b.down.iter().find(|w| w.from_s <= t.now_s.max(0) && t.now_s.max(0) < w.to_s) {
            let waiting: Vec<usize> =
                runs.iter().filter_map(|x| t.about.get(x.run).filter(|a| !a.is_running)).map(|a| a.number).collect();
            if !waiting.is_empty() {
                let wait = if waiting.len() == 1 { "waits" } else { "wait" };
                let text = format!(
                    "{name} is down until {}{}: {} {wait} for it.",
                    t.calendar.words(now.to_s),
                    why(now.from_s.max(0)),
                    plates(&waiting)
                );
                all.push(note(Level::Watch, FindingKind::Downtime, None, text));
            }
        }
        for x in runs {
            let Some(about) = t.about.get(x.run).filter(|a| a.is_running) else { continue };
            if let Some(w) = b.down.iter().find(|w| w.meets(x.print)) {
                let text = format!(
                    "Plate {} runs on {name} until {}, into its downtime from {}{}.",
                    about.number,
                    t.calendar.words(x.print.to_s),
                    t.calendar.words(w.from_s),
                    why(w.from_s)
                );
                all.push(note(Level::Watch, FindingKind::Downtime, Some(about.plate), text));
            }
        }
    }
    all
}
