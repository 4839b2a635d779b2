//! Machine-code files and folders of them.

use std::path::{Path, PathBuf};

use crate::{estimate::gauge::GaugeError, session::World};

/// Endings that machine-code files go by (common practice, no source).
pub const CODE_ENDINGS: [&str; 6] = ["gcode", "gco", "g", "nc", "ngc", "tap"];

/// True where a file goes by one of [`CODE_ENDINGS`].
pub fn is_code(path: &Path) -> bool {
    path.extension().is_some_and(|e| CODE_ENDINGS.iter().any(|c| e.eq_ignore_ascii_case(c)))
}

/// The machine-code files of a folder, by name.
pub fn code_files(world: &dyn World, folder: &Path) -> Vec<PathBuf> {
    world.list(folder).into_iter().filter(|p| is_code(p)).collect()
}

/// One sentence on a folder without any.
pub fn no_code_in(folder: &Path) -> String {
    let endings = CODE_ENDINGS.join(", ");
    format!("{}: holds no machine-code files (looked for the endings {endings})", folder.display())
}

/// One sentence on why a file was not measured.
pub fn refusal(path: &str, why: &GaugeError) -> String {
    match why {
        GaugeError::Read(_) => format!("{path}: {why}"),
        _ => format!("{path} {why}"),
    }
}
