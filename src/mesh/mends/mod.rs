//! Mends of a mesh, one a file. Each makes a new mesh; the one it is given, and the file it came from, stay as they are.
//!
//! - [`flip_inside_out`]: shells turned so that outside is outside
//! - [`drop_duplicates`], [`drop_zero_area`]: triangles that add nothing
//! - [`weld_within`]: vertices that nearly coincide become one
//! - [`keep_body`]: one connected body
//!
//! Each returns how much it changed; 0 means that the mesh is as it was.

mod drop_duplicates;
mod drop_zero_area;
mod flip_inside_out;
mod keep_body;
mod weld_within;

pub use drop_duplicates::drop_duplicates;
pub use drop_zero_area::{LEAST_HEIGHT_MM, drop_zero_area};
pub use flip_inside_out::flip_inside_out;
pub use keep_body::keep_body;
pub use weld_within::weld_within;
