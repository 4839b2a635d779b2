//! What is to be put in sequence.

/// A stretch of time, seconds from the start of the plan; the end is not in it.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Window {
    /// Beginning, s.
    pub from_s: i64,
    /// End, s.
    pub to_s: i64,
}

impl Window {
    /// From one time to another.
    pub fn new(from_s: i64, to_s: i64) -> Self {
        Self { from_s, to_s }
    }
    /// Its length, s.
    pub fn length_s(self) -> i64 {
        self.to_s - self.from_s
    }
    /// Whether they share any time.
    pub fn meets(self, other: Self) -> bool {
        self.from_s < other.to_s && other.from_s < self.to_s
    }
}

/// What filament hangs on a machine: numbers that stand for a material and a colour.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Load {
    /// Material.
    pub material: u32,
    /// Colour.
    pub colour: u32,
}

/// A machine at the start of the plan.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct Bench {
    /// Nobody can begin anything on it before, s.
    pub free_s: i64,
    /// When nothing can be done or printed on it: in order, none over another.
    pub down: Vec<Window>,
    /// What hangs on it; `None` where nobody knows: then nothing is counted for the first change.
    pub load: Option<Load>,
}

/// What a run takes on a machine.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct OnBench {
    /// From the start to the end of the print, s.
    pub print_s: i64,
    /// From the end of the print until the parts can come off, s.
    pub cool_s: i64,
}

/// One plate to be run.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Run {
    /// What it takes on each machine, in the order of [`Runs::benches`]; `None` where it cannot run.
    pub on: Vec<Option<OnBench>>,
    /// What it is made of.
    pub load: Load,
    /// When its parts are wanted on the table, s.
    pub due_s: Option<i64>,
    /// Printing does not start earlier, s.
    pub not_before_s: i64,
    /// It runs already: on which machine, and since when, s (before the start of the plan: negative).
    pub began: Option<(usize, i64)>,
}

/// Hand work, s.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub struct HandWork {
    /// Taking the parts off.
    pub removal_s: i64,
    /// Cleaning, checking, starting.
    pub preparing_s: i64,
    /// Changing the colour.
    pub colour_s: i64,
    /// Changing the material.
    pub material_s: i64,
}

impl HandWork {
    /// Work before a run: preparing it, and a change of filament.
    pub fn before_s(&self, loaded: Option<Load>, next: Load) -> i64 {
        let change = match loaded {
            Some(l) if l.material != next.material => self.material_s,
            Some(l) if l.colour != next.colour => self.colour_s,
            _ => 0,
        };
        self.preparing_s + change
    }
}

/// Runs to be put in sequence on machines, under people's hours.
///
/// Before each run somebody prepares it, wholly inside attended time; printing begins at once then and needs nobody. When the bed has cooled,
/// somebody takes the parts off, again wholly inside attended time; only then is the machine free. One person is at one machine at a time.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct Runs {
    /// The machines.
    pub benches: Vec<Bench>,
    /// The runs.
    pub runs: Vec<Run>,
    /// When somebody is there: in order, none over another.
    pub attended: Vec<Window>,
    /// How many people are there then.
    pub people: usize,
    /// Hand work.
    pub work: HandWork,
}
