//! What the docket's plates take from the shelf, and what a person should know of it.

use std::collections::BTreeMap;

use super::Session;
use crate::{
    document::{Job, Plate, Sensor, Spool, SpoolId, TailFixed},
    drawing::words,
    estimate::{PlateEstimate, RunsOut, SpoolLevel, SpoolUse, draw},
    finding::{Finding, FindingKind, Level},
};

impl Session {
    /// Goes through the docket in order: every plate takes from its spool what the plates before it have left.
    pub(super) fn refresh_spools(&mut self, job: &Job) {
        let mut levels: BTreeMap<SpoolId, Option<SpoolLevel>> =
            job.spools.iter().map(|s| (s.id, Some(SpoolLevel::weighed(s.grams_left)))).collect();
        for p in &job.plates {
            let Some(view) = self.caches.views.get_mut(&p.id) else { continue };
            view.spool = None;
            view.findings.retain(|f| f.kind != FindingKind::Spool);
            let Some(spool) = p.spool.and_then(|id| job.spool(id)).filter(|_| !p.copies.is_empty()) else { continue };
            view.findings.extend(mismatches(job, p, spool));
            // Behind a plate that is not known yet nothing is known.
            let level = levels.get(&spool.id).copied().flatten();
            let drawn = match (level, &view.estimate, job.machine(p.machine), job.material(p.material)) {
                (Some(level), Some(e), Some(machine), Some(material)) => {
                    let drawn = draw(level, spool.tolerance_mm, e, machine, material);
                    view.findings.extend(runs_out_finding(p, spool, &drawn, e));
                    Some(drawn)
                }
                _ => None,
            };
            levels.insert(spool.id, drawn.map(|d| d.after.at_least_empty()));
            view.spool = drawn;
            view.findings.sort_by_key(|f| f.level);
        }
        self.caches.spool_levels = levels;
    }

    /// What is on a spool after all plates of the docket; `None` while a plate's filament is not known.
    pub fn spool_after(&self, spool: SpoolId) -> Option<SpoolLevel> {
        self.caches.spool_levels.get(&spool).copied().flatten()
    }
}

fn finding(p: &Plate, level: Level, height_mm: Option<f64>, text: String) -> Finding {
    let (kind, copies) = (FindingKind::Spool, Vec::new());
    Finding { level, kind, plate: Some(p.id), copies, height_mm, text, remedy: None }
}

/// Another material cannot be right; a colour may be another word for the same.
fn mismatches(job: &Job, p: &Plate, spool: &Spool) -> Vec<Finding> {
    let mut all = Vec::new();
    let mut push = |level, is: &str, asked: &str| {
        all.push(finding(p, level, None, format!("the spool {} is {is}, this plate {asked}", spool.name)));
    };
    if spool.material != p.material {
        let name = |id| job.material(id).map_or("?", |m| m.name.as_str());
        push(Level::Stop, name(spool.material), name(p.material));
    }
    if spool.colour.trim().to_lowercase() != p.colour.trim().to_lowercase() {
        let named = |c: &str| if c.trim().is_empty() { "of no named colour".to_owned() } else { c.trim().to_owned() };
        push(Level::Watch, &named(&spool.colour), &named(&p.colour));
    }
    all
}

fn runs_out_finding(p: &Plate, spool: &Spool, drawn: &SpoolUse, e: &PlateEstimate) -> Option<Finding> {
    let (at, may) = match (drawn.runs_out, drawn.runs_out_earliest) {
        (Some(at), _) => (at, ""),
        (None, Some(at)) => (at, "may "),
        (None, None) => return None,
    };
    let runs = if may.is_empty() { "runs" } else { "run" };
    let earlier = drawn.runs_out_earliest.filter(|early| early.layer < at.layer);
    let earlier =
        earlier.map_or_else(String::new, |r| format!(", or in layer {} if the filament is thick", r.layer + 1));
    let (unnoticed, then) = meaning(spool);
    let level = if may.is_empty() && unnoticed { Level::Stop } else { Level::Watch };
    let RunsOut { layer, height_mm, after_s } = at;
    let text = format!(
        "the spool {} {may}{runs} out in layer {} of {}, at {height_mm:.1} mm, about {} after the start{earlier}: it \
         has {}, the plate takes {}; {then}",
        spool.name,
        layer + 1,
        e.layers.len(),
        words::time(after_s),
        words::mass(drawn.before.nominal_g),
        words::mass_range(drawn.needed_g.least, drawn.needed_g.most),
    );
    Some(finding(p, level, Some(height_mm), text))
}

/// Does nobody notice the end of the filament? And what the machine does then, as far as anyone can say without its manual.
fn meaning(spool: &Spool) -> (bool, &'static str) {
    match (spool.sensor, spool.tail_fixed) {
        (Sensor::None, _) => (true, "without a sensor the machine goes on printing without filament"),
        (Sensor::Presence, TailFixed::Yes) => (
            true,
            "its tail is fixed to the hub and never passes the presence sensor, so the machine goes on printing without filament",
        ),
        (Sensor::Presence, TailFixed::Unknown) => (
            false,
            "the machine should pause when the tail passes the presence sensor, unless the tail is fixed to the hub; \
             see its maker's manual",
        ),
        (Sensor::Presence, TailFixed::No) => {
            (false, "the machine should pause when the tail passes the presence sensor; see its maker's manual")
        }
        (Sensor::Motion, _) => (false, "the machine should pause when the filament stops; see its maker's manual"),
    }
}
