//! The engine: which move when.

use super::{
    Aim, Layout, Problem,
    place::{self, Key, Style},
    plan::{Plan, Score},
    rng::Rng,
    sound,
    table::Table,
};
use crate::watch::Watch;

/// Rounds without improvement after which the search ends by itself.
const STALL_ROUNDS: u64 = 400;

/// Arranges: a valid first layout at once, then better ones until cancelled, the rounds are spent (`None`: no limit) or
/// nothing is left to improve. The answer is always valid by [`super::verify`]; `watch.improved` hears of each better
/// one. Same problem, seed and rounds: same layout, whatever the clock, unless cancelled.
///
/// Shapes without area, or with corners that are not finite, stay unplaced. Fixed copies may be in conflict among
/// themselves; free copies keep clear of them.
pub fn solve(problem: &Problem, seed: u64, rounds: Option<u64>, watch: &dyn Watch<Layout>) -> Layout {
    let table = Table::new(problem, &[]);
    let mut search = Search { table: &table, watch, best: None, rng: Rng::new(seed) };
    search.run(rounds);
    let layout = search.best.map_or_else(|| Plan::new(problem.beds.len()).layout(&table), |(p, _)| p.layout(&table));
    debug_assert_eq!(super::verify(problem, &layout), Ok(()));
    layout
}

struct Search<'a> {
    table: &'a Table<'a>,
    watch: &'a dyn Watch<Layout>,
    best: Option<(Plan, Score)>,
    rng: Rng,
}

impl Search<'_> {
    fn run(&mut self, rounds: Option<u64>) {
        let base = self.queue();
        let first = Style { key: Key::Low, turns: 4 };
        self.construct(&base, first);
        if base.is_empty() && matches!(self.table.problem.aim, Aim::Pack { .. }) {
            return;
        }
        let mut stall = 0;
        let mut round = 0;
        while rounds.is_none_or(|r| round < r) && stall < STALL_ROUNDS && !self.watch.cancelled() && !self.done() {
            let better = self.round(round, &base);
            stall = if better { 0 } else { stall + 1 };
            round += 1;
            let done = rounds.map_or(0.0, |r| round as f64 / r.max(1) as f64);
            self.watch.progress(done, "arranging");
        }
    }

    /// Shapes to place, the largest first.
    fn queue(&self) -> Vec<usize> {
        let Aim::Pack { counts } = &self.table.problem.aim else { return Vec::new() };
        let mut shapes: Vec<usize> = (0..self.table.bodies.len()).filter(|&s| self.table.bodies[s].usable).collect();
        let weight = |s: usize| self.table.bodies[s].weight;
        shapes.sort_by(|&a, &b| weight(b).total_cmp(&weight(a)).then(a.cmp(&b)));
        shapes.iter().flat_map(|&s| std::iter::repeat_n(s, counts.get(s).copied().unwrap_or(0))).collect()
    }

    /// Nothing left to improve?
    fn done(&self) -> bool {
        let Some((plan, _)) = &self.best else { return false };
        match &self.table.problem.aim {
            Aim::Pack { counts } => counts.iter().sum::<usize>() == 0,
            Aim::TopUp { at_most, .. } => plan.counts(self.table).iter().zip(at_most).all(|(n, most)| n >= most),
        }
    }

    fn construct(&mut self, queue: &[usize], style: Style) -> bool {
        let mut plan = Plan::new(self.table.problem.beds.len());
        match self.table.problem.aim {
            Aim::Pack { .. } => place::fill(self.table, &mut plan, queue.iter().copied(), style, self.watch),
            Aim::TopUp { .. } => place::top_up(self.table, &mut plan, style, self.watch),
        }
        self.offer(plan)
    }

    fn offer(&mut self, mut plan: Plan) -> bool {
        let score = plan.score(self.table);
        if self.best.as_ref().is_some_and(|(_, best)| !score.beats(best)) {
            return false;
        }
        let layout = plan.layout(self.table);
        let bad = sound::unsound(self.table.problem, &layout);
        if !bad.is_empty() {
            // A zone went wrong by rounding: what it let through is left out.
            for &(bed, copy) in bad.iter().rev() {
                plan.beds[bed].remove(copy);
            }
            return self.offer(plan);
        }
        self.watch.improved(&layout);
        self.best = Some((plan, score));
        true
    }

    fn round(&mut self, round: u64, base: &[usize]) -> bool {
        const KEYS: [Key; 5] = [Key::Low, Key::Left, Key::Box, Key::Corner, Key::Middle];
        let mut queue = base.to_vec();
        let style = match round {
            0..5 => Style { key: KEYS[round as usize], turns: 8 },
            5..10 => Style { key: KEYS[round as usize - 5], turns: 28 },
            _ => {
                // Neighbours in the order trade places.
                for _ in 0..=queue.len() / 4 {
                    let i = self.rng.below(queue.len());
                    let j = (i + 1 + self.rng.below(6)).min(queue.len().saturating_sub(1));
                    if i < queue.len() {
                        queue.swap(i, j);
                    }
                }
                Style { key: KEYS[self.rng.below(5)], turns: [2, 4, 8, 16][self.rng.below(4)] }
            }
        };
        self.construct(&queue, style)
    }
}
