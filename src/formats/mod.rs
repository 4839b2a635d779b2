//! Bytes to values and back; no disk.
//!
//! - [`read`]: meshes
//! - [`write`]: placements, packages, meshes, drawings

pub mod read;
pub mod write;
