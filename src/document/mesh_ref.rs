//! Where a mesh comes from.

use serde::{Deserialize, Serialize};

use super::MeshId;

/// The unit of a file's coordinates.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum FileUnit {
    /// 0.001 mm.
    Micron,
    /// Millimetres.
    #[default]
    Millimeter,
    /// 10 mm.
    Centimeter,
    /// 25.4 mm.
    Inch,
    /// 304.8 mm.
    Foot,
    /// 1000 mm.
    Meter,
}

impl FileUnit {
    /// All units, smallest first.
    pub const ALL: [Self; 6] = [Self::Micron, Self::Millimeter, Self::Centimeter, Self::Inch, Self::Foot, Self::Meter];
    /// One unit in millimetres.
    pub fn mm(self) -> f64 {
        match self {
            Self::Micron => 0.001,
            Self::Millimeter => 1.0,
            Self::Centimeter => 10.0,
            Self::Inch => 25.4,
            Self::Foot => 304.8,
            Self::Meter => 1000.0,
        }
    }
    /// "inches".
    pub fn plural(self) -> &'static str {
        match self {
            Self::Micron => "micrometres",
            Self::Millimeter => "millimetres",
            Self::Centimeter => "centimetres",
            Self::Inch => "inches",
            Self::Foot => "feet",
            Self::Meter => "metres",
        }
    }
    /// As 3MF writes it.
    pub fn word(self) -> &'static str {
        match self {
            Self::Micron => "micron",
            Self::Millimeter => "millimeter",
            Self::Centimeter => "centimeter",
            Self::Inch => "inch",
            Self::Foot => "foot",
            Self::Meter => "meter",
        }
    }
}

/// A mesh in a file beside the job.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct MeshRef {
    /// Content hash and object index.
    pub id: MeshId,
    /// Path relative to the job file's folder, `/` between names; absolute where no relative one exists.
    pub file: String,
    /// The object's name in the file (the file's stem where it has none).
    pub object: String,
    /// The body (connected shell) of the object, where a file of several bodies was split; `None` for all of it.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub body: Option<u32>,
    /// Unit of the file's coordinates.
    #[serde(default)]
    pub unit: FileUnit,
}
