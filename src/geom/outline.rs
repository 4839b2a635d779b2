//! A region prepared for many distance questions.

use std::sync::Arc;

use super::{Bounds, Placement, Point, Region, depth, edge_tree::EdgeTree, hull};

/// A region with a tree over its edges and its convex hull. Cheap to clone.
#[derive(Clone)]
pub struct Outline {
    region: Arc<Region>,
    border: Arc<EdgeTree>,
    hull: Arc<[Point]>,
    bounds: Bounds,
    /// Greatest distance of a vertex from the origin: a bound that holds for every turn.
    reach: f64,
}

impl std::fmt::Debug for Outline {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        f.debug_struct("Outline").field("region", &self.region).finish_non_exhaustive()
    }
}

impl PartialEq for Outline {
    fn eq(&self, other: &Self) -> bool {
        Arc::ptr_eq(&self.region, &other.region) || self.region == other.region
    }
}

impl Outline {
    /// Prepares a region.
    pub fn new(region: impl Into<Arc<Region>>) -> Self {
        let region: Arc<Region> = region.into();
        let border = Arc::new(EdgeTree::new(&region));
        let hull: Arc<[Point]> = hull::convex_hull(region.outer_vertices()).into();
        let bounds = region.bounds();
        let reach = hull.iter().map(|p| p.length()).fold(0.0, f64::max);
        Self { region, border, hull, bounds, reach }
    }
    /// The region.
    pub fn region(&self) -> &Region {
        &self.region
    }
    /// The region, shared.
    pub fn shared_region(&self) -> Arc<Region> {
        self.region.clone()
    }
    /// True when it has no border.
    pub fn is_empty(&self) -> bool {
        self.border.is_empty()
    }
    /// Its convex hull, counter-clockwise; fewer than three points where it has no area.
    pub fn hull(&self) -> &[Point] {
        &self.hull
    }
    /// Box of the unmoved region.
    pub fn bounds(&self) -> Bounds {
        self.bounds
    }
    /// Greatest distance of a vertex from the origin.
    pub fn reach(&self) -> f64 {
        self.reach
    }
    /// The least box round the moved region.
    pub fn bounds_at(&self, at: Placement) -> Bounds {
        let (c, s) = at.cos_sin();
        if s == 0.0 || c == 0.0 {
            return if self.hull.is_empty() {
                self.bounds
            } else {
                Bounds::of(self.bounds.corners().map(|p| at.apply(p)))
            };
        }
        Bounds::of(self.hull.iter().map(|p| Point::new(p.x * c - p.y * s + at.x, p.x * s + p.y * c + at.y)))
    }
    /// Distance in mm between two placed regions: 0 where they overlap or touch, infinite where one is empty.
    /// Exact to rounding (about 1e-12 mm on a bed).
    pub fn distance(&self, at: Placement, other: &Self, other_at: Placement) -> f64 {
        self.distance_within(at, other, other_at, f64::INFINITY)
    }
    /// As [`Self::distance`], but `limit_mm` for any distance at or beyond it, which is found sooner.
    pub fn distance_within(&self, at: Placement, other: &Self, other_at: Placement, limit_mm: f64) -> f64 {
        self.measure(at, other, other_at, limit_mm, 0.0)
    }
    /// Distance in mm between the two placed borders, wherever the insides lie; infinite where one is empty.
    pub fn border_gap(&self, at: Placement, other: &Self, other_at: Placement) -> f64 {
        if self.is_empty() || other.is_empty() {
            return f64::INFINITY;
        }
        self.border.nearest(at, &other.border, other_at, f64::INFINITY, 0.0)
    }
    /// True when the placed regions are at least `gap_mm` apart (to 1e-9 mm). With a gap of 0 they may touch, and
    /// overlap by up to 1e-6 mm, which takes longer to find out.
    pub fn clear_of(&self, at: Placement, other: &Self, other_at: Placement, gap_mm: f64) -> bool {
        let enough = gap_mm - 1e-9;
        if enough > 0.0 {
            return self.measure(at, other, other_at, gap_mm, enough.next_down()) >= enough;
        }
        self.measure(at, other, other_at, 1e-9, 0.0) > 0.0
            || depth::overlap(&self.region.placed(at), &other.region.placed(other_at))
                .is_none_or(|o| o.depth_mm <= 1e-6)
    }
    /// `limit` where nothing nearer is found; may stop at any distance found at or under `enough`.
    fn measure(&self, at: Placement, other: &Self, other_at: Placement, limit: f64, enough: f64) -> f64 {
        if self.is_empty() || other.is_empty() {
            return limit;
        }
        let d = self.border.nearest(at, &other.border, other_at, limit, enough);
        // Borders that touch are at distance 0 already; borders apart may lie one within the other.
        if d > 0.0 && (self.holds_part_of(at, other, other_at) || other.holds_part_of(other_at, self, at)) {
            return 0.0;
        }
        d
    }
    /// Some vertex of each polygon of `other` inside `self`? With borders apart this decides containment.
    fn holds_part_of(&self, at: Placement, other: &Self, other_at: Placement) -> bool {
        other.region.polygons.iter().any(|p| {
            p.outer.first().is_some_and(|&v| {
                let local = at.unapply(other_at.apply(v));
                self.bounds.contains(local) && self.border.contains(local)
            })
        })
    }
    /// True when `p` lies inside the placed region (on the border either answer may come).
    pub fn contains(&self, at: Placement, p: Point) -> bool {
        let local = at.unapply(p);
        self.bounds.contains(local) && self.border.contains(local)
    }
    /// Distance of a point from the placed border, and whether the point lies inside.
    pub fn border_distance(&self, at: Placement, p: Point) -> (f64, bool) {
        let local = at.unapply(p);
        (self.border.point_distance(local), self.border.contains(local))
    }
}

#[cfg(test)]
mod tests {
    use std::f64::consts::{FRAC_PI_2, FRAC_PI_4};

    use proptest::prelude::*;

    use super::*;
    use crate::geom::{
        Polygon,
        samples::{border_distance, bracket, frame, rippled, square, star},
    };

    const HOME: Placement = Placement::at(0.0, 0.0);

    fn crosses((a, b): (Point, Point), (p, q): (Point, Point)) -> bool {
        let (d, e) = (b - a, q - p);
        d.cross(p - a) * d.cross(q - a) <= 0.0 && e.cross(a - p) * e.cross(b - p) <= 0.0 && d.cross(e) != 0.0
    }

    /// The distance of two regions, vertex by edge.
    fn slow(a: &Region, b: &Region) -> f64 {
        let inside = |a: &Region, b: &Region| b.vertices().any(|v| a.contains(v));
        if inside(a, b) || inside(b, a) || a.edges().any(|e| b.edges().any(|f| crosses(e, f))) {
            return 0.0;
        }
        let one_way =
            |a: &Region, b: &Region| b.vertices().map(|v| border_distance(a, v)).fold(f64::INFINITY, f64::min);
        one_way(a, b).min(one_way(b, a))
    }

    #[test]
    fn squares_beside_each_other() {
        let s = Outline::new(square(0.0, 0.0, 10.0));
        assert_eq!(s.distance(HOME, &s, Placement::at(13.0, 2.0)), 3.0);
        assert_eq!(s.distance(HOME, &s, Placement::at(13.0, 14.0)), 5.0);
        assert_eq!(s.distance(HOME, &s, Placement::new(13.0, 0.0, FRAC_PI_2)), 0.0);
        assert_eq!(s.distance(HOME, &s, Placement::new(25.0, 0.0, FRAC_PI_2)), 5.0);
        // A corner first: 10/√2 to either side of its middle.
        let turned = Placement::new(25.0, 5.0 - 10.0 / 2.0_f64.sqrt(), FRAC_PI_4);
        assert!((s.distance(HOME, &s, turned) - (15.0 - 10.0 / 2.0_f64.sqrt())).abs() < 1e-12);
        assert_eq!(s.distance(HOME, &s, Placement::at(10.0, 3.0)), 0.0);
    }

    #[test]
    fn without_a_gap_touching_is_clear_and_overlapping_is_not() {
        let s = Outline::new(square(0.0, 0.0, 10.0));
        for (x, y, clear) in
            [(10.0, 3.0, true), (10.0, 10.0, true), (9.99, 3.0, false), (0.0, 0.0, false), (11.0, 0.0, true)]
        {
            assert_eq!(s.clear_of(HOME, &s, Placement::at(x, y), 0.0), clear, "{x} {y}");
        }
    }

    #[test]
    fn a_part_in_a_hole_and_a_part_in_a_part() {
        let (ring, peg) = (Outline::new(frame(40.0, 20.0)), Outline::new(square(-3.0, -3.0, 6.0)));
        assert_eq!(ring.distance(HOME, &peg, HOME), 7.0);
        assert_eq!(peg.distance(HOME, &ring, HOME), 7.0);
        assert_eq!(peg.distance(Placement::at(4.0, -5.0), &ring, HOME), 2.0);
        let plate = Outline::new(square(-20.0, -20.0, 40.0));
        assert_eq!(plate.distance(HOME, &peg, HOME), 0.0);
        assert_eq!(peg.distance(HOME, &plate, HOME), 0.0);
        assert_eq!(plate.border_gap(HOME, &peg, HOME), 17.0);
        assert!(!plate.clear_of(HOME, &peg, HOME, 3.0));
        assert!(ring.clear_of(HOME, &peg, HOME, 7.0) && !ring.clear_of(HOME, &peg, HOME, 7.1));
    }

    #[test]
    fn two_pieces_of_which_one_is_inside() {
        let mut two = square(-3.0, -3.0, 6.0);
        two.polygons.extend(square(100.0, 100.0, 5.0).polygons);
        let (two, plate) = (Outline::new(two), Outline::new(square(-20.0, -20.0, 40.0)));
        assert_eq!(plate.distance(HOME, &two, HOME), 0.0);
        assert_eq!(two.distance(Placement::at(60.0, 0.0), &plate, HOME), 37.0);
    }

    #[test]
    fn nothing_is_infinitely_far() {
        let (none, l) = (Outline::new(Region::EMPTY), Outline::new(bracket()));
        assert_eq!(none.distance(HOME, &l, HOME), f64::INFINITY);
        assert!(l.clear_of(HOME, &none, HOME, 5.0));
        assert!(none.bounds_at(Placement::new(1.0, 2.0, 0.3)).is_empty());
        assert!(!none.contains(HOME, Point::default()));
    }

    #[test]
    fn boxes_are_least_at_any_turn() {
        let l = Outline::new(bracket());
        for turn in [0.0, FRAC_PI_2, 1.0, -2.5] {
            let at = Placement::new(7.0, -3.0, turn);
            let (b, asked) = (l.bounds_at(at), bracket().placed(at).bounds());
            assert!(b.min.distance(asked.min) < 1e-12 && b.max.distance(asked.max) < 1e-12);
        }
    }

    proptest! {
        #[test]
        fn distance_is_what_all_pairs_give(a in star(), b in star(), x in -60.0..60.0_f64, y in -60.0..60.0_f64,
                                           turn in -4.0..4.0_f64, ax in -9.0..9.0_f64, limit in 0.0..40.0_f64) {
            let (at, other_at) = (Placement::new(ax, 100.0, turn * 0.7), Placement::new(ax + x, 100.0 + y, turn));
            let (p, q) = (Outline::new(a.clone()), Outline::new(b.clone()));
            let asked = slow(&a.placed(at), &b.placed(other_at));
            prop_assert!((p.distance(at, &q, other_at) - asked).abs() < 1e-9);
            prop_assert!((q.distance(other_at, &p, at) - asked).abs() < 1e-9);
            prop_assert!((p.distance_within(at, &q, other_at, limit) - asked.min(limit)).abs() < 1e-9);
            prop_assert_eq!(p.clear_of(at, &q, other_at, limit), asked >= limit - 1e-9);
        }

        #[test]
        fn points_as_edge_by_edge(r in rippled(), x in -15.0..15.0_f64, y in -15.0..15.0_f64, turn in -4.0..4.0_f64) {
            let (o, at) = (Outline::new(r.clone()), Placement::new(4.0, 5.0, turn));
            let p = Point::new(x, y);
            let (d, inside) = o.border_distance(at, p);
            let placed = r.placed(at);
            prop_assert!((d - border_distance(&placed, p)).abs() < 1e-9);
            if d > 1e-9 {
                prop_assert_eq!(inside, placed.contains(p));
                prop_assert_eq!(o.contains(at, p), inside);
            }
        }
    }

    #[test]
    fn a_polygon_of_one_edge_run_and_one_of_many() {
        // Leaves hold four edges: loops of 3, 4, 5 and 17 edges meet every kind of last run.
        for n in [3_usize, 4, 5, 17] {
            let r: Region = Polygon::simple(crate::geom::disc::regular(Point::default(), 10.0, n).outer).into();
            let o = Outline::new(r.clone());
            let asked = slow(&r, &r.placed(Placement::at(30.0, 1.0)));
            assert!((o.distance(HOME, &o, Placement::at(30.0, 1.0)) - asked).abs() < 1e-12);
        }
    }
}
