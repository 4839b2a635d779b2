//! All that a person can ask, and what becomes of it.
//!
//! - [`Action`]: one row each for `name`, `tooltip`, `shortcut`, `enabled`; [`Ask`], [`Landing`], [`Scope`], [`Side`], [`TopUp`]: its words
//! - `carry_out`: which file carries out which action
//! - `select`, `copies`, `room`, `gesture`, `on_sheet`, [`grid`](GridOf), `all_apart`, `to_plate`: copies
//! - `part`, `footing`, `suggested`; `plate`, `duplicate_plate`, `keep_out`; `shop`; `arrange`: Pack and Top up; `factor`; `remedy`

mod all_apart;
mod arrange;
mod ask;
mod carry_out;
mod copies;
mod duplicate_plate;
mod enabled;
mod factor;
mod footing;
mod gesture;
mod grid;
mod hands;
mod keep_out;
mod landing;
mod list;
mod mend;
mod name;
mod on_sheet;
mod out_of_reach;
mod part;
mod plate;
mod remedy;
mod room;
mod scope;
mod select;
mod shop;
mod shortcut;
mod side;
mod suggested;
mod to_plate;
mod tooltip;

pub use ask::Ask;
pub use grid::{GridOf, GridSpot};
pub use landing::Landing;
pub use list::Action;
pub use scope::{Scope, TopUp};
pub use side::Side;
