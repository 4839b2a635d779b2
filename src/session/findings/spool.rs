//! What a person should know of the spool that a plate takes.

use crate::{
    document::{Job, Plate, Sensor, Spool, TailFixed},
    estimate::{PlateEstimate, RunsOut, SpoolUse},
    finding::{Finding, FindingKind, Level},
    words,
};

fn finding(p: &Plate, level: Level, height_mm: Option<f64>, text: String) -> Finding {
    let (kind, copies) = (FindingKind::Spool, Vec::new());
    Finding { level, kind, plate: Some(p.id), copies, height_mm, text, remedy: None, more: Vec::new() }
}

/// Two heads at once, and one spool.
pub(in crate::session) fn one_for_two(p: &Plate, spool: &Spool) -> Finding {
    let text = format!("both carriages are to take from the spool {}: choose another one for the second", spool.name);
    finding(p, Level::Stop, None, text)
}

/// Another material cannot be right; a colour may be another word for the same.
pub(in crate::session) fn mismatches(job: &Job, p: &Plate, spool: &Spool) -> Vec<Finding> {
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

pub(in crate::session) fn runs_out(p: &Plate, spool: &Spool, drawn: &SpoolUse, e: &PlateEstimate) -> Option<Finding> {
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
