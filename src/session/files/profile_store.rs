//! Profiles and outlines kept between runs: one small file each, in folders that anybody may empty at any time.

use std::{
    path::{Path, PathBuf},
    sync::Arc,
};

use sha2::{Digest, Sha256};

use crate::{
    estimate::SECTION_TOLERANCE_MM,
    session::{
        World,
        derived::keys::{ProfileKey, ShapeKey},
    },
    work::{KeptProfiles, ProfileHash, hex},
};

/// Raise it whenever the same key gives another profile: other paths, other times, other fields.
const FORMAT: u32 = 5;

/// All files together.
const MOST_BYTES: u64 = 256 << 20;

/// One file: many times the profile of as many layers as an estimate takes.
const MOST_FILE_BYTES: u64 = 16 << 20;

/// Profiles, or outlines, in the cache folder. Where it grows too large, what was used least recently goes first.
pub(in crate::session) struct ProfileStore {
    world: Arc<dyn World>,
    folder: PathBuf,
    /// Ending of the files.
    ending: &'static str,
}

impl std::fmt::Debug for ProfileStore {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        f.debug_struct("ProfileStore").field("folder", &self.folder).finish_non_exhaustive()
    }
}

impl ProfileStore {
    /// Profiles. `None` where the world keeps no cache.
    pub(in crate::session) fn new(world: &Arc<dyn World>) -> Option<Self> {
        Some(Self { world: world.clone(), folder: world.cache_folder()?.join("profiles"), ending: "profile" })
    }

    /// Outlines of parts, by which a part is still seen once its mesh is missing. `None` where the world keeps no cache.
    pub(in crate::session) fn of_outlines(world: &Arc<dyn World>) -> Option<Self> {
        Some(Self { world: world.clone(), folder: world.cache_folder()?.join("outlines"), ending: "outline" })
    }

    pub(in crate::session) fn path(&self, key: &ProfileHash) -> PathBuf {
        self.folder.join(format!("{}.{}", hex(key), self.ending))
    }

    /// Removes files, the least recently used first, until all together are `most_bytes` or less.
    fn tidy(&self, most_bytes: u64) {
        let mut files = self.world.cached_files(&self.folder);
        files.retain(|f| self.is_ours(&f.path));
        files.sort_by(|a, b| (a.used, &a.path).cmp(&(b.used, &b.path)));
        let mut all: u64 = files.iter().map(|f| f.bytes).sum();
        for file in files {
            if all <= most_bytes {
                return;
            }
            if self.world.remove(&file.path).is_ok() {
                all -= file.bytes;
            }
        }
    }

    /// One of its own, or what a write that was cut off left behind.
    fn is_ours(&self, path: &Path) -> bool {
        path.extension().is_some_and(|e| e == self.ending || e == "tmp")
    }
}

impl KeptProfiles for ProfileStore {
    fn get(&self, key: &ProfileHash) -> Option<Vec<u8>> {
        let path = self.path(key);
        let bytes = self.world.read_small(&path, MOST_FILE_BYTES).ok()?;
        // Where it cannot be marked as used it only goes the sooner.
        let _ = self.world.touch(&path);
        Some(bytes)
    }

    fn put(&self, key: &ProfileHash, bytes: &[u8]) {
        if bytes.len() as u64 > MOST_FILE_BYTES {
            return;
        }
        let written = self.world.make_folder(&self.folder).and_then(|()| self.world.write(&self.path(key), bytes));
        if written.is_ok() {
            self.tidy(MOST_BYTES);
        }
    }
}

/// Hash of all that a profile depends on, the program included.
pub(in crate::session) fn profile_hash(key: &ProfileKey) -> ProfileHash {
    hash_of(&key.0, &key.1, env!("CARGO_PKG_VERSION"), FORMAT)
}

/// Hash of all that a part's outlines depend on, the program included.
pub(in crate::session) fn outline_hash(key: &ShapeKey) -> ProfileHash {
    hash_of(key, "outline", env!("CARGO_PKG_VERSION"), FORMAT)
}

fn hash_of((mesh, (body, mends), linear, first): &ShapeKey, recipe: &str, version: &str, format: u32) -> ProfileHash {
    // Each piece has its length before it or a fixed one, so that no two keys give the same bytes.
    let mut h = Sha256::new();
    let mut add = |bytes: &[u8]| {
        h.update((bytes.len() as u64).to_le_bytes());
        h.update(bytes);
    };
    add(version.as_bytes());
    add(&format.to_le_bytes());
    add(&SECTION_TOLERANCE_MM.to_le_bytes());
    add(mesh.0.as_bytes());
    add(body.map(u32::to_le_bytes).as_ref().map_or(&[], <[u8; 4]>::as_slice));
    for v in linear {
        add(&v.to_le_bytes());
    }
    add(&first.to_le_bytes());
    add(recipe.as_bytes());
    if !mends.is_empty() {
        add(mends.as_bytes());
    }
    h.finalize().into()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::{document::MeshId, session::Disk};

    fn store(folder: &Path) -> ProfileStore {
        let disk = Disk { own: Some(folder.into()), ..Disk::default() };
        ProfileStore::new(&(Arc::new(disk) as _)).expect("it keeps a cache")
    }

    fn key() -> ProfileKey {
        ((MeshId::new("ab", 0), (None, String::new()), [1.0_f64.to_bits(); 9], 2), "{}".into())
    }

    #[test]
    fn whatever_differs_has_another_key() {
        let base = profile_hash(&key());
        assert_eq!(base, profile_hash(&key()));
        let mut others = vec![
            hash_of(&key().0, &key().1, "0.0.9", FORMAT),
            hash_of(&key().0, &key().1, env!("CARGO_PKG_VERSION"), FORMAT + 1),
            outline_hash(&key().0),
        ];
        let mut changed = |change: &dyn Fn(&mut ProfileKey)| {
            let mut k = key();
            change(&mut k);
            others.push(profile_hash(&k));
        };
        changed(&|k| k.0.0 = MeshId::new("ab", 1));
        changed(&|k| k.0.1.0 = Some(0));
        changed(&|k| k.0.1.1 = "[]".into());
        changed(&|k| k.0.2[8] += 1);
        changed(&|k| k.0.3 = 3);
        changed(&|k| k.1 = "{ }".into());
        others.push(base);
        let count = others.len();
        others.sort_unstable();
        others.dedup();
        assert_eq!(others.len(), count);
    }

    #[test]
    fn the_least_recently_used_go_first_and_others_files_stay() {
        let folder = tempfile::tempdir().expect("a temporary folder");
        let store = store(folder.path());
        let keys: Vec<ProfileHash> = (0..5).map(|n| [n; 32]).collect();
        for (n, key) in keys.iter().enumerate() {
            store.put(key, &[0; 1000]);
            // Not all clocks of file systems are fine enough for a test.
            let file = std::fs::File::options().append(true).open(store.path(key)).expect("it is there");
            let used = std::time::UNIX_EPOCH + std::time::Duration::from_secs(1000 * n as u64);
            file.set_modified(used).expect("a time can be set");
        }
        std::fs::write(store.folder.join("notes.txt"), [0; 9000]).expect("a file of somebody's");
        std::fs::write(store.folder.join(".stonehand-cut.tmp"), [0; 500]).expect("a write cut off");
        assert!(store.get(&keys[0]).is_some(), "used just now");
        store.tidy(2500);
        let there: Vec<bool> = keys.iter().map(|k| store.path(k).exists()).collect();
        // 5500 bytes: 1 to 3 go, and the newest two with what was cut off make 2500.
        assert_eq!(there, [true, false, false, false, true]);
        assert!(store.folder.join("notes.txt").exists() && store.folder.join(".stonehand-cut.tmp").exists());
        store.tidy(0);
        assert_eq!(store.world.list(&store.folder), [store.folder.join("notes.txt")]);
    }

    #[test]
    fn what_is_too_large_is_neither_read_nor_kept_and_a_folder_in_its_place_is_no_fault() {
        let folder = tempfile::tempdir().expect("a temporary folder");
        let store = store(folder.path());
        store.put(&[1; 32], &vec![0; MOST_FILE_BYTES as usize + 1]);
        assert!(!store.path(&[1; 32]).exists());
        store.put(&[1; 32], &[1]);
        let file = std::fs::File::options().append(true).open(store.path(&[1; 32])).expect("it is there");
        file.set_len(MOST_FILE_BYTES + 1).expect("it can grow");
        assert_eq!(store.get(&[1; 32]), None);
        std::fs::create_dir(store.path(&[2; 32])).expect("a folder");
        store.put(&[2; 32], &[1]);
        assert_eq!(store.get(&[2; 32]), None);
    }

    #[test]
    fn the_command_line_keeps_nothing() {
        assert!(ProfileStore::new(&(Arc::new(Disk::plain()) as _)).is_none());
    }
}
