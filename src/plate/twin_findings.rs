//! What a person should know of a plate that is printed twice at once.

use std::collections::BTreeMap;

use super::{PlateTwin, Room, Shapes};
use crate::{
    document::{CopyId, Job, PartId, Plate, Twin},
    finding::{Finding, FindingKind, Level, Remedy},
};

/// Copies named at most.
const NAMED: usize = 4;

/// A machine with one carriage, a strip that leaves no room, and handed twins of parts that are nobody's order.
pub fn twin_findings(job: &Job, plate: &Plate, shapes: &Shapes) -> Vec<Finding> {
    let (Some(kind), Some(machine)) = (plate.twin, job.machine(plate.machine)) else { return Vec::new() };
    let once = Remedy::SetTwin { plate: plate.id, twin: None };
    let finding = |level, copies, text, remedy: Remedy, more| Finding {
        level,
        kind: FindingKind::Twin,
        plate: Some(plate.id),
        copies,
        height_mm: None,
        text,
        remedy: Some(remedy),
        more,
    };
    let Some(twin) = PlateTwin::of(job, plate) else {
        let text = format!(
            "this plate is set to a {}, but {} has one carriage: it is counted and timed as printed once; print it once, or \
             choose a machine with two carriages",
            kind.words(),
            machine.name
        );
        return vec![finding(Level::Stop, Vec::new(), text, once, Vec::new())];
    };
    if twin.leaves_no_room(Room::new(job, machine).region()) {
        let text = format!(
            "the strip between the carriages of {}, {:.1} mm wide, leaves no room on its bed, {:.1} mm wide: set a narrower \
             strip, or print this plate once",
            machine.name,
            twin.strip_mm(),
            machine.bed.bounds().width()
        );
        return vec![finding(Level::Stop, Vec::new(), text, once, Vec::new())];
    }
    let mut unordered: BTreeMap<PartId, Vec<CopyId>> = BTreeMap::new();
    for copy in plate.copies.iter().filter(|_| twin.is_handed()) {
        // Of a part whose mesh was never seen nothing is known.
        let Some(own) = shapes.get(&copy.part).map(|s| s.own_mirror) else { continue };
        if job.part_of_twin(plate, copy, |_| own).is_none() {
            unordered.entry(copy.part).or_default().push(copy.id);
        }
    }
    let tell = |(part, copies): (PartId, Vec<CopyId>)| {
        let names: Vec<String> =
            copies.iter().take(NAMED).filter_map(|id| job.copy(*id)).map(|(_, c)| job.copy_name(c)).collect();
        let more = match copies.len().saturating_sub(NAMED) {
            0 => String::new(),
            n => format!(" and {n} more"),
        };
        let (twins, are, count) = if copies.len() == 1 { ("twin", "is", "counts") } else { ("twins", "are", "count") };
        let text = format!(
            "the handed {twins} of {}{more} {are} mirrored and {count} for no order line: order the part as left + right, or use a \
             shifted twin",
            names.join(", ")
        );
        let shifted = Remedy::SetTwin { plate: plate.id, twin: Some(Twin::Shifted) };
        finding(Level::Watch, copies, text, Remedy::OrderHands { part }, vec![shifted])
    };
    unordered.into_iter().map(tell).collect()
}
