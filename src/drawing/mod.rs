//! The sheet, the height strip, the run sheet as plain strokes, fills and text: window and writers draw the same.
//!
//! - [`Scene`] of [`Mark`]s in millimetres; [`Ink`] names what a colour means, [`Palette`] gives it a value
//! - [`bed_marks`], [`ruler_marks`], [`copy_marks`], [`skirt_marks`], [`all_conflict_marks`]: what lies on a bed, at any zoom
//! - [`copy_labels`], [`conflict_labels`]: what is written on it, each where [`Labels`] has room
//! - [`title_block`], [`parts_list`], [`Paper`]: what belongs to a page; [`sheet`]: all of it, from a [`SheetInput`],
//!   which [`SheetInput::of_plate`] fills from a job and [`SheetFacts`]
//! - [`height_strip`]: layer time and headroom over height, on a [`Scale`] that keeps long first layers from pressing the rest flat
//! - [`side_outline`]: a part from the side, and what it stands on; [`pose_outlines`]: a way to lay it down, small
//! - [`timeline()`]: a row a machine, plates as bars over hours and days, from a [`DrawnTimeline`] on a [`TimelineFrame`]
//! - [`small_plate`]: a bed and its copies, small; [`icon`]: the program's icon; [`figure`]: the drawings of the guide, each a [`Figure`]
//! - [`run_sheet`]: pages for the shop: run sheets, the week, labels for bins
//! - [`hatch`], [`text`], [`words`], [`fonts`]: patterns as lines, how wide words are, numbers in words, the bundled fonts

mod bed;
mod conflict;
mod copy;
mod copy_labels;
pub mod fonts;
mod guide;
pub mod hatch;
mod icon;
mod labels;
mod of_plate;
mod palette;
mod paper;
mod parts_list;
mod pose;
mod ruler;
pub mod run_sheet;
mod scale;
mod scene;
mod sheet;
mod side;
mod skirt;
mod small_plate;
mod strip;
pub mod text;
mod timeline;
mod title;
pub mod words;

pub use bed::{DrawnBed, DrawnHalves, bed_marks, grid_steps_mm};
pub use conflict::{DrawnConflict, all_conflict_marks, conflict_labels};
pub use copy::{DrawnCopy, FILL_OPACITY, copy_marks, label_spot};
pub use copy_labels::copy_labels;
pub use guide::{Figure, figure};
pub use icon::icon;
pub use labels::{Labels, written_box};
pub use of_plate::{SheetFacts, twin_name};
pub use palette::{HUES, Palette, Rgb, contrast};
pub use paper::{Paper, PaperLayout};
pub use parts_list::{DrawnPart, parts_list};
pub use pose::pose_outlines;
pub use ruler::{LEFT_PT, LOWER_PT, ruler_marks, ruler_steps_mm};
pub use scale::{Scale, round_values, tick_words};
pub use scene::{Anchor, Dash, Hatch, Ink, Mark, PT_MM, Scene};
pub use sheet::{SheetInput, sheet};
pub use side::{side_outline, tips_words};
pub use skirt::skirt_marks;
pub use small_plate::small_plate;
pub use strip::{ALONE, HEADROOM_MOST, PLENTY, StripLayer, height_strip, plenty, worst_words};
pub use timeline::{DrawnRow, DrawnRun, DrawnTimeline, RunLook, TimelineFrame, timeline};
pub use title::{TITLE_HEIGHT_MM, TITLE_WIDTH_MM, TitleBlock, title_block};
