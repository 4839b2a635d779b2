//! Machines that print with nobody there.

use std::collections::BTreeSet;

use super::note::{note, plates};
use crate::{
    batch::sequence::Window,
    finding::{Finding, FindingKind, Level},
    session::shifts::Timeline,
};

/// Numbers of plates named.
const NAMED: usize = 6;

/// What to do about it. Own wording; facts: NFPA Journal, September 2018 ("3D Printers Go Mainstream") names heat, long running and stored
/// material; no code text was read that permits or bans it.
pub(crate) const CAUTION: &str = "Ask your insurer and the local fire authority first, and read the machine maker's manual: their rules apply. Keep smoke \
     detection on and the surroundings clear.";

/// One finding for the whole plan: the first stretch, how many more, and the caution.
pub(super) fn finding(t: &Timeline) -> Option<Finding> {
    let mut alone: Vec<(Window, usize)> = Vec::new();
    for timed in &t.plan.timed {
        let number = t.about.get(timed.run).map_or(0, |a| a.number);
        let ahead = Window::new(timed.print.from_s.max(0), timed.print.to_s);
        alone.extend(gaps(t.calendar.attended(), ahead).into_iter().map(|w| (w, number)));
    }
    alone.sort_unstable();
    let numbers: BTreeSet<usize> = alone.iter().map(|(_, n)| *n).collect();
    let (first, _) = *alone.first()?;
    // All that lie over the first stretch are one night.
    let mut night = first;
    let mut stretches = 1;
    for (w, _) in &alone {
        if w.from_s <= night.to_s {
            night.to_s = night.to_s.max(w.to_s);
        } else {
            stretches += 1;
            night = *w;
        }
    }
    let end_s = alone.iter().take_while(|(w, _)| w.from_s <= first.to_s).map(|(w, _)| w.to_s).max()?;
    let clock = |s| t.calendar.words(s);
    let more = match stretches - 1 {
        0 => String::new(),
        1 => format!(", and once more until {}", clock(night.to_s)),
        n => format!(", and {n} more times until {}", clock(night.to_s)),
    };
    let named: Vec<usize> = numbers.iter().copied().take(NAMED).collect();
    let others = numbers.len().saturating_sub(NAMED);
    let who = if others > 0 { format!("{} and {others} more", plates(&named)) } else { plates(&named) };
    let text = format!(
        "Machines print with nobody there from {} to {}{more} ({who}). {CAUTION}",
        clock(first.from_s),
        clock(end_s)
    );
    Some(note(Level::Watch, FindingKind::Unattended, None, text))
}

/// Stretches of a print, from now on, in which nobody is there.
pub(in crate::session) fn hours(t: &Timeline, print: Window) -> Vec<Window> {
    gaps(t.calendar.attended(), Window::new(print.from_s.max(0), print.to_s))
}

/// Stretches of a time in which nobody is there.
fn gaps(attended: &[Window], whole: Window) -> Vec<Window> {
    let mut out = Vec::new();
    let mut from_s = whole.from_s;
    for w in &attended[attended.partition_point(|w| w.to_s <= whole.from_s)..] {
        if w.from_s >= whole.to_s {
            break;
        }
        if w.from_s > from_s {
            out.push(Window::new(from_s, w.from_s));
        }
        from_s = w.to_s;
    }
    if from_s < whole.to_s {
        out.push(Window::new(from_s, whole.to_s));
    }
    out
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_is_left_of_a_print_beside_hours() {
        let attended = [Window::new(0, 10), Window::new(20, 30)];
        for (whole, expected) in [
            (Window::new(2, 8), vec![]),
            (Window::new(5, 25), vec![Window::new(10, 20)]),
            (Window::new(12, 18), vec![Window::new(12, 18)]),
            (Window::new(5, 50), vec![Window::new(10, 20), Window::new(30, 50)]),
            (Window::new(40, 50), vec![Window::new(40, 50)]),
        ] {
            assert_eq!(gaps(&attended, whole), expected, "{whole:?}");
        }
    }
}
