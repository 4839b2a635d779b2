//! Kinds of words and commands that are not understood, counted.

/// Letters of a command's name that are kept.
pub(super) const NAME: usize = 24;

/// A kind of thing that is not understood.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub(super) enum UnknownKind {
    /// A word: its letter, ten times its number.
    Word(u8, i32),
    Letter(u8),
    /// A command with a name.
    Name([u8; NAME]),
    /// Kinds beyond those told apart.
    More,
}

impl UnknownKind {
    pub(super) fn words(self) -> String {
        match self {
            Self::Word(letter, -1) | Self::Letter(letter) => char::from(letter).to_string(),
            Self::Word(letter, t) if t % 10 == 0 => format!("{}{}", char::from(letter), t / 10),
            Self::Word(letter, t) => format!("{}{}", char::from(letter), f64::from(t) / 10.0),
            Self::Name(name) => name.iter().filter(|b| **b != 0).map(|&b| char::from(b)).collect(),
            Self::More => "others".into(),
        }
    }
}
