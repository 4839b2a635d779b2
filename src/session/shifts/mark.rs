//! What is said of a plate in the shop.

use jiff::Timestamp;

/// What is said of a plate in the shop.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum RunMark {
    /// It was started, now or at a time.
    Started(Option<Timestamp>),
    /// It ended, now or at a time.
    Ended(Option<Timestamp>),
    /// It failed: what was on it is wanted again.
    Failed,
    /// It has not been started after all.
    NotStarted,
    /// Its machine and its place in the sequence stay (true), or not.
    Fixed(bool),
    /// It does not start before a time.
    NotBefore(Option<Timestamp>),
}

impl RunMark {
    /// As buttons and menus write it.
    pub fn name(self) -> &'static str {
        match self {
            Self::Started(_) => "Mark as started",
            Self::Ended(_) => "Mark as ended",
            Self::Failed => "Mark as failed",
            Self::NotStarted => "Mark as not started",
            Self::Fixed(true) => "Fix machine and place",
            Self::Fixed(false) => "Free machine and place",
            Self::NotBefore(_) => "Not before",
        }
    }
    /// One sentence more, empty where the name says it all.
    pub fn tooltip(self) -> &'static str {
        match self {
            Self::Started(_) => "It runs since now; the plan counts from its real start",
            Self::Ended(_) => "Its machine is free for the next plate",
            Self::Failed => "It ended without good parts: what was on it is wanted again",
            Self::NotStarted => "Takes back that it was started, ended or failed",
            Self::Fixed(true) => "Deal out and Improve the sequence leave it as it is",
            Self::Fixed(false) => "Deal out and Improve the sequence may move it again",
            Self::NotBefore(_) => "The print starts at this time or later",
        }
    }
}
