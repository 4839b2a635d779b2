//! Hours of a day as people type them: "08:00–12:00, 13:00–17:00".

use crate::document::{ClockTime, Span, limits::MOST_SPANS};

/// The hours as text; nothing where nobody is there.
pub(super) fn show(spans: &[Span]) -> String {
    spans.iter().map(|s| format!("{}–{}", s.from, s.to)).collect::<Vec<_>>().join(", ")
}

/// Hours as typed, in order; nothing typed is nobody there.
///
/// # Errors
/// One sentence on what to type.
pub(super) fn parse(text: &str) -> Result<Vec<Span>, String> {
    let mut all = Vec::new();
    let text = text.trim();
    if text.is_empty() || text.eq_ignore_ascii_case("none") || text == "–" || text == "-" {
        return Ok(all);
    }
    for part in text.split([',', ';']).map(str::trim).filter(|p| !p.is_empty()) {
        let ends = part.split_once(" to ").or_else(|| part.split_once(['–', '-', '—']));
        let (from, to) = ends.ok_or_else(|| format!("{part}: type hours such as 08:00–17:00"))?;
        let at = |text: &str| text.parse::<ClockTime>().map_err(|e| e.to_string());
        let span = Span { from: at(from)?, to: at(to)? };
        if span.from == span.to {
            return Err(format!("{part}: the end is the beginning"));
        }
        all.push(span);
    }
    if all.len() > MOST_SPANS {
        return Err(format!("At most {MOST_SPANS} stretches a day."));
    }
    all.sort_by_key(|s| s.from);
    for pair in all.windows(2) {
        if pair[0].to <= pair[0].from || pair[1].from < pair[0].to {
            return Err(format!("{}–{} and {}–{} overlap.", pair[0].from, pair[0].to, pair[1].from, pair[1].to));
        }
    }
    Ok(all)
}

/// Whether these are hours.
pub(super) fn check(text: &str) -> Result<(), String> {
    parse(text).map(drop)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn hours_as_people_type_them() {
        for (typed, shown) in [
            ("8-17", "08:00–17:00"),
            ("13:00 to 17:30, 8:00–12", "08:00–12:00, 13:00–17:30"),
            ("22–6", "22:00–06:00"),
            ("0-24", "00:00–24:00"),
            ("  ", ""),
            ("none", ""),
        ] {
            assert_eq!(parse(typed).map(|s| show(&s)), Ok(shown.to_owned()), "{typed}");
            assert_eq!(parse(shown), parse(typed), "and back");
        }
        for wrong in ["8", "8-25", "8-12, 11-17", "22-6, 23-24", "8-8", "eight to five"] {
            assert!(check(wrong).is_err(), "{wrong}");
        }
    }
}
