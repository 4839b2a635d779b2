//! One tall copy goes on alone and is short of cooling.

use crate::{
    document::{Copy, Job, PartId, Plate},
    estimate::{CopiesUntil, PlateEstimate, last_copy},
    finding::{Finding, FindingKind, Level, Remedy},
    plate::{self, Shapes},
    words,
};

/// What would help where one copy is left of several and is short of cooling; `copies` are those that are estimated, in order.
/// `shapes` say how far apart more of them would lie, `until` how many copies of a part end its slowing: as the particulars of the part do.
pub(super) fn finding(
    job: &Job,
    plate: &Plate,
    copies: &[&Copy],
    shapes: &Shapes,
    estimate: &PlateEstimate,
    until: impl Fn(PartId) -> Option<CopiesUntil>,
) -> Option<Finding> {
    let pitch_mm = |i: u32| {
        let copy = copies.get(i as usize);
        let shape = copy.and_then(|c| Some((c, shapes.get(&c.part)?)));
        shape.map_or(0.0, |(c, shape)| plate::pitch_mm(shape, job.footing(c), &job.margins))
    };
    let last = last_copy(estimate, job.recipe(plate.recipe)?, pitch_mm)?;
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
    // The particulars' number counts the moves between copies too: never more than that is asked for.
    let known = until(part.id).map_or(u32::MAX, |u| u.every_layer);
    let needed = last.copies_needed.min(known).max(2);
    let more =
        format!("{needed} copies of {} or of parts as tall growing there, {} more than now,", part.letter, needed - 1);
    let text = format!(
        "only {name} grows from {:.1} to {:.1} mm: {layers} too quick to cool{price}. With {more} the layers take long enough; \
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
