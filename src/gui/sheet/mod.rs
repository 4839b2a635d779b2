//! The canvas: the bed as a drawing on a sheet, and what hands do on it.
//!
//! - [`show`]: all of it; [`gesture`]: what the pointer and the arrow keys are doing; [`Tape`]: the measuring tape
//! - [`Camera`]: where one looks; [`ScenePainter`] over [`pen`]: drawings on the screen
//! - [`Drawn`]: copies as they are drawn, kept from frame to frame; [`sections`] at the height cursor
//! - [`overlay`]: selection, handle, marquee; [`title`]: the title block; [`nodes`]: names for those who cannot see it
//! - [`rows`]: rows and columns before they are filled; [`keep_out`]: a keep-out being drawn or moved
//! - [`empty`]: what to do first, while there is no plate

mod camera;
mod canvas;
mod drawn;
mod empty;
mod gesture;
mod keep_out;
mod nodes;
mod overlay;
mod pen;
mod rows;
mod scene_painter;
mod sections;
mod tape;
mod title;

pub(crate) use camera::Camera;
pub(crate) use canvas::show;
pub(crate) use drawn::Drawn;
pub(crate) use gesture::{Gesture, Onto, abort, docket_target, look};
pub(crate) use pen::Pen;
pub(crate) use scene_painter::ScenePainter;
pub(crate) use tape::Tape;
