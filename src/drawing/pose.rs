//! A way to lay a part down: from above and from the front, side by side.

use std::sync::Arc;

use super::{Dash, Ink, Mark, Scene};
use crate::{
    geom::{Bounds, Point, Region},
    stability::PoseView,
};

/// Room all round and between the two, mm on paper.
const ROOM_MM: f64 = 1.5;

/// A pose on `width_mm` × `height_mm` of paper, its lower left corner at the origin: on the left from above, on the right from the front
/// over the line of the bed, both at one scale. `hue` is the part's. Nothing of a part of nothing, or where there is no room.
pub fn pose_outlines(view: &PoseView, hue: usize, width_mm: f64, height_mm: f64) -> Scene {
    let paper = Bounds::new(Point::default(), Point::new(width_mm, height_mm));
    let mut marks = Vec::new();
    let (plan, side) = (view.plan.bounds(), view.side.bounds());
    let room = Point::new((width_mm - 3.0 * ROOM_MM) / 2.0, height_mm - 2.0 * ROOM_MM);
    let wide = plan.width().max(side.width());
    let high = plan.height().max(side.height());
    let scale = (room.x / wide).min(room.y / high);
    let has_room = room.x > 0.0 && room.y > 0.0;
    if view.plan.is_empty() || view.side.is_empty() || !(has_room && scale > 0.0 && scale.is_finite()) {
        return Scene { view: paper, marks };
    }
    let left = Point::new(ROOM_MM + room.x / 2.0, height_mm / 2.0);
    let right = ROOM_MM + room.x + ROOM_MM;
    let from_above = view.plan.map(|p| left + (p - plan.centre()) * scale);
    let middle = Point::new(side.centre().x, 0.0);
    let bed = Point::new(right + room.x / 2.0, ROOM_MM);
    let from_front = view.side.map(|p| bed + (p - middle) * scale);
    for region in [from_above, from_front] {
        outlined(&mut marks, region, hue);
    }
    marks.push(Mark::line(Point::new(right, ROOM_MM), Point::new(right + room.x, ROOM_MM), Ink::Ink, 1.0));
    Scene { view: paper, marks }
}

fn outlined(marks: &mut Vec<Mark>, region: Region, hue: usize) {
    let region = Arc::new(region);
    marks.push(Mark::Fill { region: region.clone(), ink: Ink::Part(hue), opacity: 0.25 });
    marks.push(Mark::Outline { region, ink: Ink::PartLine(hue), width_pt: 0.8, dash: Dash::Solid });
}

#[cfg(test)]
mod tests {
    use super::*;

    fn block(x: [f64; 2], y: [f64; 2]) -> Region {
        Region::rectangle(Bounds::new(Point::new(x[0], y[0]), Point::new(x[1], y[1])))
    }

    fn fills(scene: &Scene) -> Vec<Bounds> {
        let fill = |m: &Mark| if let Mark::Fill { region, .. } = m { Some(region.bounds()) } else { None };
        scene.marks.iter().filter_map(fill).collect()
    }

    #[test]
    fn both_lie_on_the_paper_at_one_scale() {
        let view = PoseView { plan: block([-10.0, 10.0], [-5.0, 5.0]), side: block([-10.0, 10.0], [0.0, 60.0]) };
        let scene = pose_outlines(&view, 1, 40.0, 20.0);
        let [plan, side] = fills(&scene)[..] else { panic!("two outlines") };
        assert!((plan.width() - side.width()).abs() < 1e-9);
        assert!((side.height() / plan.height() - 6.0).abs() < 1e-9);
        assert!(plan.max.x < side.min.x, "side by side");
        for b in [plan, side] {
            assert!(b.min.x >= 1.5 - 1e-9 && b.max.x <= 38.5 + 1e-9 && b.min.y >= 1.5 - 1e-9 && b.max.y <= 18.5 + 1e-9);
        }
        assert!((side.min.y - 1.5).abs() < 1e-9, "it stands on the bed");
    }

    #[test]
    fn nothing_and_no_room() {
        let view = PoseView { plan: block([0.0, 1.0], [0.0, 1.0]), side: block([0.0, 1.0], [0.0, 1.0]) };
        assert!(pose_outlines(&PoseView::default(), 0, 40.0, 20.0).marks.is_empty());
        for (width, height) in [(0.0, 0.0), (2.0, 20.0), (40.0, 1.0), (f64::NAN, 20.0)] {
            assert!(pose_outlines(&view, 0, width, height).marks.is_empty());
        }
    }
}
