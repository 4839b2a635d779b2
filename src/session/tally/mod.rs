//! What came out of plates.
//!
//! - [`TallyEntry`], [`SpoolCount`]: what a person says; `outcome`: that as an outcome of its own, checked; `record`: written into the job
//! - `table`: read from a table and written as one
//! - [`Offer`], [`Offered`], [`offers`], [`not_offered`]: what the tally teaches, to be taken over by the person

mod entry;
mod offer;
mod offered;
mod outcome;
mod record;
mod table;

pub use entry::{SpoolCount, TallyEntry};
pub use offer::Offer;
pub use offered::{Offered, not_offered, offers};
