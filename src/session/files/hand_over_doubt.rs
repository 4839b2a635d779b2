//! What is asked before faults are handed over.

use std::path::PathBuf;

/// Faults of what is handed over, which the person is asked about first.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct HandOverDoubt {
    /// Where to.
    pub folder: PathBuf,
    /// This plate alone; `None` for all.
    pub only: Option<crate::document::PlateId>,
    /// *Stop* findings of plates: the plate's number, and what it says.
    pub stops: Vec<(usize, String)>,
    /// Numbers of plates with a copy whose mesh is missing: they get no 3MF and no STL.
    pub without_models: Vec<usize>,
}

/// Faults told one by one; of more, how many.
const MOST_TOLD: usize = 6;

impl HandOverDoubt {
    /// What is the matter, a line each.
    pub fn lines(&self) -> Vec<String> {
        let told = self.stops.iter().take(MOST_TOLD);
        let mut lines: Vec<String> = told.map(|(plate, text)| format!("Plate {plate}: {text}")).collect();
        match self.stops.len().saturating_sub(MOST_TOLD) {
            0 => {}
            1 => lines.push("And 1 more stop finding.".to_owned()),
            n => lines.push(format!("And {n} more stop findings.")),
        }
        if let Some((last, first)) = self.without_models.split_last() {
            let first: Vec<String> = first.iter().map(ToString::to_string).collect();
            lines.push(if first.is_empty() {
                format!("Plate {last} gets no 3MF and no STL while a mesh is missing.")
            } else {
                format!("Plates {} and {last} get no 3MF and no STL while meshes are missing.", first.join(", "))
            });
        }
        lines
    }
}
