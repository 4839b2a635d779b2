//! Sheets of paper: size, frame, and the scale at which a bed fits.

use super::title::TITLE_HEIGHT_MM;
use crate::geom::{Bounds, Point};

/// Scales from full size down. Source: ISO 5455 for 1, 2, 5 and powers of ten; the steps between for beds that would
/// waste the sheet.
const SCALES: [f64; 14] = [1.0, 1.5, 2.0, 2.5, 3.0, 4.0, 5.0, 7.5, 10.0, 15.0, 20.0, 50.0, 100.0, 1000.0];

/// Sizes of paper, lying. Source: ISO 216.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum Paper {
    /// 297 × 210 mm.
    #[default]
    A4,
    /// 420 × 297 mm.
    A3,
}

/// Where a bed lies on a page.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct PaperLayout {
    /// The page, mm.
    pub page: Bounds,
    /// The frame on it, mm. Source: ISO 5457, 20 mm on the left to bind, 10 mm elsewhere.
    pub frame: Bounds,
    /// Millimetres of the bed to one of the paper.
    pub scale: f64,
    /// Where the bed's origin lies on the page, mm.
    pub bed_at: Point,
}

/// The next scale from `least` down.
pub(super) fn scale_of(least: f64) -> f64 {
    SCALES.into_iter().find(|s| *s >= least).unwrap_or(least)
}

/// "1 : 1.5".
pub(super) fn scale_words(scale: f64) -> String {
    if scale == scale.round() { format!("1 : {scale:.0}") } else { format!("1 : {scale:.1}") }
}

impl Paper {
    /// Width and height, mm.
    pub fn size_mm(self) -> (f64, f64) {
        match self {
            Self::A4 => (297.0, 210.0),
            Self::A3 => (420.0, 297.0),
        }
    }
    /// The largest scale at which `bed` (mm) fits with its rulers above the title block.
    pub fn layout(self, bed: Bounds) -> PaperLayout {
        const LEFT: f64 = 12.0;
        const LOWER: f64 = 8.0;
        const CLEAR: f64 = 7.0;
        let (width, height) = self.size_mm();
        let page = Bounds::new(Point::default(), Point::new(width, height));
        let frame = Bounds::new(Point::new(20.0, 10.0), Point::new(width - 10.0, height - 10.0));
        let room = Bounds::new(
            frame.min + Point::new(LEFT + CLEAR, TITLE_HEIGHT_MM + LOWER + 2.0),
            frame.max - Point::new(CLEAR + 6.0, CLEAR),
        );
        let (bed_width, bed_height) = (bed.width().max(1e-3), bed.height().max(1e-3));
        let least = (bed_width / room.width()).max(bed_height / room.height());
        let scale = scale_of(least);
        let bed_at = room.centre() - bed.centre() * (1.0 / scale);
        PaperLayout { page, frame, scale, bed_at }
    }
}

impl PaperLayout {
    /// Where a point of the bed lies on the page, mm.
    pub fn on_paper(&self, bed_mm: Point) -> Point {
        bed_mm * (1.0 / self.scale) + self.bed_at
    }
    /// "1 : 1.5".
    pub fn scale_words(&self) -> String {
        scale_words(self.scale)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn beds_get_a_standard_scale_and_stay_in_the_frame() {
        for (w, d, paper, words) in [
            (240.0, 200.0, Paper::A4, "1 : 1.5"),
            (240.0, 200.0, Paper::A3, "1 : 1"),
            (400.0, 400.0, Paper::A4, "1 : 3"),
            (100.0, 100.0, Paper::A4, "1 : 1"),
            (1.0e5, 1.0e5, Paper::A4, "1 : 1000"),
        ] {
            let bed = Bounds::new(Point::default(), Point::new(w, d));
            let layout = paper.layout(bed);
            assert_eq!(layout.scale_words(), words, "{w} × {d} on {paper:?}");
            let (a, b) = (layout.on_paper(bed.min), layout.on_paper(bed.max));
            assert!(layout.frame.contains(a) && layout.frame.contains(b), "{a:?} {b:?}");
            assert!(a.y > layout.frame.min.y + TITLE_HEIGHT_MM);
        }
    }
}
