//! How wide text comes out, without asking a font: enough to decide what fits where.

/// Width of a character in ems, Inter Regular, rounded up by class.
fn em(c: char) -> f64 {
    match c {
        ' ' | '.' | ',' | ':' | ';' | '\'' | '|' | 'i' | 'j' | 'l' | 'I' | '!' => 0.29,
        'f' | 't' | 'r' | '(' | ')' | '/' | '-' | '·' => 0.41,
        'm' | 'w' | 'M' | 'W' | '%' | '…' | '@' => 0.90,
        '0'..='9' => 0.65,
        'A'..='Z' => 0.74,
        'a'..='z' => 0.61,
        _ => 0.70,
    }
}

/// Width of a line of text, screen points; a little more than it comes out in Inter.
pub fn width_pt(text: &str, size_pt: f32, bold: bool) -> f64 {
    text.chars().map(em).sum::<f64>() * f64::from(size_pt) * if bold { 1.05 } else { 1.0 }
}

/// The text, its end replaced by "…" where it is wider than `most_pt`.
pub fn fitted(text: &str, size_pt: f32, bold: bool, most_pt: f64) -> String {
    if width_pt(text, size_pt, bold) <= most_pt {
        return text.to_owned();
    }
    let mut cut: Vec<char> = text.chars().collect();
    while !cut.is_empty() {
        cut.pop();
        let shorter: String = cut.iter().collect::<String>().trim_end().to_owned() + "…";
        if width_pt(&shorter, size_pt, bold) <= most_pt {
            return shorter;
        }
    }
    String::new()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn long_text_is_cut_and_short_text_is_kept() {
        assert_eq!(fitted("Bench 2", 10.0, true, 200.0), "Bench 2");
        let cut = fitted("Hive fittings for the spring order", 10.0, false, 80.0);
        assert!(cut.ends_with('…') && cut.starts_with("Hive") && width_pt(&cut, 10.0, false) <= 80.0, "{cut}");
        assert_eq!(fitted("Bench", 10.0, false, 1.0), "");
    }
}
