//! Why a command is refused.

use thiserror::Error;

/// Why a command is refused. The job is left as it was.
#[derive(Debug, Clone, PartialEq, Error)]
pub enum EditError {
    /// An id that the job does not hold.
    #[error("this job has no {kind} {id}")]
    Unknown {
        /// "copy", "plate" …
        kind: &'static str,
        /// The id as written in the file.
        id: String,
    },
    /// A number outside what makes sense.
    #[error("{what} must be {wanted}, not {got}")]
    Number {
        /// "gap", "wanted" …
        what: &'static str,
        /// "0 to 1000 mm".
        wanted: String,
        /// What came.
        got: f64,
    },
    /// A machine, material or recipe with a number that a job file refuses.
    #[error("{place}: {text}")]
    Value {
        /// Which: `machine.bed.width_mm`.
        place: String,
        /// What is wrong, and what to do.
        text: String,
    },
    /// A counter at its end.
    #[error("this job has no more {what} to give: start a new job")]
    Exhausted {
        /// "ids", "letters", "numbers of copies".
        what: &'static str,
    },
    /// Something that others still use.
    #[error("{what} is still used by {by}")]
    InUse {
        /// "Bench 1".
        what: String,
        /// "plate 2".
        by: String,
    },
    /// A copy put on a plate of another material, colour or recipe.
    #[error("{part} does not belong on this plate: its material, colour or recipe differs")]
    Mixed {
        /// The part's name.
        part: String,
    },
    /// More outcomes than a tally can hold.
    #[error("a tally holds at most {most} outcomes: keep it as a table and remove the oldest")]
    TooManyOutcomes {
        /// The limit.
        most: usize,
    },
    /// More copies than a job can hold.
    #[error("a job holds at most {most} copies")]
    TooMany {
        /// The limit.
        most: usize,
    },
}
