//! A task with twins as one without.

use std::{borrow::Cow, collections::BTreeMap};

use crate::geom::{Outline, Placement};
use crate::packing::{Bed, Item, Problem, Shape, Twin};

impl Problem {
    /// The same task with the twins left out: on what is left of its beds, copies that lie well have twins that do.
    pub(in crate::packing) fn untwinned(&self) -> Cow<'_, Self> {
        if self.beds.iter().all(|b| b.twin.is_none()) {
            return Cow::Borrowed(self);
        }
        let clearance_mm = self.gap_mm.max(self.footing_gap_mm).max(0.0);
        let mut shapes = self.shapes.clone();
        let mut mirrored: BTreeMap<usize, usize> = BTreeMap::new();
        let mut beds = self.beds.clone();
        for bed in &mut beds {
            let Some(twin) = bed.twin else { continue };
            *bed = half(bed, twin, clearance_mm);
            // Where a twin would meet a copy that stays, that copy's image is in the way.
            let known = |i: &&Item| i.shape < self.shapes.len() && i.at.turn_rad.is_finite();
            let images: Vec<Item> = bed
                .fixed
                .iter()
                .filter(known)
                .map(|&Item { shape, at }| match twin {
                    Twin::Shifted { by_mm, .. } => Item { shape, at: Placement { x: at.x - by_mm, ..at } },
                    Twin::Handed { .. } => {
                        let shape = *mirrored.entry(shape).or_insert_with(|| {
                            shapes.push(image(&self.shapes[shape]));
                            shapes.len() - 1
                        });
                        Item { shape, at: twin.placement(at) }
                    }
                })
                .collect();
            bed.fixed.extend(images);
        }
        Cow::Owned(Self { shapes, beds, ..self.clone() })
    }
}

fn image(shape: &Shape) -> Shape {
    let of = |o: &Outline| Outline::new(o.region().mirrored());
    Shape { shadow: of(&shape.shadow), contact: of(&shape.contact), footing: of(&shape.footing), ..shape.clone() }
}

fn half(bed: &Bed, twin: Twin, clearance_mm: f64) -> Bed {
    let room = twin.half(&bed.room, clearance_mm);
    let keep_outs = bed.keep_outs.iter().cloned().chain(bed.keep_outs.iter().map(|k| twin.region_back(k))).collect();
    Bed { room, keep_outs, twin: None, ..bed.clone() }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::{
        geom::{Bounds, Point, Polygon, Region, boolean},
        packing::{Aim, Breach, Layout, copies_bound, solve, verify},
        watch::Quiet,
    };

    fn shape(region: Region) -> Shape {
        let o = Outline::new(region);
        let turn_step_rad = Some(std::f64::consts::FRAC_PI_2);
        Shape { shadow: o.clone(), contact: o.clone(), footing: o, turn_step_rad, class: 0, height_mm: 1.0 }
    }

    fn rectangle(w: f64, h: f64) -> Region {
        Region::rectangle(Bounds::new(Point::default(), Point::new(w, h)))
    }

    fn problem(region: Region, bed: (f64, f64), twin: Twin, gap_mm: f64) -> Problem {
        let bed = Bed {
            room: rectangle(bed.0, bed.1),
            keep_outs: vec![],
            fixed: vec![],
            class: None,
            height_mm: 9.0,
            twin: Some(twin),
        };
        Problem {
            shapes: vec![shape(region)],
            beds: vec![bed],
            gap_mm,
            footing_gap_mm: 0.0,
            footings_may_merge: false,
            aim: Aim::TopUp { shares: vec![1.0], at_most: vec![1000], there: vec![] },
        }
    }

    /// 220 x 110 in two halves of 110, a strip of 10: 5 x 5 squares of 20 in 100 x 110 and as many twins.
    #[test]
    fn squares_in_halves() {
        for twin in [Twin::Shifted { by_mm: 120.0, strip_mm: 20.0 }, Twin::Handed { axis_mm: 110.0, strip_mm: 20.0 }] {
            let p = problem(rectangle(20.0, 20.0), (220.0, 110.0), twin, 0.0);
            let layout = solve(&p, 1, Some(2), &Quiet);
            assert_eq!(layout.count(), 25, "{twin:?}");
            assert_eq!(verify(&p, &layout), Ok(()));
            assert!(copies_bound(&p, 0).is_some_and(|b| (25..=27).contains(&b.value)));
        }
    }

    /// A keep-out in the other half counts in this one, where the twin would lie on it.
    #[test]
    fn a_keep_out_of_the_twins() {
        let twin = Twin::Handed { axis_mm: 50.0, strip_mm: 0.0 };
        let mut p = problem(rectangle(20.0, 20.0), (100.0, 60.0), twin, 0.0);
        assert_eq!(solve(&p, 1, Some(2), &Quiet).count(), 6);
        p.beds[0].keep_outs.push(rectangle(25.0, 60.0).placed(Placement::at(75.0, 0.0)));
        let layout = solve(&p, 1, Some(2), &Quiet);
        assert_eq!(layout.count(), 3);
        assert_eq!(verify(&p, &layout), Ok(()));
        let wrong = Layout { beds: vec![vec![Item { shape: 0, at: Placement::at(0.0, 0.0) }]], unplaced: vec![] };
        assert!(matches!(verify(&p, &wrong), Err(b) if matches!(b[..], [Breach::Twin { bed: 0, copy: 0, .. }])));
    }

    /// The mirror image of a bracket turned by a right angle, worked by hand: (x, y) goes to (100 - x, y).
    #[test]
    fn a_twin_is_the_mirror_image_where_it_lies() {
        let bracket = Polygon::simple(
            [[0., 0.], [30., 0.], [30., 10.], [10., 10.], [10., 20.], [0., 20.]].map(Point::from).to_vec(),
        );
        let region = Region::from(bracket);
        let at = Placement::new(37.0, 5.0, std::f64::consts::FRAC_PI_2);
        let twin = Twin::Handed { axis_mm: 50.0, strip_mm: 0.0 };
        let lies = region.mirrored().placed(twin.placement(at));
        let asked = region.placed(at).map(|p| Point::new(100.0 - p.x, p.y));
        for v in asked.vertices() {
            assert!(lies.vertices().any(|w| w.distance(v) < 1e-9), "{v:?}");
        }
        assert!(boolean::difference(&lies, &twin.region(&region.placed(at))).area() < 1e-9);
    }

    /// A copy that stays in the other half is in the way of twins: 6 squares of 20 fit 50 x 60, the one under it goes.
    #[test]
    fn a_copy_that_stays_among_the_twins() {
        for twin in [Twin::Shifted { by_mm: 50.0, strip_mm: 0.0 }, Twin::Handed { axis_mm: 50.0, strip_mm: 0.0 }] {
            let mut p = problem(rectangle(20.0, 20.0), (100.0, 60.0), twin, 0.0);
            let x = if twin.is_handed() { 80.0 } else { 50.0 };
            p.beds[0].fixed.push(Item { shape: 0, at: Placement::at(x, 0.0) });
            let layout = solve(&p, 1, Some(2), &Quiet);
            assert_eq!(layout.count(), 5, "{twin:?}");
            assert_eq!(verify(&p, &layout), Ok(()));
        }
    }

    /// Copies nearer to a twin than the gap are reported, even where they keep clear of one another.
    #[test]
    fn too_near_to_a_twin() {
        let twin = Twin::Handed { axis_mm: 50.0, strip_mm: 0.0 };
        let p = problem(rectangle(20.0, 20.0), (100.0, 60.0), twin, 4.0);
        let at = |x: f64| Layout { beds: vec![vec![Item { shape: 0, at: Placement::at(x, 0.0) }]], unplaced: vec![] };
        assert_eq!(verify(&p, &at(28.0)), Ok(()));
        assert!(
            matches!(verify(&p, &at(28.5)), Err(b) if matches!(b[..], [Breach::Twin { short_mm, .. }] if (short_mm - 1.0).abs() < 1e-6))
        );
    }
}
