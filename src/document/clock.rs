//! Times of day.

use serde::{Deserialize, Serialize};

/// Minutes in a day.
const DAY_MIN: u16 = 24 * 60;

/// A time of day to the minute, from 00:00 to 24:00; written "08:30".
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
#[serde(try_from = "String", into = "String")]
pub struct ClockTime(u16);

impl ClockTime {
    /// 00:00.
    pub const MIDNIGHT: Self = Self(0);
    /// 24:00, the end of a day.
    pub const END: Self = Self(DAY_MIN);

    /// Minutes since midnight; `None` beyond 24:00.
    pub fn from_minutes(minutes: u16) -> Option<Self> {
        (minutes <= DAY_MIN).then_some(Self(minutes))
    }
    /// Hour and minute; `None` where there is no such time of day.
    pub fn new(hour: u16, minute: u16) -> Option<Self> {
        if minute < 60 { Self::from_minutes(hour.checked_mul(60)?.checked_add(minute)?) } else { None }
    }
    /// Minutes since midnight, 0 to 1440.
    pub fn minutes(self) -> u16 {
        self.0
    }
}

impl std::fmt::Display for ClockTime {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        write!(f, "{:02}:{:02}", self.0 / 60, self.0 % 60)
    }
}

/// Text that is no time of day.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
#[error("{0:?} is not a time of day; write hours and minutes, as in 08:30")]
pub struct NoClockTime(String);

impl std::str::FromStr for ClockTime {
    type Err = NoClockTime;
    /// "8:30", "08:30", "8" and "24:00".
    fn from_str(text: &str) -> Result<Self, NoClockTime> {
        let error = || NoClockTime(text.chars().take(40).collect());
        let text = text.trim();
        let (hour, minute) = text.split_once(':').unwrap_or((text, "00"));
        let digits = |s: &str, most: usize| -> Option<u16> {
            let sound = (1..=most).contains(&s.len()) && s.bytes().all(|b| b.is_ascii_digit());
            if sound { s.parse().ok() } else { None }
        };
        let hour = digits(hour, 2).ok_or_else(error)?;
        let minute = digits(minute, 2).filter(|_| minute.len() == 2).ok_or_else(error)?;
        Self::new(hour, minute).ok_or_else(error)
    }
}

impl TryFrom<String> for ClockTime {
    type Error = NoClockTime;
    fn try_from(text: String) -> Result<Self, NoClockTime> {
        text.parse()
    }
}

impl From<ClockTime> for String {
    fn from(time: ClockTime) -> Self {
        time.to_string()
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn words_there_and_back() {
        for (text, minutes) in
            [("8:30", 510), ("08:30", 510), ("0:00", 0), ("24:00", 1440), ("8", 480), (" 17:05 ", 1025)]
        {
            assert_eq!(text.parse::<ClockTime>().map(ClockTime::minutes), Ok(minutes), "{text}");
        }
        for text in ["", "24:01", "8:60", "8:5", "-1:00", "8:30 pm", "123:00", ":30", "８:30"] {
            assert!(text.parse::<ClockTime>().is_err(), "{text}");
        }
        assert_eq!(ClockTime::new(8, 5).map(|t| t.to_string()), Some("08:05".into()));
    }
}
