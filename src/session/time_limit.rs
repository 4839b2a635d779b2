//! By when a session has to end: the command line's `--seconds`.

use std::time::Instant;

/// When search and telling end.
#[derive(Debug, Clone, Copy)]
pub(super) struct TimeLimit {
    /// The search, and all that comes before it.
    pub(super) search_by: Instant,
    /// All that is told about the layout: print times, findings.
    pub(super) tell_by: Instant,
    /// The layout is made: what is told of it may be worked out.
    pub(super) telling: bool,
    /// Something that was to be told was not worked out.
    pub(super) cut_short: bool,
}
