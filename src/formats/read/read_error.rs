//! Why a file could not be read.

/// Why a file could not be read: one sentence that names the file, what is wrong, where, and what to do.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
#[error("{file}: {what}{}; {remedy}", place.map_or(String::new(), |p| format!(" ({p})")))]
pub struct ReadError {
    /// The file's name.
    pub file: String,
    /// What is wrong.
    pub what: String,
    /// Where.
    pub place: Option<Place>,
    /// What to do.
    pub remedy: String,
}

/// Where in a file.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Place {
    /// Line, from 1.
    Line(usize),
    /// Byte, from 0.
    Byte(u64),
    /// Byte of the model part inside the package, from 0.
    ModelByte(u64),
}

impl std::fmt::Display for Place {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        match self {
            Self::Line(n) => write!(f, "line {n}"),
            Self::Byte(n) => write!(f, "byte {n}"),
            Self::ModelByte(n) => write!(f, "byte {n} of its model part"),
        }
    }
}

/// An error before the file's name is known to it.
#[derive(Debug)]
pub(super) struct Trouble {
    pub(super) what: String,
    pub(super) place: Option<Place>,
    pub(super) remedy: &'static str,
}

/// What to do about a damaged file.
pub(super) const EXPORT_AGAIN: &str = "export or copy it again";

impl Trouble {
    pub(super) fn new(what: impl Into<String>, remedy: &'static str) -> Self {
        Self { what: what.into(), place: None, remedy }
    }
    pub(super) fn at(what: impl Into<String>, place: Place) -> Self {
        Self { what: what.into(), place: Some(place), remedy: EXPORT_AGAIN }
    }
    pub(super) fn named(self, file: &str) -> ReadError {
        ReadError { file: file.to_owned(), what: self.what, place: self.place, remedy: self.remedy.to_owned() }
    }
}

/// A piece of the file for a message: printable, short.
pub(super) fn quoted(bytes: &[u8]) -> String {
    let text: String = String::from_utf8_lossy(&bytes[..bytes.len().min(120)])
        .chars()
        .map(|c| if c.is_control() { ' ' } else { c })
        .take(40)
        .collect();
    format!("“{}”", text.trim_end())
}
