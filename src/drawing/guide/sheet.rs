//! A bed with copies, and what its lines mean.

use std::sync::Arc;

use super::marks::{bracket, paper, text};
use crate::{
    drawing::{
        Anchor, DrawnBed, DrawnConflict, DrawnCopy, Ink, Labels, Mark, PT_MM, Scene, all_conflict_marks, bed_marks,
        conflict_labels, copy_labels, copy_marks,
    },
    geom::{Bounds, Placement, Point, Region, boolean, offset},
};

/// Width and depth of the bed, mm.
const BED_MM: [f64; 2] = [150.0, 110.0];
/// Gap and width of the brim, mm.
const GAP_MM: f64 = 6.0;
const BRIM_MM: f64 = 3.0;
/// Chords of rings, mm.
const TOLERANCE_MM: f64 = 0.05;
/// Where copies lie: x, y, mm, and turn, degrees. The last two overlap.
const COPIES: [(f64, f64, f64); 5] =
    [(10.0, 62.0, 0.0), (54.0, 62.0, 0.0), (44.0, 14.0, 0.0), (100.0, 36.0, 0.0), (113.0, 18.0, 0.0)];
/// Share of the width that the bed takes; the rest is for words.
const BED_SHARE: f64 = 0.64;
/// Free above and below the bed, mm on paper.
const ROUND_MM: f64 = 1.0;
/// Between the bed and the words, mm on paper.
const LEADER_MM: f64 = 5.0;

pub(super) fn sheet(width_mm: f64, height_mm: f64) -> Scene {
    let view = paper(width_mm, height_mm);
    let scale = ((width_mm * BED_SHARE) / BED_MM[0]).min((height_mm - 2.0 * ROUND_MM) / BED_MM[1]);
    if scale.is_nan() || scale < 1e-3 {
        return Scene { view, marks: Vec::new() };
    }
    let mm_per_pt = PT_MM / scale;
    let bed = Bounds::new(Point::default(), Point::new(BED_MM[0], BED_MM[1]));
    let corner = Bounds::new(Point::default(), Point::new(26.0, 20.0));
    let drawn_bed = DrawnBed {
        outline: Arc::new(Region::rectangle(bed)),
        room: Some(Arc::new(Region::rectangle(bed.grown(-4.0)))),
        keep_outs: vec![("clip".into(), Arc::new(Region::rectangle(corner)))],
        halves: None,
    };
    let copies: Vec<DrawnCopy> = COPIES.iter().enumerate().map(|(n, &at)| copy(n + 1, at)).collect();
    let overlap = boolean::intersection(&copies[3].shadow, &copies[4].shadow);
    let conflicts =
        [DrawnConflict { region: Arc::new(overlap), text: "overlap 9.0 mm".into(), ..DrawnConflict::default() }];
    let mut marks = bed_marks(&drawn_bed, bed, mm_per_pt);
    marks.extend(copies.iter().flat_map(|c| copy_marks(c, mm_per_pt)));
    marks.extend(all_conflict_marks(&conflicts, bed, mm_per_pt));
    let mut labels = Labels::new(mm_per_pt);
    labels.keep_within(bed.grown(-1.0));
    marks.extend(copy_labels(copies.iter(), &mut labels, 6.0));
    marks.extend(conflict_labels(&conflicts, 0, bed, &mut labels));
    let at = Point::new(ROUND_MM, (height_mm - BED_MM[1] * scale) / 2.0);
    let mut scene = Scene { view, marks: Vec::new() };
    scene.add(Scene { view: bed, marks }, scale, at);
    legend(&mut scene.marks, |p| p * scale + at, ROUND_MM + BED_MM[0] * scale + LEADER_MM);
    scene
}

fn copy(number: usize, (x, y, turn_deg): (f64, f64, f64)) -> DrawnCopy {
    let shadow = bracket().placed(Placement::new(x, y, turn_deg.to_radians()));
    DrawnCopy {
        name: format!("A {number}"),
        letter: "A".into(),
        hue: 1,
        footing: Some(Arc::new(offset::grow(&shadow, BRIM_MM, TOLERANCE_MM))),
        gap_ring: Some(Arc::new(offset::grow(&shadow, GAP_MM, TOLERANCE_MM))),
        shadow: Arc::new(shadow),
        ..DrawnCopy::default()
    }
}

/// Words on the right, each with a line to what it names.
fn legend(marks: &mut Vec<Mark>, on_paper: impl Fn(Point) -> Point, left_mm: f64) {
    let named = [
        ("half the gap", Point::new(62.0, 98.0)),
        ("footing: a brim", Point::new(87.0, 68.0)),
        ("conflict, with its depth", Point::new(122.0, 41.0)),
        ("edge margin", Point::new(146.0, 22.0)),
        ("keep-out", Point::new(22.0, 6.0)),
    ];
    let heights = [100.0, 76.0, 48.0, 22.0, 6.0];
    for ((words, thing), height) in named.into_iter().zip(heights) {
        let to = Point::new(left_mm, on_paper(Point::new(0.0, height)).y);
        marks.push(Mark::line(on_paper(thing), to - Point::new(1.0, 0.0), Ink::Faint, 0.8));
        marks.push(text(words, to - Point::new(0.0, 1.3), Anchor::Start, Ink::Ink));
    }
}
