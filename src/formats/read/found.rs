//! What a format's reader finds.

use crate::mesh::{Fault, TriMesh};

/// An object as a format's reader hands it over; the name may be missing.
pub(super) struct Found {
    pub(super) name: Option<String>,
    pub(super) mesh: TriMesh,
    pub(super) faults: Vec<Fault>,
}
