//! Conflicts: cross-hatched, with the depth or the missing clearance in millimetres.

use std::sync::Arc;

use super::{Anchor, Dash, Hatch, Ink, Mark, text};
use crate::geom::{Bounds, Point, Region};

/// A conflict as it is drawn, bed millimetres.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct DrawnConflict {
    /// What lies where it must not; empty for a clearance that is only too small.
    pub region: Arc<Region>,
    /// The two nearest points of a clearance that is too small.
    pub between: Option<[Point; 2]>,
    /// Where to write the text, where neither of these says.
    pub at: Option<Point>,
    /// "overlap 8.0": the word and the millimetres.
    pub text: String,
}

/// All marks of a conflict, back to front. `mm_per_pt`: millimetres of the bed to one screen point.
pub fn conflict_marks(conflict: &DrawnConflict, mm_per_pt: f64) -> Vec<Mark> {
    let ink = Ink::Stop;
    let mut marks = Vec::new();
    let mut text_at = None;
    if !conflict.region.is_empty() {
        let region = conflict.region.clone();
        marks.push(Mark::Fill { region: region.clone(), ink, opacity: 0.14 });
        marks.push(Mark::Pattern { region: region.clone(), hatch: Hatch::Cross, ink });
        text_at = Some(region.bounds().max + Point::new(4.0, 4.0) * mm_per_pt);
        marks.push(Mark::Outline { region, ink, width_pt: 1.5, dash: Dash::Solid });
    }
    if let Some([a, b]) = conflict.between {
        let tick = (b - a).normalized().perpendicular() * (5.0 * mm_per_pt);
        marks.push(Mark::line(a, b, ink, 1.5));
        marks.push(Mark::line(a - tick, a + tick, ink, 1.5));
        marks.push(Mark::line(b - tick, b + tick, ink, 1.5));
        text_at = text_at.or(Some(a.lerp(b, 0.5) + Point::new(6.0, 5.0) * mm_per_pt));
    }
    if let (Some(at), false) = (text_at.or(conflict.at), conflict.text.is_empty()) {
        const SIZE_PT: f32 = 11.0;
        let text = conflict.text.clone();
        // A clear patch, so that it can be read over whatever lies there.
        let low = at - Point::new(2.0, 3.0) * mm_per_pt;
        let size = Point::new(text::width_pt(&text, SIZE_PT, true) + 4.0, f64::from(SIZE_PT) + 3.0) * mm_per_pt;
        let patch = Arc::new(Region::rectangle(Bounds::new(low, low + size)));
        marks.push(Mark::Fill { region: patch, ink: Ink::Bed, opacity: 0.85 });
        marks.push(Mark::Text { at, anchor: Anchor::Start, text, size_pt: SIZE_PT, bold: true, ink });
    }
    marks
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn an_overlap_is_cross_hatched_and_a_clearance_is_measured() {
        let region = Arc::new(Region::rectangle(Bounds::new(Point::default(), Point::new(8.0, 8.0))));
        let overlap = DrawnConflict { region, between: None, at: None, text: "overlap 8.0".into() };
        let marks = conflict_marks(&overlap, 0.4);
        assert!(marks.iter().any(|m| matches!(m, Mark::Pattern { hatch: Hatch::Cross, ink: Ink::Stop, .. })));
        assert!(marks.iter().any(|m| matches!(m, Mark::Text { text, .. } if text == "overlap 8.0")));
        let between = Some([Point::default(), Point::new(2.0, 0.0)]);
        let clearance = DrawnConflict { between, text: "gap 2.0".into(), ..DrawnConflict::default() };
        assert_eq!(conflict_marks(&clearance, 0.4).len(), 5);
        let word =
            DrawnConflict { at: Some(Point::default()), text: "other recipe".into(), ..DrawnConflict::default() };
        assert!(conflict_marks(&word, 0.4).iter().any(|m| matches!(m, Mark::Text { .. })));
        assert!(conflict_marks(&DrawnConflict::default(), 0.4).is_empty());
    }
}
