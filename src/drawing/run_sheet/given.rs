//! What a run sheet says.

use super::PageHead;

/// A figure with its name: "Start", "Mon 8 Mar 08:05".
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct Fact {
    /// Its name.
    pub name: String,
    /// The figure; empty to be filled in by hand.
    pub value: String,
    /// What belongs to it, a line each.
    pub notes: Vec<String>,
}

/// What a run sheet says besides its drawing, in words.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct RunSheetGiven {
    /// The job.
    pub head: PageHead,
    /// The plate's number in the docket, from 1.
    pub plate: usize,
    /// How many plates the job has.
    pub plates: usize,
    /// Its machine.
    pub machine: String,
    /// Names of machines that can run the same files as they are.
    pub same_machines: Vec<String>,
    /// Start, end, filament and the like, the most important first.
    pub facts: Vec<Fact>,
    /// Where to look first, a line each.
    pub look: Vec<String>,
    /// What is checked before the start, a box each.
    pub checks: Vec<String>,
    /// What to mind.
    pub cautions: Vec<String>,
    /// Causes of bad copies, a row each.
    pub causes: Vec<String>,
}
