//! Bytes to values and back. No disk: readers take bytes, writers return them.
//!
//! - [`read`]: meshes from STL, OBJ and 3MF
//! - [`mod@write`]: placements, packages, meshes, drawings

pub mod read;
pub mod write;
