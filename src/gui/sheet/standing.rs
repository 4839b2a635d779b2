//! How copies stand at the height cursor, and the reach of a fall.

use std::{collections::BTreeMap, sync::Arc};

use crate::{
    document::{CopyId, Job, Plate},
    drawing::{Dash, Ink, Mark, written_box},
    geom::{Bounds, Placement, Point},
    session::{PartStanding, Session},
};

/// Arms of the cross at a centre of mass, screen points.
const ARM_PT: f64 = 4.0;
/// Between a label and the arms of a cross round it, screen points.
const CLEAR_PT: f64 = 1.0;

/// For every copy that grows at the height cursor: the hull of what it stands on, and its centre of mass grown so far. `written`
/// are the labels of the copies, which no cross strikes through.
pub(super) fn at_the_cursor(
    session: &Session,
    job: &Job,
    plate: &Plate,
    written: &[Mark],
    mm_per_pt: f64,
) -> Vec<Mark> {
    let (Some(z_mm), Some(view)) = (session.height_mm(), session.view(plate.id)) else { return Vec::new() };
    let labels: BTreeMap<&str, Bounds> = written
        .iter()
        .filter_map(|m| {
            if let Mark::Text { text, .. } = m { Some((text.as_str(), written_box(m, mm_per_pt)?)) } else { None }
        })
        .collect();
    let mut marks = Vec::new();
    for copy in &plate.copies {
        let standing = view.standing.iter().find(|s| s.copies.contains(&copy.id));
        if let Some((hull, centre)) = standing.and_then(|s| grown(s, z_mm)) {
            let label = labels.get(job.copy_name(copy).as_str()).copied();
            one(hull, centre, copy.placement(), label, mm_per_pt, &mut marks);
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

fn one(hull: &[Point], centre: Point, at: Placement, label: Option<Bounds>, mm_per_pt: f64, marks: &mut Vec<Mark>) {
    let points = hull.iter().map(|&p| at.apply(p)).collect();
    marks.push(Mark::Stroke { points, closed: true, ink: Ink::Accent, width_pt: 1.0, dash: Dash::Dotted });
    cross(at.apply(centre), label, mm_per_pt, marks);
}

/// A cross; where it would run through a label, its four arms alone, outside of that.
fn cross(c: Point, label: Option<Bounds>, mm_per_pt: f64, marks: &mut Vec<Mark>) {
    let arm = ARM_PT * mm_per_pt;
    let label = label.map(|b| b.grown(CLEAR_PT * mm_per_pt)).filter(|b| b.grown(arm).contains(c));
    for way in [Point::new(1.0, 0.0), Point::new(-1.0, 0.0), Point::new(0.0, 1.0), Point::new(0.0, -1.0)] {
        let start = label.map_or(0.0, |b| way_out(c, way, b));
        marks.push(Mark::line(c + way * start, c + way * (start + arm), Ink::Accent, 1.4));
    }
}

/// How far from `c` along an axis one is out of a box; 0 where that way does not lead through it.
fn way_out(c: Point, way: Point, b: Bounds) -> f64 {
    let (through, out) = if way.x == 0.0 {
        (c.x > b.min.x && c.x < b.max.x, if way.y > 0.0 { b.max.y - c.y } else { c.y - b.min.y })
    } else {
        (c.y > b.min.y && c.y < b.max.y, if way.x > 0.0 { b.max.x - c.x } else { c.x - b.min.x })
    };
    if through { out.max(0.0) } else { 0.0 }
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

#[cfg(test)]
mod tests {
    use super::*;

    fn arms(c: Point, label: Option<Bounds>) -> Vec<Bounds> {
        let mut marks = Vec::new();
        cross(c, label, 0.5, &mut marks);
        let of = |m: &Mark| {
            if let Mark::Stroke { points, .. } = m { Some(Bounds::of(points.iter().copied())) } else { None }
        };
        marks.iter().filter_map(of).collect()
    }

    #[test]
    fn a_cross_strikes_no_label() {
        let label = Bounds::new(Point::new(-6.0, -2.0), Point::new(6.0, 2.0));
        let clear = label.grown(0.9 * CLEAR_PT * 0.5);
        for c in
            [Point::default(), Point::new(5.0, 1.0), Point::new(0.0, 3.0), Point::new(-7.0, 0.5), Point::new(0.0, 9.0)]
        {
            let all = arms(c, Some(label));
            assert_eq!(all.len(), 4);
            assert!(all.iter().all(|a| a.distance(clear) > 0.0), "{c:?}: {all:?}");
        }
        assert_eq!(
            arms(Point::new(0.0, 30.0), Some(label)).iter().fold(Bounds::EMPTY, |b, a| b.union(*a)).width(),
            4.0
        );
        assert_eq!(arms(Point::default(), None)[0].min, Point::default());
    }
}
