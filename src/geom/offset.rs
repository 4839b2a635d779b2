//! Regions grown and shrunk by a distance.

use std::borrow::Cow;

use i_overlay::mesh::float::{
    outline::offset::OutlineOffset,
    style::{LineJoin, OutlineStyle},
};

use super::{
    Bounds, BoxTree, Point, Polygon, Region,
    boolean::{from_shapes, tame_mm, to_shapes},
    mitre, simplify,
};

/// Of regions with more corners than this, a share of the tolerance goes into dropping corners before round offsets.
const MANY_CORNERS: usize = 1000;
const THINNING: f64 = 0.25;

/// Drops corners outwards or inwards: moves the border by no more than it is told.
type Thin = fn(&Region, f64) -> Region;

/// A region of more corners than so many with fewer, and the tolerance that is left.
fn fewer(region: &Region, most: usize, tolerance_mm: f64, thin: Thin) -> (Cow<'_, Region>, f64) {
    if tolerance_mm > 0.0 && region.vertex_count() > most {
        (Cow::Owned(thin(region, THINNING * tolerance_mm)), (1.0 - THINNING) * tolerance_mm)
    } else {
        (Cow::Borrowed(region), tolerance_mm)
    }
}

/// A round offset, thinned first and again where steps have made many corners of few. `step` moves the border by so much within a tolerance.
fn rounded(
    region: &Region,
    distance_mm: f64,
    tolerance_mm: f64,
    thin: Thin,
    step: impl Fn(&Region, f64, f64) -> Region,
) -> Region {
    let (region, tolerance_mm) = fewer(region, MANY_CORNERS, tolerance_mm, thin);
    let most = 2 * region.vertex_count().max(MANY_CORNERS);
    in_steps(&region, distance_mm, |region, by_mm| {
        let (region, tolerance_mm) = fewer(region, most, tolerance_mm * by_mm / distance_mm, thin);
        step(&region, by_mm, tolerance_mm)
    })
}

/// Chord angle at which chords laid outside an arc of radius `radius_mm` exceed it by no more than `tolerance_mm` (their
/// ends lie at r ÷ cos(angle ÷ 2)); chords inside it then keep within the tolerance too. Never under 1.8°: 1.3e-4 of r.
fn chord_angle(radius_mm: f64, tolerance_mm: f64) -> f64 {
    let ratio = (radius_mm / (radius_mm + tolerance_mm.max(0.0)).max(1e-9)).clamp(-1.0, 1.0);
    (2.0 * ratio.acos()).clamp(std::f64::consts::PI * 0.01, std::f64::consts::FRAC_PI_4)
}

/// Where more edges than this lie about an edge, within reach of both, on the mean, an offset of many corners goes in steps.
const CROWD: usize = 12;
/// Edges asked for it, spread over the border.
const ASKED: usize = 400;
/// The least first step, mm, and how much longer each step may be than the one before, at least.
const LEAST_STEP_MM: f64 = 1e-3;
const STEP_GROWS: f64 = 1.5;

/// The edges of a region of many corners, to ask how close they lie.
struct Crowd {
    boxes: Vec<Bounds>,
    tree: BoxTree,
}

impl Crowd {
    fn of(region: &Region) -> Option<Self> {
        let boxes: Vec<Bounds> = region.edges().map(|(a, b)| Bounds::of([a, b])).collect();
        (boxes.len() > MANY_CORNERS).then(|| Self { tree: BoxTree::new(&boxes), boxes })
    }
    /// Would edges moved by so much cross very many others? All that do are found and cut by an overlay, pair by pair.
    fn is_within(&self, by_mm: f64) -> bool {
        let stride = self.boxes.len().div_ceil(ASKED);
        let mut left = CROWD * self.boxes.len().div_ceil(stride);
        for b in self.boxes.iter().step_by(stride) {
            let near = self.tree.count(b.grown(2.0 * by_mm), left + 1);
            if near > left {
                return true;
            }
            left -= near;
        }
        false
    }
}

/// An offset in as few steps as are not crowded: an offset by a and then by b is one by a + b. What the first step closes or
/// takes away, a comb's gaps or teeth, is in no later step's way.
fn in_steps(region: &Region, distance_mm: f64, step: impl Fn(&Region, f64) -> Region) -> Region {
    let (mut now, mut left, mut least) = (Cow::Borrowed(region), distance_mm, LEAST_STEP_MM);
    loop {
        let mut by = left;
        if let Some(crowd) = Crowd::of(&now) {
            while by > least && crowd.is_within(by) {
                by *= 0.5;
            }
        }
        // A rest next to nothing is no step.
        by = by.max(least).min(left);
        if left - by <= NOTHING_MM {
            return step(&now, left);
        }
        now = Cow::Owned(step(&now, by));
        left -= by;
        least = STEP_GROWS * by;
    }
}

/// Distances up to this are none, mm: far below a grid step of any bed, they would only lose the grid its numbers.
const NOTHING_MM: f64 = 1e-7;

/// The region grown by `distance_mm` with round corners (Minkowski sum with a disc).
///
/// The result holds the exact one and exceeds it by at most `tolerance_mm` (or 1.3e-4 of
/// the distance, where that is more): chords are laid outside the arc.
pub fn grow(region: &Region, distance_mm: f64, tolerance_mm: f64) -> Region {
    let distance_mm = tame_mm(distance_mm);
    if distance_mm <= NOTHING_MM || region.is_empty() {
        return region.clone();
    }
    rounded(region, distance_mm, tolerance_mm, simplify::outward, |region, by_mm, tolerance_mm| {
        let angle = chord_angle(by_mm, tolerance_mm);
        // i_overlay's chords run between points of the arc; pushed out by 1/cos(angle/2) they touch it from outside.
        run(region, by_mm / (angle / 2.0).cos(), angle)
    })
}

/// The region shrunk by `distance_mm` (Minkowski erosion by a disc). Straight edges are exact, but for regions of more than 1000
/// corners; at inward corners the arc is cut by chords within `tolerance_mm`, towards the larger region.
pub fn shrink(region: &Region, distance_mm: f64, tolerance_mm: f64) -> Region {
    let distance_mm = tame_mm(distance_mm);
    if distance_mm <= NOTHING_MM || region.is_empty() {
        return region.clone();
    }
    rounded(region, distance_mm, tolerance_mm, simplify::outward, |region, by_mm, tolerance_mm| {
        run(region, -by_mm, chord_angle(by_mm, tolerance_mm))
    })
}

/// As [`shrink`], but what is left lies within the exact result, everywhere short of it by at most about
/// `tolerance_mm`: for room that must not grow.
pub fn shrink_within(region: &Region, distance_mm: f64, tolerance_mm: f64) -> Region {
    let distance_mm = tame_mm(distance_mm);
    if distance_mm <= NOTHING_MM || region.is_empty() {
        return region.clone();
    }
    rounded(region, distance_mm, tolerance_mm, simplify::inward, |region, by_mm, tolerance_mm| {
        let angle = chord_angle(by_mm, tolerance_mm);
        run(region, -by_mm / (angle / 2.0).cos(), angle)
    })
}

/// The region shrunk by `distance_mm` with its corners kept sharp, inward ones too (mitred down to 30° between the edges,
/// cut off below that): what a bead laid along the border leaves. Exact where no edge vanishes and no borders meet; elsewhere
/// but for turns under 0.2°, where up to 2e-6 of the distance is cut off, and rounding: a 32-bit grid (1e-7 mm on 100 mm) and 1e-5 of
/// the distance.
/// Many times quicker than [`shrink`].
pub fn inset(region: &Region, distance_mm: f64) -> Region {
    mitred(region, -distance_mm)
}

/// The region grown by `distance_mm` with its corners kept sharp, as [`inset`] does.
pub fn outset(region: &Region, distance_mm: f64) -> Region {
    mitred(region, distance_mm)
}

fn mitred(region: &Region, offset: f64) -> Region {
    let offset = tame_mm(offset);
    if offset == 0.0 || region.is_empty() {
        return region.clone();
    }
    let once = |region: &Region, offset: f64| match &region.polygons[..] {
        [polygon] => mitre::simple(polygon, offset).map(Region::from),
        _ => None,
    };
    if let Some(moved) = once(region, offset) {
        return moved;
    }
    in_steps(region, offset.abs(), |region, by_mm| {
        let by = by_mm.copysign(offset);
        // The whole way has been tried already.
        let moved = if by == offset { None } else { once(region, by) };
        moved.unwrap_or_else(|| by_overlay(region, by))
    })
}

/// A mitred offset of any region, in one step.
pub(super) fn by_overlay(region: &Region, offset: f64) -> Region {
    // Bevels double the vertices at every turn they cut, so that repeated insets of a bore would drown in them.
    let style = OutlineStyle::new(offset).line_join(LineJoin::Miter(std::f64::consts::FRAC_PI_6)).miter_min_turn(0.003);
    let bounds = region.bounds();
    let extent = bounds.width().max(bounds.height()) + 8.0 * offset.abs();
    without_spikes(from_shapes(to_shapes(region).outline_as::<i32>(&style)), extent * SPIKE)
}

/// Width of a spike over the size of what it grows from: a few steps of the 32-bit grid.
const SPIKE: f64 = 1e-8;

/// Without the spikes that rounding leaves. At a corner that an inset shortens, `i_overlay` goes out to the old corner and back,
/// and drops what that encloses as lying outside. Where the turn is next to nothing the two ways are one step of the grid apart, on
/// the wrong side as often as not, and stay: the loop would be longer by twice the distance.
fn without_spikes(region: Region, width_mm: f64) -> Region {
    let loops = |l: Vec<Point>| Some(despiked(l, width_mm)).filter(|l| l.len() >= 3);
    let polygons = region.polygons.into_iter().filter_map(|p| {
        let outer = loops(p.outer)?;
        Some(Polygon { outer, holes: p.holes.into_iter().filter_map(loops).collect() })
    });
    Region { polygons: polygons.collect() }
}

/// A loop without the corners at which it turns back on itself or stands still, within `width_mm`.
fn despiked(points: Vec<Point>, width_mm: f64) -> Vec<Point> {
    let folds = |p: Point, tip: Point, q: Point| {
        let (a, b) = (p - tip, q - tip);
        // Squares throughout: the end of the shorter side lies this near to the longer side.
        let (long, least) = (a.length_squared().max(b.length_squared()), width_mm * width_mm);
        b.length_squared() <= least || a.dot(b) > 0.0 && a.cross(b).powi(2) <= least * long
    };
    let n = points.len();
    if !(0..n).any(|i| folds(points[(i + n - 1) % n], points[i], points[(i + 1) % n])) {
        return points;
    }
    let mut kept: Vec<Point> = Vec::with_capacity(n);
    for p in points {
        // What comes before a tip may be the next tip.
        while let [.., before, tip] = kept[..]
            && folds(before, tip, p)
        {
            kept.pop();
        }
        kept.push(p);
    }
    // The same over the seam.
    let mut kept = std::collections::VecDeque::from(kept);
    while kept.len() >= 3 {
        let n = kept.len();
        if folds(kept[n - 2], kept[n - 1], kept[0]) {
            kept.pop_back();
        } else if folds(kept[n - 1], kept[0], kept[1]) {
            kept.pop_front();
        } else {
            break;
        }
    }
    kept.into()
}

fn run(region: &Region, offset: f64, angle: f64) -> Region {
    let style = OutlineStyle::new(offset).line_join(LineJoin::Round(angle));
    from_shapes(to_shapes(region).outline_as::<i64>(&style))
}

#[cfg(test)]
mod tests {
    use std::f64::consts::{PI, TAU};

    use proptest::prelude::*;

    use super::*;
    use crate::geom::{
        boolean,
        samples::{border_distance, border_points, bracket, frame, square, star},
    };

    /// Found by random numbers: a sliver grown by far less than a grid step.
    #[test]
    fn next_to_nothing_is_nothing() {
        let sliver = Region::rectangle(Bounds::new(Point::new(0.0, 0.0), Point::new(1e-9, 3.0)));
        for by in [2.8e-17, 1e-12, 1e-7] {
            assert_eq!(grow(&sliver, by, 0.01), sliver);
            assert_eq!(shrink(&sliver, by, 0.01), sliver);
        }
    }

    /// Computed with shapely: inset 2 mm (sharp) 276.0; outset 5 mm (round) 1173.165 by 500 + 120·5 + 5 corners of
    /// π 25/4 − 25 at the inward one = 1173.17.
    #[test]
    fn the_bracket_grows_and_shrinks_as_computed_elsewhere() {
        assert!((shrink(&bracket(), 2.0, 0.01).area() - 276.0).abs() < 1e-6 + PI * 4.0);
        let grown = grow(&bracket(), 5.0, 0.001).area();
        let asked = 500.0 + 120.0 * 5.0 + 5.0 * PI * 25.0 / 4.0 - 25.0;
        assert!(grown >= asked && grown < asked + 0.001 * 160.0, "{grown} for {asked}");
    }

    /// Erosion by a disc keeps corners sharp but rounds the inward one: 276 less nothing, plus the corner's share.
    #[test]
    fn shrinking_rounds_only_the_inward_corner() {
        let exact = 276.0 + 4.0 - PI;
        let (loose, tight) = (shrink(&bracket(), 2.0, 1e-3).area(), shrink_within(&bracket(), 2.0, 1e-3).area());
        assert!((loose - exact).abs() < 0.01, "{loose} for {exact}");
        assert!(tight <= exact + 1e-6 && tight > exact - 0.001 * 120.0, "{tight} for {exact}");
    }

    #[test]
    fn a_hole_closes_when_it_is_grown_over() {
        let r = grow(&frame(20.0, 6.0), 2.0, 0.01);
        assert_eq!(r.polygons[0].holes.len(), 1);
        assert!((crate::geom::region::loop_area(&r.polygons[0].holes[0]) + 4.0).abs() < 0.1);
        assert!(grow(&frame(20.0, 6.0), 3.1, 0.01).polygons[0].holes.is_empty());
    }

    /// Ten thousand corners on a wavy border whose hollows are narrower than the distance: few are left to offset, and what is
    /// promised still holds.
    #[test]
    fn very_many_corners_are_thinned_within_the_tolerance() {
        let corner = |i: usize| {
            let angle = TAU * i as f64 / 10_000.0;
            Point::new(12.0 + 0.5 * (40.0 * angle).sin(), 0.0).turned(angle)
        };
        let wavy: Region = Polygon::simple((0..10_000).map(corner).collect()).into();
        let (d, tolerance) = (1.5, 0.01);
        let grown = grow(&wavy, d, tolerance);
        let thin = fewer(&wavy, MANY_CORNERS, tolerance, simplify::outward).0;
        assert!(thin.vertex_count() < 3000, "{}", thin.vertex_count());
        for v in wavy.vertices().step_by(7) {
            for k in 0..8 {
                let q = v + Point::new(d, 0.0).turned(TAU * f64::from(k) / 8.0);
                assert!(grown.contains(q) || border_distance(&grown, q) < 1e-6, "{q:?} is missing");
            }
        }
        for v in grown.vertices().step_by(5) {
            let far = border_distance(&wavy, v);
            assert!(far <= d + 2.0 * tolerance, "{far}");
        }
        let left = shrink_within(&wavy, d, tolerance);
        for p in left.vertices().step_by(5) {
            assert!(border_distance(&wavy, p) >= d - 1e-6);
        }
        assert!(boolean::difference(&shrink(&wavy, d + 3.0 * tolerance, tolerance), &left).area() < 1e-3);
    }

    /// Ten thousand teeth 12 µm apart, 5 mm long, on a spine of 6 mm: offset in one step, millions of edges cross.
    fn comb() -> Region {
        let teeth = (0..10_000).flat_map(|i| {
            let x = 0.012 * f64::from(i);
            [[x, 0.0], [x, 5.0], [x + 0.006, 5.0], [x + 0.006, 0.0]].map(Point::from)
        });
        let mut outer: Vec<Point> = teeth.chain([[120.0, -6.0], [0.0, -6.0]].map(Point::from)).collect();
        outer.reverse();
        Polygon::simple(outer).into()
    }

    /// By hand: grown, the comb is a block with round corners; shrunk, its spine is left.
    #[test]
    fn a_fine_comb_is_offset_in_steps() {
        let comb = comb();
        let crowd = Crowd::of(&comb).expect("many corners");
        assert!(crowd.is_within(0.1) && !crowd.is_within(LEAST_STEP_MM));
        let (wide, deep) = (119.994, 11.0);
        for d in [0.225, 1.5] {
            // The spine's right end stands out from the last tooth by 6 µm.
            let exact = wide * deep + 2.0 * d * (wide + deep) + PI * d * d;
            let grown = grow(&comb, d, 0.01).area();
            assert!(grown >= exact - 0.01 && grown < exact + 0.02 * 2.0 * (wide + deep) + 0.2, "{grown} for {exact}");
            let spine = |d: f64| (120.0 - 2.0 * d) * (6.0 - 2.0 * d);
            for left in [shrink(&comb, d, 0.01), shrink_within(&comb, d, 0.01), inset(&comb, d)] {
                let area = left.area();
                assert!((area - spine(d)).abs() < 0.02 * 260.0, "{area} for {}", spine(d));
            }
        }
    }

    #[test]
    fn shrinking_to_nothing_and_by_nothing() {
        assert_eq!(shrink(&square(0.0, 0.0, 4.0), 2.5, 0.01).area(), 0.0);
        assert_eq!(shrink(&bracket(), 0.0, 0.01), bracket());
        assert_eq!(grow(&bracket(), 0.0, 0.01), bracket());
        assert_eq!(grow(&Region::EMPTY, 3.0, 0.01), Region::EMPTY);
    }

    /// A section of `samples/queen-cage-peg.stl`: the first vertex lies on an edge but for the rounding of the file. Perimeters by
    /// shapely 2.2.0, mitred buffers; with a spike the first is 0.45 mm longer.
    #[test]
    fn a_vertex_on_a_straight_edge_leaves_no_spike() {
        let quarter = [
            (2.121_299_982_070_923, -2.121_299_982_070_923),
            (2.598_099_946_975_708, -1.5),
            (2.897_799_968_719_482_4, -0.776_499_986_648_559_6),
            (3.0, 0.0),
            (2.897_799_968_719_482_4, 0.776_499_986_648_559_6),
            (2.598_099_946_975_708, 1.5),
        ];
        // Quarter turns are exact: (x, y), (−y, x), (−x, −y), (y, −x).
        let mut ring: Vec<Point> = Vec::new();
        for k in 0..4 {
            ring.extend(quarter.map(|(x, y)| [(x, y), (-y, x), (-x, -y), (y, -x)][k]).map(|(x, y)| Point::new(x, y)));
        }
        let at = ring.iter().position(|p| p.x == -3.0).unwrap_or_default();
        ring.insert(at, Point::new(-2.981_603_994_369_507, 0.139_769_997_596_740_7));
        let peg: Region = Polygon::simple(ring).into();
        for (by, perimeter) in [(0.225, 17.374_006_110_9), (0.675, 14.530_312_159_5)] {
            // Exact corner by corner; an overlay moves edges by 1e-5 of the distance too much or too little.
            for (left, off) in [(inset(&peg, by).perimeter(), 1e-6), (by_overlay(&peg, -by).perimeter(), 1e-4)] {
                assert!((left - perimeter).abs() < off, "{left} for {perimeter}");
            }
        }
    }

    #[test]
    fn spikes_go_and_needles_stay() {
        let at = |l: &[(f64, f64)]| l.iter().map(|&(x, y)| Point::new(x, y)).collect::<Vec<_>>();
        let square = [(0.0, 0.0), (4.0, 0.0), (4.0, 4.0), (0.0, 4.0)];
        let with = |k: usize, more: &[(f64, f64)]| {
            let mut l = square.to_vec();
            l.splice(k..k, more.iter().copied());
            at(&l)
        };
        // On a side, of two corners in a row, over the seam: out and back.
        let mut seam = at(&[(-1.0, 0.0)]);
        seam.extend(with(4, &[(0.0, 1e-9)]));
        for l in [
            with(1, &[(2.0, 0.0), (2.0, -1.0), (2.0 + 1e-9, 0.0)]),
            with(2, &[(4.0, 2.0), (5.0, 2.0), (6.0, 2.0 + 1e-9), (5.0, 2.0 + 1e-9), (4.0, 2.0)]),
            seam,
        ] {
            let left = despiked(l.clone(), 1e-8);
            let around: f64 = crate::geom::region::loop_edges(&left).map(|(a, b)| a.distance(b)).sum();
            assert!((around - 16.0).abs() < 1e-6, "{l:?}: {around}");
        }
        assert_eq!(despiked(at(&square), 1e-8), at(&square));
        // A needle of 1 mm by a thousandth is there, if thin.
        let needle = with(1, &[(2.0, 0.0), (2.0005, -1.0), (2.001, 0.0)]);
        assert_eq!(despiked(needle.clone(), 1e-8), needle);
        // Nothing but a spike is nothing.
        assert!(despiked(at(&[(0.0, 0.0), (1.0, 0.0), (2.0, 1e-10)]), 1e-8).len() < 3);
    }

    proptest! {
        #![proptest_config(ProptestConfig::with_cases(64))]
        /// Every point within the distance of the region lies in the grown region, and no border of that is farther
        /// from the region than distance plus tolerance.
        #[test]
        fn growing_never_falls_short(r in star(), d in 0.1..8.0_f64, tolerance in 0.002..0.2_f64) {
            let grown = grow(&r, d, tolerance);
            for p in border_points(&r, 0.7) {
                for k in 0..16 {
                    let q = p + Point::new(d, 0.0).turned(TAU * f64::from(k) / 16.0);
                    prop_assert!(grown.contains(q) || border_distance(&grown, q) < 1e-6, "{q:?} is missing");
                }
            }
            for v in grown.vertices() {
                let far = border_distance(&r, v);
                // A chord touches the arc, so its ends lie beyond it by as much as its middle would lie short of it.
                prop_assert!(far <= d + 2.0 * tolerance + 2e-4 * d, "{far} for {d}");
            }
        }

        /// No point of what is left lies nearer to the old border than the distance.
        #[test]
        fn shrinking_within_keeps_its_distance(r in star(), d in 0.1..3.0_f64) {
            let left = shrink_within(&r, d, 0.01);
            for p in border_points(&left, 0.3) {
                prop_assert!(border_distance(&r, p) >= d - 1e-6);
            }
            prop_assert!(boolean::difference(&left, &r).area() < 1e-6);
            // And short of the exact result by no more than the tolerance: all that lies deeper is left.
            let deeper = shrink(&r, d + 0.03, 0.001);
            let lost = boolean::difference(&deeper, &left).area();
            prop_assert!(lost < 1e-3, "{lost} mm² of {} lost", deeper.area());
        }
    }
}
