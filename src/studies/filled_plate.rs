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
    /// The same printed twice at once, where of each copy `per_copy` come that were ordered: in the time of one.
    #[must_use]
    pub(super) fn twice(self, per_copy: f64) -> Self {
        Self {
            time_s: self.time_s,
            time_per_copy_s: self.time_per_copy_s / per_copy,
            mass_per_copy_g: 2.0 * self.mass_per_copy_g / per_copy,
            clean_up_s: 2.0 * self.clean_up_s,
            expected_good: per_copy * self.expected_good,
        }
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

#[cfg(test)]
mod tests {
    use super::*;

    /// Ten copies in an hour, 8 of them good: twice at once 16 in the same hour; of a pair's mirror images that nobody ordered none
    /// count, and each good one takes the filament of two.
    #[test]
    fn printed_twice_at_once() {
        let once = FilledPlate {
            time_s: 3600.0,
            time_per_copy_s: 360.0,
            mass_per_copy_g: 5.0,
            clean_up_s: 60.0,
            expected_good: 8.0,
        };
        let both = once.twice(2.0);
        assert_eq!((both.time_s, both.time_per_copy_s, both.mass_per_copy_g), (3600.0, 180.0, 5.0));
        assert_eq!((both.clean_up_s, both.expected_good, both.time_per_good_s()), (120.0, 16.0, 225.0));
        let strays = once.twice(1.0);
        assert_eq!((strays.time_per_copy_s, strays.mass_per_copy_g, strays.expected_good), (360.0, 10.0, 8.0));
    }
}
