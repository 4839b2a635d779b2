//! The faces that a part can lie on.

use crate::{
    document::PartId,
    mesh,
    session::{Session, derived::keys::linear},
};

impl Session {
    /// Flat faces of the part's hull in its pose, largest first.
    pub fn hull_faces(&self, part: PartId) -> Vec<mesh::HullFace> {
        let job = self.job();
        let Some(p) = job.part(part) else { return Vec::new() };
        let (Some(mesh), Some(linear)) = (self.solid(p), linear(job, p)) else {
            return Vec::new();
        };
        mesh::hull_faces(&mesh.posed(&linear).0)
    }
}
