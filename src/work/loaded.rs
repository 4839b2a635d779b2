//! Mesh files that were read and checked.

use std::{
    fmt::Write as _,
    sync::{Arc, OnceLock},
};

use rayon::prelude::*;
use sha2::{Digest, Sha256};

use super::mending::would_help;
use crate::{
    document::{FileUnit, Mend, MeshId},
    formats::read::{ReadError, mesh_file},
    mesh::{self, Report, TriMesh},
};

/// One object of a mesh file.
#[derive(Debug)]
pub struct Loaded {
    /// Its triangles, in file coordinates.
    pub mesh: Arc<TriMesh>,
    /// What was noticed while reading and checking it.
    pub report: Report,
    /// Its name in the file.
    pub object: String,
    /// Unit the file itself states (millimetres where it states none).
    pub unit: FileUnit,
    /// Mends that would help, each tried.
    pub would_help: Vec<Mend>,
    bodies: OnceLock<Vec<Arc<TriMesh>>>,
}

impl Loaded {
    /// The bodies that hang together.
    pub fn bodies(&self) -> &[Arc<TriMesh>] {
        self.bodies.get_or_init(|| mesh::split_bodies(&self.mesh).into_iter().map(Arc::new).collect())
    }
    /// The whole object, or one of its bodies; the whole where there is no such body.
    pub fn body(&self, body: Option<u32>) -> Arc<TriMesh> {
        match body {
            Some(n) => self.bodies().get(n as usize).unwrap_or(&self.mesh).clone(),
            None => self.mesh.clone(),
        }
    }
}

/// A file that was read: its hash and its objects.
#[derive(Debug, Clone)]
pub struct ReadFile {
    /// SHA-256 of its bytes, hex.
    pub sha256: String,
    /// Its objects, in file order, with ids.
    pub objects: Vec<(MeshId, Arc<Loaded>)>,
}

/// SHA-256 in lower-case hex.
pub fn sha256_hex(bytes: &[u8]) -> String {
    hex(&Sha256::digest(bytes))
}

/// Bytes as hexadecimal digits.
pub fn hex(bytes: &[u8]) -> String {
    bytes.iter().fold(String::with_capacity(2 * bytes.len()), |mut s, b| {
        // Writing into a String cannot fail.
        let _ = write!(s, "{b:02x}");
        s
    })
}

/// Reads and checks a mesh file; `name` is for messages.
pub fn read_file(name: &str, bytes: &[u8]) -> Result<ReadFile, ReadError> {
    let (sha256, file) = rayon::join(|| sha256_hex(bytes), || mesh_file(name, bytes));
    let file = file?;
    let unit = file.unit;
    let objects = file
        .objects
        .into_par_iter()
        .enumerate()
        .map(|(i, o)| {
            let report = mesh::report_in(&o.mesh, &mesh::Edges::of(&o.mesh), unit.mm(), None).with(&o.faults);
            let would_help = would_help(&o.mesh, &report, unit.mm());
            let bodies = OnceLock::new();
            let loaded = Loaded { mesh: Arc::new(o.mesh), report, object: o.name, unit, would_help, bodies };
            (MeshId::new(&sha256, i), Arc::new(loaded))
        })
        .collect();
    Ok(ReadFile { sha256, objects })
}
