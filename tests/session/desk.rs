//! A session, its files, and jobs to begin with.

use std::{
    io::{self, Read, Write},
    path::{Path, PathBuf},
    sync::{
        Arc, Barrier,
        atomic::{AtomicBool, AtomicUsize, Ordering},
    },
};

use stonehand::{
    document::{Job, PartId, file},
    finding::FindingKind,
    geom::Point,
    session::{Action, ArrangeLimits, CachedFile, Held, OutFile, Session, World},
    work::Runner,
};

use super::world::Files;

/// The mesh of the jobs here.
pub(crate) const MESH: &str = "/shop/entrance-gate.stl";

/// A session and its files.
pub(crate) struct Desk {
    pub(crate) files: Files,
    pub(crate) session: Session,
}

impl Desk {
    /// A new job over the sample workshop's files.
    pub(crate) fn new() -> Self {
        Self::over(&Files::samples())
    }
    /// A session that begins on these files.
    pub(crate) fn over(files: &Files) -> Self {
        Self { files: files.clone(), session: on(Box::new(files.clone())) }
    }
    /// Three copies of one part far apart on one plate, saved as `/shop/job.stonehand`.
    pub(crate) fn with_job() -> Self {
        let mut desk = Self::new();
        desk.act(Action::AddFiles(vec![MESH.into()]));
        for (x, y) in [(60.0, 60.0), (180.0, 60.0), (60.0, 140.0)] {
            desk.act(Action::PlaceAt(desk.part(), Point::new(x, y)));
        }
        desk.act(Action::SaveAs("/shop/job.stonehand".into()));
        assert!(!desk.session.changed());
        desk.session.take_notices();
        desk
    }
    /// Asks, and waits for all that follows. A refusal fails the test.
    pub(crate) fn act(&mut self, action: Action) {
        self.session.try_act(action).expect("it can be done");
        // `try_act` leaves what is derived as it was: any action brings it up to date.
        self.session.act(Action::ShowHeight(None));
        self.session.tick();
    }
    pub(crate) fn part(&self) -> PartId {
        self.session.job().parts[0].id
    }
    pub(crate) fn places(&self) -> Vec<(f64, f64)> {
        self.session.job().plates.iter().flat_map(|p| &p.copies).map(|c| (c.x_mm, c.y_mm)).collect()
    }
    /// The job's file, as it would be written now.
    pub(crate) fn bytes(&self) -> Vec<u8> {
        file::write(self.session.job()).expect("it can be written")
    }
    /// A job as it lies on the disk.
    pub(crate) fn saved(&self, path: &str) -> Job {
        file::read(&self.files.get(path).expect("it is there"), path).expect("it opens")
    }
    pub(crate) fn has(&self, kind: FindingKind) -> bool {
        self.session.all_findings().iter().any(|f| f.kind == kind)
    }
    /// What was told since the last time, faults and all.
    pub(crate) fn told(&mut self) -> String {
        self.session.take_notices().into_iter().map(|n| n.text).collect::<Vec<_>>().join("\n")
    }
}

/// A session that works inline and searches for few rounds.
pub(crate) fn on(world: Box<dyn World>) -> Session {
    let mut session = Session::new(world, Runner::inline());
    session.set_limits(ArrangeLimits { seed: 3, rounds: Some(1), time: None });
    // Tests are not held against the clock.
    session.set_drop_time(std::time::Duration::from_mins(1));
    session
}

/// A binary STL whose vertices are moved; with `twice`, the old ones are there as well.
pub(crate) fn reshaped(stl: &[u8], twice: bool, to: impl Fn([f32; 3]) -> [f32; 3]) -> Vec<u8> {
    let facets: Vec<&[u8]> = stl[84..].chunks_exact(50).collect();
    let mut bytes = stl[..80].to_vec();
    let count = facets.len() * if twice { 2 } else { 1 };
    bytes.extend((count as u32).to_le_bytes());
    for facet in &facets {
        if twice {
            bytes.extend_from_slice(facet);
        }
        bytes.extend_from_slice(&facet[..12]);
        for corner in facet[12..48].chunks_exact(12) {
            let at = |k: usize| f32::from_le_bytes([corner[k], corner[k + 1], corner[k + 2], corner[k + 3]]);
            bytes.extend(to([at(0), at(4), at(8)]).iter().flat_map(|c| c.to_le_bytes()));
        }
        bytes.extend_from_slice(&facet[48..]);
    }
    bytes
}

/// Machine code without end.
struct Endless(Arc<AtomicBool>);

impl Read for Endless {
    fn read(&mut self, to: &mut [u8]) -> io::Result<usize> {
        for (byte, code) in to.iter_mut().zip(b"G1 X9 F600\nG1 X0\n".iter().cycle()) {
            *byte = *code;
        }
        Ok(to.len())
    }
}

impl Drop for Endless {
    fn drop(&mut self) {
        self.0.store(true, Ordering::Relaxed);
    }
}

/// Takes from what is left; false where it is too little.
fn take(left: Option<&Arc<AtomicUsize>>, n: usize) -> bool {
    let less = |left: usize| left.checked_sub(n);
    left.is_none_or(|l| l.fetch_update(Ordering::Relaxed, Ordering::Relaxed, less).is_ok())
}

/// A file on a disk that fills up.
struct Filling(Box<dyn OutFile>, Option<Arc<AtomicUsize>>, Option<Arc<Barrier>>);

impl Write for Filling {
    fn write(&mut self, bytes: &[u8]) -> io::Result<usize> {
        if let Some(gate) = self.2.take() {
            gate.wait();
            gate.wait();
        }
        if take(self.1.as_ref(), bytes.len()) { self.0.write(bytes) } else { Err(io::ErrorKind::StorageFull.into()) }
    }
    fn flush(&mut self) -> io::Result<()> {
        self.0.flush()
    }
}

impl OutFile for Filling {
    fn finish(self: Box<Self>) -> io::Result<()> {
        self.0.finish()
    }
}

/// Files of which some are not as files should be.
#[derive(Default)]
pub(crate) struct Odd {
    pub(crate) files: Files,
    /// Nothing below it can be written.
    pub(crate) stuck: Option<&'static str>,
    /// Bytes that the disk still takes, where it is full some time.
    pub(crate) room: Option<Arc<AtomicUsize>>,
    /// So many more files can be moved, where that ends some time.
    pub(crate) moves: Option<Arc<AtomicUsize>>,
    /// Counts files read.
    pub(crate) reads: Option<Arc<AtomicUsize>>,
    /// The first write into a file waits here twice.
    pub(crate) gate: Option<Arc<Barrier>>,
    /// Files called so are write-protected.
    pub(crate) protected: Option<&'static str>,
    /// Files called so never end; and whether one was let go.
    pub(crate) endless: Option<(&'static str, Arc<AtomicBool>)>,
}

impl World for Odd {
    fn stream(&self, path: &Path) -> io::Result<(Box<dyn Read + Send>, u64)> {
        match &self.endless {
            Some((name, let_go)) if path.ends_with(name) => Ok((Box::new(Endless(let_go.clone())), 1 << 40)),
            _ => self.files.stream(path),
        }
    }
    fn read(&self, path: &Path) -> io::Result<Vec<u8>> {
        if let Some(reads) = &self.reads {
            reads.fetch_add(1, Ordering::Relaxed);
        }
        self.files.read(path)
    }
    fn write(&self, path: &Path, bytes: &[u8]) -> io::Result<()> {
        if self.stuck.is_some_and(|below| path.starts_with(below)) {
            return Err(io::Error::from(io::ErrorKind::PermissionDenied));
        }
        if !take(self.room.as_ref(), bytes.len()) {
            return Err(io::ErrorKind::StorageFull.into());
        }
        self.files.write(path, bytes)
    }
    fn create(&self, path: &Path) -> io::Result<Box<dyn OutFile>> {
        Ok(Box::new(Filling(self.files.create(path)?, self.room.clone(), self.gate.clone())))
    }
    fn rename(&self, from: &Path, to: &Path) -> io::Result<()> {
        if take(self.moves.as_ref(), 1) { self.files.rename(from, to) } else { Err(io::ErrorKind::Other.into()) }
    }
    fn remove_folder(&self, path: &Path) -> io::Result<()> {
        self.files.remove_folder(path)
    }
    fn lock(&self, path: &Path) -> io::Result<Option<Held>> {
        self.files.lock(path)
    }
    fn is_folder(&self, path: &Path) -> bool {
        self.files.is_folder(path)
    }
    fn write_protected(&self, path: &Path) -> bool {
        self.protected.is_some_and(|name| path.ends_with(name))
    }
    fn remove(&self, path: &Path) -> io::Result<()> {
        self.files.remove(path)
    }
    fn make_folder(&self, path: &Path) -> io::Result<()> {
        self.files.make_folder(path)
    }
    fn list(&self, folder: &Path) -> Vec<PathBuf> {
        self.files.list(folder)
    }
    fn exists(&self, path: &Path) -> bool {
        self.files.exists(path)
    }
    fn own_folder(&self) -> Option<PathBuf> {
        self.files.own_folder()
    }
    fn read_small(&self, path: &Path, most_bytes: u64) -> io::Result<Vec<u8>> {
        self.files.read_small(path, most_bytes)
    }
    fn cache_folder(&self) -> Option<PathBuf> {
        self.files.cache_folder()
    }
    fn cached_files(&self, folder: &Path) -> Vec<CachedFile> {
        self.files.cached_files(folder)
    }
    fn touch(&self, path: &Path) -> io::Result<()> {
        self.files.touch(path)
    }
    fn today(&self) -> String {
        self.files.today()
    }
}
