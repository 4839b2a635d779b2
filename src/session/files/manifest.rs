//! The manifest of an export: a hash and a name a line, as `sha256sum -c` reads it.

use std::{collections::BTreeMap, fmt::Write as _};

/// Its name.
pub(super) const MANIFEST: &str = "manifest.sha256";
/// Larger ones are not read: that is room for a hundred thousand files.
pub(super) const MOST_BYTES: u64 = 16 << 20;
/// Digits of a SHA-256.
const DIGITS: usize = 64;

/// One line.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) struct Line {
    pub(super) sha256: String,
    pub(super) name: String,
}

/// Why a line is not taken.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
pub(super) enum LineFault {
    /// It is no hash and name.
    #[error("line {0} of the manifest is not a hash and a name")]
    NoLine(usize),
    /// The name is not that of a file in the folder.
    #[error("line {0} of the manifest names a file outside the folder, which was not read")]
    LeadsOut(usize),
}

/// A name of a file in the folder itself: no path, no step upwards.
pub(super) fn is_plain_name(name: &str) -> bool {
    !name.is_empty()
        && name != "."
        && name != ".."
        && !name.contains(['/', '\\', ':', '\0'])
        && !name.contains(char::is_control)
}

/// The lines of a manifest, in order; empty ones are skipped.
pub(super) fn lines(bytes: &[u8]) -> Vec<Result<Line, LineFault>> {
    let text = String::from_utf8_lossy(bytes);
    let of = |(i, line): (usize, &str)| {
        let (hash, rest) = line.split_at_checked(DIGITS).ok_or(LineFault::NoLine(i + 1))?;
        // Two spaces, or a space and an asterisk: text and binary are the same here.
        let name = rest.strip_prefix("  ").or_else(|| rest.strip_prefix(" *")).ok_or(LineFault::NoLine(i + 1))?;
        if !hash.bytes().all(|b| b.is_ascii_hexdigit()) {
            return Err(LineFault::NoLine(i + 1));
        }
        if !is_plain_name(name) {
            return Err(LineFault::LeadsOut(i + 1));
        }
        Ok(Line { sha256: hash.to_ascii_lowercase(), name: name.to_owned() })
    };
    text.lines().enumerate().filter(|(_, l)| !l.trim().is_empty()).map(of).collect()
}

/// A manifest of files by name.
pub(super) fn text(hashes: &BTreeMap<String, String>) -> String {
    let mut text = String::new();
    for (name, hash) in hashes {
        // Writing into a String cannot fail.
        let _ = writeln!(text, "{hash}  {name}");
    }
    text
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_is_written_is_read_and_paths_are_refused() {
        let hash = "ab".repeat(32);
        let all = BTreeMap::from([("a.stl".to_owned(), hash.clone()), ("größe 2.pdf".to_owned(), hash.clone())]);
        let read: Vec<Line> = lines(text(&all).as_bytes()).into_iter().map(|l| l.expect("a line")).collect();
        assert_eq!(read.iter().map(|l| l.name.as_str()).collect::<Vec<_>>(), ["a.stl", "größe 2.pdf"]);
        for name in ["../a", "/etc/passwd", "a/b", "..", ".", "a\\b", "c:x", "\u{7}"] {
            assert_eq!(lines(format!("{hash}  {name}\n").as_bytes()), [Err(LineFault::LeadsOut(1))], "{name}");
        }
        for line in ["x", "\u{e4}\u{e4}", &"z".repeat(80), &format!("{hash} a"), &"ab".repeat(40)] {
            assert_eq!(lines(format!("\n{line}").as_bytes()), [Err(LineFault::NoLine(2))], "{line}");
        }
        assert_eq!(lines(&[0xff; 70]).len(), 1);
        assert!(lines(b"").is_empty());
    }
}
