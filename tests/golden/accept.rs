//! Comparing with kept files.

use std::path::PathBuf;

/// Where the kept files are.
pub(crate) fn path(name: &str) -> PathBuf {
    PathBuf::from(env!("CARGO_MANIFEST_DIR")).join("tests/golden/files").join(name)
}

/// The kept file, after writing it anew where that was asked for.
pub(crate) fn kept(name: &str, now: &[u8]) -> Vec<u8> {
    if std::env::var_os("UPDATE_GOLDEN").is_some() {
        std::fs::write(path(name), now).expect("tests/golden/files can be written");
    }
    std::fs::read(path(name)).unwrap_or_default()
}

/// Text must be the kept one, byte for byte.
pub(crate) fn same_text(name: &str, now: &[u8]) {
    let kept = kept(name, now);
    let (kept, now) = (String::from_utf8_lossy(&kept), String::from_utf8_lossy(now));
    if kept != now {
        let first = kept.lines().zip(now.lines()).enumerate().find(|(_, (a, b))| a != b);
        panic!("{name} differs from the kept file; first difference (line, kept, now): {first:?}");
    }
}
