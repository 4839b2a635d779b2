//! A peg bare, with a brim, on a raft.

use super::marks::{paper, text};
use crate::{
    drawing::{Anchor, Ink, Scene, side_outline},
    geom::{Bounds, Point, Region},
    stability::SideView,
};

/// Half the width and the height of the peg, mm.
const HALF_MM: f64 = 4.0;
const HIGH_MM: f64 = 96.0;
/// What the ruler takes on the left, more than is free on the right, mm on paper.
const RULER_MM: f64 = 8.0;
/// Room for the words below, mm on paper.
const WORDS_MM: f64 = 6.0;

pub(super) fn footings(width_mm: f64, height_mm: f64) -> Scene {
    let mut scene = Scene { view: paper(width_mm, height_mm), marks: Vec::new() };
    let each = width_mm / 3.0;
    // Words, half width of what holds it, mm, thickness of what lies under it, mm (more than real: it has to be seen), and from
    // where on it could tip over.
    let ways = [
        ("bare", HALF_MM, 0.0, Some(31.0)),
        ("brim, 5 mm", HALF_MM + 5.0, 0.0, Some(74.0)),
        ("raft, 8 mm", HALF_MM + 8.0, 3.0, None),
    ];
    for (n, (words, half_mm, lift_mm, tips)) in ways.into_iter().enumerate() {
        let left = n as f64 * each;
        let side = side_outline(&view(half_mm, lift_mm, tips), 2, each, (height_mm - WORDS_MM).max(0.0));
        scene.add(side, 1.0, Point::new(left, WORDS_MM));
        let at = Point::new(left + f64::midpoint(each, RULER_MM), 1.5);
        scene.marks.push(text(words, at, Anchor::Middle, Ink::Ink));
    }
    scene
}

fn view(half_mm: f64, lift_mm: f64, tips_above_mm: Option<f64>) -> SideView {
    let block =
        |half: f64, from: f64, to: f64| Region::rectangle(Bounds::new(Point::new(-half, from), Point::new(half, to)));
    let footing = if half_mm > HALF_MM { block(half_mm, 0.0, lift_mm.max(1.5)) } else { Region::EMPTY };
    SideView {
        outline: block(HALF_MM, lift_mm, HIGH_MM),
        path: vec![Point::new(0.0, lift_mm), Point::new(0.0, HIGH_MM / 2.0)],
        contact: vec![[-HALF_MM.min(half_mm), HALF_MM.min(half_mm)]],
        footing,
        holds: Some([-half_mm, half_mm]),
        tips_above_mm,
    }
}
