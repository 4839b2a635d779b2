//! Paper for the shop: the run sheet of a plate, the week's timeline, labels for bins.
//!
//! - [`PrintPaper`], [`Pages`], [`Page`], [`Piece`], [`Role`]: pages of marks that say what they are; `flow`, `lines`: text and blocks put on them
//! - [`RunSheetGiven`], [`Fact`]: what a run sheet says; [`run_sheet`]: its pages; `figure`: the drawing; `fill`: parts told apart in black and white;
//!   `table`: the table to fill in
//! - [`timeline_pages`], [`PageHead`]: the timeline, a page a week; [`bin_labels`], [`BinLabel`]: labels to cut apart

mod figure;
mod fill;
mod flow;
mod given;
mod labels;
mod lines;
mod page;
mod paper;
mod sheet;
mod table;
mod week;

pub use given::{Fact, RunSheetGiven};
pub use labels::{BinLabel, bin_labels};
pub use page::{Page, PageHead, Pages, Piece, Role};
pub use paper::PrintPaper;
pub use sheet::run_sheet;
pub use week::timeline_pages;
