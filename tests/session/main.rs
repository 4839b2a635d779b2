//! The application without a window, on files in memory: what a person asks for, and what becomes of it.
//!
//! - `desk`: a session, its files, and jobs to begin with
//! - `cooling`: what is found, and what would help
//! - `keeping`: new, open, save, recent, recovery; `meshes`: moved, changed, replaced, split; `packing`: one undo step

mod cooling;
mod desk;
mod keeping;
mod meshes;
mod packing;
#[path = "../gui/world.rs"]
mod world;
