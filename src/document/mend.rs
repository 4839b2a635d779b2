//! Mends of a part's mesh.

use serde::{Deserialize, Serialize};

/// What is put right in our copy of a part's mesh each time it is loaded, in the order of the part's list. The file on disk stays as it is.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Mend {
    /// Turns inside-out shells, and triangles that face the opposite way to their neighbours.
    FlipInsideOut,
    /// Drops triangles without area.
    DropZeroArea,
    /// Drops triangles that repeat others.
    DropDuplicates,
    /// Makes vertices one that are no farther apart than this, micrometres.
    #[serde(rename = "weld_um")]
    WeldUm(u32),
    /// Keeps the n-th connected body alone, counted from 0.
    #[serde(rename = "keep_body")]
    KeepBody(u32),
}

/// Most mends of one part.
pub const MOST_MENDS: usize = 16;
/// Least and greatest distance of a weld, micrometres.
pub const WELD_UM: (u32, u32) = (1, 1000);

impl Mend {
    /// What it did: "inside-out shells turned".
    pub fn words(self) -> String {
        match self {
            Self::FlipInsideOut => "inside-out shells turned".into(),
            Self::DropZeroArea => "triangles without area dropped".into(),
            Self::DropDuplicates => "repeated triangles dropped".into(),
            Self::WeldUm(um) => format!("vertices within {um} µm welded"),
            Self::KeepBody(n) => format!("body {} alone kept", u64::from(n) + 1),
        }
    }

    /// What it would do, as a button says it: "Turn inside-out shells".
    pub fn label(self) -> String {
        match self {
            Self::FlipInsideOut => "Turn inside-out shells".into(),
            Self::DropZeroArea => "Drop triangles without area".into(),
            Self::DropDuplicates => "Drop repeated triangles".into(),
            Self::WeldUm(um) => format!("Weld vertices within {um} µm"),
            Self::KeepBody(n) => format!("Keep body {} alone", u64::from(n) + 1),
        }
    }

    /// Whether its number is one that is allowed.
    pub fn is_allowed(self) -> bool {
        match self {
            Self::WeldUm(um) => (WELD_UM.0..=WELD_UM.1).contains(&um),
            Self::FlipInsideOut | Self::DropZeroArea | Self::DropDuplicates | Self::KeepBody(_) => true,
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn its_form_in_the_file() {
        let all =
            vec![Mend::FlipInsideOut, Mend::DropZeroArea, Mend::DropDuplicates, Mend::WeldUm(10), Mend::KeepBody(2)];
        let text = r#"["flip-inside-out","drop-zero-area","drop-duplicates",{"weld_um":10},{"keep_body":2}]"#;
        assert_eq!(serde_json::to_string(&all).expect("writes"), text);
        assert_eq!(serde_json::from_str::<Vec<Mend>>(text).expect("reads"), all);
    }
}
