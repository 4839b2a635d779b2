//! Conflicts: cross-hatched, with the depth or the missing clearance in millimetres.

use std::sync::Arc;

use super::{Anchor, Dash, Hatch, Ink, Labels, Mark, labels::nearest_of, text};
use crate::geom::{Bounds, Point, Region};

/// Size of the words, screen points.
const SIZE_PT: f32 = 11.0;
/// Two conflicts nearer than this, screen points, are told in one label.
const TOGETHER_PT: f64 = 12.0;
/// How far a label may be led out, screen points.
const FARTHEST_PT: f64 = 110.0;
/// Most labels; the conflicts beyond are counted in the nearest of them.
const MOST_TOLD: usize = 24;
/// A label farther from its conflict than this, screen points, gets a line to it.
const LED_PT: f64 = 10.0;

/// A conflict as it is drawn, bed millimetres.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct DrawnConflict {
    /// What lies where it must not; empty for a clearance that is only too small.
    pub region: Arc<Region>,
    /// The two nearest points of a clearance that is too small.
    pub between: Option<[Point; 2]>,
    /// Where it is, where neither of these says.
    pub at: Option<Point>,
    /// "overlap 8.0 mm": the word and the millimetres.
    pub text: String,
}

/// Hatches and lines of a conflict, back to front. `mm_per_pt`: millimetres of the bed to one screen point.
pub fn conflict_marks(conflict: &DrawnConflict, mm_per_pt: f64) -> Vec<Mark> {
    let ink = Ink::Stop;
    let mut marks = Vec::new();
    if !conflict.region.is_empty() {
        let region = conflict.region.clone();
        marks.push(Mark::Fill { region: region.clone(), ink, opacity: 0.14 });
        marks.push(Mark::Pattern { region: region.clone(), hatch: Hatch::Cross, ink });
        marks.push(Mark::Outline { region, ink, width_pt: 1.5, dash: Dash::Solid });
    }
    if let Some([a, b]) = conflict.between {
        let tick = (b - a).normalized().perpendicular() * (5.0 * mm_per_pt);
        marks.push(Mark::line(a, b, ink, 1.5));
        marks.push(Mark::line(a - tick, a + tick, ink, 1.5));
        marks.push(Mark::line(b - tick, b + tick, ink, 1.5));
    }
    marks
}

/// Conflicts told in one label: what the first of them says, and how many more.
struct Told<'a> {
    thing: Bounds,
    words: &'a str,
    more: usize,
}

impl Told<'_> {
    fn text(&self) -> String {
        if self.more == 0 { self.words.to_owned() } else { format!("{}, {} more here", self.words, self.more) }
    }
}

/// Words of all conflicts, the gravest first: each beside its own, led out by a line where that place is taken; conflicts in
/// one place, and those for which no place is left, share a label that says how many more there are.
pub fn conflict_labels(conflicts: &[DrawnConflict], labels: &mut Labels) -> Vec<Mark> {
    let mm_per_pt = labels.mm_per_pt();
    let mut told: Vec<Told<'_>> = Vec::new();
    for c in conflicts.iter().filter(|c| !c.text.is_empty()) {
        let Some(thing) = place_of(c) else { continue };
        let near = |t: &&mut Told<'_>| t.thing.centre().distance(thing.centre()) < TOGETHER_PT * mm_per_pt;
        match told.iter_mut().find(near) {
            Some(same) => same.more += 1,
            None => told.push(Told { thing, words: &c.text, more: 0 }),
        }
    }
    for beyond in told.split_off(told.len().min(MOST_TOLD)) {
        count_in_nearest(&mut told, &beyond);
    }
    let before = labels.clone();
    loop {
        let mut placed: Vec<Bounds> = Vec::new();
        let mut homeless = None;
        for (i, t) in told.iter().enumerate() {
            let size = Point::new(text::width_pt(&t.text(), SIZE_PT, true) + 4.0, f64::from(SIZE_PT) + 3.0) * mm_per_pt;
            let at = labels.beside(t.thing, size, FARTHEST_PT, |_| true).or_else(|| {
                // Somebody has to say it.
                (i == 0).then(|| Bounds::new(t.thing.centre() - size * 0.5, t.thing.centre() + size * 0.5))
            });
            let Some(at) = at else {
                homeless = Some(i);
                break;
            };
            labels.take(at);
            placed.push(at);
        }
        let Some(i) = homeless else {
            return told.iter().zip(placed).flat_map(|(t, at)| label(t, at, mm_per_pt)).collect();
        };
        // Its number goes to the nearest one that has a place; all labels are laid out again, for that one is wider now.
        let gone = told.remove(i);
        count_in_nearest(&mut told[..i], &gone);
        *labels = before.clone();
    }
}

/// Counts conflicts that have no label of their own in the label nearest to them.
fn count_in_nearest(told: &mut [Told<'_>], gone: &Told<'_>) {
    let middle = gone.thing.centre();
    let far = |t: &Told<'_>| t.thing.centre().distance(middle);
    if let Some(nearest) = told.iter_mut().min_by(|a, b| far(a).total_cmp(&far(b))) {
        nearest.more += 1 + gone.more;
    }
}

/// The box of what a conflict's label belongs to.
fn place_of(c: &DrawnConflict) -> Option<Bounds> {
    if !c.region.is_empty() {
        return Some(c.region.bounds());
    }
    c.between.map(Bounds::of).or_else(|| c.at.map(|at| Bounds::new(at, at)))
}

/// A clear patch, so that it can be read over whatever lies there, the words, and a line where it is led out.
fn label(t: &Told<'_>, at: Bounds, mm_per_pt: f64) -> Vec<Mark> {
    let ink = Ink::Stop;
    let mut marks = Vec::with_capacity(3);
    if at.distance(t.thing) > LED_PT * mm_per_pt {
        let from = nearest_of(t.thing, at.centre());
        marks.push(Mark::line(from, nearest_of(at, from), ink, 0.8));
    }
    marks.push(Mark::Fill { region: Arc::new(Region::rectangle(at)), ink: Ink::Bed, opacity: 0.9 });
    marks.push(Mark::Text {
        at: at.centre(),
        anchor: Anchor::Centre,
        text: t.text(),
        size_pt: SIZE_PT,
        bold: true,
        ink,
    });
    marks
}

#[cfg(test)]
mod tests {
    use super::*;

    fn overlap(x: f64, y: f64, mm: f64) -> DrawnConflict {
        let low = Point::new(x, y);
        let region = Arc::new(Region::rectangle(Bounds::new(low, low + Point::new(mm, mm))));
        DrawnConflict { region, text: format!("overlap {mm:.1} mm"), ..DrawnConflict::default() }
    }

    /// What is written and the box that it takes, mm.
    fn texts(marks: &[Mark], mm_per_pt: f64) -> Vec<(String, Bounds)> {
        let of = |m: &Mark| match m {
            Mark::Text { at, text, size_pt, bold, .. } => {
                let half = Point::new(text::width_pt(text, *size_pt, *bold), f64::from(*size_pt)) * (mm_per_pt / 2.0);
                Some((text.clone(), Bounds::new(*at - half, *at + half)))
            }
            _ => None,
        };
        marks.iter().filter_map(of).collect()
    }

    #[test]
    fn an_overlap_is_cross_hatched_and_a_clearance_is_measured() {
        let marks = conflict_marks(&overlap(0.0, 0.0, 8.0), 0.4);
        assert!(marks.iter().any(|m| matches!(m, Mark::Pattern { hatch: Hatch::Cross, ink: Ink::Stop, .. })));
        let between = Some([Point::default(), Point::new(2.0, 0.0)]);
        let clearance = DrawnConflict { between, text: "gap short by 2.0 mm".into(), ..DrawnConflict::default() };
        assert_eq!(conflict_marks(&clearance, 0.4).len(), 3);
        assert!(conflict_marks(&DrawnConflict::default(), 0.4).is_empty());
        let word =
            DrawnConflict { at: Some(Point::default()), text: "other recipe".into(), ..DrawnConflict::default() };
        let said = texts(&conflict_labels(&[overlap(50.0, 50.0, 8.0), clearance, word], &mut Labels::new(0.4)), 0.4);
        let said: Vec<&str> = said.iter().map(|t| t.0.as_str()).collect();
        assert_eq!(said, ["overlap 8.0 mm", "gap short by 2.0 mm, 1 more here"], "two of them are in one place");
        assert!(conflict_labels(&[DrawnConflict::default()], &mut Labels::new(0.4)).is_empty());
    }

    /// A heap: 60 conflicts within 60 × 60 mm, drawn at 1 : 1.5 and at 1 : 10.
    #[test]
    fn in_a_heap_no_label_lies_on_another_and_every_conflict_is_counted() {
        let heap: Vec<DrawnConflict> = (0..60)
            .map(|n| overlap(f64::from(n % 8) * 7.0, f64::from(n / 8) * 7.0, 9.0 - f64::from(n) * 0.1))
            .collect();
        for scale in [1.5, 10.0] {
            let mm_per_pt = scale * crate::drawing::PT_MM;
            let all = texts(&conflict_labels(&heap, &mut Labels::new(mm_per_pt)), mm_per_pt);
            for (i, (text, a)) in all.iter().enumerate() {
                assert!(all[i + 1..].iter().all(|(_, b)| !a.overlaps(*b)), "1 : {scale}: {text}");
            }
            let more = |t: &str| -> usize {
                t.split(", ").nth(1).and_then(|m| m.split(' ').next()).map_or(0, |n| n.parse().expect("a number"))
            };
            assert_eq!(all.iter().map(|(t, _)| 1 + more(t)).sum::<usize>(), heap.len(), "1 : {scale}");
            assert!(all[0].0.starts_with("overlap 9.0 mm"), "the gravest is told: {}", all[0].0);
        }
    }

    #[test]
    fn a_label_keeps_clear_of_what_is_written_already_and_is_led_out() {
        let mut labels = Labels::new(0.4);
        let taken = Bounds::new(Point::new(-20.0, -20.0), Point::new(28.0, 28.0));
        labels.take(taken);
        let marks = conflict_labels(&[overlap(0.0, 0.0, 8.0)], &mut labels);
        assert!(!texts(&marks, 0.4)[0].1.overlaps(taken));
        assert!(marks.iter().any(|m| matches!(m, Mark::Stroke { ink: Ink::Stop, .. })));
    }
}
