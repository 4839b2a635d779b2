//! What comes of so many copies on a plate.

use std::sync::Arc;

use super::{CopiesWay, LaidCopy, filled_plate::each_words};
use crate::{batch::Spoils, document::ClockTime, words};

/// A plate that runs when nobody is there: the most frequent one of the weeks looked at.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct NightRun {
    /// When it starts.
    pub start: ClockTime,
    /// When it ends.
    pub end: ClockTime,
    /// How long it then waits, cool enough, for somebody, s.
    pub waits_s: f64,
}

impl NightRun {
    /// "starts at 16:40 and ends at 08:30, when somebody is there".
    pub fn words(&self) -> String {
        let (start, end) = (self.start, self.end);
        if self.waits_s < 60.0 {
            format!("starts at {start} and ends at {end}, when somebody is there")
        } else {
            format!("starts at {start}, ends at {end} and waits {} for somebody", words::time(self.waits_s))
        }
    }
}

/// Good copies expected of one plate by what a failure spoils, common causes left out.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct ExpectedGood {
    /// A failure spoils that copy; one after another: that copy and all after it.
    pub copy: f64,
    /// That copy and the copies within reach of its fall.
    pub reach: f64,
    /// The whole plate.
    pub plate: f64,
}

impl ExpectedGood {
    /// Under one of the three.
    pub fn under(&self, spoils: Spoils) -> f64 {
        match spoils {
            Spoils::Copy => self.copy,
            Spoils::Reach => self.reach,
            Spoils::Plate => self.plate,
        }
    }
}

/// What comes of the plate under people's hours.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct UnderHours {
    /// Changeovers a day, weekends counted.
    pub changeovers_per_day: f64,
    /// Good parts a day, weekends counted.
    pub good_per_day: f64,
    /// The most frequent run that nobody watches to its end.
    pub night: Option<NightRun>,
}

/// What comes of so many copies on a plate.
#[derive(Debug, Clone, PartialEq)]
pub struct CopiesRow {
    /// How many.
    pub copies: usize,
    /// How they are printed.
    pub way: CopiesWay,
    /// Where they lie; of a twin those of the left half.
    pub layout: Arc<[LaidCopy]>,
    /// Time of the plate from switching on to the end, s.
    pub time_s: f64,
    /// Filament of the plate, g.
    pub mass_g: f64,
    /// Share of that time by which layers are slowed or waited for, 0 to 1.
    pub slowed: f64,
    /// Good copies expected, by what a failure spoils; common causes left out.
    pub expected: ExpectedGood,
    /// Good copies expected under the model that was asked for, common causes counted.
    pub good: f64,
    /// Copies lost to common causes, on top.
    pub lost_to_common_causes: f64,
    /// Chance that every copy is good, common causes counted.
    pub all_good: f64,
    /// Plates to start so that the number wanted comes out with the confidence asked for; `None` where no number is enough.
    pub plates_to_start: Option<usize>,
    /// Under people's hours; `None` where nobody is there for a changeover.
    pub hours: Option<UnderHours>,
}

impl CopiesRow {
    /// Time of the plate for each copy, s.
    pub fn each_s(&self) -> f64 {
        self.time_s / self.copies.max(1) as f64
    }
    /// That in words: "25.5 min".
    pub fn each_words(&self) -> String {
        each_words(self.each_s())
    }
    /// Copies expected to be lost where a failure spoils this, common causes left out.
    pub fn lost(&self, spoils: Spoils) -> f64 {
        self.copies as f64 - self.expected.under(spoils)
    }
    /// Good parts a day, where somebody is there.
    pub fn good_per_day(&self) -> Option<f64> {
        self.hours.map(|h| h.good_per_day)
    }
    /// "16 copies", "16 copies one after another".
    pub fn copies_words(&self) -> String {
        let copies = words::copies(self.copies);
        match self.way {
            CopiesWay::Together => copies,
            CopiesWay::InTurn | CopiesWay::Twin => format!("{copies} {}", self.way.words()),
        }
    }
    /// "16 copies: 15 h 50 min, 59.4 min each; 0.7 changeovers and 10.6 good parts a day".
    pub fn words(&self) -> String {
        let mut text = format!("{}: {}, {} each", self.copies_words(), words::time(self.time_s), self.each_words());
        if let Some(h) = self.hours {
            text = format!(
                "{text}; {:.1} changeovers and {} good parts a day",
                h.changeovers_per_day,
                per_day_words(h.good_per_day)
            );
        }
        text
    }
}

/// Parts a day: "6.4", "21".
pub(super) fn per_day_words(per_day: f64) -> String {
    if per_day < 9.95 { format!("{per_day:.1}") } else { format!("{per_day:.0}") }
}
