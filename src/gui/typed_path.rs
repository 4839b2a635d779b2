//! A path typed where there is no system dialog.

use std::path::PathBuf;

use super::dialogs::Question;

/// A path as far as it is typed.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct TypedPath {
    /// What it is for.
    pub(crate) question: Question,
    /// What is typed.
    pub(crate) text: String,
    /// Why what was typed last did not do: one sentence.
    pub(crate) refused: Option<String>,
}

impl TypedPath {
    /// A question, and what of its answer is typed already.
    pub(crate) fn new(question: Question, text: String) -> Self {
        Self { question, text, refused: None }
    }
    /// The same question again, with the reason why what was typed did not do.
    pub(crate) fn refused(self, why: impl Into<String>) -> Self {
        Self { refused: Some(why.into()), ..self }
    }
    /// The paths typed, one a line; names without a folder count from where the question begins to look.
    pub(crate) fn paths(&self) -> Vec<PathBuf> {
        let typed = self.text.lines().map(str::trim).filter(|l| !l.is_empty());
        let folder = self.question.folder.clone().unwrap_or_default();
        typed.map(|l| folder.join(l)).collect()
    }
}
