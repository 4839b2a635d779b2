//! Why nothing can be dealt out.

use thiserror::Error;

/// Why nothing can be dealt out. Each is one sentence that says what to do.
#[derive(Debug, Clone, PartialEq, Error)]
pub enum DealError {
    /// No machine.
    #[error("there is no machine in the job: add one first")]
    NoMachine,
    /// Nothing is wanted that is not there, and nothing lies on a plate that may be dealt again.
    #[error(
        "there is nothing to deal out: every ordered copy is on a plate that is locked, fixed, started or printed twice at once"
    )]
    NothingToDeal,
    /// More than a job holds.
    #[error("{copies} copies are to be dealt out, and a job holds at most {most}: order fewer at a time")]
    TooMany {
        /// How many.
        copies: u64,
        /// The limit.
        most: usize,
    },
    /// No hours.
    #[error("nobody is ever there to change a plate: enter people's hours first")]
    NoHours,
    /// No people.
    #[error("the number of people is 0: nobody can change a plate; enter at least 1 person")]
    NoPeople,
    /// Hours that are too short for hand work.
    #[error(
        "{work} takes {needed}, and nobody is there for longer than {longest} at a time: lengthen the hours, or shorten the work"
    )]
    HoursTooShort {
        /// "Preparing a plate".
        work: &'static str,
        /// How long it takes, in words.
        needed: String,
        /// The longest time that somebody is there, in words.
        longest: String,
    },
    /// Told to stop before there was a dealing.
    #[error("stopped before there was anything to take")]
    Cancelled,
    /// None of the copies can be dealt.
    #[error("no copy can be dealt out: {0}")]
    Nothing(String),
}
