//! Who comes first, and where.

use super::Runs;

/// In place of a machine: the one that is free first.
pub(super) const FIRST_FREE: usize = usize::MAX - 1;

/// Runs in the order in which they take what they need, and the machine of each.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct Order {
    /// Numbers of runs. The first time a run is named it is prepared and printed; the second time its parts come off. Where it is named once,
    /// they come off as early as they can.
    pub steps: Vec<usize>,
    /// The machine of each run.
    pub bench: Vec<usize>,
}

impl Order {
    /// Runs in their own order, each on the machine given; parts come off as early as they can.
    pub fn as_given(bench: Vec<usize>) -> Self {
        Self { steps: (0..bench.len()).collect(), bench }
    }

    /// A first order: those due first, then the longest, each where it ends first by the sum of what is there already.
    pub fn first(runs: &Runs) -> Self {
        let length = |i: usize| runs.runs[i].on.iter().flatten().map(|o| o.print_s).min().unwrap_or(0);
        let mut steps: Vec<usize> = (0..runs.runs.len()).collect();
        steps.sort_by_key(|&i| {
            let run = &runs.runs[i];
            (run.began.is_none(), run.due_s.unwrap_or(i64::MAX), std::cmp::Reverse(length(i)), i)
        });
        let mut filled: Vec<i64> = runs.benches.iter().map(|b| b.free_s).collect();
        let mut bench = vec![0; runs.runs.len()];
        for &i in &steps {
            let run = &runs.runs[i];
            let takes = |b: usize| run.on.get(b).copied().flatten().map(|o| o.print_s);
            let best = match run.began {
                Some((b, _)) => Some(b).filter(|b| *b < filled.len()),
                None => (0..filled.len())
                    .filter(|b| takes(*b).is_some())
                    .min_by_key(|b| (filled[*b] + takes(*b).unwrap_or(0), *b)),
            };
            if let Some(b) = best {
                bench[i] = b;
                filled[b] += takes(b).unwrap_or(0) + runs.work.preparing_s + runs.work.removal_s;
            }
        }
        Self { steps, bench }
    }
}
