//! How a drag ends.

/// What becomes of copies let go on top of others.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum Landing {
    /// They lie where they are let go.
    #[default]
    There,
    /// They go to the nearest free place.
    NearestFree,
    /// The others make room.
    PushAside,
}
