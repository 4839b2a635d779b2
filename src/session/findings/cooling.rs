//! Layers too quick to cool.

use std::{collections::BTreeSet, fmt::Write as _};

use crate::{
    document::{Copy, CopyId, Job, Plate},
    estimate::{self, PlateEstimate},
    finding::{Finding, FindingKind, Level},
    words,
};

/// One finding about cooling, if layers are too quick.
pub(super) fn finding(job: &Job, p: &Plate, estimated: &[&Copy], e: &PlateEstimate) -> Option<Finding> {
    let s = estimate::cooling_summary(e);
    let (worst, headroom) = (s.worst_layer?, s.least_headroom?);
    if s.short_layers == 0 {
        return None;
    }
    let layer = e.layers.get(worst)?;
    let growing: BTreeSet<&str> = layer
        .copies
        .iter()
        .filter_map(|&i| estimated.get(i as usize))
        .filter_map(|c| job.part(c.part))
        .map(|part| part.letter.as_str())
        .collect();
    let letters: Vec<&str> = growing.into_iter().collect();
    let copies: Vec<CopyId> = layer.copies.iter().filter_map(|&i| estimated.get(i as usize)).map(|c| c.id).collect();
    let first = e.layers.iter().position(|l| l.headroom.is_some_and(|h| h < 1.0)).unwrap_or(0);
    let above_mm = first.checked_sub(1).and_then(|below| e.layers.get(below)).map_or(0.0, |l| l.top_mm);
    let who = match copies.len() {
        0 => "nothing grows".to_owned(),
        1 => format!("only {} grows", job.copy_name(p.copies.iter().find(|c| c.id == copies[0])?)),
        n => format!("{n} copies of {} grow", letters.join(", ")),
    };
    let layers = words::count(s.short_layers, "layer");
    let mut text = format!(
        "too quick to cool above {above_mm:.1} mm: {layers}, worst {headroom:.2} of the time needed, at {:.1} mm, where {who}",
        layer.top_mm
    );
    let level = if s.unserved_layers > 0 {
        let _ = write!(text, "; slowing to the minimum speed still leaves {} unserved", words::time(s.unserved_s));
        Level::Watch
    } else {
        let _ = write!(text, "; slowing is enough and adds {}", words::time(e.items.slowing_s));
        if e.items.waiting_s > 0.0 {
            let _ = write!(text, ", waiting between layers adds {}", words::time(e.items.waiting_s));
        }
        Level::Note
    };
    Some(Finding {
        level,
        kind: FindingKind::Cooling,
        plate: Some(p.id),
        copies,
        height_mm: Some(layer.top_mm),
        text,
        remedy: None,
        more: Vec::new(),
    })
}
