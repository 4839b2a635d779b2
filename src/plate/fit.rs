//! Does a part fit a bed at all?

use std::sync::Arc;

use super::{PlateTwin, Prepared, PreparedShape, Room};
use crate::{
    document::Turns,
    geom::{Bounds, Placement, Point},
};

/// Whether a part fits a bed at some turn, alone and with its footing. Keep-outs are not looked at.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Fit {
    /// It does.
    Fits,
    /// It does not. The size is that of its box, footing included, at the turn that comes nearest.
    TooLarge {
        /// Along the bed's width.
        width_mm: f64,
        /// Along the bed's depth.
        depth_mm: f64,
    },
}

/// Turns the part in the steps it may take (free: whole degrees, on odd beds every fifth) and compares boxes on a rectangular bed, circles on
/// a round one; on any other bed it walks downhill from nine places, which may miss a room that is just large
/// enough.
pub fn fits(room: &Room, form: &PreparedShape, turns: Turns) -> Fit {
    let step = match turns.step_deg() {
        _ if room.is_round() => 360.0,
        Some(step) => step,
        None if room.is_rectangular() => 1.0,
        None => 5.0,
    };
    let stride = |size_mm| stride_mm(room, size_mm);
    at_some_turn(step, form, &room.starts(), &stride, &|at| off_room(room, form, at))
}

/// As [`fits`], of one half of a plate that is printed twice at once: the twin must lie in the room too.
pub fn fits_half(room: &Room, twin: &PlateTwin, form: &Arc<PreparedShape>, turns: Turns, prepared: &Prepared) -> Fit {
    let image = if twin.is_handed() { prepared.mirrored(form) } else { form.clone() };
    let end_mm = twin.end_mm(room.region().bounds());
    let half = twin.half(room.region()).bounds();
    let excess = |at: Placement| {
        off_room(room, form, at).max(off_room(room, &image, twin.placement(at))).max(beyond(end_mm, form, at, 0.0))
    };
    let step = turns.step_deg().unwrap_or(if room.is_rectangular() { 1.0 } else { 5.0 });
    let starts = if half.is_empty() { room.starts() } else { starts_in(room, half) };
    let stride = |size_mm| stride_mm(room, size_mm);
    at_some_turn(step, form, &starts, &stride, &excess)
}

fn starts_in(room: &Room, half: Bounds) -> Vec<Point> {
    if room.is_rectangular() {
        return vec![half.centre()];
    }
    let thirds = [0.5, 0.2, 0.8];
    let at = |i: usize, k: usize| half.min + Point::new(half.width() * thirds[i], half.height() * thirds[k]);
    (0..9).map(|n| at(n / 3, n % 3)).collect()
}

/// How far a copy reaches out of the room, footing included, mm.
fn off_room(room: &Room, form: &PreparedShape, at: Placement) -> f64 {
    room.excess_mm(&form.shape.shadow, at, 0.0).max(room.excess_mm(&form.shape.contact, at, form.footing_mm))
}

/// How far a copy reaches beyond `end_mm` along X, footing and a skirt of `skirt_mm` round that included, mm; 0 where it does not.
pub(super) fn beyond(end_mm: f64, form: &PreparedShape, at: Placement, skirt_mm: f64) -> f64 {
    let (shadow, contact) = (&form.shape.shadow, &form.shape.contact);
    let shadow_mm = if shadow.is_empty() { f64::NEG_INFINITY } else { shadow.bounds_at(at).max.x };
    let by_mm = form.footing_mm + skirt_mm;
    let footing_mm = if contact.is_empty() { f64::NEG_INFINITY } else { contact.bounds_at(at).max.x + by_mm };
    (shadow_mm.max(footing_mm) - end_mm).max(0.0)
}

fn at_some_turn(
    step: f64,
    form: &PreparedShape,
    starts: &[Point],
    stride_mm: &dyn Fn(f64) -> f64,
    excess: &dyn Fn(Placement) -> f64,
) -> Fit {
    let mut least = (f64::INFINITY, 0.0, 0.0);
    for i in 0..(360.0 / step).round().max(1.0) as usize {
        let turned = Placement::new(0.0, 0.0, (step * i as f64).to_radians());
        let b = form.bounds_at(turned);
        let mut out = f64::INFINITY;
        for &start in starts {
            let middle = start - b.centre();
            let from = Placement { x: middle.x, y: middle.y, ..turned };
            out = out.min(downhill(from, stride_mm(b.width().max(b.height())), excess));
            if out <= 1e-6 {
                return Fit::Fits;
            }
        }
        if out < least.0 {
            least = (out, b.width(), b.height());
        }
    }
    Fit::TooLarge { width_mm: least.1, depth_mm: least.2 }
}

/// On a rectangle the middle is the best place; elsewhere there is a way to walk.
fn stride_mm(room: &Room, size_mm: f64) -> f64 {
    if room.is_rectangular() { 0.0 } else { size_mm / 4.0 }
}

/// The least excess found by walking downhill from a place in ever smaller strides.
fn downhill(from: Placement, mut stride: f64, excess: &dyn Fn(Placement) -> f64) -> f64 {
    let (mut at, mut out) = (from, excess(from));
    while out > 1e-6 && stride > 1e-3 {
        let better = DIRECTIONS
            .iter()
            .map(|d| Placement { x: at.x + d.x * stride, y: at.y + d.y * stride, ..at })
            .map(|p| (excess(p), p))
            .min_by(|p, q| p.0.total_cmp(&q.0))
            .filter(|p| p.0 < out - 1e-9);
        match better {
            Some((o, p)) => (out, at) = (o, p),
            None => stride /= 2.0,
        }
    }
    out
}

const DIRECTIONS: [Point; 8] = [
    Point::new(1.0, 0.0),
    Point::new(0.7, 0.7),
    Point::new(0.0, 1.0),
    Point::new(-0.7, 0.7),
    Point::new(-1.0, 0.0),
    Point::new(-0.7, -0.7),
    Point::new(0.0, -1.0),
    Point::new(0.7, -0.7),
];

#[cfg(test)]
mod tests {
    use super::*;
    use crate::{
        document::{BedShape, Footing, Margins},
        geom::{Point, Polygon},
        plate::samples::{Bench, rectangle},
    };

    fn fit(bed: BedShape, width: f64, depth: f64, footing: f64, turns: Turns) -> Fit {
        let mut b = Bench::new();
        b.job.machines[0].bed = bed;
        let part = b.part(rectangle(width, depth), rectangle(width, depth), 5.0);
        let room = Room::new(&b.job, &b.job.machines[0]);
        let form =
            PreparedShape::new(b.shapes[&part].clone(), Footing::Brim { width_mm: footing }, &Margins::default());
        fits(&room, &form, turns)
    }

    #[test]
    fn rectangles_on_rectangles() {
        let bed = || BedShape::Rectangle { width_mm: 240.0, depth_mm: 200.0 };
        assert_eq!(fit(bed(), 240.0, 200.0, 0.0, Turns::None), Fit::Fits);
        assert_eq!(fit(bed(), 200.0, 240.0, 0.0, Turns::None), Fit::TooLarge { width_mm: 200.0, depth_mm: 240.0 });
        assert_eq!(fit(bed(), 200.0, 240.0, 0.0, Turns::Quarters), Fit::Fits);
        assert!(matches!(fit(bed(), 238.0, 199.0, 2.0, Turns::Free), Fit::TooLarge { .. }));
        // 290 × 10 lies only slantwise: the bed's diagonal is 312.
        assert!(matches!(fit(bed(), 290.0, 10.0, 0.0, Turns::Eighths), Fit::TooLarge { .. }));
        assert_eq!(fit(bed(), 290.0, 10.0, 0.0, Turns::Free), Fit::Fits);
    }

    #[test]
    fn rectangles_on_a_disc() {
        let bed = || BedShape::Round { diameter_mm: 200.0 };
        assert_eq!(fit(bed(), 120.0, 160.0, 0.0, Turns::None), Fit::Fits);
        assert!(matches!(fit(bed(), 121.0, 160.0, 0.0, Turns::Free), Fit::TooLarge { .. }));
    }

    #[test]
    fn a_triangle_off_the_middle_of_its_box() {
        let mut b = Bench::new();
        b.job.machines[0].bed = BedShape::Round { diameter_mm: 20.2 };
        // Equilateral in a circle of radius 10: its box's middle is 2.5 mm from the circle's.
        let triangle =
            Polygon::simple((0..3).map(|i| Point::new(10.0, 0.0).turned(f64::from(i) * 2.094_395)).collect());
        let part = b.part(triangle.clone().into(), triangle.into(), 5.0);
        let room = Room::new(&b.job, &b.job.machines[0]);
        let form = PreparedShape::new(b.shapes[&part].clone(), Footing::Bare, &Margins::default());
        assert_eq!(fits(&room, &form, Turns::None), Fit::Fits);
    }
}
