//! Copies dealt over the beds of a layout that is as short as the search found it: kinds kept together, beds evened out. No
//! bed is added and no copy given up; where a wish would cost either, it is left.
//!
//! - [`deal`]: what is wished, one after another; [`Dealing`], [`Spread`]: the wishes
//! - `dealt`: the copies while they are dealt, and the question whether so many lie on a bed
//! - `together`, `even`: the two wishes

mod dealt;
mod even;
#[cfg(test)]
mod tests;
mod together;

use self::dealt::Dealt;
use crate::packing::{Aim, Layout, Problem};
use crate::watch::Watch;

/// How copies are spread over beds that all are needed.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum Spread {
    /// Full beds, the last one as empty as possible.
    #[default]
    FullThenRest,
    /// As even by shadow area as the copies allow: for copies of one shape, by their number.
    Even,
}

/// What is wished of several beds.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct Dealing {
    /// How they are filled.
    pub spread: Spread,
    /// Shapes whose copies should lie on one bed, group by group.
    pub together: Vec<Vec<usize>>,
}

impl Dealing {
    /// Nothing is wished.
    pub fn is_none(&self) -> bool {
        self.spread == Spread::FullThenRest && self.together.is_empty()
    }
}

/// The layout dealt as wished (Pack only): on the same beds or fewer, every copy placed that was, valid by
/// [`crate::packing::verify`]. Groups go first, the largest first; what could not be gathered shows in the layout. Same problem,
/// layout, seed and rounds: same answer, unless cancelled.
pub fn deal(
    problem: &Problem,
    layout: &Layout,
    dealing: &Dealing,
    seed: u64,
    rounds: Option<u64>,
    watch: &dyn Watch<Layout>,
) -> Layout {
    if dealing.is_none() || !matches!(problem.aim, Aim::Pack { .. }) {
        return layout.clone();
    }
    let (asked, problem) = (problem, &*problem.untwinned());
    let mut dealt = Dealt::new(problem, layout, seed, rounds, watch);
    let kept = together::gather(&mut dealt, &dealing.together);
    if dealing.spread == Spread::Even {
        even::even(&mut dealt, &kept);
    }
    let out = Layout { beds: dealt.free, unplaced: layout.unplaced.clone() };
    if crate::packing::verify(asked, &out).is_ok() { out } else { layout.clone() }
}
