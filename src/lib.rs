//! Stonehand: a plate layout editor for small batches on filament 3D printers.
//!
//! Table of contents, floor by floor; a module imports only from lower floors, and modules of one floor are strangers.
//!
//! - Floor 1, ground: [`geom`] plane geometry; [`watch`] what long work is told to look at
//! - Floor 2, crafts: [`document`] what the person owns and saves; [`mesh`] triangle bodies; [`packing`] pure search
//! - Floor 3, a part, a plate: [`plate`] margins, conflicts, the packing problem; [`edit`] the only way to change a job
//! - Floor 4: [`estimate`] seconds, layer by layer; cooling; filament
//! - Floor 5, answers: [`drawing`] strokes, fills and text
//! - Floor 6: [`formats`] bytes to values and back
//! - Floor 7: [`work`] long work, off the thread of the window
//! - Floor 8: [`session`] the application without a window
//! - Floor 9, roofs: [`cli`] the command line, [`gui`] the window

pub mod cli;
pub mod document;
pub mod drawing;
pub mod edit;
pub mod estimate;
pub mod formats;
pub mod geom;
pub mod gui;
pub mod mesh;
pub mod packing;
pub mod plate;
pub mod session;
pub mod watch;
pub mod words;
pub mod work;
