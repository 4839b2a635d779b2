//! What starts in mid-air.

use serde::{Deserialize, Serialize};

use crate::geom::{Outline, Placement, Point, Polygon, Region, moments};

/// Smaller than this is noise, mm².
const NOISE_MM2: f64 = 1e-3;
/// Vertices tried before distances are measured.
const TRIED: usize = 8;

/// A region of a section with nothing under it: a disconnected shell, or the lowest point of a hook.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct MidAirStart {
    /// Underside of its lowest layer, mm.
    pub height_mm: f64,
    /// Its area there, mm².
    pub area_mm2: f64,
    /// Where, in plan.
    pub at: Point,
}

/// Polygons of a section that lie farther than `reach_mm` from everything in the layer below, which ends at `height_mm`.
pub(super) fn starts(section: &Region, below: &Region, height_mm: f64, reach_mm: f64) -> Vec<MidAirStart> {
    let loose = section.polygons.iter().filter(|p| !is_held(p, below, reach_mm));
    let start = |p: &Polygon| {
        let m = moments::moments(&p.clone().into());
        let sound = m.area > NOISE_MM2 && m.area.is_finite() && m.centroid.is_finite();
        sound.then_some(MidAirStart { height_mm, area_mm2: m.area, at: m.centroid })
    };
    loose.filter_map(start).collect()
}

fn is_held(polygon: &Polygon, below: &Region, reach_mm: f64) -> bool {
    let step = |l: &[Point]| (l.len() / TRIED).max(1);
    let is_over = |p: &Point| below.contains(*p);
    if polygon.outer.iter().step_by(step(&polygon.outer)).any(is_over) {
        return true;
    }
    let covers = |q: &Polygon| q.outer.iter().step_by(step(&q.outer)).any(|p| polygon.contains(*p));
    if below.polygons.iter().any(covers) {
        return true;
    }
    let (at, here) = (Placement::default(), Outline::new(Region::from(polygon.clone())));
    here.distance_within(at, &Outline::new(below.clone()), at, reach_mm + 1e-9) <= reach_mm
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::stability::samples::{at, square};

    #[test]
    fn neighbours_within_a_bead_hold() {
        let below = square(10.0);
        let found = |x: f64| starts(&at(square(4.0), x, 0.0), &below, 3.0, 0.45);
        assert!(found(0.0).is_empty() && found(6.9).is_empty() && found(7.4).is_empty());
        let [one] = found(7.5)[..] else { panic!("half a millimetre off starts in mid-air") };
        assert!((one.area_mm2 - 16.0).abs() < 1e-9 && one.height_mm == 3.0 && (one.at.x - 7.5).abs() < 1e-9);
        // Wider than what is below it, all round.
        assert!(starts(&square(30.0), &below, 3.0, 0.45).is_empty());
        assert_eq!(starts(&square(30.0), &Region::EMPTY, 3.0, 0.45).len(), 1);
        // In a hole of what is below: held by nothing.
        let mut frame = square(40.0);
        let mut hole = square(30.0).polygons.remove(0).outer;
        hole.reverse();
        frame.polygons[0].holes.push(hole);
        assert_eq!(starts(&square(10.0), &frame, 3.0, 0.45).len(), 1);
    }

    #[test]
    fn a_cross_over_a_cross_is_held_where_no_vertex_shows_it() {
        let wide = square(2.0).map(|p| Point::new(p.x * 20.0, p.y));
        let deep = square(2.0).map(|p| Point::new(p.x, p.y * 20.0));
        assert!(starts(&wide, &deep, 1.0, 0.45).is_empty());
    }
}
