//! Typed numbers: decimal comma or point, units, plain arithmetic.

use thiserror::Error;

/// What a number measures; values are kept in the unit named here.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Unit {
    /// Millimetres.
    Mm,
    /// Degrees.
    Degrees,
    /// Percent: 18 is eighteen hundredths.
    Percent,
    /// Seconds.
    Seconds,
    /// A whole number of things.
    Count,
    /// Degrees Celsius.
    Celsius,
    /// A plain number with a unit that is only shown.
    Plain(&'static str),
}

/// Why a typed text is no number of the wanted kind.
#[derive(Debug, Clone, PartialEq, Eq, Error)]
pub(crate) enum QuantityError {
    /// Nothing was typed.
    #[error("Type a number.")]
    Empty,
    /// Something that is neither a number, a unit nor a sign.
    #[error("“{0}” is not a number or a unit. Type a number{1}.")]
    Word(String, String),
    /// A number with two decimal signs.
    #[error("“{0}” has more than one decimal sign. Type thousands without a mark.")]
    Separators(String),
    /// A bracket without its partner, or a sign without a number.
    #[error("The sum is not finished.")]
    Unfinished,
    /// Division by nothing, or beyond what a number can hold.
    #[error("The result is not a number.")]
    NotFinite,
    /// Smaller or larger than the field takes.
    #[error("Allowed: {0} to {1}.")]
    Range(String, String),
    /// A part of a thing where things are counted.
    #[error("Type a whole number, such as {0}.")]
    Whole(String),
}

impl Unit {
    /// As shown behind the number.
    pub(crate) fn suffix(self) -> &'static str {
        match self {
            Self::Mm => " mm",
            Self::Degrees => "°",
            Self::Percent => " %",
            Self::Seconds => " s",
            Self::Count => "",
            Self::Celsius => " °C",
            Self::Plain(word) => word,
        }
    }
    /// Decimals always shown, and at most shown.
    fn decimals(self) -> (usize, usize) {
        match self {
            Self::Mm => (1, 3),
            Self::Degrees => (1, 2),
            Self::Percent | Self::Seconds | Self::Celsius => (0, 2),
            Self::Count => (0, 0),
            Self::Plain(_) => (0, 4),
        }
    }
    /// The words that may follow a number, with their size in the kept unit.
    fn words(self) -> &'static [(&'static str, f64)] {
        match self {
            Self::Mm => &[
                ("mm", 1.0),
                ("cm", 10.0),
                ("m", 1000.0),
                ("µm", 0.001),
                ("um", 0.001),
                ("in", 25.4),
                ("\"", 25.4),
                ("″", 25.4),
            ],
            Self::Degrees => &[("°", 1.0), ("deg", 1.0), ("rad", 57.295_779_513_082_32), ("turn", 360.0)],
            Self::Percent => &[("%", 1.0)],
            Self::Seconds => &[("s", 1.0), ("min", 60.0), ("h", 3600.0)],
            Self::Celsius => &[("°c", 1.0), ("c", 1.0), ("°", 1.0)],
            Self::Count | Self::Plain(_) => &[],
        }
    }
    fn hint(self) -> String {
        let words: Vec<_> = self.words().iter().map(|(w, _)| *w).take(3).collect();
        if words.is_empty() { String::new() } else { format!(", with {} if you like", words.join(", ")) }
    }
}

/// The value as text, unit included.
pub(crate) fn show(value: f64, unit: Unit) -> String {
    if unit == Unit::Seconds && value > 90.0 && value < 1e7 {
        return long_time(value);
    }
    format!("{}{}", show_bare(value, unit), unit.suffix())
}

/// More than 90 s in hours, minutes and seconds, such as there are: "4 min", "1 h 20 min", "2 min 5.5 s".
fn long_time(seconds: f64) -> String {
    // In hundredths, so that 119.999 s is no "1 min 60 s".
    let hundredths = (seconds * 100.0).round() as u64;
    let (minutes, rest) = (hundredths / 6000, (hundredths % 6000) as f64 / 100.0);
    let mut words = Vec::new();
    if minutes >= 60 {
        words.push(format!("{} h", minutes / 60));
    }
    if minutes % 60 > 0 {
        words.push(format!("{} min", minutes % 60));
    }
    if rest > 0.0 {
        words.push(format!("{} s", show_bare(rest, Unit::Seconds)));
    }
    words.join(" ")
}

/// The value as text, without its unit.
pub(crate) fn show_bare(value: f64, unit: Unit) -> String {
    let (least, most) = unit.decimals();
    let mut s = format!("{value:.most$}");
    if most > least {
        let point = s.find('.').unwrap_or(s.len());
        while s.ends_with('0') && s.len() > point + 1 + least {
            s.pop();
        }
        if s.ends_with('.') {
            s.pop();
        }
    }
    if s.trim_start_matches('-').chars().all(|c| c == '0' || c == '.') {
        s = s.trim_start_matches('-').to_owned();
    }
    s
}

/// What was typed, in the kept unit. `12,5`, `12.5 mm`, `1/4 in`, `(3+2)*4`, `1 h 20 min` are all taken.
pub(crate) fn parse(text: &str, unit: Unit) -> Result<f64, QuantityError> {
    let mut p = Parser { rest: text.trim(), unit, depth: 0 };
    if p.rest.is_empty() {
        return Err(QuantityError::Empty);
    }
    let v = p.sum()?;
    if !p.rest.is_empty() {
        return Err(p.word());
    }
    if !v.is_finite() {
        return Err(QuantityError::NotFinite);
    }
    if unit == Unit::Count && v.fract() != 0.0 {
        return Err(QuantityError::Whole(show_bare(v.round(), unit)));
    }
    Ok(v)
}

struct Parser<'a> {
    rest: &'a str,
    unit: Unit,
    depth: u32,
}

impl Parser<'_> {
    fn word(&self) -> QuantityError {
        QuantityError::Word(self.rest.chars().take(16).collect(), self.unit.hint())
    }
    fn skip(&mut self) -> Option<char> {
        self.rest = self.rest.trim_start();
        self.rest.chars().next()
    }
    fn eat(&mut self, signs: &[char]) -> Option<char> {
        let c = self.skip().filter(|c| signs.contains(c))?;
        self.rest = &self.rest[c.len_utf8()..];
        Some(c)
    }
    fn sum(&mut self) -> Result<f64, QuantityError> {
        let mut v = self.product()?;
        loop {
            match self.eat(&['+', '-', '−']) {
                Some('+') => v += self.product()?,
                Some(_) => v -= self.product()?,
                // "1 h 20 min": times written one after the other add up.
                None if self.unit == Unit::Seconds && self.skip().is_some_and(|c| c.is_ascii_digit()) => {
                    v += self.product()?;
                }
                None => return Ok(v),
            }
        }
    }
    fn product(&mut self) -> Result<f64, QuantityError> {
        // A unit counts for all that stands before it: "1/4 in" is a quarter of an inch.
        let mut v = self.factor()?;
        loop {
            v *= self.unit_word().unwrap_or(1.0);
            match self.eat(&['*', '×', '/', '÷']) {
                Some('*' | '×') => v *= self.factor()?,
                Some(_) => v /= self.factor()?,
                None => return Ok(v),
            }
        }
    }
    fn factor(&mut self) -> Result<f64, QuantityError> {
        self.depth += 1;
        if self.depth > 64 {
            return Err(QuantityError::Unfinished);
        }
        let v = match self.skip() {
            Some('-' | '−') => {
                self.eat(&['-', '−']);
                -self.factor()?
            }
            Some('+') => {
                self.eat(&['+']);
                self.factor()?
            }
            Some('(') => {
                self.eat(&['(']);
                let v = self.sum()?;
                self.eat(&[')']).ok_or(QuantityError::Unfinished)?;
                v
            }
            Some(c) if c.is_ascii_digit() || c == '.' || c == ',' => self.number()?,
            Some(_) => return Err(self.word()),
            None => return Err(QuantityError::Unfinished),
        };
        self.depth -= 1;
        Ok(v)
    }
    fn number(&mut self) -> Result<f64, QuantityError> {
        let end = self.rest.find(|c: char| !(c.is_ascii_digit() || c == '.' || c == ',')).unwrap_or(self.rest.len());
        let (digits, rest) = self.rest.split_at(end);
        if digits.chars().filter(|c| !c.is_ascii_digit()).count() > 1 {
            return Err(QuantityError::Separators(digits.into()));
        }
        let v = digits.replace(',', ".").parse().map_err(|_| QuantityError::Unfinished)?;
        self.rest = rest;
        Ok(v)
    }
    fn unit_word(&mut self) -> Option<f64> {
        self.skip();
        let lower = self.rest.to_lowercase();
        let suffix = self.unit.suffix().trim().to_lowercase();
        let own = (!suffix.is_empty()).then_some((suffix.as_str(), 1.0));
        let (word, size) = self
            .unit
            .words()
            .iter()
            .copied()
            .chain(own)
            .filter(|(w, _)| {
                lower
                    .strip_prefix(w)
                    .is_some_and(|after| !w.ends_with(char::is_alphabetic) || !after.starts_with(char::is_alphabetic))
            })
            .max_by_key(|(w, _)| w.len())?;
        // Lower case may change lengths in bytes; then the word is not one of ours.
        self.rest = self.rest.get(word.len()..)?;
        Some(size)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn numbers_units_and_sums_are_taken() {
        for (text, unit, wanted) in [
            ("12,5", Unit::Mm, 12.5),
            ("12.5 mm", Unit::Mm, 12.5),
            (" .5 ", Unit::Mm, 0.5),
            ("1/4 in", Unit::Mm, 6.35),
            ("1/4\"", Unit::Mm, 6.35),
            ("2 cm + 3", Unit::Mm, 23.0),
            ("(3+2)*4", Unit::Mm, 20.0),
            ("(3+2) cm", Unit::Mm, 50.0),
            ("-−3", Unit::Mm, 3.0),
            ("10 − 4", Unit::Mm, 6.0),
            ("90°", Unit::Degrees, 90.0),
            ("0,25 turn", Unit::Degrees, 90.0),
            ("1 h 20 min", Unit::Seconds, 4800.0),
            ("1,5 H", Unit::Seconds, 5400.0),
            ("18 %", Unit::Percent, 18.0),
            ("12 / 4", Unit::Count, 3.0),
            ("11 mm³/s", Unit::Plain(" mm³/s"), 11.0),
            ("215 °C", Unit::Celsius, 215.0),
        ] {
            let got = parse(text, unit).unwrap_or(f64::NAN);
            assert!((got - wanted).abs() < 1e-9, "{text}: {got} instead of {wanted}");
        }
    }

    #[test]
    fn what_is_no_number_is_refused_with_a_sentence() {
        for text in ["", "abc", "1,234.5", "1..2", "3 +", "(2", "2)", "1 kg", "1/0", "--", ".", "1e400", "5 mmm"] {
            let refusal = parse(text, Unit::Mm).expect_err(text).to_string();
            assert!(refusal.ends_with('.'), "{text}: {refusal}");
        }
        assert_eq!(parse("2.5", Unit::Count).map_err(|e| e.to_string()), Err("Type a whole number, such as 3.".into()));
        let deep = "(".repeat(100_000);
        assert_eq!(parse(&deep, Unit::Mm), Err(QuantityError::Unfinished));
        let signs = "-".repeat(100_000);
        assert!(parse(&signs, Unit::Mm).is_err());
    }

    #[test]
    fn values_are_shown_short_and_read_back() {
        assert_eq!(show(3.0, Unit::Mm), "3.0 mm");
        assert_eq!(show(3.125, Unit::Mm), "3.125 mm");
        assert_eq!(show(-0.000_01, Unit::Mm), "0.0 mm");
        assert_eq!(show(0.0, Unit::Degrees), "0.0°");
        assert_eq!(show(20.0, Unit::Percent), "20 %");
        assert_eq!(show(100.0, Unit::Count), "100");
        let seconds = [90.0, 91.0, 240.0, 4800.0, 125.5, 119.999, 3600.0];
        let told = seconds.map(|s| show(s, Unit::Seconds));
        assert_eq!(told, ["90 s", "1 min 31 s", "4 min", "1 h 20 min", "2 min 5.5 s", "2 min", "1 h"]);
        for (s, t) in seconds.iter().zip(&told) {
            assert!((parse(t, Unit::Seconds).unwrap_or(f64::NAN) - s).abs() < 0.01, "{t}");
        }
        for v in [0.0, 1.5, 210.25, -7.125] {
            assert_eq!(parse(&show(v, Unit::Mm), Unit::Mm), Ok(v));
        }
    }
}
