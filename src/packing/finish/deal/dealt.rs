//! Copies while they are dealt.

use std::collections::{BTreeMap, BTreeSet};

use crate::{
    packing::{Aim, Item, Layout, Problem, solve},
    watch::Watch,
};

/// Rounds of search at most for one question, where a quick layout does not answer it.
const ROUNDS: u64 = 12;

/// Copies that lie already, by bed.
pub(super) type Pins = BTreeMap<usize, Vec<Item>>;

/// The free copies by bed, and the beds they may go to.
pub(super) struct Dealt<'a> {
    pub(super) problem: &'a Problem,
    pub(super) free: Vec<Vec<Item>>,
    /// Beds in use, each with the class of what lies there.
    pub(super) open: Vec<(usize, u32)>,
    seed: u64,
    rounds: u64,
    watch: &'a dyn Watch<Layout>,
    alone: BTreeMap<(usize, usize), bool>,
}

/// Asks only whether to go on: layouts of a part of the problem are nobody's business.
struct Silent<'a>(&'a dyn Watch<Layout>);

impl Watch<Layout> for Silent<'_> {
    fn cancelled(&self) -> bool {
        self.0.cancelled()
    }
}

impl<'a> Dealt<'a> {
    pub(super) fn new(
        problem: &'a Problem,
        layout: &Layout,
        seed: u64,
        rounds: Option<u64>,
        watch: &'a dyn Watch<Layout>,
    ) -> Self {
        let mut free = layout.beds.clone();
        free.resize(problem.beds.len(), Vec::new());
        let class = |bed: usize| {
            let b = &problem.beds[bed];
            let first = b.fixed.iter().chain(&free[bed]).find_map(|i| problem.shapes.get(i.shape));
            first.map(|s| b.class.unwrap_or(s.class))
        };
        let open = (0..free.len()).filter_map(|bed| Some((bed, class(bed)?))).collect();
        let rounds = rounds.unwrap_or(ROUNDS).min(ROUNDS);
        Self { problem, free, open, seed, rounds, watch, alone: BTreeMap::new() }
    }
    pub(super) fn cancelled(&self) -> bool {
        self.watch.cancelled()
    }
    pub(super) fn classes(&self) -> BTreeSet<u32> {
        self.open.iter().map(|b| b.1).collect()
    }
    /// Beds in use of a class.
    pub(super) fn beds_of(&self, class: u32) -> Vec<usize> {
        self.open.iter().filter(|b| b.1 == class).map(|b| b.0).collect()
    }
    /// What a copy counts: its shadow's area, mm².
    pub(super) fn weight(&self, shape: usize) -> f64 {
        self.problem.shapes[shape].shadow.region().area()
    }
    /// What lies on a bed that stays there.
    pub(super) fn fixed(&self, bed: usize) -> impl Iterator<Item = &Item> {
        self.problem.beds[bed].fixed.iter().filter(|i| i.shape < self.problem.shapes.len())
    }
    /// What lies on a bed, mm² of shadows.
    pub(super) fn load(&self, bed: usize) -> f64 {
        self.fixed(bed).chain(&self.free[bed]).map(|i| self.weight(i.shape)).sum()
    }
    /// Copies by shape.
    pub(super) fn counts<'b>(&self, items: impl IntoIterator<Item = &'b Item>) -> Vec<usize> {
        let mut n = vec![0; self.problem.shapes.len()];
        for i in items {
            n[i.shape] += 1;
        }
        n
    }
    /// So many copies of each shape on these beds beside what stays there, `pins` too: where they lie, bed by bed; `None`
    /// where no place for all of them was found.
    pub(super) fn laid(&self, beds: &[usize], pins: &Pins, counts: &[usize]) -> Option<Vec<Vec<Item>>> {
        if counts.iter().all(|&n| n == 0) {
            return Some(vec![Vec::new(); beds.len()]);
        }
        let area: f64 = counts.iter().enumerate().map(|(s, &n)| self.weight(s) * n as f64).sum();
        let room: f64 = beds.iter().map(|&b| self.problem.beds[b].room.area()).sum();
        if area > room || self.cancelled() {
            return None;
        }
        let class = |bed: usize| self.open.iter().find(|b| b.0 == bed).map(|b| b.1);
        let beds = beds.iter().map(|&bed| {
            let mut b = self.problem.beds[bed].clone();
            b.fixed.extend(pins.get(&bed).into_iter().flatten());
            b.class = class(bed).or(b.class);
            b
        });
        let aim = Aim::Pack { counts: counts.to_vec() };
        let problem = Problem { beds: beds.collect(), aim, ..self.problem.clone() };
        let silent = Silent(self.watch);
        [0, self.rounds]
            .into_iter()
            .map(|rounds| solve(&problem, self.seed, Some(rounds), &silent))
            .find(|l| l.unplaced.iter().all(|&n| n == 0))
            .map(|l| l.beds)
    }
    /// May a copy of a shape lie on a bed, if nothing else does?
    pub(super) fn admits(&mut self, bed: usize, shape: usize) -> bool {
        if self.free[bed].iter().any(|i| i.shape == shape) {
            return true;
        }
        if let Some(&known) = self.alone.get(&(bed, shape)) {
            return known;
        }
        let mut one = vec![0; self.problem.shapes.len()];
        one[shape] = 1;
        let admits = self.laid(&[bed], &Pins::new(), &one).is_some();
        self.alone.insert((bed, shape), admits);
        admits
    }
}
