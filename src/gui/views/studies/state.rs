//! What the view remembers.

use super::small::SmallPlates;
use crate::{
    batch::Spoils,
    document::{Footing, PlateId, limits::FOOTING_WIDTH},
    studies::{CopiesWay, PlateVariant},
};

/// More widths of one kind are not compared at once.
const MOST_WIDTHS: usize = 8;

/// What is compared.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub(crate) enum Page {
    /// One part on several footings.
    #[default]
    Footings,
    /// One part in several numbers.
    Copies,
    /// One plate as it is and on other footings.
    Plate,
    /// What came out of plates.
    Tally,
}

impl Page {
    pub(super) const ALL: [Self; 4] = [Self::Footings, Self::Copies, Self::Plate, Self::Tally];

    pub(super) fn name(self) -> &'static str {
        match self {
            Self::Footings => "Footings of a part",
            Self::Copies => "How many copies",
            Self::Plate => "This plate, two ways",
            Self::Tally => "Tally",
        }
    }
    pub(super) fn tooltip(self) -> &'static str {
        match self {
            Self::Footings => "A plate filled with one part for each footing",
            Self::Copies => "1, 2, 3 … copies of one part on a plate: minutes each, good parts a day, losses",
            Self::Tally => {
                "What came out of plates, and what follows for the next: failure rates, time factors, places"
            }
            Self::Plate => "The copies on this plate as they are and on other footings, side by side",
        }
    }
}

/// What the view remembers.
pub(crate) struct StudiesView {
    pub(crate) page: Page,
    /// Widths of brims to compare, mm, as typed.
    pub(super) brims: String,
    /// Widths of rafts to compare, mm, as typed.
    pub(super) rafts: String,
    /// The row looked at; `None`: the suggested one, else the first.
    pub(super) chosen: Option<usize>,
    /// What a copy that fails spoils.
    pub(super) spoils: Spoils,
    /// How sure the number wanted is to come out, 0 to 1.
    pub(super) confidence: f64,
    /// The number of copies looked at, and how they are printed; `None`: the best one.
    pub(super) chosen_copies: Option<(usize, CopiesWay)>,
    /// The two ways compared.
    pub(super) variants: [PlateVariant; 2],
    /// What was last asked for: plate, the job's revision, ways.
    pub(super) asked: Option<(PlateId, u64, [PlateVariant; 2])>,
    pub(super) drawings: SmallPlates,
}

impl Default for StudiesView {
    fn default() -> Self {
        Self {
            page: Page::default(),
            brims: USUAL_BRIMS.into(),
            rafts: USUAL_RAFTS.into(),
            chosen: None,
            spoils: Spoils::default(),
            confidence: 0.9,
            chosen_copies: None,
            variants: [PlateVariant::AsItIs, PlateVariant::All(Footing::Brim { width_mm: 5.0 })],
            asked: None,
            drawings: SmallPlates::default(),
        }
    }
}

const USUAL_BRIMS: &str = "3, 5, 8";
const USUAL_RAFTS: &str = "3";

impl StudiesView {
    /// The footings to compare; `None` for the usual ones, with which the suggested one is compared too.
    pub(super) fn footings(&self) -> Option<Vec<Footing>> {
        if (self.brims.as_str(), self.rafts.as_str()) == (USUAL_BRIMS, USUAL_RAFTS) {
            return None;
        }
        let widths = |text: &str| widths(text).unwrap_or_default();
        let mut all = vec![Footing::Bare];
        all.extend(widths(&self.brims).into_iter().map(|width_mm| Footing::Brim { width_mm }));
        all.extend(widths(&self.rafts).into_iter().map(|width_mm| Footing::Raft { width_mm }));
        Some(all)
    }
}

/// "3, 5, 8" as numbers, the narrowest first, each once; nothing typed is no width.
///
/// # Errors
/// One sentence on what is wrong.
fn widths(text: &str) -> Result<Vec<f64>, String> {
    let mut all: Vec<f64> = Vec::new();
    for word in text.split([',', ';', ' ']).map(str::trim).filter(|w| !w.is_empty()) {
        let width = word.parse::<f64>().ok().filter(|w| *w > 0.0 && FOOTING_WIDTH.holds(*w));
        all.push(
            width.ok_or_else(|| {
                format!("{word}: type widths in mm, such as 3, 5, 8 (at most {})", FOOTING_WIDTH.most)
            })?,
        );
    }
    all.sort_by(f64::total_cmp);
    all.dedup();
    if all.len() > MOST_WIDTHS {
        return Err(format!("at most {MOST_WIDTHS} widths at once"));
    }
    Ok(all)
}

/// Whether these are widths.
pub(super) fn check_widths(text: &str) -> Result<(), String> {
    widths(text).map(drop)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn widths_as_people_type_them() {
        assert_eq!(widths("8, 3;5 3"), Ok(vec![3.0, 5.0, 8.0]));
        assert_eq!(widths(""), Ok(Vec::new()));
        for bad in ["3, five", "-2", "0", "1e9", "nan", "1 2 3 4 5 6 7 8 9"] {
            assert!(check_widths(bad).is_err(), "{bad}");
        }
        let mut view = StudiesView::default();
        assert_eq!(view.footings(), None);
        view.brims = "4".into();
        view.rafts = String::new();
        assert_eq!(view.footings(), Some(vec![Footing::Bare, Footing::Brim { width_mm: 4.0 }]));
    }
}
