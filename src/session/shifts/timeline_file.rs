//! The kinds of file that the plan is saved as.

use std::path::{Path, PathBuf};

/// A kind of file that the plan is saved as.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum TimelineFile {
    /// A calendar file (iCalendar, RFC 5545).
    Calendar,
    /// A table (RFC 4180).
    Table,
}

impl TimelineFile {
    /// The ending of its name, without the dot.
    pub fn ending(self) -> &'static str {
        match self {
            Self::Calendar => "ics",
            Self::Table => "csv",
        }
    }
    /// "calendar file", "table".
    pub fn words(self) -> &'static str {
        match self {
            Self::Calendar => "calendar file",
            Self::Table => "table",
        }
    }
    /// A path with its ending, whatever was typed.
    pub fn with_ending(self, path: &Path) -> PathBuf {
        if path.extension().is_some_and(|e| e.eq_ignore_ascii_case(self.ending())) {
            return path.to_owned();
        }
        let mut name = path.as_os_str().to_owned();
        name.push(".");
        name.push(self.ending());
        name.into()
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn names_get_their_ending() {
        let named = |file: TimelineFile, path: &str| file.with_ending(Path::new(path)).display().to_string();
        assert_eq!(named(TimelineFile::Calendar, "out/week 49"), "out/week 49.ics");
        assert_eq!(named(TimelineFile::Calendar, "out/week.ICS"), "out/week.ICS");
        assert_eq!(named(TimelineFile::Table, "v1.2"), "v1.2.csv");
    }
}
