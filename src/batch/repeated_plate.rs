//! The same plate again and again on one machine.

use thiserror::Error;

/// More plates than this are not followed one by one.
const MOST_RUNS: usize = 100_000;

/// A plate that is printed again and again.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct RepeatedPlate {
    /// Printing, s.
    pub plate_s: f64,
    /// From its end until it is cool enough to be taken off, s.
    pub cooling_s: f64,
    /// Hand work: taking it off and starting the next one, s. In one piece, while somebody is there.
    pub changeover_s: f64,
}

/// One of the plates.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Run {
    /// Its beginning, s.
    pub start_s: f64,
    /// Its end, s.
    pub end_s: f64,
    /// When the changeover after it begins, s.
    pub changed_s: f64,
}

/// What comes of it.
#[derive(Debug, Clone, PartialEq)]
pub struct Repeated {
    /// Plates in the time looked at; the one that is under way at its end counts with its share.
    pub plates: f64,
    /// Length of that time, s.
    pub span_s: f64,
    /// The plates, the last one maybe beyond that time.
    pub runs: Vec<Run>,
}

impl Repeated {
    /// Plates, and so changeovers, a day.
    pub fn per_day(&self) -> f64 {
        self.plates / self.span_s * 86_400.0
    }
}

/// Why no plate is ever changed.
#[derive(Debug, Clone, Copy, PartialEq, Error)]
pub enum NoChangeover {
    /// No hours at all.
    #[error("nobody is there in these weeks")]
    Nobody,
    /// No window is long enough.
    #[error("a changeover takes {changeover_s} s, and nobody is there for longer than {longest_s} s")]
    TooShort {
        /// What it takes, s.
        changeover_s: f64,
        /// The longest time that somebody is there, s.
        longest_s: f64,
    },
    /// Times are no numbers.
    #[error("the times of the plate or of the changeover are no numbers")]
    NoNumbers,
    /// The machine is down whenever a plate could run.
    #[error("the machine is never up for long enough")]
    Down,
}

/// Follows a plate that is printed again and again: it cools, then somebody who is there changes it in one piece, then the next one starts.
/// `windows_s`: when somebody is there, in order and apart; `closed_s`: when the machine is not to be had, in which it prints nothing. The first
/// changeover is the earliest one; from it on `span_s` are looked at.
///
/// Windows should reach beyond `span_s` by a plate and a weekend: a plate after the last window counts as changed as soon as it is cool.
///
/// # Errors
/// [`NoChangeover`].
pub fn repeated_plate(
    windows_s: &[(f64, f64)],
    closed_s: &[(f64, f64)],
    plate: &RepeatedPlate,
    span_s: f64,
) -> Result<Repeated, NoChangeover> {
    let RepeatedPlate { plate_s, cooling_s, changeover_s } = *plate;
    if ![plate_s, cooling_s, changeover_s, span_s].iter().all(|t| t.is_finite() && *t >= 0.0) || span_s == 0.0 {
        return Err(NoChangeover::NoNumbers);
    }
    let longest_s = windows_s.iter().map(|w| w.1 - w.0).fold(0.0, f64::max);
    if windows_s.is_empty() || longest_s <= 0.0 {
        return Err(NoChangeover::Nobody);
    }
    if longest_s + 1e-6 < changeover_s {
        return Err(NoChangeover::TooShort { changeover_s, longest_s });
    }
    // A plate of no time would be changed without end.
    let plate_s = plate_s.max(1.0);
    let next = |ready_s: f64, from: usize| next_changeover(windows_s, closed_s, ready_s, from, (changeover_s, plate_s));
    let Some((first_s, mut window)) = next(0.0, 0) else { return Err(NoChangeover::Down) };
    let end_s = first_s + span_s;
    let (mut at_s, mut plates, mut runs) = (first_s, 0.0, Vec::new());
    loop {
        let start_s = at_s + changeover_s;
        let over_s = start_s + plate_s;
        let ready_s = over_s + cooling_s;
        let changed_s = match next(ready_s, window) {
            Some((at, w)) => {
                window = w;
                at
            }
            None => ready_s,
        };
        runs.push(Run { start_s, end_s: over_s, changed_s });
        if changed_s >= end_s {
            plates += (end_s - at_s) / (changed_s - at_s);
            break;
        }
        plates += 1.0;
        if runs.len() >= MOST_RUNS {
            // Many short plates: the rest goes on at the same pace.
            plates *= span_s / (changed_s - first_s);
            break;
        }
        at_s = changed_s;
    }
    Ok(Repeated { plates, span_s, runs })
}

/// The first changeover from `ready_s` on after which the machine is up until the plate's end, and the number of its window; windows before
/// `from` are over.
fn next_changeover(
    windows_s: &[(f64, f64)],
    closed_s: &[(f64, f64)],
    mut ready_s: f64,
    mut from: usize,
    (changeover_s, plate_s): (f64, f64),
) -> Option<(f64, usize)> {
    while let Some(window) = windows_s.get(from) {
        let at = ready_s.max(window.0);
        if at + changeover_s > window.1 + 1e-6 {
            from += 1;
            continue;
        }
        match closed_s.iter().find(|c| c.0 < at + changeover_s + plate_s && c.1 > at) {
            None => return Some((at, from)),
            Some(down) => ready_s = down.1,
        }
    }
    None
}

#[cfg(test)]
mod tests {
    use super::*;

    const HOUR: f64 = 3600.0;
    const DAY: f64 = 24.0 * HOUR;

    /// Five days of seven, 08:00 to 17:00, from a Monday's midnight.
    fn weeks(n: u32) -> Vec<(f64, f64)> {
        let day = |d: u32| (f64::from(d) * DAY + 8.0 * HOUR, f64::from(d) * DAY + 17.0 * HOUR);
        (0..7 * n).filter(|d| d % 7 < 5).map(day).collect()
    }

    fn plate(plate_h: f64, changeover_h: f64) -> RepeatedPlate {
        RepeatedPlate { plate_s: plate_h * HOUR, cooling_s: 0.0, changeover_s: changeover_h * HOUR }
    }

    /// By hand: a plate of 15 h 50 min with a changeover of 10 min, every day, 08:00 to 17:00. The first changeover at 08:00, the plate ends at
    /// 00:00 and waits until 08:00: one a working day.
    #[test]
    fn one_a_working_day() {
        let told = repeated_plate(&weeks(6), &[], &plate(15.0 + 5.0 / 6.0, 1.0 / 6.0), 28.0 * DAY).expect("it runs");
        assert!((told.per_day() - 5.0 / 7.0).abs() < 1e-9, "{}", told.per_day());
        let first = told.runs[0];
        assert!((first.start_s / HOUR - 8.0 - 1.0 / 6.0).abs() < 1e-9 && (first.end_s / HOUR - 24.0).abs() < 1e-9);
        assert!((first.changed_s / HOUR - 32.0).abs() < 1e-9);
    }

    /// By hand: 1 h plates with changeovers of a quarter: 08:00, 09:15, … 16:45 is the eighth, which ends at 18:00: eight a working day.
    /// 08:00 + k · 1:15 with the changeover ended by 17:00: k = 0 … 7.
    #[test]
    fn short_plates_wait_for_the_morning() {
        let told = repeated_plate(&weeks(6), &[], &plate(1.0, 0.25), 28.0 * DAY).expect("it runs");
        assert!((told.plates - 8.0 * 20.0).abs() < 1e-9, "{}", told.plates);
        // An hour to cool after each: 08:00, 10:15, 12:30, 14:45: four.
        let cooling = RepeatedPlate { cooling_s: HOUR, ..plate(1.0, 0.25) };
        let told = repeated_plate(&weeks(6), &[], &cooling, 28.0 * DAY).expect("it runs");
        assert!((told.plates - 4.0 * 20.0).abs() < 1e-9, "{}", told.plates);
    }

    /// Somebody always there: 28 days in plates of 12 h and changeovers of half an hour, the last one in part.
    #[test]
    fn day_and_night() {
        let told = repeated_plate(&[(0.0, 100.0 * DAY)], &[], &plate(12.0, 0.5), 28.0 * DAY).expect("it runs");
        assert!((told.plates - 28.0 * 24.0 / 12.5).abs() < 1e-9);
    }

    #[test]
    fn a_machine_that_is_down_prints_nothing() {
        // Down on Tuesday from 06:00 to 12:00: Monday's plate of 20 h would run into it, and does not begin before it is over.
        let closed = [(DAY + 6.0 * HOUR, DAY + 12.0 * HOUR)];
        let told = repeated_plate(&weeks(6), &closed, &plate(23.5, 0.5), 21.0 * DAY).expect("it runs");
        assert!((told.runs[0].start_s - (DAY + 12.5 * HOUR)).abs() < 1e-6, "{:?}", told.runs[0]);
        for run in &told.runs {
            assert!(run.end_s <= closed[0].0 || run.start_s >= closed[0].1);
        }
        assert_eq!(repeated_plate(&weeks(1), &[(0.0, 99.0 * DAY)], &plate(1.0, 0.5), DAY), Err(NoChangeover::Down));
    }

    #[test]
    fn why_nothing_runs() {
        assert_eq!(repeated_plate(&[], &[], &plate(1.0, 0.1), DAY), Err(NoChangeover::Nobody));
        let short = repeated_plate(&[(0.0, 300.0)], &[], &plate(1.0, 0.25), DAY);
        assert_eq!(short, Err(NoChangeover::TooShort { changeover_s: 900.0, longest_s: 300.0 }));
        let never = RepeatedPlate { cooling_s: f64::INFINITY, ..plate(1.0, 0.1) };
        assert_eq!(repeated_plate(&weeks(1), &[], &never, DAY), Err(NoChangeover::NoNumbers));
        let none = RepeatedPlate { plate_s: 0.0, cooling_s: 0.0, changeover_s: 0.0 };
        let many = repeated_plate(&weeks(2), &[], &none, 7.0 * DAY).expect("it runs");
        assert!(many.plates > 1e5 && many.runs.len() <= MOST_RUNS);
    }
}
