//! One tall copy goes on alone and is short of cooling.

use crate::{
    document::{Copy, Job, Plate},
    estimate::{PlateEstimate, last_copy},
    finding::{Finding, FindingKind, Level, Remedy},
    words,
};

/// What would help where one copy is left of several and is short of cooling; `copies` are those that are estimated, in order.
pub(super) fn finding(job: &Job, plate: &Plate, copies: &[&Copy], estimate: &PlateEstimate) -> Option<Finding> {
    let last = last_copy(estimate, job.recipe(plate.recipe)?)?;
    let copy = copies.get(last.copy as usize)?;
    let part = job.part(copy.part)?;
    let name = job.copy_name(copy);
    let mut prices = Vec::new();
    for (seconds, what) in
        [(last.slowing_s, "slowing adds"), (last.waiting_s, "waiting adds"), (last.unserved_s, "unserved:")]
    {
        if seconds >= 0.5 {
            prices.push(format!("{what} {}", words::time(seconds)));
        }
    }
    let layers = words::count(last.short_layers, "layer");
    let price = if prices.is_empty() { String::new() } else { format!(" ({})", prices.join(", ")) };
    let more = match last.copies_needed.saturating_sub(1) {
        0 | 1 => format!("one more copy of {} or of a part as tall", part.letter),
        n => format!("{n} more copies of {} or of parts as tall", part.letter),
    };
    let text = format!(
        "only {name} grows from {:.1} to {:.1} mm: {layers} too quick to cool{price}. With {more} the layers take longer; \
         with {name} on another plate, this one ends at {:.1} mm, {} sooner",
        last.from_mm,
        last.to_mm,
        last.from_mm,
        words::time(last.time_s),
    );
    Some(Finding {
        level: if last.unserved_s > 1e-9 { Level::Watch } else { Level::Note },
        kind: FindingKind::Cooling,
        plate: Some(plate.id),
        copies: vec![copy.id],
        height_mm: Some(last.from_mm),
        text,
        remedy: (!copy.locked).then(|| Remedy::MoveToNewPlate { copies: vec![copy.id] }),
        more: Vec::new(),
    })
}
