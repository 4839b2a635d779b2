//! The bundled fonts: Inter (SIL Open Font License 1.1) with tabular figures, see `assets/fonts/`.

/// Inter Regular.
pub const REGULAR: &[u8] = include_bytes!("../../assets/fonts/Inter-Regular.otf");
/// Inter Semi Bold: what [`super::Mark::Text`] calls bold.
pub const SEMI_BOLD: &[u8] = include_bytes!("../../assets/fonts/Inter-SemiBold.otf");
