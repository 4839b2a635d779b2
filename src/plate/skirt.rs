//! The skirt: beads on the first layer round the convex hull of all footings of a plate, at the recipe's gap. What it is
//! laid on belongs to nothing else, so the bed's edge and the keep-outs stay that far from every footing.
//!
//! A skirt runs straight from footing to footing. Between them it may leave a bed that is not convex, or cross a keep-out
//! that every footing is far enough from: [`bands`] are the strips to look at there.

use crate::{
    document::Recipe,
    geom::{Placement, Point, Polygon, Region, boolean, hull, offset},
};

use super::PreparedShape;

/// Loops drawn at most: of more only these many, the innermost ones.
const DRAWN: u32 = 12;

/// Centre lines of a plate's skirt, innermost first, bed millimetres, corners round within `tolerance_mm`; none without a
/// skirt or where nothing stands on the bed. The shape is the estimate's: round the hull of all footings, each bead beside
/// the one before.
pub fn skirt_loops<'a>(
    recipe: &Recipe,
    footings: impl Iterator<Item = (&'a PreparedShape, Placement)>,
    tolerance_mm: f64,
) -> Vec<Region> {
    if recipe.skirt_loops == 0 {
        return Vec::new();
    }
    let around = hull::convex_hull(footings.flat_map(|(f, at)| f.footing.hull().iter().map(move |&p| at.apply(p))));
    if around.len() < 3 {
        return Vec::new();
    }
    let around = Region::from(Polygon::simple(around));
    (0..recipe.skirt_loops.min(DRAWN))
        .map(|i| recipe.skirt_gap_mm + (f64::from(i) + 0.5) * recipe.bead_width_mm)
        .map(|d| offset::grow(&around, d, tolerance_mm))
        .collect()
}

/// A stretch of the skirt beside one straight edge of the hull.
#[derive(Debug, Clone)]
pub(super) struct Band {
    /// The footings it runs between; the same twice where it runs along one.
    pub(super) between: [usize; 2],
    /// From the hull out to the skirt's outer edge.
    pub(super) region: Region,
}

/// The straight stretches of a skirt that reaches `skirt_mm` out of the hull of these points; each point with the number of
/// its footing.
pub(super) fn bands(points: &[(Point, usize)], skirt_mm: f64) -> Vec<Band> {
    let around = hull::convex_hull(points.iter().map(|p| p.0));
    if around.len() < 3 {
        return Vec::new();
    }
    let owner = |p: Point| points.iter().find(|q| q.0 == p).map(|q| q.1);
    (0..around.len())
        .filter_map(|i| {
            let (a, b) = (around[i], around[(i + 1) % around.len()]);
            let out = (b - a).normalized().perpendicular() * -skirt_mm;
            let region = Region::from(Polygon::simple(vec![a, a + out, b + out, b]));
            Some(Band { between: [owner(a)?, owner(b)?], region })
        })
        .collect()
}

/// What a search may use where a skirt of `skirt_mm` goes round everything: `room` (already narrowed by it), and keep-outs
/// grown by it. Behind a keep-out at the room's edge nothing is laid, along the straight line that leaves most room, for the
/// skirt would run straight across it.
pub(super) fn inside_skirt(
    room: &Region,
    keep_outs: Vec<Region>,
    skirt_mm: f64,
    tolerance_mm: f64,
) -> (Region, Vec<Region>) {
    let (mut room, mut left) = (room.clone(), Vec::new());
    for keep_out in keep_outs {
        let grown = offset::grow(&keep_out, skirt_mm, tolerance_mm);
        if boolean::intersection(&grown, &room).area() <= 1e-9 {
            continue;
        }
        if boolean::difference(&grown, &room).area() <= 1e-9 {
            left.push(grown);
            continue;
        }
        let corners = hull::convex_hull(keep_out.vertices());
        let far = room.bounds().union(grown.bounds());
        let far_mm = 2.0 * (far.width() + far.height());
        let beyond = |i: usize| {
            let (a, b) = (corners[i], corners[(i + 1) % corners.len()]);
            let along = (b - a).normalized();
            let out = along.perpendicular() * -1.0;
            let (from, to) = (a + out * skirt_mm - along * far_mm, a + out * skirt_mm + along * far_mm);
            let half = Polygon::simple(vec![from, from + out * far_mm, to + out * far_mm, to]);
            boolean::intersection(&room, &half.into())
        };
        if let Some(most) = (0..corners.len()).map(beyond).max_by(|a, b| a.area().total_cmp(&b.area())) {
            room = most;
        }
    }
    (room, left)
}

#[cfg(test)]
mod tests {
    use std::f64::consts::PI;

    use super::*;
    use crate::{
        document::{Footing, Job},
        plate::samples::{Bench, rectangle},
    };

    fn with_skirt(job: &mut Job, loops: u32) {
        let recipe = &mut job.recipes[0];
        (recipe.skirt_loops, recipe.skirt_gap_mm, recipe.bead_width_mm) = (loops, 4.0, 0.5);
    }

    /// Steiner's formula for the border of a convex body grown by d: its own and 2 π d.
    #[test]
    fn loops_lie_beside_one_another_round_all_footings() {
        let mut b = Bench::new();
        let e = b.block(20.0, 20.0);
        b.put(e, 50.0, 50.0);
        b.put(e, 110.0, 50.0);
        with_skirt(&mut b.job, 3);
        let form = PreparedShape::new(b.shapes[&e].clone(), Footing::Bare, &b.job.margins);
        let at = [Placement::at(50.0, 50.0), Placement::at(110.0, 50.0)];
        let loops = skirt_loops(&b.job.recipes[0], at.iter().map(|&at| (&form, at)), 1e-4);
        assert_eq!(loops.len(), 3);
        for (line, d) in loops.iter().zip([4.25, 4.75, 5.25]) {
            assert!((line.perimeter() - (2.0 * (80.0 + 20.0) + 2.0 * PI * d)).abs() < 0.05);
            assert!((line.bounds().min.x - (40.0 - d)).abs() < 1e-3);
        }
        // The outer edge of the outermost bead is what the recipe says it reaches.
        assert_eq!(b.job.recipes[0].skirt_mm(), 5.5);
        b.job.recipes[0].skirt_loops = 0;
        assert_eq!(b.job.recipes[0].skirt_mm(), 0.0);
        assert!(skirt_loops(&b.job.recipes[0], at.iter().map(|&at| (&form, at)), 1e-4).is_empty());
    }

    #[test]
    fn behind_a_keep_out_at_the_edge_nothing_is_laid_and_one_in_the_middle_is_gone_round() {
        let room = rectangle(200.0, 100.0);
        let at = |x: f64, y: f64| rectangle(30.0, 10.0).map(|p| p + Point::new(x, y));
        // At the lower left corner: 10 mm deep and the skirt's 5 taken off below leave more than 30 and 5 at the left.
        let (left, gone_round) = inside_skirt(&room, vec![at(-85.0, -45.0)], 5.0, 0.01);
        assert!(gone_round.is_empty() && (left.area() - 200.0 * 85.0).abs() < 1e-6);
        let (all, gone_round) = inside_skirt(&room, vec![at(0.0, 0.0), at(400.0, 0.0)], 5.0, 0.01);
        assert!((all.area() - 20_000.0).abs() < 1e-6);
        // A rectangle grown by 5 has round corners: 300 + 80 · 5 + π · 25; errs outward by the tolerance.
        let grown = 300.0 + 400.0 + 25.0 * PI;
        assert!(gone_round.len() == 1 && (grown..grown + 1.0).contains(&gone_round[0].area()));
    }
}
