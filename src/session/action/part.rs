//! Parts: their pose, their unit, their bodies.

use crate::{
    document::{FileUnit, Mend, MeshRef, Part, PartId, Pose},
    edit::{Command, NewPart, apply},
    mesh,
    session::{Session, SessionError},
};

impl Session {
    pub(in crate::session) fn pose(
        &mut self,
        label: &str,
        id: PartId,
        to: impl Fn(Pose) -> Pose,
    ) -> Result<(), SessionError> {
        let part = self.job().part(id).ok_or_else(|| SessionError::Other("there is no such part".into()))?;
        let part = Part { pose: to(part.pose), ..part.clone() };
        self.command(label, &Command::SetPart { part })
    }

    pub(in crate::session) fn split(&mut self, label: &str, id: PartId) -> Result<(), SessionError> {
        let job = self.job();
        let part = job.part(id).ok_or_else(|| SessionError::Other("there is no such part".into()))?;
        let kept = |m: &Mend| matches!(m, Mend::KeepBody(_));
        let mended = !part.mends.is_empty();
        let bodies = if mended {
            self.solid(part).map_or(0, |mesh| mesh::split_bodies(&mesh).len())
        } else {
            self.library.loaded(&part.mesh).map_or(0, |l| l.bodies().len())
        };
        if part.body.is_some() || part.mends.iter().any(kept) || bodies < 2 {
            return Err(SessionError::Other(format!("{} is one body: there is nothing to split", part.name)));
        }
        let Some(mesh) = job.mesh(&part.mesh) else { return Ok(()) };
        let parts = (0..bodies as u32)
            .map(|n| NewPart {
                mesh: MeshRef { body: (!mended).then_some(n), ..mesh.clone() },
                name: format!("{} {}", part.name, n + 1),
                wanted: part.wanted,
                pose: part.pose,
                footing: part.footing,
                turns: part.turns,
                material: Some(part.material),
                colour: part.colour.clone(),
                recipe: Some(part.recipe),
            })
            .collect();
        // Two commands, one step back: the whole is a gesture.
        let (mut with, out) = apply(job, &Command::AddParts { parts })?;
        // Of a mended mesh the bodies are those that the mends make: to keep one of them is a mend, too.
        for (n, id) in out.parts.iter().enumerate().filter(|_| mended) {
            let mends = part.mends.iter().copied().chain([Mend::KeepBody(n as u32)]).collect();
            with = apply(&with, &Command::SetMends { parts: vec![*id], mends })?.0;
        }
        let (without, _) = apply(&with, &Command::RemovePart { id })?;
        self.change_to(label, without);
        self.part = out.parts.first().copied();
        Ok(())
    }

    /// Lays the n-th face of the part's hull on the bed.
    pub(super) fn lay_on(&mut self, label: &str, id: PartId, face: usize) -> Result<(), SessionError> {
        let normal = self
            .hull_faces(id)
            .get(face)
            .map(|f| f.normal)
            .ok_or_else(|| SessionError::Other("this part has no such face".into()))?;
        self.pose(label, id, |p| p.laid_on(normal))
    }

    pub(super) fn lay_down(&mut self, label: &str, id: PartId, normal: [f64; 3]) -> Result<(), SessionError> {
        let length = normal.iter().map(|c| c * c).sum::<f64>();
        if !(length.is_finite() && length > 0.0) {
            return Err(SessionError::Other("this is no direction: choose a face from the list".into()));
        }
        self.pose(label, id, |p| p.laid_on(normal))
    }

    pub(super) fn set_unit(&mut self, label: &str, id: PartId, unit: FileUnit) -> Result<(), SessionError> {
        let job = self.job();
        let mesh = job.part(id).and_then(|p| job.mesh(&p.mesh)).cloned();
        let mesh = mesh.ok_or_else(|| SessionError::Other("there is no such part".into()))?;
        self.command(label, &Command::SetMeshRef { mesh: MeshRef { unit, ..mesh } })
    }
}
