//! What a plate of copies costs.

use crate::words;

/// With fewer good copies than this a time for each of them says nothing.
const HARDLY_ANY: f64 = 0.5;

/// What a plate of copies costs.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct FilledPlate {
    /// Time of the plate from switching on to the end, s.
    pub time_s: f64,
    /// That time for each copy, s.
    pub time_per_copy_s: f64,
    /// Filament for each copy, g: footing, skirt and purge included.
    pub mass_per_copy_g: f64,
    /// Hand work to take off the footings of the plate, s. Assumed, see [`crate::document::Assumptions::clean_up_s`].
    pub clean_up_s: f64,
    /// Copies expected to come out good: each may let go ([`crate::batch::failing_chance`]) and spoils those that it would strike.
    pub expected_good: f64,
}

impl FilledPlate {
    /// Time of the plate for each copy that is expected to come out good, s; infinite where none is.
    pub fn time_per_good_s(&self) -> f64 {
        self.time_s / self.expected_good.max(0.0)
    }
    /// That in words; a dash where hardly a copy is expected to come out good.
    pub fn per_good_words(&self) -> String {
        if self.expected_good < HARDLY_ANY { "–".into() } else { each_words(self.time_per_good_s()) }
    }
}

/// A time for each copy, fine enough to compare: "75 s", "25.5 min", "14 h 14".
pub(super) fn each_words(seconds: f64) -> String {
    match seconds {
        s if !s.is_finite() => "–".into(),
        s if s < 90.5 => format!("{:.0} s", s.max(0.0)),
        s if s < 99.95 * 60.0 => format!("{:.1} min", s / 60.0),
        s => words::time_short(s),
    }
}
