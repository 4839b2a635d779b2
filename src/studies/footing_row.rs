//! What comes of one footing.

use std::sync::Arc;

use super::{FilledPlate, LaidCopy, filled_plate::each_words};
use crate::{
    document::Footing,
    stability::{Least, margin_words},
    words,
};

/// What comes of one footing.
#[derive(Debug, Clone, PartialEq)]
pub struct FootingRow {
    /// The footing.
    pub footing: Footing,
    /// Whether it is the one suggested for this part.
    pub is_suggested: bool,
    /// How many copies were laid on the plate.
    pub copies: usize,
    /// Where they lie.
    pub layout: Arc<[LaidCopy]>,
    /// What that plate costs; `None` where no copy fits.
    pub plate: Option<FilledPlate>,
    /// The least margin against tipping over and at which height; `None` for a part of nothing.
    pub least: Option<Least>,
}

/// The rows of a study, in the order of its variants.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct FootingRows {
    /// One for each footing that was finished.
    pub rows: Vec<FootingRow>,
    /// False where the study was cancelled before the last one.
    pub is_complete: bool,
}

impl FootingRow {
    /// "brim 5 mm: 24 copies in 10 h 12 min, 25.5 min and 3.1 g each; clean-up 24 min; margin 0.28 at 60.0 mm".
    pub fn words(&self) -> String {
        let footing = self.footing.words();
        let margin = self
            .least
            .map_or_else(String::new, |l| format!("; margin {} at {:.1} mm", margin_words(l.margin), l.height_mm));
        let Some(p) = self.plate else { return format!("{footing}: no copy fits{margin}") };
        let clean_up =
            if p.clean_up_s > 0.0 { format!("; clean-up {}", words::time(p.clean_up_s)) } else { String::new() };
        format!(
            "{footing}: {} in {}, {} and {} each{clean_up}{margin}",
            words::copies(self.copies),
            words::time(p.time_s),
            Self::each_words(p.time_per_copy_s),
            words::mass(p.mass_per_copy_g)
        )
    }
    /// A time for each copy, fine enough to compare: "75 s", "25.5 min", "14 h 14".
    pub fn each_words(seconds: f64) -> String {
        each_words(seconds)
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::stability::Cause;

    #[test]
    fn rows_in_words() {
        let plate = FilledPlate {
            time_s: 36_720.0,
            time_per_copy_s: 1530.0,
            mass_per_copy_g: 3.12,
            clean_up_s: 1440.0,
            expected_good: 20.0,
        };
        assert_eq!((plate.time_per_good_s(), plate.per_good_words().as_str()), (1836.0, "30.6 min"));
        assert_eq!(FilledPlate { expected_good: 1e-9, ..plate }.per_good_words(), "–");
        let least = Some(Least { margin: 0.289, height_mm: 60.0, cause: Cause::Push });
        let footing = Footing::Brim { width_mm: 5.0 };
        let layout = Arc::default();
        let row = FootingRow { footing, is_suggested: false, copies: 24, layout, plate: Some(plate), least };
        assert_eq!(
            row.words(),
            "brim 5 mm: 24 copies in 10 h 12 min, 25.5 min and 3.1 g each; clean-up 24 min; margin 0.28 at 60.0 mm"
        );
        let bare =
            FootingRow { footing: Footing::Bare, plate: Some(FilledPlate { clean_up_s: 0.0, ..plate }), ..row.clone() };
        assert!(!bare.words().contains("clean-up"), "{}", bare.words());
        let none = FootingRow { copies: 0, plate: None, least: None, ..row };
        assert_eq!(none.words(), "brim 5 mm: no copy fits");
        assert_eq!(
            [75.0, 90.4, 91.0, 51_258.0, f64::NAN].map(FootingRow::each_words),
            ["75 s", "90 s", "1.5 min", "14 h 14", "–"]
        );
    }
}
