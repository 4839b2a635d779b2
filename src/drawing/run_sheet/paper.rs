//! Paper to print on.

/// Paper of an office printer, upright.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum PrintPaper {
    /// 210 × 297 mm. Source: ISO 216.
    #[default]
    A4,
    /// 8.5 × 11 inches. Source: ASME/ANSI Y14.1, size A.
    Letter,
}

/// Free on all sides, mm: more than the edge that office printers leave blank (common practice, no source).
pub(super) const MARGIN_MM: f64 = 12.0;

impl PrintPaper {
    /// Both.
    pub const ALL: [Self; 2] = [Self::A4, Self::Letter];
    /// Width and height, mm.
    pub fn size_mm(self) -> (f64, f64) {
        match self {
            Self::A4 => (210.0, 297.0),
            Self::Letter => (215.9, 279.4),
        }
    }
    /// "A4", "Letter".
    pub fn name(self) -> &'static str {
        match self {
            Self::A4 => "A4",
            Self::Letter => "Letter",
        }
    }
}
