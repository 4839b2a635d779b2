//! When somebody is there.

use jiff::civil::Date;
use serde::{Deserialize, Serialize};

use super::ClockTime;

/// Names of the days, Monday first.
pub const WEEKDAYS: [&str; 7] = ["Monday", "Tuesday", "Wednesday", "Thursday", "Friday", "Saturday", "Sunday"];

/// From one time of day to another; where the end is not after the beginning it is on the day after ("22:00 to 06:00").
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
pub struct Span {
    /// Beginning.
    pub from: ClockTime,
    /// End.
    pub to: ClockTime,
}

impl Span {
    /// Its length, minutes.
    pub fn minutes(self) -> u16 {
        let (from, to) = (self.from.minutes(), self.to.minutes());
        if to > from { to - from } else { to + ClockTime::END.minutes() - from }
    }
}

/// Days with other hours than their weekday: a holiday, a half day.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct OtherHours {
    /// First day.
    pub from: Date,
    /// Last day.
    pub to: Date,
    /// "works holiday".
    #[serde(default, skip_serializing_if = "String::is_empty")]
    pub name: String,
    /// Hours of each of these days; none: nobody is there.
    #[serde(default)]
    pub spans: Vec<Span>,
}

/// People's hours.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct Hours {
    /// Time zone, by its name in the IANA database ("Europe/Lisbon"); empty for this computer's.
    #[serde(default, skip_serializing_if = "String::is_empty")]
    pub time_zone: String,
    /// Hours of each weekday, Monday first.
    pub week: [Vec<Span>; 7],
    /// Exceptions. Where two of them hold the same day, the later one in the list applies.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub exceptions: Vec<OtherHours>,
    /// How many people there are: each can be at one machine at a time.
    pub people: u32,
}

impl Default for Hours {
    /// Monday to Friday, 08:00 to 17:00, one person: an example, to be changed.
    fn default() -> Self {
        let day = [(8, 17)].map(|(from, to)| Span {
            from: ClockTime::new(from, 0).unwrap_or(ClockTime::MIDNIGHT),
            to: ClockTime::new(to, 0).unwrap_or(ClockTime::END),
        });
        let week = std::array::from_fn(|i| if i < 5 { day.to_vec() } else { Vec::new() });
        Self { time_zone: String::new(), week, exceptions: Vec::new(), people: 1 }
    }
}
