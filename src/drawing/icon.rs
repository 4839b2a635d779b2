//! The program's icon: a forme on the imposing stone, that is, a few copies locked up in a frame with wedges.

use std::sync::Arc;

use super::{Dash, Ink, Mark, Scene, scene::PT_MM};
use crate::geom::{Bounds, Point, Polygon, Region};

/// Side of the icon, points.
const SIDE_PT: f64 = 128.0;
/// Corners of a ring.
const CORNERS: u32 = 64;

/// The icon: a square of 128 screen points, y up.
pub fn icon() -> Scene {
    let mut marks = Vec::new();
    // The frame, its corners cut.
    let frame = chamfered(Bounds::new(Point::new(6.0, 6.0), Point::new(122.0, 122.0)), 9.0);
    fill(&mut marks, Polygon::simple(frame), Ink::Ink);
    let inside = Bounds::new(Point::new(17.0, 17.0), Point::new(111.0, 111.0));
    fill(&mut marks, Polygon::rectangle(inside), Ink::Bed);
    for wedge in wedges(inside) {
        let wedge = Polygon::simple(wedge);
        fill(&mut marks, wedge.clone(), Ink::Grid);
        outline(&mut marks, wedge, Ink::Ink, 2.0);
    }
    for (copy, hue) in copies() {
        fill(&mut marks, copy.clone(), Ink::Part(hue));
        outline(&mut marks, copy, Ink::PartLine(hue), 2.5);
    }
    let whole = Bounds::new(Point::default(), Point::new(SIDE_PT, SIDE_PT));
    let mut scene = Scene { view: Bounds::new(whole.min * PT_MM, whole.max * PT_MM), marks: Vec::new() };
    scene.add(Scene { view: whole, marks }, PT_MM, Point::default());
    scene
}

/// Two pairs of wedges, along the right and the lower edge: they lock up what lies between them and the frame.
fn wedges(inside: Bounds) -> [Vec<Point>; 4] {
    let (low, high, thick, slim) = (inside.min, inside.max, 12.0, 4.0);
    let p = Point::new;
    let left = high.x - thick;
    let top = low.y + thick;
    [
        vec![p(left, low.y), p(left + slim, low.y), p(high.x - slim, high.y), p(left, high.y)],
        vec![p(left + slim, low.y), p(high.x, low.y), p(high.x, high.y), p(high.x - slim, high.y)],
        vec![p(low.x, low.y), p(left, low.y), p(left, low.y + slim), p(low.x, top - slim)],
        vec![p(left, low.y + slim), p(left, top), p(low.x, top), p(low.x, top - slim)],
    ]
}

/// A bar, two brackets that lie in one another, rings where they leave room.
fn copies() -> [(Polygon, usize); 6] {
    let p = Point::new;
    let bracket = [p(0.0, 0.0), p(36.0, 0.0), p(36.0, 11.0), p(11.0, 11.0), p(11.0, 36.0), p(0.0, 36.0)];
    let turned: Vec<Point> = bracket.iter().map(|&c| p(76.0, 84.0) - c).collect();
    let upright: Vec<Point> = bracket.iter().map(|&c| p(24.0, 36.0) + c).collect();
    let bar = Bounds::new(p(24.0, 91.0), p(93.0, 103.0));
    [
        (Polygon::simple(turned), 3),
        (Polygon::simple(upright), 3),
        (ring(p(50.0, 60.0), 9.0, 3.5), 1),
        (ring(p(86.0, 77.0), 7.0, 2.5), 1),
        (ring(p(86.0, 57.0), 7.0, 2.5), 1),
        (Polygon::rectangle(bar), 2),
    ]
}

fn ring(centre: Point, outer: f64, inner: f64) -> Polygon {
    let circle = |radius: f64, way: f64| {
        let at = |i| f64::from(i) / f64::from(CORNERS) * std::f64::consts::TAU * way;
        (0..CORNERS).map(|i| centre + Point::new(radius * at(i).cos(), radius * at(i).sin())).collect()
    };
    Polygon { outer: circle(outer, 1.0), holes: vec![circle(inner, -1.0)] }
}

fn chamfered(b: Bounds, by: f64) -> Vec<Point> {
    let (low, high) = (b.min, b.max);
    [
        (low.x + by, low.y),
        (high.x - by, low.y),
        (high.x, low.y + by),
        (high.x, high.y - by),
        (high.x - by, high.y),
        (low.x + by, high.y),
        (low.x, high.y - by),
        (low.x, low.y + by),
    ]
    .map(|(x, y)| Point::new(x, y))
    .to_vec()
}

fn fill(marks: &mut Vec<Mark>, polygon: Polygon, ink: Ink) {
    marks.push(Mark::Fill { region: Arc::new(Region::from(polygon)), ink, opacity: 1.0 });
}

fn outline(marks: &mut Vec<Mark>, polygon: Polygon, ink: Ink, width_pt: f32) {
    marks.push(Mark::Outline { region: Arc::new(Region::from(polygon)), ink, width_pt, dash: Dash::Solid });
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::geom::boolean;

    #[test]
    fn copies_lie_inside_and_apart() {
        let inside = Bounds::new(Point::new(18.5, 30.5), Point::new(97.5, 109.5));
        let copies = copies().map(|(c, _)| Region::from(c));
        for (i, a) in copies.iter().enumerate() {
            assert!(inside.contains(a.bounds().min) && inside.contains(a.bounds().max), "{i}: {:?}", a.bounds());
            for b in &copies[i + 1..] {
                assert!(boolean::intersection(a, b).is_empty(), "{i}");
            }
        }
        let side = icon().view.width();
        assert!((side - 128.0 * 25.4 / 96.0).abs() < 1e-9, "{side}");
    }
}
