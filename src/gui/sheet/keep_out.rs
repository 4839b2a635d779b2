//! A keep-out while it is drawn or moved.

use std::sync::Arc;

use super::Gesture;
use crate::{
    document::Plate,
    drawing::{Dash, DrawnBed, Hatch, Ink, Mark},
    geom::{Bounds, Point, Region},
    gui::view::View,
    session::Session,
};

/// The keep-out on top at a point of the bed: which of its machine's, from 0.
pub(super) fn keep_out_at(session: &Session, plate: &Plate, p: Point) -> Option<usize> {
    let machine = session.job().machine(plate.machine)?;
    machine.keep_outs.iter().rposition(|k| k.region().contains(p))
}

/// What is drawn of it: the box or the corners so far, or the keep-out where it would lie.
pub(super) fn marks(view: &View, bed: &DrawnBed, pointer: Option<Point>) -> Vec<Mark> {
    match view.gesture {
        Gesture::KeepOutBox { from, to } => area(Region::rectangle(Bounds::of([from, to]))),
        Gesture::KeepOut { index, by, .. } => {
            bed.keep_outs.get(index).map_or_else(Vec::new, |(_, region)| area(region.map(|p| p + by)))
        }
        _ => match &view.keep_out {
            Some(corners) if !corners.is_empty() => {
                let points: Vec<Point> = corners.iter().copied().chain(pointer).collect();
                vec![Mark::Stroke { points, closed: false, ink: Ink::Accent, width_pt: 1.4, dash: Dash::Solid }]
            }
            _ => Vec::new(),
        },
    }
}

fn area(region: Region) -> Vec<Mark> {
    let region = Arc::new(region);
    vec![
        Mark::Pattern { region: region.clone(), hatch: Hatch::Single, ink: Ink::Accent },
        Mark::Outline { region, ink: Ink::Accent, width_pt: 1.4, dash: Dash::Dashed },
    ]
}
