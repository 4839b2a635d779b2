//! Work under way whose answer goes into a cache.

use std::path::PathBuf;

use crate::{
    document::{MeshId, PartId},
    session::derived::keys::{FootingKey, MassKey, MendKey, PosesKey, ProfileKey, ShapeKey, StandingKey},
};

/// Work under way whose answer goes into a cache.
#[derive(Debug, Clone, PartialEq)]
pub(in crate::session) enum Pending {
    Mend(MendKey),
    Shape(ShapeKey),
    Profile(ProfileKey),
    Supports(ProfileKey),
    Mass(MassKey),
    Judged(StandingKey),
    Poses(PosesKey),
    PoseViews(PosesKey),
    Footing(FootingKey),
    /// Whether the job's mesh files are there.
    Files,
    /// Of a footing that no copy has.
    Compared(FootingKey),
    /// Meshes of the job, all in one file.
    Mesh {
        ids: Vec<MeshId>,
    },
    /// Files added by the person.
    Add {
        path: PathBuf,
    },
    /// A mesh that replaces a part's.
    Replace {
        part: PartId,
        path: PathBuf,
    },
    /// A lost mesh found again.
    Locate {
        id: MeshId,
        path: PathBuf,
    },
}
