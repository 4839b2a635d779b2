//! Meshes that are not there: what is said of the plates that need them.

use crate::{
    document::{CopyId, Job, MeshId, Part, Plate},
    finding::{Finding, FindingKind, Level, Remedy},
    session::{MeshState, Session},
};

impl Session {
    /// Why a plate has no estimate: a mesh of one of its copies is missing.
    pub(in crate::session) fn missing_on(&self, job: &Job, plate: &Plate) -> Option<String> {
        let mut parts = job.parts.iter().filter(|part| plate.copies.iter().any(|c| c.part == part.id));
        let part = parts.find(|part| self.lacks(&part.mesh))?;
        Some(format!("no time while the mesh of {} {} is missing", part.letter, part.name))
    }

    /// It was looked for, and is not there as the job knows it.
    fn lacks(&self, mesh: &MeshId) -> bool {
        self.library.loaded(mesh).is_none() && self.library.state(mesh).is_some()
    }

    /// Findings about missing meshes: of the parts on a plate, or of those that lie on none.
    pub(super) fn missing_findings(&self, job: &Job, plate: Option<&Plate>) -> Vec<Finding> {
        let copies_of = |part: &Part| -> Vec<CopyId> {
            let here = plate.into_iter().flat_map(|p| &p.copies);
            here.filter(|c| c.part == part.id).map(|c| c.id).collect()
        };
        let mut told: Vec<(&MeshId, Finding)> = Vec::new();
        for part in job.parts.iter().filter(|p| self.lacks(&p.mesh)) {
            let copies = copies_of(part);
            if copies.is_empty() && (plate.is_some() || job.placed(part.id) > 0) {
                continue;
            }
            // Parts of one file are missing together.
            if let Some((_, finding)) = told.iter_mut().find(|(mesh, _)| **mesh == part.mesh) {
                finding.copies.extend(copies);
                continue;
            }
            let Some((kind, what)) = self.library.state(&part.mesh).and_then(in_words) else { continue };
            let time = if plate.is_some() { "; this plate has no time until it is there" } else { "" };
            let remedy = match kind {
                FindingKind::ChangedMesh => Remedy::TakeChangedMesh { mesh: part.mesh.clone() },
                _ => Remedy::LocateMesh { mesh: part.mesh.clone() },
            };
            let finding = Finding {
                level: Level::Stop,
                kind,
                plate: plate.map(|p| p.id),
                copies,
                height_mm: None,
                text: format!("{} {}: {what}{time}", part.letter, part.name),
                remedy: Some(remedy),
                more: Vec::new(),
            };
            told.push((&part.mesh, finding));
        }
        told.into_iter().map(|(_, finding)| finding).collect()
    }
}

/// What is the matter with a mesh; `None` where it is there.
fn in_words(state: &MeshState) -> Option<(FindingKind, String)> {
    Some(match state {
        MeshState::Ready(_) => return None,
        MeshState::Missing { looked } => (
            FindingKind::MissingMesh,
            format!("mesh file {} not found, and no copy of it near the job", looked.display()),
        ),
        MeshState::Changed { file, .. } => {
            (FindingKind::ChangedMesh, format!("mesh file {} has changed since the job was made", file.display()))
        }
        MeshState::Unreadable { why } => (FindingKind::MissingMesh, why.clone()),
    })
}
