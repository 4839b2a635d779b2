//! Numbers as text.

use std::fmt::Write;

use crate::drawing::words;

/// The shortest text that reads back as the same number, always with a decimal point, never with an exponent.
pub(super) fn number(v: f64) -> String {
    let v = v + 0.0; // −0 becomes 0
    let mut s = format!("{v}");
    if v.is_finite() && !s.contains('.') {
        s.push_str(".0");
    }
    s
}

/// At most `places` decimal places, without trailing zeros.
pub(super) fn rounded(out: &mut String, v: f64, places: usize) {
    let start = out.len();
    // Writing to a string cannot fail.
    let _ = write!(out, "{v:.places$}");
    if out[start..].contains('.') {
        let kept = out[start..].trim_end_matches('0').trim_end_matches('.').len();
        out.truncate(start + kept);
    }
    if &out[start..] == "-0" {
        out.replace_range(start.., "0");
    }
}

/// At most `places` decimal places, with at least one: "3.0", "-0.25". A number that is none is left as it is.
pub(super) fn places(v: f64, places: usize) -> String {
    let mut out = String::new();
    rounded(&mut out, v, places);
    if v.is_finite() && !out.contains('.') {
        out.push_str(".0");
    }
    out
}

/// Text for a cell of a table. Spreadsheets take what begins with one of = + - @, a tab or a return for a formula: such
/// text gets an apostrophe before it. Control characters become �.
pub(super) fn cell(text: &str) -> String {
    let plain = words::plain(text);
    let formula = text.starts_with(['=', '+', '-', '@', '\t', '\r', '＝', '＋', '－', '＠']);
    if formula { format!("'{plain}") } else { plain.into_owned() }
}

/// Text made safe for XML content and attributes; characters that XML 1.0 forbids are dropped, other control characters
/// become �.
pub(super) fn xml(text: &str) -> String {
    let mut out = String::with_capacity(text.len());
    for c in text.chars() {
        match c {
            '&' => out.push_str("&amp;"),
            '<' => out.push_str("&lt;"),
            '>' => out.push_str("&gt;"),
            '"' => out.push_str("&quot;"),
            '\t' | '\n' | '\r' => out.push(' '),
            c if c < ' ' || c == '\u{fffe}' || c == '\u{ffff}' => {}
            c if words::steers(c) => out.push(char::REPLACEMENT_CHARACTER),
            c => out.push(c),
        }
    }
    out
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn numbers_have_a_point_and_no_exponent() {
        for (v, text) in [(3.0, "3.0"), (-0.0, "0.0"), (0.1, "0.1"), (1e-7, "0.0000001"), (1e16, "10000000000000000.0")]
        {
            assert_eq!(number(v), text);
            assert_eq!(text.parse::<f64>().expect("a number"), v);
        }
        let awkward = 0.1 + 0.2;
        assert_eq!(number(awkward).parse::<f64>().expect("a number"), awkward);
    }

    #[test]
    fn rounding_drops_zeros() {
        let mut s = String::new();
        for v in [1.25, 2.0, -0.00001, 10.0, 0.5] {
            rounded(&mut s, v, 3);
            s.push(' ');
        }
        assert_eq!(s, "1.25 2 0 10 0.5 ");
    }

    #[test]
    fn xml_is_escaped() {
        assert_eq!(xml("a<b & \"c\"\u{1}\n"), "a&lt;b &amp; &quot;c&quot; ");
        assert_eq!(xml("\u{1b}[2J\u{9b}2J\u{202e}gate"), "[2J�2J�gate");
    }

    #[test]
    fn no_cell_is_a_formula_and_numbers_stay_numbers() {
        for text in ["=1+1", "+1", "-1", "@sum", "\t=1", "\r=1", "＝1"] {
            assert!(cell(text).starts_with('\''), "{text:?}");
        }
        assert_eq!((cell("gate =1").as_str(), cell("").as_str()), ("gate =1", ""));
        assert_eq!(cell("a\u{1b}[31mb\nc"), "a�[31mb�c");
        for (v, n, text) in [(-1.5, 6, "-1.5"), (3.0, 6, "3.0"), (1.234_567_89, 6, "1.234568"), (-4e-9, 6, "0.0")] {
            assert_eq!(places(v, n), text);
        }
    }
}
