//! The canvas: the bed as a drawing on a sheet, and what hands do on it.
//!
//! - [`show`]: all of it; [`Gesture`]: what is going on under the hand; [`Tape`]: the measuring tape
//! - [`pointer`], [`wheel`], [`arrows`], [`hand`]: what hands do; [`abort`]; [`docket_target`]: copies dragged onto the docket;
//!   [`looking`]: where one looks, which tool is out
//! - [`Camera`]: where one looks; [`ScenePainter`] over [`pen`]: drawings on the screen
//! - [`Drawn`]: copies as they are drawn, kept from frame to frame; [`sections`] at the height cursor
//! - [`overlay`]: selection, handle, marquee; [`title`]: the title block; [`nodes`]: names for those who cannot see it
//! - [`rows`]: rows and columns before they are filled; [`keep_out`]: a keep-out being drawn or moved
//! - [`empty`]: what to do first, while there is no plate

mod abort;
mod arrows;
mod camera;
mod canvas;
mod docket_target;
mod drawn;
mod empty;
mod gesture;
mod hand;
mod keep_out;
mod looking;
mod nodes;
mod overlay;
mod pen;
mod pointer;
mod rows;
mod scene_painter;
mod sections;
mod standing;
mod tape;
mod title;
mod wheel;

pub(crate) use abort::abort;
pub(crate) use camera::Camera;
pub(crate) use canvas::show;
pub(crate) use docket_target::{Onto, docket_target};
pub(crate) use drawn::Drawn;
pub(crate) use gesture::Gesture;
pub(crate) use looking::look;
pub(crate) use pen::Pen;
pub(crate) use scene_painter::ScenePainter;
pub(crate) use tape::Tape;
