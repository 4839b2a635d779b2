//! The most that a mesh file may hold.

use super::read_error::Trouble;

/// Most triangles a file may hold.
pub(super) const MOST_TRIANGLES: usize = 100_000_000;

/// Most objects a file may hold: hundreds of times what anybody prints at once (common practice, no source).
pub(super) const MOST_OBJECTS: usize = 200_000;

/// The file has more of something than can be read.
pub(super) fn too_many(most: usize, what: &str) -> Trouble {
    Trouble::new(format!("it has more than {most} {what}"), "simplify it")
}
