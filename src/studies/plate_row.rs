//! What comes of a plate with other footings.

use std::sync::Arc;

use super::{FilledPlate, LaidCopy, PlateVariant, filled_plate::each_words};
use crate::{
    document::PartId,
    stability::{Least, margin_words},
    words,
};

/// What comes of a plate with other footings.
#[derive(Debug, Clone, PartialEq)]
pub struct PlateRow {
    /// Which way they stand.
    pub variant: PlateVariant,
    /// Copies on the plate as it is.
    pub asked: usize,
    /// Those that stay on it, and where; all of them where they fit.
    pub here: Arc<[LaidCopy]>,
    /// Those for which further plates of the same kind are needed, plate by plate.
    pub further: Vec<Arc<[LaidCopy]>>,
    /// Copies for which no place was found on any plate.
    pub left: usize,
    /// True where copies had to be moved.
    pub is_moved: bool,
    /// What this plate costs; `None` where it holds nothing.
    pub plate: Option<FilledPlate>,
    /// Time of the further plates together, s.
    pub further_s: f64,
    /// The least margin on this plate, and which part has it.
    pub least: Option<(Least, PartId)>,
}

impl PlateRow {
    /// "11 of 12 copies; 1 copy on 1 further plate".
    pub fn copies_words(&self) -> String {
        let here = self.here.len();
        let mut text =
            if here == self.asked { words::copies(here) } else { format!("{here} of {}", words::copies(self.asked)) };
        let apart: usize = self.further.iter().map(|p| p.len()).sum();
        if apart > 0 {
            let plates = words::count(self.further.len(), "further plate");
            text = format!("{text}; {} on {plates}", words::copies(apart));
        }
        if self.left > 0 {
            text = format!("{text}; no room for {}", words::copies(self.left));
        }
        text
    }
    /// "all with brim 5 mm: 11 of 12 copies in 10 h 12 min, 25.5 min and 3.1 g each; clean-up 24 min; margin 0.28 at 60.0 mm".
    pub fn words(&self) -> String {
        let Some(p) = self.plate else { return format!("{}: no copy fits", self.variant.words()) };
        let clean_up =
            if p.clean_up_s > 0.0 { format!("; clean-up {}", words::time(p.clean_up_s)) } else { String::new() };
        let margin = self
            .least
            .map_or_else(String::new, |(l, _)| format!("; margin {} at {:.1} mm", margin_words(l.margin), l.height_mm));
        format!(
            "{}: {} in {}, {} and {} each{clean_up}{margin}",
            self.variant.words(),
            self.copies_words(),
            words::time(p.time_s),
            each_words(p.time_per_copy_s),
            words::mass(p.mass_per_copy_g)
        )
    }
}
