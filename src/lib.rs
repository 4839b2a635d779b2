//! Stonehand: a plate layout editor for small batches on filament 3D printers.
//!
//! Table of contents, floor by floor; a module imports only from lower floors, and modules of one floor are strangers.
//!
//! - Floor 1, ground: [`geom`] plane geometry; [`rng`] seeded random numbers; [`watch`] what long work is told to look at; [`words`] numbers in words
//! - Floor 2, crafts: [`document`] what the person owns and saves; [`mesh`] triangle bodies; [`packing`] pure search
//! - Floor 3, on top of the document: [`finding`] what the tool noticed, as plain values; [`edit`] the only way to change a job
//! - Floor 4: [`plate`] margins, conflicts, the packing problem
//! - Floor 5: [`estimate`] seconds, layer by layer; cooling; filament; [`stability`] what could fall over
//! - Floor 6: [`batch`] numbers of production: what may fail, and what a failure costs
//! - Floor 7: [`studies`] one order line or one plate in several ways: what fits, how long, how firm
//! - Floor 8: [`drawing`] strokes, fills and text
//! - Floor 9: [`formats`] bytes to values and back
//! - Floor 10: [`work`] long work, off the thread of the window
//! - Floor 11: [`session`] the application without a window
//! - Floor 12, roofs: [`cli`] the command line, [`gui`] the window

pub mod batch;
pub mod cli;
pub mod document;
pub mod drawing;
pub mod edit;
pub mod estimate;
pub mod finding;
pub mod formats;
pub mod geom;
pub mod gui;
pub mod mesh;
pub mod packing;
pub mod plate;
pub mod rng;
pub mod session;
pub mod stability;
pub mod studies;
pub mod watch;
pub mod words;
pub mod work;
