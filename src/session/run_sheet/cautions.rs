//! Cautions on a run sheet. They give way to the maker's manual, the site's rules and the authorities.

use super::moment::Moments;
use crate::{document::Job, session::findings::shifts::unattended_hours};

/// Stretches without anybody that are named; of more, how many.
const NAMED: usize = 3;

/// Own wording throughout.
pub(super) fn cautions(job: &Job, moments: Moments<'_>) -> Vec<String> {
    let removal_c = job.shifts.changeover.removal_c;
    let mut all: Vec<String> = unattended(moments).into_iter().collect();
    all.extend([
        // ISO 13732-1 gives burn thresholds for contact; 43 °C for eight hours and more on bare metal: from memory.
        format!("Heat: bed, nozzle and fresh parts burn skin. Let the bed fall below {removal_c:.0} °C before you reach in."),
        // Stephens et al. 2013, Atmospheric Environment 79; Azimi et al. 2016, doi 10.1021/acs.est.5b04983; what to do: NIOSH publication 2024-103,
        // doi 10.26616/NIOSHPUB2024103.
        "Air: printing gives off fine particles and vapours, more with ABS, ASA, PA and PC. Ventilate."
            .to_owned(),
        // Flash point 53 °F (12 °C), lower explosive limit 2.0 %: NIOSH Pocket Guide to Chemical Hazards, isopropyl alcohol (npgd0359).
        "Alcohol is highly flammable (flash point 12 °C): never on a hot bed, in a closed enclosure or near a source of ignition."
            .to_owned(),
        "The machine maker's manual, this site's rules, the insurer and the local fire authority come before this sheet.".to_owned(),
    ]);
    all
}

/// When nobody is there. NFPA Journal, September 2018 ("3D Printers Go Mainstream") names heat, long running and stored material; no code text
/// was read that permits or bans printing with nobody present. Smoke detection and clear surroundings: protocols of universities.
fn unattended(moments: Moments<'_>) -> Option<String> {
    const WHAT: &str = "ask the insurer and the local fire authority first, and keep smoke detection on.";
    let Some((t, timed)) = moments.plan() else {
        return Some(format!("If nobody will be present: {WHAT}"));
    };
    let alone = unattended_hours(t, timed.print);
    if alone.is_empty() {
        return None;
    }
    let clock = |s| t.calendar.words(s);
    let named = alone.iter().take(NAMED).map(|w| format!("{} to {}", clock(w.from_s), clock(w.to_s)));
    let more = alone.len().saturating_sub(NAMED);
    let more = if more > 0 { format!(" and {more} more times") } else { String::new() };
    Some(format!("It prints with nobody present from {}{more}: {WHAT}", named.collect::<Vec<_>>().join(", ")))
}
