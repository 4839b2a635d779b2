//! What a file takes after that is written in place of another.

use std::{
    fs,
    path::{Path, PathBuf},
};

/// Symbolic links followed one after another, as many as Linux does: `path_resolution(7)`.
const MOST_LINKS: usize = 40;

/// Where a path leads by symbolic links, whether or not something is there.
pub(super) fn followed(path: &Path) -> PathBuf {
    let mut at = path.to_path_buf();
    for _ in 0..MOST_LINKS {
        let Ok(to) = fs::read_link(&at) else { break };
        at = at.parent().map_or_else(|| to.clone(), |folder| folder.join(&to));
    }
    at
}

/// Gives a file the owner and mode of the one at `old`, where there is one. What is not allowed is left as it is: only
/// its owner or an administrator may give a file away.
pub(super) fn keep_rights(file: &fs::File, old: &Path) {
    let Ok(was) = fs::metadata(old) else { return };
    #[cfg(unix)]
    {
        use std::os::unix::fs::{MetadataExt, fchown};
        let is = file.metadata().ok().map(|m| (m.uid(), m.gid()));
        if is != Some((was.uid(), was.gid())) && fchown(file, Some(was.uid()), Some(was.gid())).is_err() {
            let _ = fchown(file, None, Some(was.gid()));
        }
    }
    let _ = file.set_permissions(was.permissions());
}
