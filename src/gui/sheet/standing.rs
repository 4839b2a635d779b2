//! How copies stand at the height cursor, and the reach of a fall.

use std::sync::Arc;

use crate::{
    document::{CopyId, Job, Plate},
    drawing::{Dash, Ink, Mark},
    geom::{Placement, Point},
    session::{PartStanding, Session},
};

/// Arms of the cross at a centre of mass, screen points.
const ARM_PT: f64 = 5.0;

/// For every copy that grows at the height cursor: the hull of what it stands on, and its centre of mass grown so far.
pub(super) fn at_the_cursor(session: &Session, plate: &Plate, mm_per_pt: f64) -> Vec<Mark> {
    let (Some(z_mm), Some(view)) = (session.height_mm(), session.view(plate.id)) else { return Vec::new() };
    let mut marks = Vec::new();
    for copy in &plate.copies {
        let standing = view.standing.iter().find(|s| s.copies.contains(&copy.id));
        if let Some((hull, centre)) = standing.and_then(|s| grown(s, z_mm)) {
            one(hull, centre, copy.placement(), mm_per_pt, &mut marks);
        }
    }
    marks
}

/// Hull and centre of mass in the part's coordinates; `None` above the part, or where nothing is known.
fn grown(s: &PartStanding, z_mm: f64) -> Option<(&[Point], Point)> {
    let judged = &s.judged;
    let layers = judged.mass.mass.layers();
    let layer = layers.iter().find(|l| l.top_mm + judged.stance.lift_mm >= z_mm - 1e-6)?;
    (layer.volume_mm3 > 0.0 && judged.stance.hull.len() > 2).then_some((&judged.stance.hull[..], layer.centre))
}

fn one(hull: &[Point], centre: Point, at: Placement, mm_per_pt: f64, marks: &mut Vec<Mark>) {
    let points = hull.iter().map(|&p| at.apply(p)).collect();
    marks.push(Mark::Stroke { points, closed: true, ink: Ink::Accent, width_pt: 1.0, dash: Dash::Dotted });
    let (c, arm) = (at.apply(centre), ARM_PT * mm_per_pt);
    for way in [Point::new(arm, 0.0), Point::new(0.0, arm)] {
        marks.push(Mark::line(c - way, c + way, Ink::Accent, 1.6));
    }
}

/// The reach of a fall of one copy, and a ring round every copy in it.
pub(super) fn fall(session: &Session, job: &Job, plate: &Plate, copy: Option<CopyId>) -> Vec<Mark> {
    let Some(copy) = copy.filter(|id| plate.copies.iter().any(|c| c.id == *id)) else { return Vec::new() };
    let Some(fall) = session.fall_of(copy) else { return Vec::new() };
    let outline =
        |region| Mark::Outline { region: Arc::new(region), ink: Ink::Watch, width_pt: 1.2, dash: Dash::DashDot };
    let mut marks = vec![outline(fall.reach.clone())];
    let struck = plate.copies.iter().filter(|c| fall.strikes.contains(&job.copy_name(c)));
    let shadow = |c: &crate::document::Copy| Some(session.shapes().get(&c.part)?.shadow.region().placed(c.placement()));
    marks.extend(struck.filter_map(shadow).map(outline));
    marks
}
