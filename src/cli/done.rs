//! How a command that ran ended.

/// How a command that ran ended.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Done {
    /// No *stop* finding.
    Clear,
    /// At least one.
    Stops,
}
