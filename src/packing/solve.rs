//! The engine: which move when.

use std::sync::{
    OnceLock,
    atomic::{AtomicBool, Ordering},
};

use super::{
    Aim, Layout, Problem,
    bodies::zone_table::ZoneTable,
    judge::quick_check,
    mixed::fit::{self, Fitter},
    mixed::improve,
    mixed::place::{self, Key, Style},
    mixed::plan::{Plan, Score},
    mixed::separate::SeparationEffort,
    regular::block::Blocked,
    regular::lattice_family::LatticeEffort,
    regular::repeat::{self, Lattices},
    regular::shelves,
};
use crate::{rng::Rng, watch::Watch};

/// Rounds without improvement after which the search ends by itself.
const STALL_ROUNDS: u64 = 400;
/// Layouts that are placed one copy after another before copies are parted.
const CONSTRUCTED: u64 = 10;
/// A layout with more turns than this is not searched on from.
const MANY_TURNS: usize = 64;
/// How much is tried for lattices.
const LATTICE: LatticeEffort = LatticeEffort { turns: 24, contacts: 24, shifts: 16, kept: 12 };
const BLOCK_LATTICE: LatticeEffort = LatticeEffort { turns: 8, contacts: 8, shifts: 12, kept: 4 };
/// Of so many rounds one is tried in blocks, where there are any.
const BLOCKS_EVERY: u64 = 6;

/// Arranges: a valid first layout at once, then better ones until cancelled, the rounds are spent (`None`: no limit) or
/// nothing is left to improve. The answer is always valid by [`super::verify`]; `watch.improved` hears of each better
/// one. Same problem, seed and rounds: same layout, whatever the clock, unless cancelled.
///
/// Shapes without area, or with corners that are not finite, stay unplaced. Fixed copies may be in conflict among
/// themselves; free copies keep clear of them.
pub fn solve(problem: &Problem, seed: u64, rounds: Option<u64>, watch: &dyn Watch<Layout>) -> Layout {
    solve_from(problem, None, seed, rounds, watch)
}

/// As [`solve`], beginning with a layout that is there already (`now`): the answer is never worse than it. It is
/// ignored where it is not valid.
pub fn solve_from(
    problem: &Problem,
    now: Option<&Layout>,
    seed: u64,
    rounds: Option<u64>,
    watch: &dyn Watch<Layout>,
) -> Layout {
    let (asked, problem) = (problem, &*problem.untwinned());
    let now = now.filter(|n| n.count() > 0 && super::verify(asked, n).is_ok());
    // With no time left nothing is made ready for a search.
    let in_rows = (shelves::is_crowd(problem) || watch.cancelled()).then(|| shelves::laid(problem));
    if let Some(rows) = &in_rows
        && now.is_none()
    {
        watch.improved(rows);
    }
    if let Some(rows) = in_rows.as_ref().filter(|_| shelves::are_all(problem) || watch.cancelled()) {
        // Fewer left over, then fewer beds.
        let worth = |l: &Layout| (l.unplaced.iter().sum::<usize>(), l.beds.iter().filter(|b| !b.is_empty()).count());
        return now.filter(|n| worth(n) <= worth(rows)).unwrap_or(rows).clone();
    }
    let begun = now.map(|n| turns_of(problem, n)).unwrap_or_default();
    if let Some(now) = now.filter(|_| begun.iter().map(Vec::len).sum::<usize>() > MANY_TURNS) {
        // A table of so many turns would slow down every move.
        let found = solve_from(asked, None, seed, rounds, watch);
        return if is_better(problem, &found, now) { found } else { now.clone() };
    }
    let mut begun = begun;
    if let Some(rows) = &in_rows {
        begun.resize(problem.shapes.len(), Vec::new());
        for (known, turns) in begun.iter_mut().zip(turns_of(problem, rows)) {
            let more: Vec<f64> = turns.into_iter().filter(|t| !known.contains(t)).collect();
            known.extend(more);
        }
    }
    let table = ZoneTable::new(problem, &begun);
    let mut search =
        Search { table: &table, watch, best: None, rng: Rng::new(seed), in_blocks: None, fitter: OnceLock::new() };
    let base = queue(&table);
    if let Some(plan) = now.and_then(|n| Plan::of(n, &table)) {
        let score = plan.score(&table);
        search.best = Some((plan, score));
    }
    if let Some(plan) = in_rows.as_ref().and_then(|rows| Plan::of(rows, &table)) {
        let score = plan.score(&table);
        if search.best.as_ref().is_none_or(|(_, best)| score.beats(best)) {
            search.best = Some((plan, score));
        }
    }
    if in_rows.is_none() || !watch.cancelled() {
        search.first(&base);
    }
    let nothing_free = base.is_empty() && matches!(problem.aim, Aim::Pack { .. });
    let layout = if rounds == Some(0) || nothing_free || watch.cancelled() || search.done() {
        search.answer()
    } else {
        let lattices = repeat::lattices(&table, LATTICE, watch);
        let of_blocks = repeat::of_blocks(&table, BLOCK_LATTICE, watch);
        let blocked = Blocked::of(&table);
        let in_blocks = blocked.as_ref().map(|b| (b, ZoneTable::new(&b.problem, &[])));
        let mut more = repeat::turns(lattices.iter().chain(&of_blocks), problem.shapes.len());
        let of_members = in_blocks.as_ref().map(|(b, t)| b.turns(t)).unwrap_or_default();
        for turns in [of_members, begun] {
            for (more, turns) in more.iter_mut().zip(turns) {
                let fresh: Vec<f64> = turns.into_iter().filter(|t| !more.contains(t)).collect();
                more.extend(fresh);
            }
        }
        let wider = ZoneTable::new(problem, &more);
        let best = search.best.take().map(|(p, score)| (p.translated(&table, &wider), score));
        let in_blocks = in_blocks.as_ref().map(|(blocked, table)| InBlocks { blocked, table, best: None });
        let mut search = Search { table: &wider, watch, best, rng: search.rng, in_blocks, fitter: OnceLock::new() };
        search.repeat(&lattices, &base);
        search.repeat(&of_blocks, &base);
        search.run(rounds, &base);
        search.answer()
    };
    debug_assert_eq!(super::verify(asked, &layout), Ok(()));
    layout
}

/// The turns in a layout, by shape.
fn turns_of(problem: &Problem, layout: &Layout) -> Vec<Vec<f64>> {
    let mut turns: Vec<Vec<f64>> = vec![Vec::new(); problem.shapes.len()];
    for item in layout.beds.iter().flatten() {
        if let Some(t) = turns.get_mut(item.shape)
            && !t.contains(&item.at.turn_rad)
        {
            t.push(item.at.turn_rad);
        }
    }
    turns
}

/// Does a layout beat another?
fn is_better(problem: &Problem, one: &Layout, other: &Layout) -> bool {
    let both = Layout { beds: [one, other].into_iter().flat_map(|l| l.beds.iter().cloned()).collect(), ..one.clone() };
    let table = ZoneTable::new(problem, &turns_of(problem, &both));
    let score = |l| Plan::of(l, &table).map(|p| p.score(&table));
    match (score(one), score(other)) {
        (Some(one), Some(other)) => one.beats(&other),
        (one, _) => one.is_some(),
    }
}

/// Ends where another does, or at a word.
struct Until<'a> {
    watch: &'a dyn Watch<Layout>,
    over: AtomicBool,
}

impl Watch<Layout> for Until<'_> {
    fn cancelled(&self) -> bool {
        self.over.load(Ordering::Relaxed) || self.watch.cancelled()
    }
}

/// Shapes to place, the largest first.
fn queue(table: &ZoneTable<'_>) -> Vec<usize> {
    let Aim::Pack { counts } = &table.problem.aim else { return Vec::new() };
    let mut shapes: Vec<usize> = (0..table.bodies.len()).filter(|&s| table.bodies[s].usable).collect();
    let weight = |s: usize| table.bodies[s].weight;
    shapes.sort_by(|&a, &b| weight(b).total_cmp(&weight(a)).then(a.cmp(&b)));
    shapes.iter().flat_map(|&s| std::iter::repeat_n(s, counts.get(s).copied().unwrap_or(0))).collect()
}

/// All placed one after another.
fn built(table: &ZoneTable<'_>, queue: &[usize], style: Style, watch: &dyn Watch<Layout>) -> Plan {
    let mut plan = Plan::new(table.problem.beds.len());
    completed(table, &mut plan, queue.iter().copied(), style, watch);
    plan
}

/// What is missing, placed one after another.
fn completed(
    table: &ZoneTable<'_>,
    plan: &mut Plan,
    queue: impl IntoIterator<Item = usize>,
    style: Style,
    watch: &dyn Watch<Layout>,
) {
    match table.problem.aim {
        Aim::Pack { .. } => place::fill(table, plan, queue, style, watch),
        Aim::TopUp { .. } => place::top_up(table, plan, style, watch),
    }
}

impl InBlocks<'_> {
    /// Blocks parted; now and then, and at first, all placed anew.
    fn tried(&self, anew: bool, style: Style, rng: &mut Rng, watch: &dyn Watch<Layout>) -> Option<Plan> {
        let effort = SeparationEffort { stale: 30, strikes: 2 };
        match &self.best {
            Some((best, _)) if !anew => improve::attempt(self.table, best, false, style, effort, rng, watch),
            _ => Some(built(self.table, &queue(self.table), style, watch)),
        }
    }
}

struct Search<'a> {
    table: &'a ZoneTable<'a>,
    watch: &'a dyn Watch<Layout>,
    best: Option<(Plan, Score)>,
    rng: Rng,
    in_blocks: Option<InBlocks<'a>>,
    fitter: OnceLock<Fitter<'a>>,
}

/// The same search with blocks in place of copies.
struct InBlocks<'a> {
    blocked: &'a Blocked,
    table: &'a ZoneTable<'a>,
    best: Option<(Plan, Score)>,
}

impl Search<'_> {
    fn answer(&self) -> Layout {
        let none = || Plan::new(self.table.problem.beds.len());
        self.best.as_ref().map_or_else(none, |(p, _)| p.clone()).layout(self.table)
    }

    /// A layout at once, unturned; then one with a few turns.
    fn first(&mut self, base: &[usize]) {
        let mut order = base.to_vec();
        order.dedup();
        self.table.warm(&order, self.watch);
        for turns in [1, 4] {
            let style = Style { key: Key::Low, turns, proved: false };
            self.offer(self.built(base, style), style);
        }
    }

    /// Plans made of lattices.
    fn repeat(&mut self, lattices: &Lattices, base: &[usize]) {
        if lattices.is_empty() {
            return;
        }
        for partly in [false, true] {
            let style = Style { key: Key::Low, turns: 8, proved: false };
            self.offer(repeat::plan(self.table, lattices, base, partly, style, self.watch), style);
        }
    }

    fn run(&mut self, rounds: Option<u64>, base: &[usize]) {
        let mut stall = 0;
        let mut round = 0;
        while rounds.is_none_or(|r| round < r) && stall < STALL_ROUNDS && !self.watch.cancelled() && !self.done() {
            let better = self.round(round, base);
            stall = if better { 0 } else { stall + 1 };
            round += 1;
            let done = rounds.map_or(0.0, |r| round as f64 / r.max(1) as f64);
            self.watch.progress(done, "arranging");
        }
    }

    /// Nothing left to improve?
    fn done(&self) -> bool {
        let Some((plan, _)) = &self.best else { return false };
        match &self.table.problem.aim {
            Aim::Pack { counts } => counts.iter().sum::<usize>() == 0,
            Aim::TopUp { at_most, .. } => plan.counts(self.table).iter().zip(at_most).all(|(n, most)| n >= most),
        }
    }

    fn built(&self, queue: &[usize], style: Style) -> Plan {
        built(self.table, queue, style, self.watch)
    }

    fn offer(&mut self, mut plan: Plan, style: Style) -> bool {
        if !self.beats_best(&plan) {
            return false;
        }
        let bad = quick_check::breaching(self.table.problem, &plan.layout(self.table));
        if !bad.is_empty() {
            // A zone went wrong by rounding: what it let through is placed again, where the exact check allows it.
            let again: Vec<usize> =
                bad.iter().rev().map(|&(bed, copy)| self.table.variants[plan.beds[bed].remove(copy).0].shape).collect();
            let style = Style { proved: true, ..style };
            place::fill(self.table, &mut plan, again, style, self.watch);
            if !self.beats_best(&plan) {
                return false;
            }
        }
        self.watch.improved(&plan.layout(self.table));
        let score = plan.score(self.table);
        self.best = Some((plan, score));
        true
    }

    fn beats_best(&self, plan: &Plan) -> bool {
        self.best.as_ref().is_none_or(|(_, best)| plan.score(self.table).beats(best))
    }

    /// Two tries beside one another, merged in their order.
    fn round(&mut self, round: u64, base: &[usize]) -> bool {
        const KEYS: [Key; 5] = [Key::Low, Key::Left, Key::Box, Key::Corner, Key::Middle];
        if round < CONSTRUCTED / 2 {
            let turns = if round < 3 { 8 } else { 28 };
            let style = |k: u64| Style { key: KEYS[(k % 5) as usize], turns, proved: false };
            let (one, two) =
                rayon::join(|| self.built(base, style(2 * round)), || self.built(base, style(2 * round + 1)));
            let first = self.offer(one, style(2 * round));
            return self.offer(two, style(2 * round + 1)) || first;
        }
        if self.in_blocks.is_some() && round % BLOCKS_EVERY == BLOCKS_EVERY - 1 {
            return self.round_in_blocks(round, base);
        }
        let mut rngs = [Rng::new(self.rng.bits()), Rng::new(self.rng.bits())];
        let [r, s] = &mut rngs;
        let style = Style { key: KEYS[self.rng.below(5)], turns: [2, 4, 8, 16][self.rng.below(4)], proved: false };
        // Once the first has a better plan, the second is not waited for: it would not be taken.
        let until = Until { watch: self.watch, over: AtomicBool::new(false) };
        let (one, two) = rayon::join(
            || {
                let better = self.tried(round, base, style, r, self.watch).filter(|p| self.beats_best(p));
                until.over.store(better.is_some(), Ordering::Relaxed);
                better
            },
            || self.tried(round, base, style, s, &until),
        );
        one.or(two).is_some_and(|p| self.offer(p, style))
    }

    /// A round with blocks in place of copies; what has room beside them is placed one by one.
    fn round_in_blocks(&mut self, round: u64, base: &[usize]) -> bool {
        const KEYS: [Key; 2] = [Key::Low, Key::Left];
        let mut rngs = [Rng::new(self.rng.bits()), Rng::new(self.rng.bits())];
        let Some(mine) = &mut self.in_blocks else { return false };
        let anew = mine.best.is_none() || round % (4 * BLOCKS_EVERY) == BLOCKS_EVERY - 1;
        let styles = KEYS.map(|key| Style { key, turns: 4, proved: false });
        let [r, s] = &mut rngs;
        let watch = self.watch;
        let (one, two) =
            rayon::join(|| mine.tried(anew, styles[0], r, watch), || mine.tried(anew, styles[1], s, watch));
        let mut better = false;
        for (plan, style) in [(one, styles[0]), (two, styles[1])] {
            let Some(plan) = plan else { continue };
            let Some(mine) = &mut self.in_blocks else { return better };
            let score = plan.score(mine.table);
            if mine.best.as_ref().is_some_and(|(_, best)| !score.beats(best)) {
                continue;
            }
            let unblocked = mine.blocked.unblocked(&plan, mine.table, self.table);
            mine.best = Some((plan, score));
            let Some(mut plan) = unblocked else { continue };
            let rest = plan.rest_of(base, self.table);
            completed(self.table, &mut plan, rest, Style { turns: 8, ..style }, self.watch);
            better |= self.offer(plan, style);
        }
        better
    }

    /// Several shapes on more than one bed?
    fn several_beds(&self, base: &[usize]) -> bool {
        let used = self.best.as_ref().map_or(0, |(p, _)| p.beds.iter().filter(|b| !b.is_empty()).count());
        used > 1 && base.windows(2).any(|w| w[0] != w[1])
    }

    /// Copies parted; now and then all placed anew, neighbours in the order trading places.
    fn tried(
        &self,
        round: u64,
        base: &[usize],
        style: Style,
        rng: &mut Rng,
        watch: &dyn Watch<Layout>,
    ) -> Option<Plan> {
        if self.several_beds(base) && round % 8 < 6 {
            let all = round < CONSTRUCTED || rng.below(8) == 0;
            let tries = if round < CONSTRUCTED { 4 } else { [8, 32, 128][rng.below(3)] };
            let (best, _) = self.best.as_ref()?;
            return fit::refill(self.fitter.get_or_init(|| Fitter::new(self.table)), best, all, tries, rng, watch);
        }
        if !round.is_multiple_of(4) || base.len() < 2 {
            // Short tries first, longer and longer ones later.
            let effort = SeparationEffort {
                stale: if round < 3 * CONSTRUCTED { 30 } else { 300 },
                strikes: (1 + round.saturating_sub(CONSTRUCTED) / 4).min(60) as usize,
            };
            let (best, score) = self.best.as_ref()?;
            // Where copies are left over, now and then from another layout: the best one may lead nowhere.
            let other = base.len() >= 2 && score.0[0] > 0.0 && rng.below(3) == 0;
            let other = other.then(|| self.shuffled(base, style, rng, watch));
            let other = other.filter(|o| o.score(self.table).0[0] <= score.0[0] + 2.0);
            let from = other.as_ref().unwrap_or(best);
            return improve::attempt(self.table, from, other.is_some(), style, effort, rng, watch);
        }
        Some(self.shuffled(base, style, rng, watch))
    }

    /// All placed anew, neighbours in the order having traded places.
    fn shuffled(&self, base: &[usize], style: Style, rng: &mut Rng, watch: &dyn Watch<Layout>) -> Plan {
        let mut queue = base.to_vec();
        for _ in 0..=queue.len() / 4 {
            let i = rng.below(queue.len());
            let j = (i + 1 + rng.below(6)).min(queue.len() - 1);
            queue.swap(i, j);
        }
        let mut plan = Plan::new(self.table.problem.beds.len());
        place::fill(self.table, &mut plan, queue, style, watch);
        plan
    }
}

#[cfg(test)]
mod tests {
    use super::{super::Shape, *};
    use crate::{
        geom::{Bounds, Outline, Point, Region},
        packing::Bed,
        watch::Quiet,
    };

    /// A plan with copies on top of one another, as a zone gone wrong would make it.
    fn mended(side_mm: f64, beds: usize) -> Layout {
        let square = |w: f64| Region::rectangle(Bounds::new(Point::default(), Point::new(w, w)));
        let o = Outline::new(square(10.0));
        let shape = Shape {
            shadow: o.clone(),
            contact: o.clone(),
            footing: o,
            turn_step_rad: Some(std::f64::consts::FRAC_PI_2),
            class: 0,
            height_mm: 10.0,
        };
        let bed =
            Bed { room: square(side_mm), keep_outs: vec![], fixed: vec![], class: None, height_mm: 50.0, twin: None };
        let problem = Problem {
            shapes: vec![shape],
            beds: vec![bed; beds],
            gap_mm: 1.0,
            footing_gap_mm: 0.0,
            footings_may_merge: false,
            aim: Aim::Pack { counts: vec![3] },
        };
        let table = ZoneTable::new(&problem, &[]);
        let mut search = Search {
            table: &table,
            watch: &Quiet,
            best: None,
            rng: Rng::new(1),
            in_blocks: None,
            fitter: OnceLock::new(),
        };
        let mut plan = Plan::new(beds);
        plan.beds[0] = [0.0, 0.3, 5.0].map(|x| (table.of_shape[0][0], Point::new(x, 0.0))).to_vec();
        assert!(search.offer(plan, Style { key: Key::Low, turns: 4, proved: false }));
        let layout = search.best.expect("offered").0.layout(&table);
        assert_eq!(super::super::verify(&problem, &layout), Ok(()));
        layout
    }

    #[test]
    fn what_the_exact_check_refuses_is_placed_again() {
        assert_eq!(mended(21.0, 1).beds.iter().map(Vec::len).collect::<Vec<_>>(), [3]);
        // No room beside it on the first bed: on the next ones.
        assert_eq!(mended(11.0, 3).beds.iter().map(Vec::len).collect::<Vec<_>>(), [1, 1, 1]);
        let short = mended(11.0, 2);
        assert_eq!((short.count(), short.unplaced.as_slice()), (2, [1].as_slice()));
    }
}
