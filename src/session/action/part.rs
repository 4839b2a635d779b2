//! Parts: their pose, their unit, their bodies.

use crate::{
    document::{FileUnit, Mend, MeshRef, Part, PartId, Pose},
    edit::{Command, NewPart, apply},
    geom::{Point, hull},
    mesh,
    session::{Session, SessionError},
};

/// A part longer than this many times its width has a long side.
const LONGER: f64 = 1.05;

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
        self.lay(label, id, normal)
    }

    fn lay(&mut self, label: &str, id: PartId, normal: [f64; 3]) -> Result<(), SessionError> {
        let part = self.job().part(id).ok_or_else(|| SessionError::Other("there is no such part".into()))?;
        let pose = self.straight(part, part.pose.laid_on(normal));
        self.pose(label, id, |_| pose)
    }

    /// The pose turned about Z so that the part's long side lies along X: what was turned over would lie askew else. A part about as long
    /// as wide is left as it is.
    fn straight(&self, part: &Part, pose: Pose) -> Pose {
        let job = self.job();
        let (Some(mesh), Some(loaded)) = (job.mesh(&part.mesh), self.library.loaded(&part.mesh)) else { return pose };
        let posed = loaded.body(part.body).posed(&pose.linear(mesh.unit.mm())).0;
        let outline = hull::convex_hull(posed.vertices.iter().map(|v| Point::new(v[0], v[1])));
        let (short_mm, across) = hull::least_width(&outline);
        let along = across.perpendicular();
        let (least, most) = outline
            .iter()
            .map(|p| p.dot(along))
            .fold((f64::INFINITY, f64::NEG_INFINITY), |(a, b), v| (a.min(v), b.max(v)));
        if !(short_mm > 0.0 && most - least > LONGER * short_mm) {
            return pose;
        }
        // The way across goes to Y by the smaller turn.
        let turn = 90.0 - across.y.atan2(across.x).to_degrees();
        let turn = turn - 180.0 * (turn / 180.0).round();
        if turn.abs() < 1e-6 { pose } else { pose.then_turned_about_z_deg(turn) }
    }

    pub(super) fn lay_down(&mut self, label: &str, id: PartId, normal: [f64; 3]) -> Result<(), SessionError> {
        let length = normal.iter().map(|c| c * c).sum::<f64>();
        if !(length.is_finite() && length > 0.0) {
            return Err(SessionError::Other("this is no direction: choose a face from the list".into()));
        }
        self.lay(label, id, normal)
    }

    pub(super) fn set_unit(&mut self, label: &str, id: PartId, unit: FileUnit) -> Result<(), SessionError> {
        let job = self.job();
        let mesh = job.part(id).and_then(|p| job.mesh(&p.mesh)).cloned();
        let mesh = mesh.ok_or_else(|| SessionError::Other("there is no such part".into()))?;
        self.command(label, &Command::SetMeshRef { mesh: MeshRef { unit, ..mesh } })
    }
}
