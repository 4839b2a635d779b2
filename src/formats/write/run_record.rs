//! One plate in time, for tables and calendars.

use jiff::Timestamp;

/// One plate in time.
#[derive(Debug, Clone, PartialEq)]
pub struct RunRecord {
    /// Its id in the job: stays when the docket's order changes.
    pub id: u32,
    /// Its number in the docket, from 1.
    pub plate: usize,
    /// Its machine.
    pub machine: String,
    /// Copies that come of it.
    pub copies: usize,
    /// Letters and names of its parts: "A", "frame spacer".
    pub parts: Vec<(String, String)>,
    /// "planned", "running", "ended", "failed".
    pub state: &'static str,
    /// Somebody prepares it.
    pub preparing: Option<(Timestamp, Timestamp)>,
    /// It prints.
    pub print: (Timestamp, Timestamp),
    /// The interval in which 95 of 100 such prints end.
    pub end_range: Option<(Timestamp, Timestamp)>,
    /// The bed is cool enough from here.
    pub cool: Option<Timestamp>,
    /// Somebody takes the parts off.
    pub removal: Option<(Timestamp, Timestamp)>,
    /// When its parts are due.
    pub due: Option<Timestamp>,
    /// By how much they are late, s.
    pub late_s: Option<i64>,
}
