//! Better dealings, step by step.

use std::time::{Duration, Instant};

use super::{
    DealCost,
    board::{Board, Dealing},
    finish::exact_time,
    line_time::ContentTime,
    moves::change,
    now::{Changed, Now},
    packer::Packer,
};
use crate::{batch::sequence::Plan, rng::Rng, watch::Watch};

/// Changes tried in one round.
const CHANGES_A_ROUND: u64 = 200;
/// A dealing that is worse by so many seconds is taken now and then at the beginning, as a share of the finish.
const WARM: f64 = 0.01;

/// Plates that are there are changed for no less than this, s.
const GAIN_S: f64 = 60.0;

/// A plate too many for a part that is to lie on one weighs as so much more time, s.
const PARTED_S: f64 = 200_000.0;

/// How long to search.
pub(super) struct Terms {
    pub(super) seed: u64,
    pub(super) rounds: Option<u64>,
    pub(super) until: Option<Instant>,
    /// Only what is better is taken: plates that are there stay as far as nothing is gained.
    pub(super) stable: bool,
}

/// The best dealing found; never worse than the one begun with.
pub(super) fn search(
    board: &mut Board<'_>,
    packer: &mut Packer<'_>,
    begun: Dealing,
    terms: &Terms,
    watch: &dyn Watch,
    improved: &mut dyn FnMut(&DealCost, usize),
) -> Dealing {
    let mut dice = Rng::new(terms.seed);
    let begin = Instant::now();
    refine(board, packer, &begun);
    let (mut plan, mut cost) = board.judge(&begun);
    let mut best = (begun.clone(), cost);
    let mut now = begun;
    let mut now_energy = energy(board, &plan, &cost);
    let warm = if terms.stable { 0.0 } else { WARM * cost.finish_s as f64 };
    let total = terms.until.map_or(Duration::ZERO, |u| u.saturating_duration_since(begin)).as_secs_f64();
    let mut round = 0_u64;
    loop {
        let share = match terms.rounds {
            Some(rounds) => round as f64 / rounds.max(1) as f64,
            None => begin.elapsed().as_secs_f64() / total.max(1e-9),
        };
        if share >= 1.0 || over(terms, watch) {
            break;
        }
        watch.progress(share, "dealing out");
        let heat = warm * (1.0 - share).powi(2);
        let mut tries = 0;
        while tries < CHANGES_A_ROUND && !over(terms, watch) {
            let from = Now::new(board, &now, &plan);
            let mut taken = None;
            while taken.is_none() && tries < CHANGES_A_ROUND && !over(terms, watch) {
                tries += 1;
                let Some(changed) = change(board, packer, &from, &mut dice) else { continue };
                let (its_plan, its_cost) = board.judge(&changed.dealing);
                let its_energy = energy(board, &its_plan, &its_cost);
                let allowed = now_energy - heat * (dice.unit().max(1e-9)).ln();
                let better = if terms.stable {
                    its_energy < now_energy - GAIN_S
                } else {
                    its_cost < best.1 || its_energy < now_energy
                };
                if (better || (heat > 0.0 && its_energy <= allowed)) && lies(board, packer, &changed) {
                    taken = Some((changed.dealing, its_plan, its_cost, its_energy));
                }
            }
            let Some(next) = taken else { break };
            (now, plan, cost, now_energy) = next;
            // What is to be the best is judged by exact times: minutes decide whether somebody is still there.
            if cost < best.1 && refine(board, packer, &now) {
                (plan, cost) = board.judge(&now);
                now_energy = energy(board, &plan, &cost);
            }
            if cost < best.1 {
                best = (now.clone(), cost);
                improved(&cost, now.slots.iter().filter(|s| !s.content.is_empty()).count() + board.staying());
            }
        }
        round += 1;
    }
    best.0
}

/// Works out with places how long plates take. True where that was not known of one.
fn refine(board: &mut Board<'_>, packer: &mut Packer<'_>, dealing: &Dealing) -> bool {
    let those = board.inexact(dealing);
    let asked = board.asked;
    for &n in &those {
        let (slot, bench) = (&dealing.slots[n], dealing.order.bench[n]);
        let laid = asked.bed(bench, slot.twin).and_then(|class| packer.laid(slot.group, &slot.laid(asked), class));
        let exact = laid.and_then(|l| exact_time(asked, slot.group, bench, &l.items));
        let around_s = asked.around_s(bench, slot.group);
        // Without places the time from the content stays.
        let time = match exact {
            Some(t) => ContentTime { time_s: (t.time_s - around_s).max(0.0), ..t },
            None => board.content_time(slot.group, &slot.laid(asked)),
        };
        board.set_exact(&slot.laid(asked), time);
    }
    !those.is_empty()
}

/// Do the copies of all plates that have changed lie on their beds?
fn lies(board: &Board<'_>, packer: &mut Packer<'_>, changed: &Changed) -> bool {
    changed.check.iter().all(|&n| {
        let slot = &changed.dealing.slots[n];
        let class = board.asked.bed(changed.dealing.order.bench[n], slot.twin);
        slot.content.is_empty() || class.is_some_and(|class| packer.holds(slot.group, &slot.laid(board.asked), class))
    })
}

fn over(terms: &Terms, watch: &dyn Watch) -> bool {
    watch.cancelled() || terms.until.is_some_and(|u| Instant::now() >= u)
}

/// What the search goes by, s: the cost as one number, so that it finds its way where the finish alone says nothing.
fn energy(board: &Board<'_>, plan: &Plan, cost: &DealCost) -> f64 {
    let mut ends_s = vec![0_i64; board.asked.runs.benches.len()];
    for t in &plan.timed {
        ends_s[t.bench] = ends_s[t.bench].max(t.print.to_s);
    }
    let mean = |sum: i64, n: usize| sum as f64 / n.max(1) as f64;
    1e8 * cost.not_run as f64
        + 20.0 * cost.late_s as f64
        + PARTED_S * cost.parted as f64
        + cost.finish_s as f64
        + 0.5 * mean(ends_s.iter().sum(), ends_s.len())
        + 0.5 * cost.unserved_s as f64
        + 60.0 * cost.changes as f64
        + 0.05 * mean(cost.ready_sum_s, plan.timed.len())
        + 30.0 * plan.timed.len() as f64 / ends_s.len().max(1) as f64
}
