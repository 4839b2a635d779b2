//! A shape made ready for the search.

use std::{
    f64::consts::{FRAC_PI_2, PI, TAU},
    sync::OnceLock,
};

use crate::geom::{Bounds, Placement, Point, Region, boolean, hull, offset, simplify};
use crate::packing::{Problem, Shape, bodies::convex};

/// Search outlines keep at most about this many corners; of few shapes, where thinning them that far would add more than
/// [`FINE_SHARE`] of the size, [`MANY_CORNERS`]. Zones of many shapes with as many would take too much memory and time.
///
/// Measured on pieces cut from a filled rectangle, known to fill it (the packing bench, `cut`, 10 s each, a quarter more room): with
/// `MANY_CORNERS` for all, 16 of 20 pieces of 9 kinds found a place and none of 16 kinds, against 18 and 18. The exception for few shapes made no
/// difference there (3 and 4 kinds of 80 to 200 corners: all pieces in at 3 % more room with it and without).
const CORNERS: usize = 56;
const MANY_CORNERS: usize = 112;
pub(in crate::packing) const FEW_SHAPES: usize = 4;
const FINE_SHARE: f64 = 3e-3;
/// Arcs of gaps are drawn outside the true arc by at most this, mm.
const ARC_TOLERANCE_MM: f64 = 0.01;

/// A region made ready for sums, each form when first asked for.
#[derive(Debug, Clone, Default)]
pub(in crate::packing) struct Layer {
    region: Region,
    loops: OnceLock<Vec<Vec<Point>>>,
    pieces: OnceLock<Vec<Vec<Point>>>,
    hull: OnceLock<Vec<Point>>,
}

impl Layer {
    fn new(region: Region) -> Self {
        Self { region, ..Self::default() }
    }
    /// Simple loops that cover it.
    pub(in crate::packing) fn loops(&self) -> &[Vec<Point>] {
        self.loops.get_or_init(|| convex::without_holes(&self.region))
    }
    /// Convex pieces that cover it.
    pub(in crate::packing) fn pieces(&self) -> &[Vec<Point>] {
        self.pieces.get_or_init(|| convex::pieces(&self.region))
    }
    /// Its convex hull.
    pub(in crate::packing) fn hull(&self) -> &[Point] {
        self.hull.get_or_init(|| hull::convex_hull(self.region.outer_vertices()))
    }
}

/// A shape with simplified outlines (never smaller than the true ones), unturned.
#[derive(Debug, Clone)]
pub(in crate::packing) struct Body {
    /// Shadow, and shadow grown by the whole gap.
    pub(in crate::packing) shadow: Layer,
    pub(in crate::packing) shadow_grown: Layer,
    /// Footing, and footing grown by the whole footing gap.
    pub(in crate::packing) footing: Layer,
    pub(in crate::packing) footing_grown: Layer,
    /// Contact (used where footings may merge).
    pub(in crate::packing) contact: Layer,
    /// Shadow and footing together: what keeps to the room and off the keep-outs.
    pub(in crate::packing) ground: Layer,
    /// The hull of `ground`, from the true outlines.
    pub(in crate::packing) hull: Vec<Point>,
    /// Distances between footings follow from those between shadows.
    pub(in crate::packing) footing_within_shadow: bool,
    /// Distances between shadows follow from those between footings.
    pub(in crate::packing) shadow_within_footing: bool,
    /// Area of the shadow grown by half the gap, about: what it takes of a bed.
    pub(in crate::packing) weight: f64,
    /// Area of the shadow, mm².
    pub(in crate::packing) true_area: f64,
    /// Turns worth trying, the most promising first.
    pub(in crate::packing) turns: Vec<f64>,
    /// Least turn after which it looks the same, where it is a whole fraction (2 to 12) of a full turn.
    pub(in crate::packing) period: Option<f64>,
    /// Can it lie anywhere at all?
    pub(in crate::packing) usable: bool,
}

/// Cleaned by the non-zero rule, thinned outwards.
fn tidy(region: &Region, shapes: usize) -> Region {
    let most = if shapes <= FEW_SHAPES { MANY_CORNERS } else { CORNERS };
    let clean = boolean::non_zero(&region.loops().cloned().collect::<Vec<_>>());
    if clean.vertex_count() <= CORNERS {
        return clean;
    }
    let b = clean.bounds();
    let size = b.width().max(b.height());
    let mut thin = clean.clone();
    for share in [2e-5, 5e-5, 1e-4, 2e-4, 4e-4, 8e-4, 1.5e-3, 3e-3, 6e-3, 1.2e-2] {
        if share > FINE_SHARE && thin.vertex_count() <= most {
            break;
        }
        thin = simplify::outward(&clean, size * share);
        if thin.vertex_count() <= CORNERS {
            break;
        }
    }
    // Prolonged edges may cross in narrow slots; together with the true outline nothing is lost.
    boolean::union([&thin])
}

/// The region grown by a distance: straight edges exactly (so that exact fits stay exact), corners round, with chords
/// outside the arc by at most [`ARC_TOLERANCE_MM`].
fn grown(region: &Region, by: f64) -> Region {
    if by.is_nan() || by <= 0.0 || region.is_empty() {
        return region.clone();
    }
    let chord = (2.0 * (by / (by + ARC_TOLERANCE_MM)).acos()).clamp(0.05, 1.0);
    let mut loops: Vec<Vec<Point>> = region.loops().cloned().collect();
    for l in region.loops() {
        let n = l.len();
        let normal = |i: usize| -(l[(i + 1) % n] - l[i % n]).normalized().perpendicular() * by;
        for i in 0..n {
            let (a, b) = (l[i], l[(i + 1) % n]);
            let (from, to) = (normal(i), normal(i + 1));
            loops.push(vec![a, a + from, b + from, b]);
            let turn = from.cross(to).atan2(from.dot(to));
            if turn > 0.0 {
                let steps = (turn / chord).ceil().max(1.0);
                let part = turn / steps;
                let mut fan = vec![b, b + from];
                fan.extend(
                    (0..steps as usize).map(|k| b + from.turned(part * (k as f64 + 0.5)) * (1.0 / (part * 0.5).cos())),
                );
                fan.push(b + to);
                loops.push(fan);
            }
        }
    }
    boolean::non_zero(&loops)
}

/// Holes that let nothing in are filled: `least` is the least width that matters, mm.
fn fill_holes(mut region: Region, least: f64) -> Region {
    for p in &mut region.polygons {
        p.holes.retain(|h| hull::least_width(&hull::convex_hull(h.iter().copied())).0 >= least - 1e-6);
    }
    region
}

/// Least width of an outline's hull, mm; infinite where it has no area.
pub(in crate::packing) fn least_width(region: &Region) -> f64 {
    let (w, _) = hull::least_width(&hull::convex_hull(region.outer_vertices().filter(|p| p.is_finite())));
    if w > 0.0 { w } else { f64::INFINITY }
}

impl Body {
    /// `slim`: least width of any shape's shadow, of any shape's contact: what a hole must let in to matter.
    pub(in crate::packing) fn new(shape: &Shape, problem: &Problem, slim: [f64; 2]) -> Self {
        let [shadow_true, footing_true, contact_true] =
            [&shape.shadow, &shape.footing, &shape.contact].map(crate::geom::Outline::region);
        let finite = [shadow_true, footing_true, contact_true].iter().all(|r| r.vertices().all(Point::is_finite));
        let none = Region::EMPTY;
        let (shadow, footing, contact) = if finite {
            {
                let tidied = |r| tidy(r, problem.shapes.len());
                (tidied(shadow_true), tidied(footing_true), tidied(contact_true))
            }
        } else {
            (none.clone(), none.clone(), none)
        };
        let hull = if finite {
            hull::convex_hull(shadow_true.outer_vertices().chain(footing_true.outer_vertices()))
        } else {
            Vec::new()
        };
        let usable = shadow.area() > 1e-6 && hull.len() >= 3 && shape.height_mm.is_finite();
        let ground = boolean::union([&shadow, &footing]);
        let shadow = fill_holes(shadow, slim[0] + 2.0 * problem.gap_mm);
        let footing = fill_holes(footing, slim[1]);
        let contact = fill_holes(contact, slim[1]);
        let shadow_grown = grown(&shadow, problem.gap_mm);
        let footing_grown = grown(&footing, problem.footing_gap_mm);
        let within = |a: &Region, b: &Region| boolean::difference(a, b).area() <= 1e-9;
        let footing_within_shadow =
            problem.footing_gap_mm <= problem.gap_mm && within(&footing, &shadow) && within(&contact, &shadow);
        let shadow_within_footing =
            !problem.footings_may_merge && within(&shadow, &footing) && within(&shadow_grown, &footing_grown);
        let weight = boolean::union([
            &offset::grow(&shadow, problem.gap_mm * 0.5, 0.05),
            &offset::grow(&footing, problem.footing_gap_mm * 0.5, 0.05),
        ])
        .area();
        let turns = if usable { turns(shape.turn_step_rad, &hull, &ground) } else { vec![0.0] };
        let period = if usable { period(&ground) } else { None };
        Self {
            shadow: Layer::new(shadow),
            shadow_grown: Layer::new(shadow_grown),
            footing: Layer::new(footing),
            footing_grown: Layer::new(footing_grown),
            contact: Layer::new(contact),
            ground: Layer::new(ground),
            hull,
            footing_within_shadow,
            shadow_within_footing,
            weight,
            true_area: shadow_true.area(),
            turns,
            period,
            usable,
        }
    }

    /// Makes the forms of all layers that zones are made of.
    pub(in crate::packing) fn make_ready(&self) {
        let layers =
            [&self.shadow, &self.shadow_grown, &self.footing, &self.footing_grown, &self.contact, &self.ground];
        for layer in layers {
            layer.loops();
            layer.pieces();
            layer.hull();
        }
    }

    /// Box of the hull at a turn, relative to the origin.
    pub(in crate::packing) fn bounds_at(&self, turn_rad: f64) -> Bounds {
        let at = Placement::new(0.0, 0.0, turn_rad);
        Bounds::of(self.hull.iter().map(|&p| at.apply(p)))
    }
}

/// Turns worth trying: all of few; of many, quarter turns, those that lay a hull edge along an axis, then even steps.
fn turns(step: Option<f64>, hull: &[Point], ground: &Region) -> Vec<f64> {
    let mut list: Vec<f64> = Vec::new();
    let mut edges: Vec<(f64, f64)> = (0..hull.len())
        .map(|i| {
            let d = hull[(i + 1) % hull.len()] - hull[i];
            (d.length(), -d.y.atan2(d.x))
        })
        .collect();
    edges.sort_by(|a, b| b.0.total_cmp(&a.0));
    match step {
        Some(step) if step.is_finite() && step > 1e-3 => {
            let n = ((TAU / step).round().max(1.0) as usize).min(720);
            let all: Vec<f64> = (0..n).map(|i| i as f64 * step).collect();
            if n <= 24 {
                list.extend([0.0, FRAC_PI_2, PI, 3.0 * FRAC_PI_2].iter().filter(|t| all.iter().any(|a| same(*a, **t))));
                list.extend(all);
            } else {
                let snapped = |t: f64| (t.rem_euclid(TAU) / step).round() * step;
                list.extend([0.0, FRAC_PI_2, PI, 3.0 * FRAC_PI_2].map(snapped));
                for &(_, t) in edges.iter().take(3) {
                    list.extend([t, t + FRAC_PI_2, t + PI, t - FRAC_PI_2].map(snapped));
                }
                list.extend((0..24).map(|i| snapped(f64::from(i) * TAU / 24.0)));
            }
        }
        Some(_) => list.push(0.0),
        None => {
            list.extend([0.0, FRAC_PI_2, PI, 3.0 * FRAC_PI_2]);
            for &(_, t) in edges.iter().take(4) {
                list.extend([t, t + FRAC_PI_2, t + PI, t - FRAC_PI_2]);
            }
            list.extend((0..16).map(|i| f64::from(i) * TAU / 16.0));
        }
    }
    // Drop turns that give the same figure as an earlier one.
    let mut kept: Vec<(f64, Vec<Point>)> = Vec::new();
    for t in list {
        let t = t.rem_euclid(TAU);
        let t = if same(t, 0.0) { 0.0 } else { t };
        if kept.iter().any(|(k, _)| same(*k, t)) {
            continue;
        }
        let at = Placement::new(0.0, 0.0, t);
        let figure: Vec<Point> = ground.vertices().map(|p| at.apply(p)).collect();
        let o = Bounds::of(figure.iter().copied()).centre();
        let figure: Vec<Point> = figure.into_iter().map(|p| p - o).collect();
        if !kept.iter().any(|(_, other)| alike(other, &figure)) {
            kept.push((t, figure));
        }
        if kept.len() >= 28 {
            break;
        }
    }
    kept.into_iter().map(|(t, _)| t).collect()
}

/// Is this turn a multiple of the step (to 1e-9)?
pub(in crate::packing) fn multiple_of(turn: f64, step: f64) -> bool {
    same(turn, 0.0) || step > 1e-3 && same((turn / step).round() * step, turn)
}

fn period(ground: &Region) -> Option<f64> {
    let figure = |turn: f64| -> Vec<Point> {
        let at = Placement::new(0.0, 0.0, turn);
        let points: Vec<Point> = ground.vertices().map(|p| at.apply(p)).collect();
        let o = points.iter().fold(Point::default(), |s, &p| s + p) * (1.0 / points.len().max(1) as f64);
        points.into_iter().map(|p| p - o).collect()
    };
    let own = figure(0.0);
    (2..=12).rev().map(|n| TAU / f64::from(n)).find(|&t| alike(&own, &figure(t)))
}

fn same(a: f64, b: f64) -> bool {
    let d = (a - b).rem_euclid(TAU);
    d < 1e-7 || TAU - d < 1e-7
}

/// Same corners to a thousandth of the size.
fn alike(a: &[Point], b: &[Point]) -> bool {
    let size = a.iter().map(|p| p.length()).fold(0.0, f64::max);
    let near = (size * 1e-3).powi(2);
    a.iter().all(|p| b.iter().any(|q| (*p - *q).length_squared() <= near))
}
