//! One order line or one plate in several ways, side by side: what fits, how long, how firm. Plain values in and out.
//!
//! - [`footing_study()`]: a plate filled with one part for each footing; [`FootingStudy`] is what it starts from
//! - [`plate_study()`]: a plate as it is and with other footings; [`PlateStudy`], [`PlateVariant`], [`PlateRow`]
//! - [`copies_study()`]: every number of copies of one part, laid out, timed and followed under people's hours; [`CopiesStudy`] is what it starts from,
//!   [`CopiesRow`] what comes of it ([`CopiesWay`], [`ExpectedGood`], [`UnderHours`], [`NightRun`]); [`best_row`], [`copies_advice`], [`slowing_ends_at`]:
//!   which number is best and why
//! - [`PlateTimer`], [`MostInTime`]: as many copies of a layout as end in time
//! - [`FootingRow`], [`FilledPlate`], [`FootingRows`], [`LaidCopy`]: what comes of it, in numbers and words
//! - [`StudiedPart`], [`StudiedParts`]: a part as studies know it
//! - [`footing_variants`]: the footings compared by default; [`MARGIN_WANTED`]
//! - `deal`: the whole order over plates, machines and days ([`deal()`], [`DealTask`], [`Dealt`])
//! - [`check_fit`]: whether a part fits a machine at all; [`StudyError`]: why there is nothing to compare

mod compact;
mod copies_advice;
mod copies_found;
mod copies_layout;
mod copies_row;
mod copies_study;
#[cfg(test)]
mod copies_tests;
mod copies_way;
mod deal;
mod filled_plate;
mod filling;
mod fit;
mod footing_row;
mod footing_study;
mod footing_variants;
mod in_time;
mod laid_copy;
mod laid_plate;
mod plate_row;
mod plate_study;
mod plate_variant;
mod shop_weeks;
mod studied_part;
mod study_error;
#[cfg(test)]
mod tests;

pub use copies_advice::{best_row, copies_advice, slowing_ends_at};
pub use copies_row::{CopiesRow, ExpectedGood, NightRun, UnderHours};
pub use copies_study::{CopiesStudy, copies_study};
pub use copies_way::CopiesWay;
pub use deal::{DealCost, DealError, DealPart, DealStanding, DealTask, Dealt, DealtPlate, NotDealt, deal};
pub use filled_plate::FilledPlate;
pub use fit::check_fit;
pub use footing_row::{FootingRow, FootingRows};
pub use footing_study::{FootingStudy, footing_study};
pub use footing_variants::{MARGIN_WANTED, footing_variants};
pub use in_time::{MostInTime, PlateTimer};
pub use laid_copy::LaidCopy;
pub use laid_plate::StudiedParts;
pub use plate_row::PlateRow;
pub use plate_study::{PlateStudy, plate_study};
pub use plate_variant::PlateVariant;
pub use studied_part::StudiedPart;
pub use study_error::StudyError;
