//! Fewer vertices within a tolerance, never losing ground.

use std::{cmp::Reverse, collections::BinaryHeap};

use super::{Point, Polygon, Region, boolean, region::loop_area};

/// Drops vertices where the border moves by at most `tolerance_mm`, and only outwards: the result holds the input.
///
/// An inward (reflex) vertex close to the chord of its neighbours is dropped; two outward vertices are replaced by
/// the point where the edges before and after them meet, where that point is near. Each step adds a triangle to the
/// region, so the winding number falls nowhere; where added triangles run into another border, what overlaps is
/// united. Borders straight to 1e-12 mm count as straight.
pub fn outward(region: &Region, tolerance_mm: f64) -> Region {
    let mut loops = Vec::new();
    let mut dropped = false;
    for l in region.loops() {
        let (thinned, moved) = thin(l, tolerance_mm);
        dropped |= moved;
        loops.push(thinned);
    }
    if dropped {
        return boolean::non_zero(&loops);
    }
    // Nothing moved: keep the polygons as they are, less their straight vertices.
    let mut loops = loops.into_iter();
    Region {
        polygons: region
            .polygons
            .iter()
            .map(|p| Polygon {
                outer: loops.next().unwrap_or_default(),
                holes: p.holes.iter().filter_map(|_| loops.next()).filter(|h| loop_area(h) < 0.0).collect(),
            })
            .filter(|p| p.outer.len() >= 3)
            .collect(),
    }
}

/// As [`outward`], but the border moves only inwards: the input holds the result.
pub fn inward(region: &Region, tolerance_mm: f64) -> Region {
    if region.is_empty() {
        return region.clone();
    }
    // What is outside, out to a frame, is thinned outwards.
    let frame = Region::rectangle(region.bounds().grown(1.0 + 4.0 * tolerance_mm.max(0.0)));
    boolean::difference(region, &outward(&boolean::difference(&frame, region), tolerance_mm))
}

/// A loop as a chain of vertices that can be dropped in constant time.
struct Chain {
    at: Vec<Point>,
    next: Vec<usize>,
    prev: Vec<usize>,
    /// How far the edge from this vertex to the next one lies from what it stands for.
    moved: Vec<f64>,
    alive: Vec<bool>,
    count: usize,
}

/// Drops vertices that lie within `tolerance_mm` of the line through the vertices that stay (Ramer 1972, Douglas & Peucker
/// 1973), for measuring, not for clearances: the border moves both ways. Loops that shrink to nothing are dropped; on very
/// thin regions, where the tolerance is not small against the width, loops may touch.
pub fn within(region: &Region, tolerance_mm: f64) -> Region {
    let keep = |l: &Vec<Point>| {
        let thinned = chords(l, tolerance_mm);
        (thinned.len() >= 3 && loop_area(&thinned) != 0.0).then_some(thinned)
    };
    Region {
        polygons: region
            .polygons
            .iter()
            .filter_map(|p| {
                let outer = keep(&p.outer)?;
                Some(Polygon { outer, holes: p.holes.iter().filter_map(keep).collect() })
            })
            .collect(),
    }
}

/// One closed loop, cut at its first vertex and the one farthest from it.
fn chords(input: &[Point], tolerance: f64) -> Vec<Point> {
    let n = input.len();
    if n <= 4 {
        return input.to_vec();
    }
    let far = (1..n)
        .max_by(|&a, &b| (input[a] - input[0]).length_squared().total_cmp(&(input[b] - input[0]).length_squared()));
    let Some(far) = far else { return input.to_vec() };
    let mut keep = vec![false; n + 1];
    keep[0] = true;
    keep[far] = true;
    let at = |i: usize| input[i % n];
    let mut runs = vec![(0, far), (far, n)];
    while let Some((a, b)) = runs.pop() {
        let (p, q) = (at(a), at(b));
        let d = q - p;
        let length = d.length();
        let mut worst = (tolerance, 0);
        for i in a + 1..b {
            // Distance from the segment, not from its line: a spike that turns back must stay.
            let r = at(i) - p;
            let along = if length > 0.0 { r.dot(d) / length } else { 0.0 };
            let off = if along <= 0.0 || length == 0.0 {
                r.length()
            } else if along >= length {
                at(i).distance(q)
            } else {
                r.cross(d).abs() / length
            };
            if off > worst.0 {
                worst = (off, i);
            }
        }
        if worst.1 > 0 {
            keep[worst.1] = true;
            runs.push((a, worst.1));
            runs.push((worst.1, b));
        }
    }
    input.iter().zip(&keep).filter(|(_, k)| **k).map(|(p, _)| *p).collect()
}

/// One loop, the inside on its left, and whether its border moved anywhere.
fn thin(input: &[Point], tolerance: f64) -> (Vec<Point>, bool) {
    let n = input.len();
    let mut c = Chain {
        at: input.to_vec(),
        next: (0..n).map(|i| (i + 1) % n).collect(),
        prev: (0..n).map(|i| (i + n - 1) % n).collect(),
        moved: vec![0.0; n],
        alive: vec![true; n],
        count: n,
    };
    let mut any = false;
    // The cheapest change first; an entry whose cost is no longer true is passed over.
    let mut queue: BinaryHeap<Reverse<(u64, usize)>> = BinaryHeap::new();
    let offer = |c: &Chain, queue: &mut BinaryHeap<Reverse<(u64, usize)>>, i: usize| {
        if let Some(change) = c.cheapest(i, tolerance) {
            // Costs are not negative, so their bits sort as they do.
            queue.push(Reverse((change.moved.to_bits(), i)));
        }
    };
    for i in 0..n {
        offer(&c, &mut queue, i);
    }
    while let Some(Reverse((bits, i))) = queue.pop() {
        if c.count <= 3 {
            break;
        }
        let Some(change) = c.alive[i].then(|| c.cheapest(i, tolerance)).flatten() else { continue };
        if change.moved.to_bits() != bits {
            continue;
        }
        any |= c.apply(i, &change);
        // Six vertices round the change may have become droppable, or dearer.
        let mut near = c.prev[c.prev[c.prev[i]]];
        for _ in 0..6 {
            offer(&c, &mut queue, near);
            near = c.next[near];
        }
    }
    let Some(first) = c.alive.iter().position(|&a| a) else { return (Vec::new(), any) };
    let mut out = Vec::with_capacity(c.count);
    let mut i = first;
    for _ in 0..c.count {
        out.push(c.at[i]);
        i = c.next[i];
    }
    (out, any)
}

impl Chain {
    fn unlink(&mut self, i: usize) {
        let (p, n) = (self.prev[i], self.next[i]);
        self.next[p] = n;
        self.prev[n] = p;
        self.alive[i] = false;
        self.count -= 1;
    }
    fn cheapest(&self, i: usize, tolerance: f64) -> Option<Change> {
        let both = [self.without_vertex(i), self.without_edge(i)];
        let allowed = both.into_iter().flatten().filter(|c| c.straight || c.moved <= tolerance);
        allowed.min_by(|a, b| a.moved.total_cmp(&b.moved))
    }
    /// Vertex `i` dropped, where it is straight, or an inward corner near the chord of its neighbours.
    fn without_vertex(&self, i: usize) -> Option<Change> {
        let (ia, ic) = (self.prev[i], self.next[i]);
        let (a, b, c) = (self.at[ia], self.at[i], self.at[ic]);
        let chord = c - a;
        let length = chord.length();
        let between = (b - a).dot(chord) >= 0.0 && (c - b).dot(chord) >= 0.0;
        if length <= 0.0 || !between {
            return None;
        }
        // Over 0: b bulges outwards (right of the chord); under 0: b is an inward corner.
        let height = (b - a).cross(chord) / length;
        let before = self.moved[ia].max(self.moved[i]);
        if height.abs() <= 1e-12 {
            Some(Change { moved: before, straight: true, meet: None })
        } else {
            (height < 0.0).then_some(Change { moved: before - height, straight: false, meet: None })
        }
    }
    /// The outward corners i and the one after it replaced by the point where the edges beyond them meet.
    fn without_edge(&self, i: usize) -> Option<Change> {
        let (ia, ic) = (self.prev[i], self.next[i]);
        let id = self.next[ic];
        let (a, b, c, d) = (self.at[ia], self.at[i], self.at[ic], self.at[id]);
        let (u, v, edge) = (b - a, d - c, c - b);
        let turn = u.cross(v);
        if !(u.cross(edge) > 0.0 && edge.cross(v) > 0.0 && turn > 0.0) {
            return None;
        }
        let meet = a + u * ((d - a).cross(v) / turn);
        let out = (meet - b).cross(edge).abs() / edge.length();
        let moved = self.moved[ia].max(self.moved[i]).max(self.moved[ic]) + out;
        // The meeting point must lie beyond b and abreast of the dropped edge.
        let abreast = (meet - b).dot(edge) >= 0.0 && (meet - c).dot(edge) <= 0.0;
        let sound = meet.is_finite() && moved.is_finite() && abreast && (meet - b).dot(u) >= 0.0;
        sound.then_some(Change { moved, straight: false, meet: Some(meet) })
    }
    /// Makes the change; true where the border moved.
    fn apply(&mut self, i: usize, change: &Change) -> bool {
        self.moved[self.prev[i]] = change.moved;
        if let Some(meet) = change.meet {
            self.at[i] = meet;
            self.moved[i] = change.moved;
            self.unlink(self.next[i]);
        } else {
            self.unlink(i);
        }
        !change.straight
    }
}

/// A vertex less.
struct Change {
    /// How far the border then lies from where it was, at most.
    moved: f64,
    /// The border does not move.
    straight: bool,
    /// Two vertices become this one.
    meet: Option<Point>,
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;

    use super::*;
    use crate::geom::samples::{border_distance, border_points, bracket, rippled, square, star};

    fn check(region: &Region, tolerance: f64) -> Result<(), TestCaseError> {
        let simple = outward(region, tolerance);
        let lost = boolean::difference(region, &simple).area();
        prop_assert!(lost < 1e-7, "{lost} mm² lost");
        for p in border_points(&simple, 0.05) {
            let far = border_distance(region, p);
            prop_assert!(far <= tolerance + 1e-7, "{far} mm off");
        }
        prop_assert!(simple.vertex_count() <= region.vertex_count().max(4) + 8);
        Ok(())
    }

    proptest! {
        #[test]
        fn stars_stay_within_it(r in star(), tolerance in 0.01..1.5_f64) { check(&r, tolerance)?; }
        #[test]
        fn rippled_rings_stay_within_it(r in rippled(), tolerance in 0.005..0.5_f64) { check(&r, tolerance)?; }
    }

    /// What is lost lies within the tolerance of the border, and nothing is gained.
    fn check_inward(region: &Region, tolerance: f64) -> Result<(), TestCaseError> {
        let simple = inward(region, tolerance);
        prop_assert!(boolean::difference(&simple, region).area() < 1e-7);
        for p in border_points(&simple, 0.05) {
            let far = border_distance(region, p);
            prop_assert!(far <= tolerance + 1e-7, "{far} mm off");
        }
        Ok(())
    }

    proptest! {
        #[test]
        fn inward_stars_stay_within_it(r in star(), tolerance in 0.01..0.5_f64) { check_inward(&r, tolerance)?; }
        #[test]
        fn inward_rippled_rings_stay_within_it(r in rippled(), tolerance in 0.005..0.3_f64) { check_inward(&r, tolerance)?; }
    }

    #[test]
    fn a_fine_circle_loses_corners_inwards_too() {
        let circle: Region = crate::geom::disc::regular(Point::default(), 20.0, 720).into();
        let simple = inward(&circle, 0.05);
        assert!(simple.vertex_count() <= 96 && simple.area() <= circle.area(), "{}", simple.vertex_count());
        assert!(circle.area() - simple.area() <= 0.05 * circle.perimeter());
        assert!(inward(&Region::EMPTY, 0.5).is_empty());
    }

    #[test]
    fn a_fine_circle_loses_most_of_its_corners() {
        let circle: Region = crate::geom::disc::regular(Point::default(), 20.0, 720).into();
        let simple = outward(&circle, 0.05);
        // Round a circle of radius 20 within 0.05 mm there is room for π / acos(20/20.05) = 45 corners at best;
        // halving 720 again and again, with what was moved before counted in full, stops at 90.
        assert!(simple.vertex_count() <= 96, "{}", simple.vertex_count());
        assert!(simple.area() >= circle.area());
    }

    #[test]
    fn straight_vertices_go_and_corners_stay() {
        let mut s = square(0.0, 0.0, 10.0);
        s.polygons[0].outer.insert(1, Point::new(4.0, 0.0));
        assert_eq!(outward(&s, 0.0).vertex_count(), 4);
        assert_eq!(outward(&bracket(), 0.5), bracket());
        assert_eq!(outward(&Region::EMPTY, 0.5), Region::EMPTY);
    }

    #[test]
    fn a_slot_narrower_than_the_tolerance_is_filled() {
        let slot = [
            [0.0, 0.0],
            [20.0, 0.0],
            [20.0, 10.0],
            [10.02, 10.0],
            [10.02, 9.95],
            [10.0, 9.95],
            [10.0, 10.0],
            [0.0, 10.0],
        ];
        let r: Region = Polygon::simple(slot.map(Point::from).to_vec()).into();
        let simple = outward(&r, 0.2);
        assert!((simple.area() - 200.0).abs() < 0.01 && simple.vertex_count() < 8, "{simple:?}");
    }
}
