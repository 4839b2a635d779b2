//! Bytes to values and back. No disk: readers take bytes, writers return them.
//!
//! - [`write`]: placements, packages, meshes, drawings

pub mod write;
