//! A plate as a small drawing: bed and copies, no rulers, no title block.

use std::sync::Arc;

use super::{DrawnBed, DrawnCopy, Labels, Scene, bed_marks, copy_labels, copy_marks, scene::PT_MM};
use crate::{
    document::{Footing, Job},
    geom::{Bounds, InnerCircle, Point},
    plate::PreparedShape,
    studies::LaidCopy,
};

/// Labels are made as small as this, points.
const LEAST_LABEL_PT: f32 = 5.0;
/// Free all round for labels, mm on paper.
const ROUND_MM: f64 = 4.0;

impl DrawnCopy {
    /// A copy where a study laid it, with its footing; new copies have no name. `label` as in [`DrawnCopy::of_copy`].
    pub fn of_laid(job: &Job, laid: &LaidCopy, shape: &PreparedShape, label: Option<InnerCircle>) -> Self {
        let part = job.part(laid.part);
        let name = laid.copy.and_then(|id| job.copy(id)).map(|(_, c)| job.copy_name(c));
        Self {
            name: name.unwrap_or_default(),
            letter: part.map(|p| p.letter.clone()).unwrap_or_default(),
            hue: part.map_or(0, crate::document::Part::hue),
            shadow: Arc::new(shape.shape.shadow.region().placed(laid.at)),
            footing: (laid.footing != Footing::Bare).then(|| Arc::new(shape.rings_at(laid.at).footing)),
            mirrored: part.is_some_and(|p| p.pose.mirrored),
            label: label.map(|l| InnerCircle { centre: laid.at.apply(l.centre), ..l }),
            ..Self::default()
        }
    }
}

/// A bed with copies on `width_mm` × `height_mm` of paper, its lower left corner at the origin. As large as there is room, in the middle;
/// nothing of a bed of nothing. Copies without a name get no label.
pub fn small_plate(bed: &DrawnBed, copies: &[DrawnCopy], width_mm: f64, height_mm: f64) -> Scene {
    let paper = Bounds::new(Point::default(), Point::new(width_mm, height_mm));
    let b = bed.outline.bounds();
    let scale = ((width_mm - 2.0 * ROUND_MM) / b.width()).min((height_mm - 2.0 * ROUND_MM) / b.height());
    if b.is_empty() || !(scale > 0.0 && scale.is_finite()) {
        return Scene { view: paper, marks: Vec::new() };
    }
    let mm_per_pt = PT_MM / scale;
    let mut marks = bed_marks(bed, b, mm_per_pt);
    marks.extend(copies.iter().flat_map(|c| copy_marks(c, mm_per_pt)));
    let mut labels = Labels::new(mm_per_pt);
    labels.keep_within(b.grown((ROUND_MM - 0.5) / scale));
    marks.extend(copy_labels(copies.iter().filter(|c| !c.name.is_empty()), &mut labels, LEAST_LABEL_PT));
    let mut scene = Scene { view: paper, marks: Vec::new() };
    let at = paper.centre() - b.centre() * scale;
    scene.add(Scene { view: b, marks }, scale, at);
    scene
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::{
        document::{Machine, MachineId},
        drawing::{Ink, Mark},
        geom::Region,
    };

    /// 240 × 200 mm on 62 × 48 mm of paper: 40 / 200 = 1 : 5, in the middle.
    #[test]
    fn true_to_scale_and_in_the_middle() {
        let machine = Machine::rectangular(MachineId(1), "Bench 2", 240.0, 200.0, 190.0);
        let bed = DrawnBed::of_machine(&machine, 0.0, 0.01);
        let shadow = Arc::new(Region::rectangle(Bounds::new(Point::new(30.0, 40.0), Point::new(60.0, 90.0))));
        let copy = |name: &str| DrawnCopy { name: name.into(), shadow: shadow.clone(), ..DrawnCopy::default() };
        let scene = small_plate(&bed, &[copy("A 1")], 62.0, 48.0);
        let filled = |ink| {
            let of = |m: &Mark| {
                if let Mark::Fill { region, ink: i, .. } = m { (*i == ink).then(|| region.bounds()) } else { None }
            };
            scene.marks.iter().find_map(of).expect("it is filled")
        };
        let (bed_box, copy_box) = (filled(Ink::Bed), filled(Ink::Part(0)));
        assert!((bed_box.width() - 48.0).abs() < 1e-9 && (bed_box.height() - 40.0).abs() < 1e-9);
        assert!(bed_box.centre().distance(Point::new(31.0, 24.0)) < 1e-9);
        assert!((copy_box.min.x - bed_box.min.x - 6.0).abs() < 1e-9 && (copy_box.height() - 10.0).abs() < 1e-9);
        let texts = |s: &Scene| s.marks.iter().filter(|m| matches!(m, Mark::Text { .. })).count();
        assert_eq!((texts(&scene), texts(&small_plate(&bed, &[copy("")], 62.0, 48.0))), (1, 0));
        assert!(small_plate(&DrawnBed::default(), &[], 62.0, 48.0).marks.is_empty());
        assert!(small_plate(&bed, &[], 1.0, 1.0).marks.is_empty());
    }
}
