//! Is a folder of hand-over files as it was handed over?

use std::path::Path;

use super::{
    hashing::hash_of,
    manifest::{MANIFEST, MOST_BYTES, lines},
};
use crate::{session::World, words};

/// What came of a check.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct CheckedExport {
    /// Files that are there and unchanged.
    pub unchanged: usize,
    /// What differs: the file's name, or "manifest.sha256" for a line of it, and what is wrong.
    pub differs: Vec<(String, String)>,
}

/// Compares the files of a folder with its manifest. Nothing outside the folder is read: no path in the manifest is followed, nor a link in the
/// folder.
///
/// # Errors
/// One sentence where there is no manifest, or it cannot be read.
pub fn check_export(world: &dyn World, folder: &Path) -> Result<CheckedExport, String> {
    let place = words::plain(&folder.display().to_string()).into_owned();
    if !world.is_folder(folder) {
        return Err(format!(
            "{place}: is not a folder that can be read: name the folder that an export was written into"
        ));
    }
    let path = folder.join(MANIFEST);
    if world.is_link(&path) {
        return Err(format!("{place}: its {MANIFEST} is a link, which is not followed: export again into this folder"));
    }
    if !world.exists(&path) {
        return Err(format!("{place}: has no {MANIFEST} that can be read: export into it first"));
    }
    let bytes = world
        .read_small(&path, MOST_BYTES)
        .map_err(|why| format!("{place}: its {MANIFEST} cannot be read ({why}): export again into this folder"))?;
    let lines = lines(&bytes);
    if !lines.iter().any(Result::is_ok) {
        return Err(format!("{place}: its {MANIFEST} names no file: export again into this folder"));
    }
    let mut checked = CheckedExport::default();
    for line in lines {
        let line = match line {
            Ok(line) => line,
            Err(why) => {
                checked.differs.push((MANIFEST.to_owned(), why.to_string()));
                continue;
            }
        };
        let path = folder.join(&line.name);
        let wrong = if world.is_link(&path) {
            Some("is a link, which was not followed".to_owned())
        } else if !world.exists(&path) {
            Some("is missing".to_owned())
        } else {
            match hash_of(world, &path) {
                Ok(hash) if hash == line.sha256 => None,
                Ok(_) => Some("has changed".to_owned()),
                Err(why) => Some(format!("cannot be read: {why}")),
            }
        };
        match wrong {
            Some(wrong) => checked.differs.push((line.name, wrong)),
            None => checked.unchanged += 1,
        }
    }
    Ok(checked)
}
