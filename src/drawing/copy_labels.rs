//! Labels of copies: every copy carries its number, within its outline where there is room, beside it where there is none.

use super::{Anchor, DrawnCopy, Ink, Labels, Mark, label_spot, labels::nearest_of, text};
use crate::geom::{Bounds, InnerCircle, Point, Region, disc};
use std::sync::Arc;

/// Sizes tried within an outline, screen points.
const SIZES_PT: [f32; 4] = [11.0, 9.0, 7.5, 6.0];
/// Size of a label beside its copy, screen points.
const LED_PT: f32 = 7.0;
/// How far from its copy a label may be led, screen points.
const FARTHEST_PT: f64 = 46.0;

/// Where a copy's label goes.
struct Within<'a> {
    copy: &'a DrawnCopy,
    spot: InnerCircle,
    /// The size at which it fits the outline; `None` where it does not.
    size_pt: Option<f32>,
}

/// The label of every copy, with the pins of locked ones; none on another. Where a copy is too small for its label, the label
/// stands beside it at the end of a thin line, and where that would cover another copy or label, it is made as small as it
/// must be; smaller than `least_pt`, screen points, it is left out.
pub fn copy_labels<'a>(
    copies: impl IntoIterator<Item = &'a DrawnCopy>,
    labels: &mut Labels,
    least_pt: f32,
) -> Vec<Mark> {
    let mm_per_pt = labels.mm_per_pt();
    let mut marks = Vec::new();
    let mut small = Vec::new();
    let mut shadows = Labels::new(mm_per_pt);
    for copy in copies {
        let Some(spot) = copy.label.or_else(|| label_spot(&copy.shadow)) else { continue };
        shadows.take(copy.shadow.bounds());
        let fits = |size: &f32| {
            fits_within(copy, spot, *size, mm_per_pt) && labels.is_free(box_of(copy, spot.centre, *size, mm_per_pt))
        };
        let label = Within { copy, spot, size_pt: SIZES_PT.into_iter().find(fits) };
        match label.size_pt {
            Some(size_pt) => {
                labels.take(box_of(copy, spot.centre, size_pt, mm_per_pt));
                within(&label, size_pt, mm_per_pt, &mut marks);
            }
            None => small.push(label),
        }
    }
    for label in small {
        beside(&label, labels, &shadows, least_pt, &mut marks);
    }
    marks
}

/// A label that does not fit its outline: beside it, or within as small as it takes.
fn beside(label: &Within<'_>, labels: &mut Labels, shadows: &Labels, least_pt: f32, marks: &mut Vec<Mark>) {
    let (copy, mm_per_pt) = (label.copy, labels.mm_per_pt());
    let size = Point::new(text::width_pt(&copy.name, LED_PT, true) + 2.0, f64::from(LED_PT) + 1.0) * mm_per_pt;
    if let Some(at) = labels.beside(copy.shadow.bounds(), size, FARTHEST_PT, |b| shadows.is_free(b)) {
        labels.take(at);
        let end = nearest_of(at, label.spot.centre);
        marks.push(Mark::line(label.spot.centre, end, Ink::Faint, 0.5));
        marks.push(words(at.centre(), &copy.name, LED_PT, true));
        if copy.locked {
            pin(label.spot.centre, mm_per_pt, marks);
        }
        return;
    }
    // The largest size whose box fits the circle.
    let diagonal_pt = text::width_pt(&copy.name, 1.0, true).hypot(0.76) / 2.0;
    let size_pt = (label.spot.radius_mm / mm_per_pt / diagonal_pt).min(f64::from(SIZES_PT[3])) as f32;
    if size_pt >= least_pt && labels.is_free(box_of(copy, label.spot.centre, size_pt, mm_per_pt)) {
        labels.take(box_of(copy, label.spot.centre, size_pt, mm_per_pt));
        marks.push(words(label.spot.centre, &copy.name, size_pt, true));
    }
    if copy.locked {
        pin(label.spot.centre, mm_per_pt, marks);
    }
}

fn words(at: Point, text: &str, size_pt: f32, bold: bool) -> Mark {
    Mark::Text { at, anchor: Anchor::Centre, text: text.to_owned(), size_pt, bold, ink: Ink::Ink }
}

/// The box of a label round its middle, mm.
fn box_of(copy: &DrawnCopy, at: Point, size_pt: f32, mm_per_pt: f64) -> Bounds {
    let half = Point::new(text::width_pt(&copy.name, size_pt, true) / 2.0, f64::from(size_pt) * 0.5) * mm_per_pt;
    Bounds::new(at - half, at + half)
}

fn fits_within(copy: &DrawnCopy, spot: InnerCircle, size_pt: f32, mm_per_pt: f64) -> bool {
    let half = Point::new(text::width_pt(&copy.name, size_pt, true) / 2.0, f64::from(size_pt) * 0.38) * mm_per_pt;
    half.length() <= spot.radius_mm
        || half.y * 1.2 <= spot.radius_mm
            && [(-1.0, -1.0), (-1.0, 1.0), (1.0, -1.0), (1.0, 1.0), (-1.0, 0.0), (1.0, 0.0)]
                .iter()
                .all(|(x, y)| copy.shadow.contains(spot.centre + Point::new(half.x * x, half.y * y)))
}

/// A label within its outline, "mirrored" under it where there is room, and the pin beside or above.
fn within(label: &Within<'_>, size_pt: f32, mm_per_pt: f64, marks: &mut Vec<Mark>) {
    let (copy, spot) = (label.copy, label.spot);
    let second = copy.mirrored && f64::from(size_pt) * 1.9 * mm_per_pt <= spot.radius_mm;
    let lift = if second { 0.45 * f64::from(size_pt) * mm_per_pt } else { 0.0 };
    marks.push(words(spot.centre + Point::new(0.0, lift), &copy.name, size_pt, true));
    if second {
        marks.push(words(spot.centre - Point::new(0.0, lift * 1.5), "mirrored", 8.0, false));
    }
    if copy.locked {
        let beside = Point::new((text::width_pt(&copy.name, size_pt, true) / 2.0 + 5.0) * mm_per_pt, lift);
        let beyond = beside + Point::new(5.0 * mm_per_pt, 0.0);
        let above = Point::new(0.0, lift + f64::from(size_pt) * 1.15 * mm_per_pt);
        pin(spot.centre + if copy.shadow.contains(spot.centre + beyond) { beside } else { above }, mm_per_pt, marks);
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
    use crate::geom::Polygon;

    fn at(x: f64, y: f64, side: f64, number: usize) -> DrawnCopy {
        let low = Point::new(x, y);
        let shadow = Region::rectangle(Bounds::new(low, low + Point::new(side, side)));
        DrawnCopy { name: format!("A {number}"), letter: "A".into(), shadow: Arc::new(shadow), ..DrawnCopy::default() }
    }
    fn square(side: f64) -> DrawnCopy {
        DrawnCopy { name: "E 14".into(), ..at(0.0, 0.0, side, 1) }
    }
    /// Texts with their sizes and boxes, mm.
    fn texts(marks: &[Mark], mm_per_pt: f64) -> Vec<(String, f32, Bounds)> {
        let of = |m: &Mark| match m {
            Mark::Text { at, text, size_pt, bold, .. } => {
                let half = Point::new(text::width_pt(text, *size_pt, *bold), f64::from(*size_pt)) * (mm_per_pt / 2.0);
                Some((text.clone(), *size_pt, Bounds::new(*at - half, *at + half)))
            }
            _ => None,
        };
        marks.iter().filter_map(of).collect()
    }
    fn labelled(copies: &[DrawnCopy], mm_per_pt: f64) -> Vec<(String, f32, Bounds)> {
        // However small: none is left out.
        texts(&copy_labels(copies, &mut Labels::new(mm_per_pt), 0.1), mm_per_pt)
    }

    #[test]
    fn a_label_shrinks_with_its_shape_and_then_stands_beside_it() {
        let one = |side: f64| {
            let mut all = labelled(&[square(side)], 0.4);
            assert_eq!(all.len(), 1);
            all.remove(0)
        };
        let (large, middle, small) = (one(40.0), one(9.5), one(2.0));
        for (text, ..) in [&large, &middle, &small] {
            assert_eq!(text, "E 14", "the whole number at every size");
        }
        assert!(large.1 > middle.1, "{large:?} {middle:?}");
        let shape = |side: f64| square(side).shadow.bounds();
        assert!(shape(9.5).contains(middle.2.min) && shape(9.5).contains(middle.2.max), "{middle:?}");
        assert!(!shape(2.0).overlaps(small.2), "{small:?}");
        let lines = copy_labels(&[square(2.0)], &mut Labels::new(0.4), 1.0);
        assert!(lines.iter().any(|m| matches!(m, Mark::Stroke { ink: Ink::Faint, .. })), "a line leads to it");
    }

    /// 300 pegs of 8 mm, 12 mm apart, on paper at 1 : 1, 1 : 2 and 1 : 5, and at 1 : 10.
    #[test]
    fn hundreds_of_copies_are_all_numbered_and_no_number_lies_on_another() {
        let copies: Vec<DrawnCopy> =
            (0..300).map(|n| at(12.0 * (n % 20) as f64, 12.0 * (n / 20) as f64, 8.0, n + 1)).collect();
        for scale in [1.0, 2.0, 5.0, 10.0] {
            let all = labelled(&copies, scale * crate::drawing::PT_MM);
            assert_eq!(all.len(), copies.len(), "1 : {scale}");
            for (i, (name, _, a)) in all.iter().enumerate() {
                for (other, _, b) in &all[i + 1..] {
                    assert!(!a.grown(-1e-6).overlaps(*b), "1 : {scale}: {name} on {other}");
                }
            }
        }
    }

    #[test]
    fn what_is_too_small_to_read_is_left_out_where_that_is_asked_for() {
        let copies: Vec<DrawnCopy> =
            (0..900).map(|n| at(4.0 * (n % 30) as f64, 4.0 * (n / 30) as f64, 3.0, n + 1)).collect();
        let mm_per_pt = 10.0 * crate::drawing::PT_MM;
        let read = texts(&copy_labels(&copies, &mut Labels::new(mm_per_pt), 3.0), mm_per_pt);
        assert!(read.iter().all(|(_, size, _)| *size >= 3.0), "{read:?}");
        assert!(read.len() < copies.len());
    }

    #[test]
    fn copies_on_each_other_have_their_labels_apart() {
        let all = labelled(&[at(0.0, 0.0, 30.0, 1), at(1.0, 1.0, 30.0, 2), at(0.5, 0.5, 30.0, 3)], 0.4);
        assert_eq!(all.len(), 3);
        for (i, a) in all.iter().enumerate() {
            assert!(all[i + 1..].iter().all(|b| !a.2.overlaps(b.2)), "{all:?}");
        }
    }

    #[test]
    fn label_of_a_ring_is_not_in_its_hole() {
        let mut hole = disc::regular(Point::default(), 10.0, 64).outer;
        hole.reverse();
        let ring = Polygon { outer: disc::regular(Point::default(), 18.0, 64).outer, holes: vec![hole] };
        let copy = DrawnCopy { shadow: Arc::new(ring.into()), ..square(1.0) };
        let marks = copy_labels([&copy], &mut Labels::new(0.3), 1.0);
        let at = marks.iter().find_map(|m| if let Mark::Text { at, .. } = m { Some(*at) } else { None });
        assert!(at.is_some_and(|p| copy.shadow.contains(p)), "{at:?}");
    }

    #[test]
    fn locked_and_mirrored_show_by_a_pin_and_a_word() {
        let plain = square(40.0);
        let count = |c: &DrawnCopy| copy_labels([c], &mut Labels::new(0.4), 1.0).len();
        let locked = DrawnCopy { locked: true, ..plain.clone() };
        assert_eq!(count(&locked), count(&plain) + 2);
        let mirrored = labelled(&[DrawnCopy { mirrored: true, ..plain }], 0.4);
        assert_eq!(mirrored.iter().map(|t| t.0.as_str()).collect::<Vec<_>>(), ["E 14", "mirrored"]);
    }
}
