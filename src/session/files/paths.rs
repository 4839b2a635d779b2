//! Paths as the job and people write them.

use std::path::{Component, Path, PathBuf};

use crate::document::file::JOB_ENDING;

/// A job file's path with its ending, whatever was typed.
pub(super) fn with_ending(path: &Path) -> PathBuf {
    if path.extension().is_some_and(|e| e.eq_ignore_ascii_case(JOB_ENDING)) {
        return path.to_path_buf();
    }
    let mut name = path.file_name().unwrap_or_default().to_os_string();
    name.push(".");
    name.push(JOB_ENDING);
    path.with_file_name(name)
}

/// Absolute, without `.` and `..`; links are not followed, so that a path stays as the person knows it.
pub(super) fn absolute(path: &Path) -> PathBuf {
    // A job named without a folder lies in the working one, whose path is empty.
    let path = if path.as_os_str().is_empty() { Path::new(".") } else { path };
    let full = std::path::absolute(path).unwrap_or_else(|_| path.to_path_buf());
    let mut out = PathBuf::new();
    for c in full.components() {
        match c {
            Component::ParentDir => {
                out.pop();
            }
            Component::CurDir => {}
            other => out.push(other),
        }
    }
    out
}

/// `path` as seen from `folder`, `/` between names; absolute where they share no root.
pub(super) fn relative(path: &Path, folder: &Path) -> String {
    let (a, b): (Vec<_>, Vec<_>) = (path.components().collect(), folder.components().collect());
    let same = a.iter().zip(&b).take_while(|(x, y)| x == y).count();
    if same == 0 {
        return path.to_string_lossy().into_owned();
    }
    let up = std::iter::repeat_n("..".to_owned(), b.len() - same);
    let down = a[same..].iter().map(|c| c.as_os_str().to_string_lossy().into_owned());
    up.chain(down).collect::<Vec<_>>().join("/")
}

/// The last name of a path; all of it where it has none.
pub(in crate::session) fn name_of(path: &Path) -> String {
    path.file_name().map_or_else(|| path.display().to_string(), |n| n.to_string_lossy().into_owned())
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn paths_are_relative_where_they_can_be() {
        let p = Path::new;
        assert_eq!(relative(p("/a/b/c.stl"), p("/a/b")), "c.stl");
        assert_eq!(relative(p("/a/b/m/c.stl"), p("/a/b")), "m/c.stl");
        assert_eq!(relative(p("/a/x/c.stl"), p("/a/b/d")), "../../x/c.stl");
        assert_eq!(absolute(p("/a/./b/../c")), p("/a/c"));
        assert_eq!(with_ending(p("/a/hive")), p("/a/hive.stonehand"));
        assert_eq!(with_ending(p("/a/hive.v2")), p("/a/hive.v2.stonehand"));
        assert_eq!(with_ending(p("/a/hive.stonehand")), p("/a/hive.stonehand"));
    }
}
