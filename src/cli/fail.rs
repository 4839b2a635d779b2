//! What ends a command.

/// One sentence that names the file or the word, what is wrong, and what to do.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) struct Fail(pub(super) String);

impl Fail {
    pub(super) fn new(why: impl std::fmt::Display) -> Self {
        Self(why.to_string())
    }
}
