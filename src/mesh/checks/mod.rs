//! What can be wrong with a mesh, one check a file.
//!
//! - `open_edge`, `non_manifold_edge`, `duplicate_triangle`: from the edge table
//! - `flipped_shell`, `floating_shell`, `overlapping_shells`: from shells and bodies
//! - `non_finite`, `zero_area`: counted while welding
//! - `suspicious_size`: from the bounds

mod duplicate_triangle;
mod flipped_shell;
mod floating_shell;
mod non_finite;
mod non_manifold_edge;
mod open_edge;
mod overlapping_shells;
mod suspicious_size;
mod zero_area;

pub(super) use duplicate_triangle::{duplicate_triangle, twins};
pub(super) use flipped_shell::flipped_shell;
pub(super) use floating_shell::floating_shell;
pub(super) use non_finite::non_finite;
pub(super) use non_manifold_edge::non_manifold_edge;
pub(super) use open_edge::open_edge;
pub(super) use overlapping_shells::overlapping_shells;
pub use suspicious_size::suspicious_size;
pub(super) use zero_area::zero_area;
