//! What a dealing costs.

/// What a dealing costs, in the order in which it matters: compare it as it stands.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Default)]
pub struct DealCost {
    /// Plates that cannot be run, or whose parts never come off.
    pub not_run: usize,
    /// By how much parts are late, all plates together, s.
    pub late_s: i64,
    /// Plates too many for parts whose copies are to lie on one plate and fit on one.
    pub parted: usize,
    /// When the last print ends, s.
    pub finish_s: i64,
    /// What layers lack of their minimum time, all plates together, s.
    pub unserved_s: i64,
    /// Time in which machines stand idle before their own last print ends, hand work included, s.
    pub idle_s: i64,
    /// Changes of filament.
    pub changes: usize,
    /// Filament purged, at the start of plates and at changes, mg.
    pub waste_mg: i64,
    /// Sum of the times at which parts are on the table, s.
    pub ready_sum_s: i64,
}
