//! What is checked before the start, and what bad copies are sorted by.

/// Lists of a run sheet that a job may have of its own.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct RunSheetLists {
    /// What is checked before the start, a box each.
    pub checks: Vec<String>,
    /// Causes of bad copies.
    pub causes: Vec<String>,
}

impl Default for RunSheetLists {
    /// Common practice, no source.
    fn default() -> Self {
        let list = |words: &[&str]| words.iter().map(|w| (*w).to_owned()).collect();
        Self {
            checks: list(&[
                "Nozzle and recipe tuned for it",
                "Surface clean, cleaned cold",
                "Adhesive on, where needed",
                "Bed level",
            ]),
            causes: list(&["came loose", "warped", "rough or stringy", "wrong size", "other"]),
        }
    }
}
