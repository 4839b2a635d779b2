//! Margins in words.

use super::MOST_MARGIN;

/// "0.07", "0.70", "1.3", "above 10": two decimals below 1, never rounded across 1.
pub fn margin_words(margin: f64) -> String {
    match margin {
        m if m.is_nan() => "–".into(),
        m if m < 1.0 => format!("{:.2}", (m.max(0.0) * 100.0).floor() / 100.0),
        m if m > 10.0 || m >= MOST_MARGIN => "above 10".into(),
        m => format!("{:.1}", (m * 10.0).floor() / 10.0),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn no_margin_reads_as_one_that_is_not() {
        let told = [0.0, 0.071, 0.999, 1.0, 1.39, 10.0, 10.1, 100.0, f64::NAN].map(margin_words);
        assert_eq!(told, ["0.00", "0.07", "0.99", "1.0", "1.3", "10.0", "above 10", "above 10", "–"]);
    }
}
