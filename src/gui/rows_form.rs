//! What is asked of rows and columns.

/// Rows and columns as typed so far.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct RowsForm {
    /// Along x.
    pub(crate) columns: u32,
    /// Along y.
    pub(crate) rows: u32,
    /// Pitch along x, where it is typed.
    pub(crate) pitch_x_mm: Option<f64>,
    /// Pitch along y, where it is typed.
    pub(crate) pitch_y_mm: Option<f64>,
}

impl Default for RowsForm {
    fn default() -> Self {
        Self { columns: 3, rows: 2, pitch_x_mm: None, pitch_y_mm: None }
    }
}
