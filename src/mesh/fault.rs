//! What can be wrong with a mesh or its file.

use serde::{Deserialize, Serialize};

/// Kinds of faults. Their words, in JSON and on screen, are the kebab-case names.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum FaultKind {
    /// An edge that belongs to one triangle only: the surface has a hole there.
    OpenEdge,
    /// An edge that belongs to more than two triangles.
    NonManifoldEdge,
    /// A shell that is inside out, or some of whose triangles face the other way than their neighbours.
    FlippedShell,
    /// A triangle without area.
    ZeroArea,
    /// A triangle with a coordinate that is no number, infinite, or beyond 1e30.
    NonFinite,
    /// A triangle that is there more than once.
    DuplicateTriangle,
    /// Two bodies that share space.
    OverlappingShells,
    /// A shell that starts above the lowest point and touches nothing.
    FloatingShell,
    /// So small or large that the unit may be another one; or flat.
    SuspiciousSize,
    /// Bytes after the end of the data.
    TrailingBytes,
    /// A file that holds more or fewer triangles than it says.
    CountMismatch,
    /// A face of many corners that crosses itself, so that what it covers is ambiguous.
    CrossingFace,
}

impl FaultKind {
    /// The kebab-case word.
    pub fn word(self) -> &'static str {
        match self {
            Self::OpenEdge => "open-edge",
            Self::NonManifoldEdge => "non-manifold-edge",
            Self::FlippedShell => "flipped-shell",
            Self::ZeroArea => "zero-area",
            Self::NonFinite => "non-finite",
            Self::DuplicateTriangle => "duplicate-triangle",
            Self::OverlappingShells => "overlapping-shells",
            Self::FloatingShell => "floating-shell",
            Self::SuspiciousSize => "suspicious-size",
            Self::TrailingBytes => "trailing-bytes",
            Self::CountMismatch => "count-mismatch",
            Self::CrossingFace => "crossing-face",
        }
    }
}

/// One kind of fault, how often, and a sentence about it.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Fault {
    /// The kind.
    pub kind: FaultKind,
    /// How many: edges, triangles, shells or bytes, as the kind says.
    pub count: usize,
    /// A sentence for the person.
    pub text: String,
}

impl Fault {
    /// A fault.
    pub fn new(kind: FaultKind, count: usize, text: impl Into<String>) -> Self {
        Self { kind, count, text: text.into() }
    }
    /// A fault unless `count` is 0; `one` is the sentence for a single one, `many` follows the number.
    pub(crate) fn counted(kind: FaultKind, count: usize, one: &str, many: &str) -> Option<Self> {
        match count {
            0 => None,
            1 => Some(Self::new(kind, 1, one)),
            n => Some(Self::new(kind, n, format!("{n} {many}"))),
        }
    }
}
