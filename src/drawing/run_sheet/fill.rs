//! Parts told apart in black and white: white, grey, hatched, dotted, and both.

use std::sync::Arc;

use crate::drawing::{Hatch, Ink, Mark};
use crate::geom::Region;

/// Share of the ink in a grey ground.
const GREY: f32 = 0.30;

/// The ground of the n-th part of a plate: eight kinds, then again from the first.
pub(super) fn ground(n: usize, region: &Arc<Region>) -> Vec<Mark> {
    let grey = matches!(n % 8, 1 | 5 | 6 | 7);
    let opacity = if grey { GREY } else { 1.0 };
    let ink = if grey { Ink::Part(0) } else { Ink::Paper };
    let mut marks = vec![Mark::Fill { region: region.clone(), ink, opacity }];
    let hatch = match n % 8 {
        2 | 5 => Some(Hatch::Single),
        3 | 6 => Some(Hatch::Dots),
        4 | 7 => Some(Hatch::Cross),
        _ => None,
    };
    marks.extend(hatch.map(|hatch| Mark::Pattern { region: region.clone(), hatch, ink: Ink::Part(0) }));
    marks
}
