//! Small pieces that panels are made of.
//!
//! - [`NumberField`], [`TextField`], [`Choice`]: what is typed or chosen, taken on Enter or on leaving; [`field`]: what they share
//! - [`quantity`]: numbers as people type them
//! - [`line`]: a label and a value on one line; [`title`]: a section's head; [`scale_break`]: the sign of a broken scale;
//!   [`slip`]: what lies over the sheet for a while
//! - [`link`], [`MoveButton`], [`Chip`]: things to press, and a part's letter on its hue

mod chip;
mod choice;
mod field;
mod line;
mod link;
mod move_button;
mod number_field;
pub(crate) mod quantity;
mod scale_break;
mod slip;
mod text_field;
mod title;

pub(crate) use chip::Chip;
pub(crate) use choice::Choice;
pub(crate) use field::{is_refused, take_refused};
pub(crate) use line::{Rule, inset, line, reading, refusal};
pub(crate) use link::link;
pub(crate) use move_button::MoveButton;
pub(crate) use number_field::NumberField;
pub(crate) use quantity::Unit;
pub(crate) use scale_break::scale_break;
pub(crate) use slip::slip;
pub(crate) use text_field::TextField;
pub(crate) use title::title;
