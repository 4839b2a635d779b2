//! Numbers as text.

use std::fmt::Write;

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

/// Text made safe for XML content and attributes; characters that XML 1.0 forbids are dropped.
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
    }
}
