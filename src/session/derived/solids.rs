//! Meshes of the parts, mended.

use std::sync::Arc;

use crate::{
    document::{Job, Part, PartId},
    mesh::TriMesh,
    session::{
        Session,
        derived::{
            keys::{MendKey, mend_key},
            pending::Pending,
        },
    },
    work::{Mended, Request},
};

impl Session {
    /// A part's mesh in its file's coordinates: its body, mended. `None` while its file is missing, or it is being mended.
    pub fn solid(&self, part: &Part) -> Option<Arc<TriMesh>> {
        let loaded = self.library.loaded(&part.mesh)?;
        if part.mends.is_empty() {
            return Some(loaded.body(part.body));
        }
        Some(self.mended_part(self.job(), part)?.mesh.clone())
    }

    /// What came of a part's mends; `None` where it has none, or they are being made.
    pub fn mended(&self, part: PartId) -> Option<&Mended> {
        let job = self.job();
        self.mended_part(job, job.part(part)?)
    }

    pub(in crate::session) fn mended_part(&self, job: &Job, part: &Part) -> Option<&Mended> {
        self.caches.mended.get(&mend_key(job, part)?).map(Arc::as_ref)
    }

    /// Asks for the mends of every part that has some.
    pub(super) fn refresh_solids(&mut self, job: &Job) {
        for part in job.parts.iter().filter(|p| !p.mends.is_empty()) {
            let Some(key) = mend_key(job, part).filter(|k| !self.caches.mended.contains_key(k)) else { continue };
            let Some(loaded) = self.library.loaded(&part.mesh).cloned() else { continue };
            let unit_mm = job.mesh(&part.mesh).map_or(1.0, |m| m.unit.mm());
            let (body, mends) = (part.body, part.mends.clone());
            self.ask_once(Pending::Mend(key), || Request::Mend { loaded, body, mends, unit_mm });
        }
    }

    pub(in crate::session) fn take_mended(&mut self, key: MendKey, mended: Arc<Mended>) {
        let job = self.history.shared_job();
        let wanted = || job.parts.iter().filter_map(|p| mend_key(&job, p)).collect();
        self.caches.mended.insert(key, mended, wanted);
        self.caches.generation += 1;
    }

    /// Mending failed by a fault of this program: the mesh goes on as it is in its file, or it would be asked for without end.
    pub(in crate::session) fn take_unmended(&mut self, key: MendKey) {
        let Some(loaded) = self.library.loaded(&key.0).cloned() else { return };
        let as_filed = Mended::new(&loaded, key.1.0, &[], 1.0);
        self.take_mended(key, Arc::new(as_filed));
    }
}
