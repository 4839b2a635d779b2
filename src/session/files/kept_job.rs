//! A kept job as it is written.

use std::{
    hash::{BuildHasher, Hasher, RandomState},
    path::{Path, PathBuf},
};

use serde::{Deserialize, Serialize};

/// What is written with a kept job beside the job itself.
#[derive(Debug, Default, Serialize, Deserialize)]
pub(super) struct Note {
    /// The job's own file.
    pub(super) file: Option<String>,
    /// SHA-256 of what that file held when it was read or saved last.
    pub(super) sha256: Option<String>,
}

/// What a kept file says of itself.
#[derive(Debug, Default, Deserialize)]
pub(super) struct About {
    #[serde(default)]
    pub(super) kept: Note,
    #[serde(default)]
    pub(super) title: String,
}

/// The lock of who keeps a job here.
pub(super) fn lock_of(kept: &Path) -> PathBuf {
    kept.with_extension("lock")
}

/// 128 bits that no other run has: the standard library seeds each hasher from the system's random numbers.
pub(super) fn random_id() -> String {
    let random = || RandomState::new().build_hasher().finish();
    format!("{:016x}{:016x}", random(), random())
}

/// A job file's bytes with a note in front: still a job file, for readers pass over keys that they do not know.
pub(super) fn with_note(job: &[u8], note: &Note) -> Vec<u8> {
    match (job.strip_prefix(b"{"), serde_json::to_vec(note)) {
        (Some(rest), Ok(note)) => [b"{\"kept\": ".as_slice(), &note, b",", rest].concat(),
        _ => job.to_vec(),
    }
}

pub(super) fn about(bytes: &[u8]) -> About {
    serde_json::from_slice(bytes).unwrap_or_default()
}

/// The name and process in "NAME (123).stonehand".
pub(super) fn old_name(kept: &Path) -> Option<(&str, u32)> {
    let (name, process) = kept.file_stem()?.to_str()?.rsplit_once(" (")?;
    Some((name, process.strip_suffix(')')?.parse().ok()?))
}
