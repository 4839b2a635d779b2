//! Conflicts: cross-hatched, with the depth or the missing clearance in millimetres.

use std::sync::Arc;

use super::{Anchor, Dash, Hatch, Ink, Labels, Mark, labels::nearest_of, text};
use crate::geom::{Bounds, Point, Region, boolean};

/// Size of the words, screen points.
const SIZE_PT: f32 = 11.0;
/// Two conflicts nearer than this, screen points, are told in one label.
const TOGETHER_PT: f64 = 12.0;
/// How far a label may be led out, screen points.
const FARTHEST_PT: f64 = 110.0;
/// Most labels; the conflicts beyond are counted in the nearest of them. More of them would hide the copies.
const MOST_TOLD: usize = 12;
/// A conflict over more than this share of the bed is broad: hatched, it would hide what it is about.
const BROAD: f64 = 0.25;
/// Broad conflicts that are outlined: they lie on one another.
const OUTLINED: usize = 3;
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

/// Hatches and lines of all conflicts, the gravest first. What covers much of the bed, and what comes once the hatches cover as much
/// as the bed has, is drawn by its outline on the bed alone, and of many such outlines only the first: the copies stay in sight, and
/// the drawing stays cheap, whatever gap was typed. `mm_per_pt`: millimetres of the bed to one screen point.
pub fn all_conflict_marks(conflicts: &[DrawnConflict], bed: Bounds, mm_per_pt: f64) -> Vec<Mark> {
    let (mut hatched, mut outlined, mut marks) = (0.0, 0, Vec::new());
    for c in conflicts {
        let covers = c.region.area();
        if !is_broad(c, bed) && hatched + covers <= bed.width() * bed.height() {
            hatched += covers;
            marks.extend(conflict_marks(c, mm_per_pt));
        } else if outlined < OUTLINED {
            outlined += 1;
            let region = Arc::new(boolean::intersection(&c.region, &Region::rectangle(bed)));
            marks.push(Mark::Outline { region, ink: Ink::Stop, width_pt: 1.0, dash: Dash::Dashed });
        }
    }
    marks
}

fn is_broad(c: &DrawnConflict, bed: Bounds) -> bool {
    !c.region.is_empty() && c.region.area() > BROAD * bed.width() * bed.height()
}

/// Hatches and lines of a conflict, back to front. `mm_per_pt`: millimetres of the bed to one screen point.
fn conflict_marks(conflict: &DrawnConflict, mm_per_pt: f64) -> Vec<Mark> {
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
    broad: bool,
}

impl Told<'_> {
    fn text(&self) -> String {
        match (self.more, self.broad) {
            (0, _) => self.words.to_owned(),
            (n, true) => format!("{}, {n} more", self.words),
            (n, false) => format!("{}, {n} more here", self.words),
        }
    }
}

/// Words of all conflicts, the gravest first: each beside its own, led out by a line where that place is taken; conflicts in
/// one place, those over much of the bed, and those for which no place is left, share a label that says how many more there are. No
/// label leaves the room that `labels` has. `untold` more conflicts were left out: where those over much of the bed share a label, they
/// are counted in it.
pub fn conflict_labels(conflicts: &[DrawnConflict], untold: usize, bed: Bounds, labels: &mut Labels) -> Vec<Mark> {
    let (mm_per_pt, room) = (labels.mm_per_pt(), labels.room());
    let mut told: Vec<Told<'_>> = Vec::new();
    for c in conflicts.iter().filter(|c| !c.text.is_empty()) {
        let broad = is_broad(c, bed);
        let place = if broad { c.at.map(|at| Bounds::new(at, at)) } else { place_of(c) };
        let Some(thing) = place.or_else(|| place_of(c)).map(|b| common(b, room)) else { continue };
        let close = |t: &Told<'_>| t.thing.centre().distance(thing.centre()) < TOGETHER_PT * mm_per_pt;
        let near = |t: &&mut Told<'_>| t.broad == broad && (broad || close(t));
        match told.iter_mut().find(near) {
            Some(same) => same.more += 1,
            None => told.push(Told { thing, words: &c.text, more: 0, broad }),
        }
    }
    if let Some(all) = told.iter_mut().find(|t| t.broad) {
        all.more += untold;
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
                (i == 0).then(|| brought_in(t.thing.centre(), size, room))
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

/// What of a box lies in `room`; the whole of it where nothing does.
fn common(b: Bounds, room: Bounds) -> Bounds {
    let low = Point::new(b.min.x.max(room.min.x), b.min.y.max(room.min.y));
    let high = Point::new(b.max.x.min(room.max.x), b.max.y.min(room.max.y));
    if low.x <= high.x && low.y <= high.y { Bounds::new(low, high) } else { b }
}

/// A box of this size as near to `middle` as lets it lie in `room`.
fn brought_in(middle: Point, size: Point, room: Bounds) -> Bounds {
    let half = size * 0.5;
    // Not `clamp`: it panics where the room is smaller than the box.
    let within = |v: f64, low: f64, high: f64| v.min(high).max(low);
    let at = Point::new(
        within(middle.x, room.min.x + half.x, room.max.x - half.x),
        within(middle.y, room.min.y + half.y, room.max.y - half.y),
    );
    Bounds::new(at - half, at + half)
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

    const BED: Bounds = Bounds { min: Point { x: 0.0, y: 0.0 }, max: Point { x: 240.0, y: 200.0 } };

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
        let said =
            texts(&conflict_labels(&[overlap(50.0, 50.0, 8.0), clearance, word], 0, BED, &mut Labels::new(0.4)), 0.4);
        let said: Vec<&str> = said.iter().map(|t| t.0.as_str()).collect();
        assert_eq!(said, ["overlap 8.0 mm", "gap short by 2.0 mm, 1 more here"], "two of them are in one place");
        assert!(conflict_labels(&[DrawnConflict::default()], 0, BED, &mut Labels::new(0.4)).is_empty());
    }

    /// A heap: 60 conflicts within 60 × 60 mm, drawn at 1 : 1.5 and at 1 : 10.
    #[test]
    fn in_a_heap_no_label_lies_on_another_and_every_conflict_is_counted() {
        let heap: Vec<DrawnConflict> = (0..60)
            .map(|n| overlap(f64::from(n % 8) * 7.0, f64::from(n / 8) * 7.0, 9.0 - f64::from(n) * 0.1))
            .collect();
        for scale in [1.5, 10.0] {
            let mm_per_pt = scale * crate::drawing::PT_MM;
            let all = texts(&conflict_labels(&heap, 0, BED, &mut Labels::new(mm_per_pt)), mm_per_pt);
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
        let marks = conflict_labels(&[overlap(0.0, 0.0, 8.0)], 0, BED, &mut labels);
        assert!(!texts(&marks, 0.4)[0].1.overlaps(taken));
        assert!(marks.iter().any(|m| matches!(m, Mark::Stroke { ink: Ink::Stop, .. })));
    }

    /// A gap of 500 mm typed by mistake: 378 pairs, each in conflict over all of the bed.
    #[test]
    fn conflicts_over_all_of_the_bed_hide_nothing_and_cost_no_more_than_a_few() {
        let all: Vec<DrawnConflict> = (0..378)
            .map(|n| DrawnConflict {
                region: Arc::new(Region::rectangle(BED.grown(150.0))),
                at: Some(Point::new(f64::from(n % 20) * 12.0, f64::from(n / 20) * 10.0)),
                text: format!("gap short by {}.0 mm", 500 - n),
                ..DrawnConflict::default()
            })
            .collect();
        let marks = all_conflict_marks(&all, BED, 0.5);
        assert!(marks.len() <= OUTLINED, "{}", marks.len());
        for m in &marks {
            let Mark::Outline { region, .. } = m else { panic!("neither filled nor hatched: {m:?}") };
            let b = region.bounds();
            assert!(BED.grown(1e-6).contains(b.min) && BED.grown(1e-6).contains(b.max), "{b:?}");
        }
        let said = texts(&conflict_labels(&all, 12, BED, &mut Labels::new(0.5)), 0.5);
        let said: Vec<&str> = said.iter().map(|t| t.0.as_str()).collect();
        assert_eq!(said, ["gap short by 500.0 mm, 389 more"]);
    }

    #[test]
    fn hatches_end_where_they_would_cover_the_bed() {
        let all: Vec<DrawnConflict> = (0..200).map(|_| overlap(20.0, 20.0, 60.0)).collect();
        let marks = all_conflict_marks(&all, BED, 0.5);
        let hatched = marks.iter().filter(|m| matches!(m, Mark::Pattern { .. })).count();
        // 3600 of 48 000 mm² each.
        assert_eq!(hatched, 13);
        assert_eq!(marks.len(), 3 * hatched + OUTLINED);
    }

    /// A copy half off the right edge, in a frame that ends a little beyond it, and one on the title block.
    #[test]
    fn no_label_leaves_the_frame_or_lies_on_the_title_block() {
        let frame = Bounds::new(Point::new(-20.0, -40.0), Point::new(250.0, 210.0));
        let title = Bounds::new(Point::new(60.0, -40.0), Point::new(250.0, -8.0));
        let all = [overlap(235.0, 90.0, 10.0), overlap(200.0, -4.0, 8.0), overlap(-15.0, 195.0, 9.0)];
        for mm_per_pt in [0.3, 0.5, 1.0] {
            let mut labels = Labels::new(mm_per_pt);
            labels.keep_within(frame);
            labels.take(title);
            let said = texts(&conflict_labels(&all, 0, BED, &mut labels), mm_per_pt);
            assert!(!said.is_empty());
            for (text, b) in said {
                assert!(frame.contains(b.min) && frame.contains(b.max), "{text}: {b:?}");
                assert!(!b.overlaps(title), "{text}: {b:?}");
            }
        }
    }

    #[test]
    fn in_a_frame_too_small_for_it_a_label_is_written_all_the_same() {
        let mut labels = Labels::new(1.0);
        labels.keep_within(Bounds::new(Point::default(), Point::new(3.0, 3.0)));
        assert_eq!(texts(&conflict_labels(&[overlap(0.0, 0.0, 2.0)], 0, BED, &mut labels), 1.0).len(), 1);
    }
}
