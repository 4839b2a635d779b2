//! Copies: fill, line, rings, label, pin, section.

use std::sync::Arc;

use super::{Anchor, Dash, Hatch, Ink, Mark, text};
use crate::geom::{InnerCircle, Point, Region, disc, inner_circle};

/// How much of a part's hue lies on the bed inside a shadow, 0..=1.
pub const FILL_OPACITY: f32 = 0.32;

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

/// All marks of a copy, back to front. `mm_per_pt`: millimetres of the bed to one screen point.
pub fn copy_marks(copy: &DrawnCopy, mm_per_pt: f64) -> Vec<Mark> {
    let mut marks = Vec::with_capacity(8);
    let line = if copy.selected { Ink::Accent } else { Ink::PartLine(copy.hue) };
    if let Some(ring) = &copy.gap_ring {
        marks.push(Mark::Outline { region: ring.clone(), ink: Ink::Faint, width_pt: 0.6, dash: Dash::DashDot });
    }
    if let Some(ring) = &copy.footing {
        marks.push(Mark::Fill { region: ring.clone(), ink: Ink::Part(copy.hue), opacity: FILL_OPACITY * 0.3 });
        marks.push(Mark::Outline { region: ring.clone(), ink: line, width_pt: 0.9, dash: Dash::DashDot });
    }
    let quiet = copy.ghost || copy.section.is_some();
    let opacity = if quiet { FILL_OPACITY * 0.4 } else { FILL_OPACITY };
    marks.push(Mark::Fill { region: copy.shadow.clone(), ink: Ink::Part(copy.hue), opacity });
    if let Some(support) = copy.support.as_ref().filter(|s| !s.is_empty()) {
        marks.push(Mark::Pattern { region: support.clone(), hatch: Hatch::Single, ink: Ink::Part(copy.hue) });
        marks.push(Mark::Outline {
            region: support.clone(),
            ink: Ink::Part(copy.hue),
            width_pt: 0.6,
            dash: Dash::Solid,
        });
    }
    if let Some(section) = &copy.section {
        marks.push(Mark::Fill { region: section.clone(), ink: Ink::Part(copy.hue), opacity: FILL_OPACITY * 1.6 });
        if copy.short_of_cooling {
            marks.push(Mark::Pattern { region: section.clone(), hatch: Hatch::Dots, ink: Ink::Watch });
        }
        marks.push(Mark::Outline { region: section.clone(), ink: line, width_pt: 0.9, dash: Dash::Solid });
    }
    marks.push(Mark::Outline {
        region: copy.shadow.clone(),
        ink: line,
        width_pt: if copy.selected { 2.2 } else { 1.2 },
        dash: if copy.ghost { Dash::Dashed } else { Dash::Solid },
    });
    if let Some(spot) = copy.label.or_else(|| label_spot(&copy.shadow)) {
        label(copy, spot, mm_per_pt, &mut marks);
    }
    marks
}

/// The label, as much of it as fits, and the pin beside or alone.
fn label(copy: &DrawnCopy, spot: InnerCircle, mm_per_pt: f64, marks: &mut Vec<Mark>) {
    const SIZE_PT: f32 = 11.0;
    const LEAST_PT: f32 = 7.0;
    let room = |text: &str, size_pt: f32| {
        let half = Point::new(text::width_pt(text, size_pt, true) / 2.0, f64::from(size_pt) * 0.38) * mm_per_pt;
        half.length() <= spot.radius_mm
            || half.y * 1.2 <= spot.radius_mm
                && [(-1.0, -1.0), (-1.0, 1.0), (1.0, -1.0), (1.0, 1.0), (-1.0, 0.0), (1.0, 0.0)]
                    .iter()
                    .all(|(x, y)| copy.shadow.contains(spot.centre + Point::new(half.x * x, half.y * y)))
    };
    let choice = [(&copy.name, SIZE_PT), (&copy.name, 9.0), (&copy.letter, SIZE_PT), (&copy.letter, LEAST_PT)]
        .into_iter()
        .find(|(text, size)| room(text, *size));
    let mut pin_at = spot.centre;
    if let Some((text, size_pt)) = choice {
        let second = copy.mirrored && f64::from(size_pt) * 1.9 * mm_per_pt <= spot.radius_mm;
        let lift = if second { 0.45 * f64::from(size_pt) * mm_per_pt } else { 0.0 };
        let line = |y: f64, text: &str, size_pt: f32, bold: bool| Mark::Text {
            at: spot.centre + Point::new(0.0, y),
            anchor: Anchor::Centre,
            text: text.to_owned(),
            size_pt,
            bold,
            ink: Ink::Ink,
        };
        marks.push(line(lift, text, size_pt, true));
        if second {
            marks.push(line(-lift * 1.5, "mirrored", 8.0, false));
        }
        let beside = Point::new((text::width_pt(text, size_pt, true) / 2.0 + 5.0) * mm_per_pt, lift);
        let beyond = beside + Point::new(5.0 * mm_per_pt, 0.0);
        let above = Point::new(0.0, lift + f64::from(size_pt) * 1.15 * mm_per_pt);
        pin_at += if copy.shadow.contains(pin_at + beyond) { beside } else { above };
    }
    if copy.locked {
        pin(pin_at, mm_per_pt, marks);
    }
}

/// A pin: a round head on a leaning needle.
fn pin(at: Point, mm_per_pt: f64, marks: &mut Vec<Mark>) {
    let head = at + Point::new(1.6, 2.4) * mm_per_pt;
    let foot = at + Point::new(-2.4, -4.8) * mm_per_pt;
    marks.push(Mark::line(head, foot, Ink::Ink, 1.1));
    let round: Region = disc::regular(head, 2.7 * mm_per_pt, 16).into();
    marks.push(Mark::Fill { region: Arc::new(round), ink: Ink::Ink, opacity: 1.0 });
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::geom::{Bounds, Polygon};

    fn square(side: f64) -> DrawnCopy {
        let shadow = Region::rectangle(Bounds::new(Point::default(), Point::new(side, side)));
        DrawnCopy { name: "E 14".into(), letter: "E".into(), shadow: Arc::new(shadow), ..DrawnCopy::default() }
    }
    fn words(copy: &DrawnCopy) -> Vec<String> {
        copy_marks(copy, 0.4)
            .into_iter()
            .filter_map(|m| if let Mark::Text { text, .. } = m { Some(text) } else { None })
            .collect()
    }

    #[test]
    fn label_shrinks_with_the_shape() {
        assert_eq!(words(&square(40.0)), ["E 14"]);
        assert_eq!(words(&square(5.0)), ["E"]);
        assert!(words(&square(1.0)).is_empty());
    }

    #[test]
    fn label_of_a_ring_is_not_in_its_hole() {
        let mut hole = disc::regular(Point::default(), 10.0, 64).outer;
        hole.reverse();
        let ring = Polygon { outer: disc::regular(Point::default(), 18.0, 64).outer, holes: vec![hole] };
        let copy = DrawnCopy { shadow: Arc::new(ring.into()), ..square(1.0) };
        let marks = copy_marks(&copy, 0.3);
        let at = marks.iter().find_map(|m| if let Mark::Text { at, .. } = m { Some(*at) } else { None });
        assert!(at.is_some_and(|p| copy.shadow.contains(p)), "{at:?}");
    }

    #[test]
    fn states_show_by_pattern_and_word() {
        let plain = square(40.0);
        let locked = DrawnCopy { locked: true, ..plain.clone() };
        assert_eq!(copy_marks(&locked, 0.4).len(), copy_marks(&plain, 0.4).len() + 2);
        let mirrored = DrawnCopy { mirrored: true, ..plain.clone() };
        assert_eq!(words(&mirrored), ["E 14", "mirrored"]);
        let short = DrawnCopy { section: Some(plain.shadow.clone()), short_of_cooling: true, ..plain.clone() };
        assert!(copy_marks(&short, 0.4).iter().any(|m| matches!(m, Mark::Pattern { hatch: Hatch::Dots, .. })));
        let held = DrawnCopy { support: Some(plain.shadow.clone()), ..plain.clone() };
        assert!(copy_marks(&held, 0.4).iter().any(|m| matches!(m, Mark::Pattern { hatch: Hatch::Single, .. })));
        let ghost = DrawnCopy { ghost: true, ..plain };
        assert!(copy_marks(&ghost, 0.4).iter().any(|m| matches!(m, Mark::Outline { dash: Dash::Dashed, .. })));
    }
}
