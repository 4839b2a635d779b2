//! The nearest place for copies that are moved along together.

use std::{collections::BTreeSet, sync::Arc};

use rayon::prelude::*;

use crate::{
    geom::{Bounds, Point},
    packing::{
        Item, Layout, Problem, ZoneCache,
        bodies::{
            contacts::{CONTACT_MM, crossing},
            inner_fit::InnerFit,
            zone::Zone,
            zone_table::ZoneTable,
        },
    },
    watch::Watch,
};

/// The first circle looked at has this radius in lengths of what is moved, and at least, mm; each next one is twice as wide.
const FIRST: f64 = 1.0;
const LEAST_MM: f64 = 20.0;

/// The shortest move, without turning, after which none of the copies is over the edge of the first bed, on a keep-out or
/// too near to a copy that is fixed there: exact for the search's outlines, which are the true ones but for those of many
/// corners and arcs. Among themselves they are not looked at. `None` where there is no such place, or when the watch
/// says so before it is found.
///
/// The free places are what the zones of all pairs leave of the bed; the nearest of them to where the copies lie is that
/// place itself, the foot of a perpendicular on an edge, or a crossing of two edges. Where copies have twins, these keep
/// clear as well.
pub fn nearest_place(
    problem: &Problem,
    moved: &[Item],
    cache: &Arc<ZoneCache>,
    watch: &dyn Watch<Layout>,
) -> Option<Point> {
    let problem = &*problem.untwinned();
    let bed = problem.beds.first()?;
    let area = |i: &Item| {
        let s = problem.shapes.get(i.shape)?;
        Some(s.shadow.bounds_at(i.at).union(s.footing.bounds_at(i.at)))
    };
    let own: Bounds = moved.iter().filter_map(area).fold(Bounds::EMPTY, Bounds::union);
    let reach_mm = problem.gap_mm.max(problem.footing_gap_mm).max(0.0);
    let all = own.union(bed.room.bounds());
    if !(all.width() + all.height()).is_finite() {
        return None;
    }
    cache.trim();
    let mut radius_mm = (FIRST * own.width().max(own.height())).max(LEAST_MM);
    loop {
        let whole = radius_mm >= all.width() + all.height();
        let about = own.grown(radius_mm + reach_mm + 1e-6);
        let mut near = problem.clone();
        near.beds.truncate(1);
        near.beds[0].fixed.retain(|f| whole || area(f).is_some_and(|a| a.overlaps(about)));
        if let Some(by) = within(&near, moved, radius_mm, cache, watch).ok()? {
            return Some(by);
        }
        if whole || watch.cancelled() {
            return None;
        }
        radius_mm *= 2.0;
    }
}

/// A zone in the plane of moves.
struct Forbidden {
    zone: Arc<Zone>,
    at: Point,
    bounds: Bounds,
}

/// What keeps the copies from lying somewhere.
struct Ground<'a> {
    forbidden: Vec<Forbidden>,
    homes: Vec<(&'a InnerFit, Point)>,
}

impl Ground<'_> {
    fn clear(&self, by: Point) -> bool {
        self.homes.iter().all(|(home, at)| home.holds(*at + by, CONTACT_MM))
            && !self.forbidden.iter().any(|f| f.bounds.contains(by) && f.zone.blocks(by - f.at, CONTACT_MM))
    }
}

/// The edges of one thing, as start and vector.
struct Border {
    edges: Vec<(Point, Point)>,
    bounds: Bounds,
}

fn foot((a, d): (Point, Point)) -> Point {
    a + d * (-a.dot(d) / d.length_squared().max(1e-300)).clamp(0.0, 1.0)
}

/// Stopped before it was found, or asked about a shape that cannot lie anywhere.
struct Stopped;

/// The nearest place within a circle about where the copies lie; `None` where there is none.
fn within(
    problem: &Problem,
    moved: &[Item],
    radius_mm: f64,
    cache: &Arc<ZoneCache>,
    watch: &dyn Watch<Layout>,
) -> Result<Option<Point>, Stopped> {
    let mut turns = vec![Vec::new(); problem.shapes.len()];
    for item in moved {
        let of: &mut Vec<f64> = turns.get_mut(item.shape).ok_or(Stopped)?;
        if !of.contains(&item.at.turn_rad) {
            of.push(item.at.turn_rad);
        }
    }
    let table = ZoneTable::cached(problem, &turns, cache);
    let spot = |i: &Item| {
        let known = table.of_shape.get(i.shape)?.iter().copied();
        known.into_iter().find(|&v| table.variants[v].turn_rad == i.at.turn_rad).map(|v| (v, i.at.origin()))
    };
    let spots: Vec<(usize, Point)> = moved.iter().map(spot).collect::<Option<_>>().ok_or(Stopped)?;
    // Zones of those only that can come near.
    let meets = |&(v, p): &(usize, Point), &(w, q): &(usize, Point)| {
        let reach = radius_mm + problem.gap_mm.max(problem.footing_gap_mm).max(0.0) + 1e-6;
        let (a, b) = (table.variants[v].bounds.moved(p), table.variants[w].bounds.moved(q));
        a.grown(reach).overlaps(b)
    };
    let fixed = &table.fixed[0];
    let pairs: BTreeSet<(usize, usize)> =
        spots.iter().flat_map(|s| fixed.iter().filter(|f| meets(s, f)).map(|f| (f.0, s.0))).collect();
    let pairs: Vec<(usize, usize)> = pairs.into_iter().collect();
    pairs.par_iter().filter(|_| !watch.cancelled()).for_each(|&(w, v)| {
        table.pair(w, v);
    });
    if watch.cancelled() {
        return Err(Stopped);
    }
    let mut ground = Ground { forbidden: Vec::new(), homes: Vec::new() };
    let mut borders: Vec<Border> = Vec::new();
    let mut add = |edges: Vec<(Point, Point)>| {
        let bounds = Bounds::of(edges.iter().flat_map(|e| [e.0, e.0 + e.1]));
        borders.push(Border { edges, bounds });
    };
    for &(v, p) in &spots {
        for &(w, q) in fixed.iter().filter(|f| meets(&(v, p), f)) {
            let (zone, at) = (table.pair(w, v).clone(), q - p);
            if !zone.is_empty() {
                add(zone.edges().map(|(a, d)| (a + at, d)).collect());
                ground.forbidden.push(Forbidden { bounds: zone.bounds().moved(at), zone, at });
            }
        }
        let home: &InnerFit = table.inner_fit(0, v);
        if home.sites.is_empty() {
            return Ok(None);
        }
        for s in &home.sites {
            let n = s.area.len();
            add((0..n).map(|i| (s.area[i] - p, s.area[(i + 1) % n] - s.area[i])).collect());
            s.blocks.iter().for_each(|z| add(z.edges().map(|(a, d)| (a - p, d)).collect()));
        }
        home.keep_outs.iter().for_each(|z| add(z.edges().map(|(a, d)| (a - p, d)).collect()));
        ground.homes.push((home, p));
    }
    let origin = Point::default();
    if ground.clear(origin) {
        return Ok(Some(origin));
    }
    let first = |mut places: Vec<Point>, most: f64| {
        places.retain(|p| p.length_squared() < most * most);
        places.sort_by(|a, b| a.length_squared().total_cmp(&b.length_squared()));
        places.into_iter().find(|p| ground.clear(*p))
    };
    // Feet of perpendiculars and corners; then only crossings nearer than those.
    let feet = borders.iter().flat_map(|b| &b.edges).flat_map(|&e| [foot(e), e.0]).collect();
    let best = first(feet, radius_mm);
    let most = best.map_or(radius_mm, Point::length);
    let circle = Bounds::new(Point::new(-most, -most), Point::new(most, most));
    let mut near: Vec<Border> = Vec::new();
    for b in borders.into_iter().filter(|b| b.bounds.overlaps(circle)) {
        let edges: Vec<_> = b.edges.into_iter().filter(|&e| foot(e).length_squared() < most * most).collect();
        if !edges.is_empty() {
            near.push(Border { bounds: Bounds::of(edges.iter().flat_map(|e| [e.0, e.0 + e.1])), edges });
        }
    }
    let mut crossings = Vec::new();
    for (k, one) in near.iter().enumerate() {
        if watch.cancelled() {
            break;
        }
        for other in near[..=k].iter().filter(|o| o.bounds.overlaps(one.bounds)) {
            for &e in &one.edges {
                let box_of = Bounds::of([e.0, e.0 + e.1]);
                let meet = |f: &&(Point, Point)| Bounds::of([f.0, f.0 + f.1]).overlaps(box_of);
                crossings.extend(other.edges.iter().filter(meet).filter_map(|&f| crossing(e, f)));
            }
        }
    }
    Ok(first(crossings, most).or(best))
}

#[cfg(test)]
mod tests {
    use std::f64::consts::TAU;

    use super::*;
    use crate::{
        geom::{Outline, Placement, Polygon, Region, disc},
        packing::{Aim, Bed, Shape, judge::quick_check},
        rng::Rng,
        watch::Quiet,
    };

    const STEP_MM: f64 = 0.8;

    fn shape(outline: impl Into<Region>) -> Shape {
        let o = Outline::new(outline.into());
        Shape { shadow: o.clone(), contact: o.clone(), footing: o, turn_step_rad: Some(TAU), class: 0, height_mm: 1.0 }
    }

    fn rectangle(from: [f64; 2], to: [f64; 2]) -> Region {
        Region::rectangle(Bounds::new(Point::from(from), Point::from(to)))
    }

    fn task(rng: &mut Rng) -> (Problem, Vec<Item>) {
        let corner = [[0., 0.], [24., 0.], [24., 8.], [8., 8.], [8., 20.], [0., 20.]].map(Point::from).to_vec();
        let shapes = vec![
            shape(Polygon::simple(corner)),
            shape(rectangle([-6.0, -4.0], [6.0, 4.0])),
            shape(disc::regular(Point::new(2.0, 0.0), 9.0, 7)),
        ];
        let mut any = |low: f64, high: f64| {
            let turn = rng.between(0.0, TAU);
            Item { shape: rng.below(3), at: Placement::new(rng.between(low, high), rng.between(low, high), turn) }
        };
        let fixed = (0..18).map(|_| any(5.0, 95.0)).collect();
        let moved = vec![any(20.0, 80.0), any(20.0, 80.0)];
        let bed = Bed {
            room: rectangle([0.0, 0.0], [110.0, 100.0]),
            keep_outs: vec![rectangle([0.0, 0.0], [25.0, 12.0])],
            fixed,
            class: None,
            height_mm: 9.0,
            twin: None,
        };
        let problem = Problem {
            shapes,
            beds: vec![bed],
            gap_mm: 1.0,
            footing_gap_mm: 0.0,
            footings_may_merge: false,
            aim: Aim::Pack { counts: vec![] },
        };
        (problem, moved)
    }

    /// Referee: the exact check of true outlines, which knows nothing of zones, on a grid of moves: none that is shorter
    /// is free, but for what the drawn arcs of the gap take.
    #[test]
    fn no_shorter_move_on_a_fine_grid_is_free() {
        let mut rng = Rng::new(11);
        let (mut found, mut far, mut none) = (0, 0, 0);
        for case in 0..24 {
            let (problem, mut moved) = task(&mut rng);
            moved.truncate(1 + case % 2);
            let free = |by: Point| {
                moved.iter().all(|i| {
                    let there = Item { at: Placement { x: i.at.x + by.x, y: i.at.y + by.y, ..i.at }, ..*i };
                    quick_check::inside_bed(&problem, 0, there)
                        && problem.beds[0].fixed.iter().all(|&f| quick_check::clear(&problem, there, f))
                })
            };
            let by = nearest_place(&problem, &moved, &Arc::default(), &Quiet);
            let least = by.map_or(70.0, |by| {
                assert!(free(by * (1.0 + 1e-9)) || free(by), "case {case}: {by:?}");
                by.length()
            });
            let steps = (least / STEP_MM) as i32;
            for (i, k) in (-steps..=steps).flat_map(|i| (-steps..=steps).map(move |k| (i, k))) {
                let shorter = Point::new(f64::from(i), f64::from(k)) * STEP_MM;
                if shorter.length() < least - 0.02 {
                    assert!(!free(shorter), "case {case}: {shorter:?} is free, nearer than {by:?}");
                }
            }
            found += usize::from(by.is_some());
            far += usize::from(least > 15.0 && by.is_some());
            none += usize::from(by.is_none());
        }
        assert!(found >= 12 && far >= 2, "{found} found, {far} of them far, {none} without a place");
    }

    /// A slot just wide enough, 40 mm away in no particular direction: the only place on a full bed.
    #[test]
    fn the_only_place_is_found_exactly() {
        let block = shape(rectangle([0.0, 0.0], [10.0, 10.0]));
        let at = |x: f64, y: f64| Item { shape: 0, at: Placement::at(x, y) };
        let all = (0..100).map(|k| at(f64::from(k % 10) * 12.0, f64::from(k / 10) * 12.0));
        let fixed: Vec<Item> = all.filter(|i| i.at != Placement::at(72.0, 36.0)).collect();
        let room = rectangle([0.0, 0.0], [118.0, 118.0]);
        let problem = Problem {
            shapes: vec![block],
            beds: vec![Bed { room, keep_outs: vec![], fixed, class: None, height_mm: 9.0, twin: None }],
            gap_mm: 2.0,
            footing_gap_mm: 0.0,
            footings_may_merge: false,
            aim: Aim::Pack { counts: vec![] },
        };
        let by = nearest_place(&problem, &[at(37.3, 52.9)], &Arc::default(), &Quiet).expect("the slot");
        assert!(by.distance(Point::new(72.0 - 37.3, 36.0 - 52.9)) < 1e-6, "{by:?}");
        let mut full = problem.clone();
        full.beds[0].fixed.push(at(72.0, 36.0));
        assert_eq!(nearest_place(&full, &[at(37.3, 52.9)], &Arc::default(), &Quiet), None);
    }
}
