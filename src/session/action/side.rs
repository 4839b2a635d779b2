//! What things are lined up by.

/// Which edge or middle things are lined up by.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Side {
    /// Left edges.
    Left,
    /// Right edges.
    Right,
    /// Front edges (nearest the person).
    Front,
    /// Back edges.
    Back,
    /// Middles, along x.
    MiddleAcross,
    /// Middles, along y.
    MiddleUp,
}
