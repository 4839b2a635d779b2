//! Numbers in words, as the drawings write them.

use crate::{
    document::{Job, Plate},
    estimate::Items,
    plate::{Conflict, ConflictKind},
};

pub use crate::words::{mass, mass_range, plain, steers, time, whole_minutes};

/// "walls", "3 h 12 min": the items of a plate's time that do not read as no time at all.
pub fn items(items: &Items) -> Vec<(String, String)> {
    let told = items.list().into_iter().filter(|(_, seconds)| *seconds > 0.5);
    told.map(|(name, seconds)| (name.to_owned(), time(seconds))).collect()
}

/// "26"; "2 × 26" on a plate that is printed twice at once.
pub fn copies_on(job: &Job, plate: &Plate) -> String {
    let n = plate.copies.len();
    if job.twin(plate).is_some() { format!("2 × {n}") } else { n.to_string() }
}

/// What is written beside a conflict: the word and the millimetres, "overlap 8.0 mm".
pub fn conflict(c: &Conflict) -> String {
    let word = match c.kind {
        ConflictKind::Overlap => "overlap",
        ConflictKind::Clearance => "gap short by",
        ConflictKind::FootingOverlap => "footing overlap",
        ConflictKind::FootingClearance => "footing gap short by",
        ConflictKind::OffBed => "off the bed by",
        ConflictKind::TooLarge => "too large, off the bed by",
        ConflictKind::KeepOut => "in a keep-out by",
        ConflictKind::SkirtRoom => "no room for the skirt: short by",
        ConflictKind::Half => "beyond its half by",
        ConflictKind::HalfTooSmall => "too large for its half by",
        ConflictKind::SkirtHalf => "no room for the skirt in its half: short by",
        ConflictKind::TooTall => "too tall by",
        ConflictKind::MixedRecipe => return "another recipe".to_owned(),
    };
    let twin = if c.twin.is_some() { "twin: " } else { "" };
    format!("{twin}{word} {:.1} mm", c.amount_mm)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn items_that_take_no_time_are_left_out() {
        let spent = Items { walls_s: 11_520.0, travel_s: 0.4, slowing_s: f64::NAN, end_s: 0.6, ..Items::default() };
        let told = [("walls", "3 h 12 min"), ("end", "1 s")].map(|(name, time)| (name.to_owned(), time.to_owned()));
        assert_eq!(items(&spent), told);
    }
}
