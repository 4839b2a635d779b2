//! What is told once.

/// Something to be told, once.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Notice {
    /// One sentence.
    pub text: String,
    /// It went wrong.
    pub fault: bool,
}
