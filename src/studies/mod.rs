//! One order line in several ways, side by side: what fits, how long, how firm. Plain values in and out.
//!
//! - [`footing_study()`]: a plate filled with one part for each footing; [`FootingStudy`] is what it starts from
//! - [`FootingRow`], [`FilledPlate`], [`FootingRows`]: what comes of it, in numbers and words
//! - [`footing_variants`]: the footings compared by default; [`MARGIN_WANTED`]
//! - [`check_fit`]: whether a part fits a machine at all; [`StudyError`]: why there is nothing to compare

mod filling;
mod fit;
mod footing_row;
mod footing_study;
mod footing_variants;
mod study_error;
#[cfg(test)]
mod tests;

pub use fit::check_fit;
pub use footing_row::{FilledPlate, FootingRow, FootingRows};
pub use footing_study::{FootingStudy, footing_study};
pub use footing_variants::{MARGIN_WANTED, footing_variants};
pub use study_error::StudyError;
