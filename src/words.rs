//! Numbers in words: the same on every drawing, in every panel and on the command line.

use std::borrow::Cow;

/// "15 h 40 min", "38 min", "12 s"; a dash for what is not a number.
pub fn time(seconds: f64) -> String {
    let short = time_short(seconds);
    if short.contains(" h ") { short + " min" } else { short }
}

/// "15 h 40", "38 min", "12 s": a time in a narrow column.
pub fn time_short(seconds: f64) -> String {
    if !seconds.is_finite() {
        return "–".to_owned();
    }
    let minutes = whole_minutes(seconds);
    if seconds < 59.5 {
        format!("{:.0} s", seconds.max(0.0))
    } else if minutes < 60 {
        format!("{minutes} min")
    } else {
        format!("{} h {:02}", minutes / 60, minutes % 60)
    }
}

/// A time that may be long: "75 min" up to 90, "2 h 05 min" up to two days, then "3 days 4 h".
pub fn long_time(seconds: f64) -> String {
    let minutes = whole_minutes(seconds);
    if !seconds.is_finite() || seconds < 59.5 {
        return time(seconds);
    }
    if minutes <= 90 {
        return format!("{minutes} min");
    }
    if minutes <= 48 * 60 {
        return time(seconds);
    }
    let hours = (minutes + 30) / 60;
    match hours % 24 {
        0 => count((hours / 24) as usize, "day"),
        rest => format!("{} {rest} h", count((hours / 24) as usize, "day")),
    }
}

/// The nearest whole minutes, as times are written.
pub fn whole_minutes(seconds: f64) -> u64 {
    (seconds / 60.0).round().max(0.0) as u64
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

/// "12.4 m".
pub fn length(millimetres: f64) -> String {
    format!("{:.1} m", millimetres / 1000.0)
}

/// "1 copy", "26 copies".
pub fn copies(n: usize) -> String {
    if n == 1 { "1 copy".into() } else { format!("{n} copies") }
}

/// "1 file", "3 files": things whose plural takes an s.
pub fn count(n: usize, thing: &str) -> String {
    if n == 1 { format!("1 {thing}") } else { format!("{n} {thing}s") }
}

/// "cost 1.90 EUR", "cost € 1.90"; "cost 1.90" where no currency is named.
pub fn cost(amount: f64, currency: &str) -> String {
    // A sign stands before the amount, a code behind it.
    let is_sign = !currency.is_empty() && !currency.chars().any(char::is_alphabetic);
    match currency {
        "" => format!("cost {amount:.2}"),
        sign if is_sign => format!("cost {sign} {amount:.2}"),
        code => format!("cost {amount:.2} {code}"),
    }
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

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn names_cannot_steer_a_terminal() {
        assert_eq!(plain("gate\u{1b}[2J\nstop \u{9b}0m\u{202e}"), "gate�[2J�stop �0m�");
        assert!(matches!(plain("Größe 2 – №"), Cow::Borrowed(_)));
    }

    #[test]
    fn times_masses_counts_and_costs_are_short() {
        assert_eq!((time(56_400.0), time_short(56_400.0)), ("15 h 40 min".into(), "15 h 40".into()));
        assert_eq!((time(3599.0), time(2280.0), time(12.2)), ("1 h 00 min".into(), "38 min".into(), "12 s".into()));
        let long = [30.0, 75.0 * 60.0, 5400.0, 5460.0, 172_800.0, 172_900.0, 262_800.0].map(long_time);
        assert_eq!(long, ["30 s", "75 min", "90 min", "1 h 31 min", "48 h 00 min", "2 days", "3 days 1 h"]);
        assert_eq!((time(f64::NAN), time(-3.0)), ("–".into(), "0 s".into()));
        assert_eq!((mass(3.04), mass(412.3), mass(1240.0)), ("3.0 g".into(), "412 g".into(), "1.24 kg".into()));
        assert_eq!((mass_range(212.0, 221.0), mass_range(3.0, 3.01)), ("212 g to 221 g".into(), "3.0 g".into()));
        assert_eq!((copies(1), copies(0), count(1, "file")), ("1 copy".into(), "0 copies".into(), "1 file".into()));
        let costs = ["", "EUR", "€", "kr"].map(|c| cost(1.904, c));
        assert_eq!(costs, ["cost 1.90", "cost 1.90 EUR", "cost € 1.90", "cost 1.90 kr"]);
    }
}
