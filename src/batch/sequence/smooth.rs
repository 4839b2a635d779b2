//! What the search goes by.

use super::{Plan, Runs};

/// A clock that stands still where no machine could print any longer, since nobody has been there for as long as the longest run: a weekend
/// counts as the one run that fits into it. By it a step towards an earlier finish is one, even where it is a small step back from Monday.
pub(super) struct Smooth {
    /// Where the clock stops and goes on by turns: at which time, and how much it has stood still by then, s.
    edges: Vec<(i64, i64)>,
}

impl Smooth {
    pub(super) fn new(runs: &Runs) -> Self {
        let longest_s = runs.runs.iter().flat_map(|r| r.on.iter().flatten()).map(|o| o.print_s).max().unwrap_or(0);
        let (mut at, mut still_s, mut edges) = (0, 0, Vec::new());
        for w in &runs.attended {
            if w.from_s - at > longest_s {
                edges.push((at + longest_s, still_s));
                still_s += w.from_s - at - longest_s;
                edges.push((w.from_s, still_s));
            }
            at = w.to_s;
        }
        Self { edges }
    }

    /// The time on this clock, s.
    fn clock_s(&self, s: i64) -> i64 {
        match self.edges.partition_point(|e| e.0 <= s).checked_sub(1) {
            None => s,
            Some(k) if k % 2 == 0 => self.edges[k].0 - self.edges[k].1,
            Some(k) => s - self.edges[k].1,
        }
    }

    /// A plan's cost as one number of seconds: not run, late, the ends of all machines and the last of them, changes of filament.
    pub(super) fn cost_s(&self, runs: &Runs, plan: &Plan) -> f64 {
        let mut ends = vec![0; runs.benches.len()];
        for t in &plan.timed {
            if let Some(end) = ends.get_mut(t.bench) {
                *end = t.print.to_s.max(*end);
            }
        }
        let ends_s: i64 = ends.iter().map(|s| self.clock_s(*s)).sum();
        let cost = plan.cost;
        1e9 * cost.not_run as f64
            + 20.0 * cost.late_s as f64
            + (ends_s + self.clock_s(cost.finish_s)) as f64
            + 100.0 * cost.changes as f64
            + 1e-4 * cost.ready_sum_s as f64
    }
}

#[cfg(test)]
mod tests {
    use super::super::fixtures::{days, runs};
    use super::*;

    /// The longest run takes 4 h: the clock stands still from 21:00 to 08:00.
    #[test]
    fn nights_count_as_the_longest_run() {
        let smooth = Smooth::new(&runs(1, &[4.0, 1.0], &days(3)));
        let h = 3600;
        for (s, expected) in
            [(0, 0), (9, 9), (13, 13), (14, 13), (24, 13), (25, 14), (37, 26), (40, 26), (48, 26), (49, 27)]
        {
            assert_eq!(smooth.clock_s(s * h), expected * h, "{s} h");
        }
    }
}
