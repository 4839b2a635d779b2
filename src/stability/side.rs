//! A part seen from the side: outline, contact, footing, and the way of its centre of mass.

use super::{Conditions, Judgement, MassProfile, Stance};
use crate::{
    document::Footing,
    geom::{Bounds, Point, Polygon, Region, boolean},
};

/// Gaps narrower than this do not show, mm.
const GAP_MM: f64 = 1e-6;

/// A part seen from the side: x runs across, y is the height above the bed; millimetres.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct SideView {
    /// All of the part.
    pub outline: Region,
    /// Centre of mass of the part grown up to each layer, at the top of that layer.
    pub path: Vec<Point>,
    /// Where the contact lies: from, to.
    pub contact: Vec<[f64; 2]>,
    /// What of a brim or raft lies beyond or under it; none where bare.
    pub footing: Region,
    /// From, to: the hull of contact and footing as far as it holds.
    pub holds: Option<[f64; 2]>,
    /// From which height on it could tip over.
    pub tips_above_mm: Option<f64>,
}

/// The direction from which a lean shows most, radians: the one in which the centre of mass lies farthest off its contact. 0 where it
/// leans nowhere.
pub fn telling_side_rad(mass: &MassProfile, stance: &Stance) -> f64 {
    let off = |c: Point| c - stance.centre;
    let layers = mass.layers().iter().filter(|l| l.volume_mm3 > 0.0);
    let far = layers.map(|l| off(l.centre)).max_by(|a, b| a.length_squared().total_cmp(&b.length_squared()));
    far.filter(|d| d.length() > 1e-6).map_or(0.0, |d| d.y.atan2(d.x))
}

impl SideView {
    /// The view of a part whose sections `mass` was measured from, with x along the direction `side_rad` in plan.
    pub fn new(
        sections: &[Region],
        mass: &MassProfile,
        contact: &Region,
        footing: Footing,
        judgement: &Judgement,
        conditions: &Conditions,
        side_rad: f64,
    ) -> Self {
        let c = conditions.sound();
        let axis = Point::new(1.0, 0.0).turned(if side_rad.is_finite() { side_rad } else { 0.0 });
        let stance = Stance::new(contact, None, footing, &c);
        let lift = stance.lift_mm;
        // Layers that show the same are one box.
        let mut boxes: Vec<(f64, f64, Vec<[f64; 2]>)> = Vec::new();
        for (section, l) in sections.iter().zip(mass.layers()).filter(|(_, l)| l.area_mm2 > 0.0) {
            let seen = intervals(section, axis);
            match boxes.last_mut() {
                Some(last) if last.1 == l.bottom_mm && last.2 == seen => last.1 = l.top_mm,
                _ => boxes.push((l.bottom_mm, l.top_mm, seen)),
            }
        }
        let boxes: Vec<Region> = boxes
            .iter()
            .flat_map(|(bottom, top, seen)| seen.iter().map(move |s| upright(*s, bottom + lift, top + lift)))
            .collect();
        let width = footing.width_mm();
        let thickness = match footing {
            Footing::Bare => 0.0,
            Footing::Brim { .. } => c.first_layer_mm,
            Footing::Raft { .. } => c.raft_mm,
        };
        let contact = intervals(contact, axis);
        let laid: Vec<Region> = contact
            .iter()
            .filter(|_| thickness > 0.0 && width > 0.0)
            .map(|[from, to]| upright([from - width, to + width], 0.0, thickness))
            .collect();
        let grown = stance.hull.iter().map(|p| p.dot(axis));
        let (from, to) = grown.fold((f64::INFINITY, f64::NEG_INFINITY), |(f, t), v| (f.min(v), t.max(v)));
        let path = mass.layers().iter().filter(|l| l.volume_mm3 > 0.0);
        Self {
            outline: boolean::union(&boxes),
            path: path.map(|l| Point::new(l.centre.dot(axis), l.top_mm + lift)).collect(),
            contact,
            footing: boolean::union(&laid),
            holds: (from < to).then_some([from, to]),
            tips_above_mm: judgement.tips_above_mm,
        }
    }
    /// Least box round all of it; empty for nothing.
    pub fn bounds(&self) -> Bounds {
        Bounds::of(self.outline.outer_vertices().chain(self.footing.outer_vertices()).chain(self.path.iter().copied()))
    }
}

/// What of an axis a region covers, from left to right.
fn intervals(region: &Region, axis: Point) -> Vec<[f64; 2]> {
    let span = |p: &Polygon| {
        let ends = p.outer.iter().map(|v| v.dot(axis));
        ends.fold([f64::INFINITY, f64::NEG_INFINITY], |[l, m], v| [l.min(v), m.max(v)])
    };
    let mut all: Vec<[f64; 2]> =
        region.polygons.iter().map(span).filter(|[l, m]| l.is_finite() && m.is_finite()).collect();
    all.sort_by(|a, b| a[0].total_cmp(&b[0]));
    let mut joined: Vec<[f64; 2]> = Vec::new();
    for [from, to] in all {
        match joined.last_mut() {
            Some(last) if from <= last[1] + GAP_MM => last[1] = last[1].max(to),
            _ => joined.push([from, to]),
        }
    }
    joined
}

fn upright([from, to]: [f64; 2], bottom: f64, top: f64) -> Region {
    Region::rectangle(Bounds::new(Point::new(from, bottom), Point::new(to, top)))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::stability::{
        conditions::tests::worked,
        judge,
        samples::{at, leaning, measured, prism, square},
    };

    fn view(sections: &[Region], footing: Footing, side: f64) -> SideView {
        let (c, mass) = (worked(), measured(sections));
        let judgement = judge(&mass, &Stance::new(&sections[0], None, footing, &c), &c);
        SideView::new(sections, &mass, &sections[0], footing, &judgement, &c, side)
    }

    #[test]
    fn a_column_on_a_raft() {
        let v = view(&prism(square(10.0), 50), Footing::Raft { width_mm: 4.0 }, 0.0);
        assert_eq!(v.outline.polygons.len(), 1);
        assert!((v.outline.area() - 100.0).abs() < 1e-6 && (v.footing.area() - 18.0 * 0.8).abs() < 1e-6);
        assert_eq!(v.contact, [[-5.0, 5.0]]);
        assert!((v.bounds().max.y - 10.8).abs() < 1e-9);
        assert!(v.path.iter().all(|p| p.x.abs() < 1e-9) && (v.path[49].y - 10.8).abs() < 1e-9);
        let [from, to] = v.holds.expect("a raft");
        assert!((from + 9.0).abs() < 0.01 && (to - 9.0).abs() < 0.01);
    }

    #[test]
    fn a_lean_shows_from_its_telling_side() {
        let sections: Vec<Region> =
            leaning(10.0, 45.0, 100).iter().map(|s| s.placed(crate::geom::Placement::new(0.0, 0.0, 1.0))).collect();
        let stance = Stance::new(&sections[0], None, Footing::Bare, &worked());
        let side = telling_side_rad(&measured(&sections), &stance);
        assert!((side - 1.0).abs() < 1e-6);
        let v = view(&sections, Footing::Bare, side);
        assert!((v.bounds().width() - 30.0).abs() < 0.3 && v.footing.is_empty() && v.tips_above_mm.is_some());
        assert!((v.path[99].x - 10.0).abs() < 1e-6);
        let across = view(&sections, Footing::Bare, side + std::f64::consts::FRAC_PI_2);
        assert!((across.bounds().width() - 10.0).abs() < 1e-6);
    }

    #[test]
    fn two_feet_and_nothing() {
        let mut feet = square(4.0);
        feet.polygons.extend(at(square(4.0), 10.0, 0.0).polygons);
        let v = view(&prism(feet, 5), Footing::Brim { width_mm: 2.0 }, 0.0);
        assert_eq!((v.contact.len(), v.outline.polygons.len(), v.footing.polygons.len()), (2, 2, 2));
        let none = SideView::new(
            &[],
            &measured(&[]),
            &Region::EMPTY,
            Footing::Bare,
            &Judgement::default(),
            &worked(),
            f64::NAN,
        );
        assert_eq!(none, SideView::default());
    }
}
