//! Which number of copies is best, and why.

use super::{CopiesRow, CopiesWay, copies_row::per_day_words};
use crate::{batch::Spoils, words};

/// Less than this gained is nothing gained, as a share.
const HARDLY: f64 = 0.03;
/// Numbers that differ by less than this, as a share, count as equal: the fewer copies are the better ones then.
const EQUAL: f64 = 0.02;

/// The row with the most good parts a day, of equal ones that with the fewest copies; `None` where no row has any.
pub fn best_row(rows: &[CopiesRow]) -> Option<usize> {
    let rate = |r: &CopiesRow| r.good_per_day().filter(|g| *g > 0.0);
    let most = rows.iter().filter_map(rate).reduce(f64::max)?;
    let near = |r: &CopiesRow| rate(r).is_some_and(|g| g >= most * (1.0 - EQUAL));
    (0..rows.len()).filter(|&i| near(&rows[i])).min_by_key(|&i| (rows[i].copies, rows[i].way))
}

/// The least number of copies from which no layer of the plates studied is slowed; `None` where the last one still is.
pub fn slowing_ends_at(rows: &[CopiesRow]) -> Option<usize> {
    let mut together: Vec<&CopiesRow> = rows.iter().filter(|r| r.way == CopiesWay::Together).collect();
    together.sort_by_key(|r| r.copies);
    let served = together.iter().rev().take_while(|r| r.slowed <= 0.0).count();
    together.get(together.len() - served).map(|r| r.copies)
}

/// The best number of copies and why, or that more copies are not worth it: a sentence or two; nothing where no row has good parts a day.
pub fn copies_advice(rows: &[CopiesRow], spoils: Spoils) -> Vec<String> {
    let Some(best) = best_row(rows).map(|i| &rows[i]) else { return Vec::new() };
    let Some(of_best) = best.good_per_day() else { return Vec::new() };
    let one = rows.iter().find(|r| r.copies == 1 && r.way == CopiesWay::Together);
    let of_one = one.and_then(CopiesRow::good_per_day);
    let mut told = Vec::new();
    if rows.iter().all(|r| r.copies == 1) {
        told.push(format!("Only 1 copy fits: {} good parts a day.", per_day_words(of_best)));
        return told;
    }
    match of_one {
        Some(single) if best.copies == 1 => {
            told.push(format!("1 copy at a time gives the most good parts a day: {}.", per_day_words(single)));
            told.extend(why_not_more(rows, single, spoils));
        }
        Some(single) if of_best < single * (1.0 + HARDLY) => {
            told.push(format!(
                "More than 1 copy at a time gains hardly anything: {} give {} good parts a day, 1 copy {}.",
                best.copies_words(),
                per_day_words(of_best),
                per_day_words(single)
            ));
            told.extend(why_not_more(rows, single, spoils));
        }
        _ => {
            let when = best.hours.and_then(|h| h.night).map_or_else(
                || format!("the plate of {} is changed while somebody is there", words::time(best.time_s)),
                |night| format!("the plate of {} {}", words::time(best.time_s), night.words()),
            );
            let single = of_one.map_or_else(String::new, |g| format!("; 1 copy: {}", per_day_words(g)));
            told.push(format!("{}: {when}: {} good parts a day{single}.", best.copies_words(), per_day_words(of_best)));
        }
    }
    told
}

/// Why larger plates do not give more: failures take what batching gains, or there is nothing to gain.
fn why_not_more(rows: &[CopiesRow], single: f64, spoils: Spoils) -> Option<String> {
    let printed = |r: &CopiesRow| r.hours.map_or(0.0, |h| h.changeovers_per_day * r.copies as f64);
    let busiest = rows.iter().filter(|r| r.copies > 1).max_by(|a, b| printed(a).total_cmp(&printed(b)))?;
    let of_busiest = per_day_words(busiest.good_per_day()?);
    if printed(busiest) > single * (1.0 + 2.0 * HARDLY) {
        let spoilt = match busiest.way {
            CopiesWay::Together | CopiesWay::Twin => spoils.words(),
            CopiesWay::InTurn => "that copy and all after it",
        };
        return Some(format!(
            "Failures take what a larger plate gains: a failure spoils {spoilt}, and of {} {:.1} come out good: {of_busiest} a day.",
            busiest.copies_words(),
            busiest.good
        ));
    }
    Some(format!(
        "Somebody is there to change every plate in time, so a larger one only saves changeovers: {} give {of_busiest} a day.",
        busiest.copies_words()
    ))
}

#[cfg(test)]
mod tests {
    use std::sync::Arc;

    use super::*;
    use crate::{
        document::ClockTime,
        studies::{ExpectedGood, NightRun, UnderHours},
    };

    fn row(copies: usize, changeovers_per_day: f64, good: f64) -> CopiesRow {
        let n = copies as f64;
        CopiesRow {
            copies,
            way: CopiesWay::Together,
            layout: Arc::default(),
            time_s: 3562.5 * n,
            mass_g: n,
            slowed: if copies < 3 { 0.2 } else { 0.0 },
            expected: ExpectedGood { copy: good, reach: good, plate: good },
            good,
            lost_to_common_causes: 0.0,
            all_good: 0.5,
            plates_to_start: Some(3),
            hours: Some(UnderHours { changeovers_per_day, good_per_day: changeovers_per_day * good, night: None }),
        }
    }

    #[test]
    fn the_best_and_why() {
        let mut rows = vec![row(1, 6.0, 1.0), row(2, 3.0, 1.99), row(16, 1.32, 15.9), row(17, 1.0, 16.9)];
        let clock = |h, m| ClockTime::new(h, m).expect("a time of day");
        let night = NightRun { start: clock(16, 40), end: clock(8, 30), waits_s: 0.0 };
        rows[2].hours.as_mut().expect("hours").night = Some(night);
        assert_eq!((best_row(&rows), slowing_ends_at(&rows)), (Some(2), Some(16)));
        assert_eq!(
            copies_advice(&rows, Spoils::Copy),
            [
                "16 copies: the plate of 15 h 50 min starts at 16:40 and ends at 08:30, when somebody is there: 21 good parts a day; 1 copy: 6.0."
            ]
        );
        rows[2].hours.as_mut().expect("hours").night = Some(NightRun { waits_s: 5400.0, end: clock(6, 30), ..night });
        assert!(
            copies_advice(&rows, Spoils::Copy)[0]
                .contains("starts at 16:40, ends at 06:30 and waits 1 h 30 min for somebody")
        );
        assert_eq!(rows[2].words(), "16 copies: 15 h 50 min, 59.4 min each; 1.3 changeovers and 21 good parts a day");
    }

    #[test]
    fn where_batching_gains_nothing() {
        // Always somebody there: as many parts either way.
        let rows = vec![row(1, 6.0, 0.98), row(4, 1.5, 3.92)];
        let told = copies_advice(&rows, Spoils::Copy);
        assert!(told[0].starts_with("1 copy at a time gives the most good parts a day: 5.9"), "{told:?}");
        assert!(told[1].contains("only saves changeovers"), "{told:?}");
        // Four would be more, were they not spoilt.
        let rows = vec![row(1, 3.0, 0.8), row(4, 1.5, 1.5)];
        let told = copies_advice(&rows, Spoils::Plate);
        assert!(
            told[1].starts_with(
                "Failures take what a larger plate gains: a failure spoils the plate, and of 4 copies 1.5"
            ),
            "{told:?}"
        );
        let rows = vec![row(1, 3.0, 1.0), row(2, 1.54, 2.0)];
        assert!(
            copies_advice(&rows, Spoils::Reach)[0]
                .starts_with("More than 1 copy at a time gains hardly anything: 2 copies give 3.1")
        );
        assert_eq!(copies_advice(&rows[..1], Spoils::Copy), ["Only 1 copy fits: 3.0 good parts a day."]);
        // Equal rates: the fewer copies.
        assert_eq!(best_row(&[row(2, 1.0, 2.0), row(1, 2.0, 1.0)]), Some(1));
        let none = &[CopiesRow { hours: None, ..row(2, 1.0, 1.0) }][..];
        assert_eq!((best_row(none), copies_advice(none, Spoils::Copy).len(), slowing_ends_at(none)), (None, 0, None));
    }
}
