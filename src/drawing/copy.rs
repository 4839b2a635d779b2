//! Copies: fill, line, rings, section.

use std::sync::Arc;

use super::{Dash, Hatch, Ink, Mark};
use crate::geom::{InnerCircle, Region, inner_circle};

/// How much of a part's hue lies on the bed inside a shadow, 0..=1.
pub const FILL_OPACITY: f32 = 0.32;
/// Narrower than this, screen points, a copy gets thinner lines.
const SMALL_PT: f64 = 30.0;
/// The thinnest lines as a share of the usual ones.
const THINNEST: f64 = 0.4;
/// Round a copy narrower than this, screen points, rings would be all that one sees.
const LEAST_RINGED_PT: f64 = 20.0;
/// A ring nearer to the shadow than this, screen points, would look like a thick line.
const LEAST_RING_PT: f64 = 1.5;

/// A copy as it is drawn, bed millimetres.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct DrawnCopy {
    /// "E 14".
    pub name: String,
    /// "E".
    pub letter: String,
    /// Its part's hue number.
    pub hue: usize,
    /// Outline of all heights from above.
    pub shadow: Arc<Region>,
    /// Ring of the footing round the contact; `None` where bare.
    pub footing: Option<Arc<Region>>,
    /// Ring half a gap outside the shadow; `None` not to draw it.
    pub gap_ring: Option<Arc<Region>>,
    /// Stays where it is: gets a pin.
    pub locked: bool,
    /// Picked out by the person.
    pub selected: bool,
    /// Not there yet, or no more: a preview.
    pub ghost: bool,
    /// A mirror image of its file: said under its label.
    pub mirrored: bool,
    /// What is cut at the height cursor; empty once the copy has ended below.
    pub section: Option<Arc<Region>>,
    /// Its supports there.
    pub support: Option<Arc<Region>>,
    /// The layer at the height cursor is short of cooling: dotted.
    pub short_of_cooling: bool,
    /// Its widest spot, where the label goes. Computed here where it is `None`; [`label_spot`] of the part's own shadow
    /// moved along with the copy saves the time.
    pub label: Option<InnerCircle>,
}

/// Where the label of a shadow goes: its widest spot, never in a hole.
pub fn label_spot(shadow: &Region) -> Option<InnerCircle> {
    let b = shadow.bounds();
    inner_circle(shadow, b.width().min(b.height()) * 0.04)
}

/// All marks of a copy but its label, back to front. `mm_per_pt`: millimetres of the bed to one screen point.
pub fn copy_marks(copy: &DrawnCopy, mm_per_pt: f64) -> Vec<Mark> {
    let mut marks = Vec::with_capacity(8);
    let line = if copy.selected { Ink::Accent } else { Ink::PartLine(copy.hue) };
    let bounds = copy.shadow.bounds();
    let size_pt = bounds.width().min(bounds.height()) / mm_per_pt;
    let thin = (size_pt / SMALL_PT).clamp(THINNEST, 1.0) as f32;
    let ringed = size_pt >= LEAST_RINGED_PT;
    let clear = |ring: &Region| (ring.bounds().width() - bounds.width()) / 2.0 / mm_per_pt >= LEAST_RING_PT;
    if let Some(ring) = copy.gap_ring.as_ref().filter(|r| ringed && clear(r)) {
        marks.push(Mark::Outline { region: ring.clone(), ink: Ink::Faint, width_pt: 0.6 * thin, dash: Dash::DashDot });
    }
    if let Some(ring) = &copy.footing {
        marks.push(Mark::Fill { region: ring.clone(), ink: Ink::Part(copy.hue), opacity: FILL_OPACITY * 0.3 });
        if ringed {
            marks.push(Mark::Outline { region: ring.clone(), ink: line, width_pt: 0.9 * thin, dash: Dash::DashDot });
        }
    }
    let quiet = copy.ghost || copy.section.is_some();
    let opacity = if quiet { FILL_OPACITY * 0.4 } else { FILL_OPACITY };
    marks.push(Mark::Fill { region: copy.shadow.clone(), ink: Ink::Part(copy.hue), opacity });
    if let Some(support) = copy.support.as_ref().filter(|s| !s.is_empty()) {
        marks.push(Mark::Pattern { region: support.clone(), hatch: Hatch::Single, ink: Ink::Part(copy.hue) });
        marks.push(Mark::Outline {
            region: support.clone(),
            ink: Ink::Part(copy.hue),
            width_pt: 0.6 * thin,
            dash: Dash::Solid,
        });
    }
    if let Some(section) = &copy.section {
        marks.push(Mark::Fill { region: section.clone(), ink: Ink::Part(copy.hue), opacity: FILL_OPACITY * 1.6 });
        if copy.short_of_cooling {
            marks.push(Mark::Pattern { region: section.clone(), hatch: Hatch::Dots, ink: Ink::Watch });
        }
        marks.push(Mark::Outline { region: section.clone(), ink: line, width_pt: 0.9 * thin, dash: Dash::Solid });
    }
    marks.push(Mark::Outline {
        region: copy.shadow.clone(),
        ink: line,
        width_pt: if copy.selected { 2.2 * thin.max(0.6) } else { 1.2 * thin },
        dash: if copy.ghost { Dash::Dashed } else { Dash::Solid },
    });
    marks
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::geom::{Bounds, Point};

    fn square(side: f64) -> DrawnCopy {
        let shadow = Region::rectangle(Bounds::new(Point::default(), Point::new(side, side)));
        DrawnCopy { name: "E 14".into(), letter: "E".into(), shadow: Arc::new(shadow), ..DrawnCopy::default() }
    }

    #[test]
    fn states_show_by_pattern() {
        let plain = square(40.0);
        let short = DrawnCopy { section: Some(plain.shadow.clone()), short_of_cooling: true, ..plain.clone() };
        assert!(copy_marks(&short, 0.4).iter().any(|m| matches!(m, Mark::Pattern { hatch: Hatch::Dots, .. })));
        let held = DrawnCopy { support: Some(plain.shadow.clone()), ..plain.clone() };
        assert!(copy_marks(&held, 0.4).iter().any(|m| matches!(m, Mark::Pattern { hatch: Hatch::Single, .. })));
        let ghost = DrawnCopy { ghost: true, ..plain };
        assert!(copy_marks(&ghost, 0.4).iter().any(|m| matches!(m, Mark::Outline { dash: Dash::Dashed, .. })));
    }

    /// A copy of 10 mm with a gap ring and a footing ring, at 1 : 1.5 and at 1 : 10 of a screen with 96 points an inch.
    #[test]
    fn small_copies_have_thin_lines_and_no_rings() {
        let grown = |by: f64| {
            let low = Point::new(-by, -by);
            Arc::new(Region::rectangle(Bounds::new(low, Point::new(10.0 + by, 10.0 + by))))
        };
        let copy = DrawnCopy { gap_ring: Some(grown(1.5)), footing: Some(grown(5.0)), ..square(10.0) };
        let lines = |scale: f64| -> (usize, f32) {
            let marks = copy_marks(&copy, scale * crate::drawing::PT_MM);
            let rings = marks.iter().filter(|m| matches!(m, Mark::Outline { dash: Dash::DashDot, .. })).count();
            let edge = marks.iter().find_map(|m| match m {
                Mark::Outline { width_pt, dash: Dash::Solid, .. } => Some(*width_pt),
                _ => None,
            });
            (rings, edge.expect("its outline is drawn"))
        };
        let (near, far) = (lines(1.0), lines(10.0));
        assert_eq!((near.0, far.0), (2, 0));
        assert!(near.1 > 1.1 && far.1 < 0.6, "{near:?} {far:?}");
    }
}
