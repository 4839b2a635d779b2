//! The date of a day.

/// ISO 8601 date of a day counted from 1970-01-01. Source: H. Hinnant, chrono-compatible low-level date algorithms
/// (proleptic Gregorian calendar), from memory.
pub(super) fn date(days: i64) -> String {
    let z = days + 719_468;
    let era = z.div_euclid(146_097);
    let doe = z.rem_euclid(146_097);
    let yoe = (doe - doe / 1460 + doe / 36_524 - doe / 146_096) / 365;
    let doy = doe - (365 * yoe + yoe / 4 - yoe / 100);
    let mp = (5 * doy + 2) / 153;
    let day = doy - (153 * mp + 2) / 5 + 1;
    let month = if mp < 10 { mp + 3 } else { mp - 9 };
    let year = yoe + era * 400 + i64::from(month <= 2);
    format!("{year:04}-{month:02}-{day:02}")
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn dates_of_known_days() {
        // Source: POSIX epoch, and `date -d @1795564800` of GNU coreutils.
        for (days, want) in [(0, "1970-01-01"), (59, "1970-03-01"), (11_016, "2000-02-29"), (20_782, "2026-11-25")] {
            assert_eq!(date(days), want);
        }
    }
}
