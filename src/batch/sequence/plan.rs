//! When everything happens.

use super::Window;

/// One run in time.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Timed {
    /// Which run.
    pub run: usize,
    /// On which machine.
    pub bench: usize,
    /// Somebody prepares it; of no length where it began before the plan.
    pub preparing: Window,
    /// It prints.
    pub print: Window,
    /// The bed is cool enough from here, s.
    pub cool_s: i64,
    /// Somebody takes the parts off; `None` where attended time is never long enough.
    pub removal: Option<Window>,
}

impl Timed {
    /// When its parts are on the table, s.
    pub fn ready_s(&self) -> Option<i64> {
        self.removal.map(|w| w.to_s)
    }
}

/// Why a run is not in the plan.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum NotRun {
    /// No machine takes it.
    NoMachine,
    /// No attended time is left that is long enough to prepare it.
    NoTime,
}

/// What a plan costs, in the order in which it matters: compare it as it stands.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Default)]
pub struct Cost {
    /// Runs that are not in it, or whose parts never come off.
    pub not_run: usize,
    /// By how much parts are late, all runs together, s.
    pub late_s: i64,
    /// When the last print ends, s.
    pub finish_s: i64,
    /// Time in which machines stand idle before their own last print ends, hand work included, s.
    pub idle_s: i64,
    /// Changes of filament.
    pub changes: usize,
    /// Sum of the times at which parts are on the table, s: of equally good plans the one that has them earlier.
    pub ready_sum_s: i64,
}

/// Runs in time.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct Plan {
    /// In the order in which they were asked for.
    pub timed: Vec<Timed>,
    /// What is not in it.
    pub not_run: Vec<(usize, NotRun)>,
    /// What it costs.
    pub cost: Cost,
}
