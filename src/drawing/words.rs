//! Numbers in words, as the drawings write them.

use std::borrow::Cow;

use crate::{
    estimate::Items,
    plate::{Conflict, ConflictKind},
};

/// "15 h 40 min", "38 min", "12 s"; a dash for what is not a number.
pub fn time(seconds: f64) -> String {
    if !seconds.is_finite() {
        return "–".to_owned();
    }
    let minutes = whole_minutes(seconds);
    if seconds < 59.5 {
        format!("{:.0} s", seconds.max(0.0))
    } else if minutes < 60 {
        format!("{minutes} min")
    } else {
        format!("{} h {:02} min", minutes / 60, minutes % 60)
    }
}

/// The nearest whole minutes, as times are written.
pub fn whole_minutes(seconds: f64) -> u64 {
    (seconds / 60.0).round().max(0.0) as u64
}

/// True for a character that steers a screen or a printer and is not seen itself: control characters (a terminal's escape
/// sequences begin with one), line separators, and marks that turn the direction of what follows.
pub fn steers(c: char) -> bool {
    c.is_control() || matches!(c, '\u{2028}' | '\u{2029}' | '\u{202a}'..='\u{202e}' | '\u{2066}'..='\u{2069}')
}

/// Text on one line, with � for every character that [`steers`].
pub fn plain(text: &str) -> Cow<'_, str> {
    if text.contains(steers) { text.replace(steers, "\u{fffd}").into() } else { text.into() }
}

/// "walls", "3 h 12 min": the items of a plate's time that do not read as no time at all.
pub fn items(items: &Items) -> Vec<(String, String)> {
    let told = items.list().into_iter().filter(|(_, seconds)| *seconds > 0.5);
    told.map(|(name, seconds)| (name.to_owned(), time(seconds))).collect()
}

/// "3.0 g", "412 g", "1.24 kg"; a dash for what is not a number.
pub fn mass(grams: f64) -> String {
    if !grams.is_finite() {
        "–".to_owned()
    } else if grams < 9.95 {
        format!("{:.1} g", grams.max(0.0))
    } else if grams < 999.5 {
        format!("{grams:.0} g")
    } else {
        format!("{:.2} kg", grams / 1000.0)
    }
}

/// "212 to 221 g"; one value where both read the same.
pub fn mass_range(least_g: f64, most_g: f64) -> String {
    let (least, most) = (mass(least_g), mass(most_g));
    if least == most { most } else { format!("{least} to {most}") }
}

/// What is written beside a conflict: the word and the millimetres, "overlap 8.0".
pub fn conflict(c: &Conflict) -> String {
    let word = match c.kind {
        ConflictKind::Overlap => "overlap",
        ConflictKind::Clearance => "gap short",
        ConflictKind::FootingOverlap => "footing in",
        ConflictKind::FootingClearance => "footings short",
        ConflictKind::OffBed => "off bed",
        ConflictKind::TooLarge => return "too large".to_owned(),
        ConflictKind::KeepOut => "keep-out",
        ConflictKind::SkirtRoom => "skirt",
        ConflictKind::TooTall => "too tall",
        ConflictKind::MixedRecipe => return "other recipe".to_owned(),
    };
    format!("{word} {:.1}", c.amount_mm)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn names_cannot_steer_a_terminal() {
        assert_eq!(plain("gate\u{1b}[2J\nstop \u{9b}0m\u{202e}"), "gate�[2J�stop �0m�");
        assert!(matches!(plain("Größe 2 – №"), Cow::Borrowed(_)));
    }

    #[test]
    fn times_and_masses() {
        assert_eq!(time(56_400.0), "15 h 40 min");
        assert_eq!((time(3599.0), time(2280.0), time(12.2)), ("1 h 00 min".into(), "38 min".into(), "12 s".into()));
        assert_eq!((time(f64::NAN), time(-3.0)), ("–".into(), "0 s".into()));
        let spent = Items { walls_s: 11_520.0, travel_s: 0.4, slowing_s: f64::NAN, end_s: 0.6, ..Items::default() };
        let told = [("walls", "3 h 12 min"), ("end", "1 s")].map(|(name, time)| (name.to_owned(), time.to_owned()));
        assert_eq!(items(&spent), told);
        assert_eq!((mass(3.04), mass(412.3), mass(1240.0)), ("3.0 g".into(), "412 g".into(), "1.24 kg".into()));
    }
}
