//! What comes of dealing out.

use super::{DealCost, NotDealt};
use crate::{document::PlateId, plate::NewPlate, studies::LaidCopy};

/// A plate of a dealing.
#[derive(Debug, Clone, PartialEq)]
pub struct DealtPlate {
    /// The plate of the job; `None` for a new one.
    pub plate: Option<PlateId>,
    /// Machine, material, colour, recipe.
    pub kind: NewPlate,
    /// It stays as it is: then `copies` is empty.
    pub stays: bool,
    /// What lies on it; of a plate printed twice at once, the copies of the left half.
    pub copies: Vec<LaidCopy>,
    /// Print time, s.
    pub time_s: f64,
    /// When the print starts, s from the start of the plan; `None` where it is never run.
    pub start_s: Option<i64>,
    /// When the print ends, s.
    pub end_s: Option<i64>,
    /// When the parts are on the table, s; `None` where they never come off.
    pub ready_s: Option<i64>,
    /// By how much its parts are late, s.
    pub late_s: i64,
}

/// The order dealt out.
#[derive(Debug, Clone, PartialEq)]
pub struct Dealt {
    /// The plates in the sequence in which they run: the docket's. Plates that have ended, and empty ones, are not among them.
    pub plates: Vec<DealtPlate>,
    /// What could not be dealt.
    pub not_dealt: Vec<NotDealt>,
    /// What it costs, with the print times of the plates as they lie.
    pub cost: DealCost,
    /// No dealing ends before, s from the start of the plan.
    pub bound_s: i64,
    /// It was told to stop before its time.
    pub cut_short: bool,
}

impl Dealt {
    /// How much later than the bound it ends, as a share of the bound; `None` without a bound.
    pub fn gap(&self) -> Option<f64> {
        gap(self.cost.finish_s, self.bound_s)
    }
}

/// How a dealing gets on.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct DealStanding {
    /// Plates, those that stay counted.
    pub plates: usize,
    /// What the best so far costs, by times without places.
    pub cost: DealCost,
    /// No dealing ends before, s from the start of the plan.
    pub bound_s: i64,
}

impl DealStanding {
    /// As [`Dealt::gap`].
    pub fn gap(&self) -> Option<f64> {
        gap(self.cost.finish_s, self.bound_s)
    }
}

fn gap(finish_s: i64, bound_s: i64) -> Option<f64> {
    (bound_s > 0).then(|| (finish_s as f64 / bound_s as f64 - 1.0).max(0.0))
}
