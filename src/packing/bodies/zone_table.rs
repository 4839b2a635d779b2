//! Bodies at their turns, and the zones of every pair, computed when first asked for.

use std::{
    collections::{BTreeMap, BTreeSet},
    f64::consts::TAU,
    sync::{Arc, OnceLock},
};

use rayon::prelude::*;

use crate::packing::{
    Layout, Problem, Shape,
    bodies::body::{self, Body, Layer},
    bodies::inner_fit::InnerFit,
    bodies::zone::{self, Zone},
    bodies::zone_cache::ZoneCache,
};
use crate::{
    geom::{Bounds, Outline, Placement, Point, Polygon, Region, boolean, hull},
    watch::Watch,
};

/// Zones computed in advance at most.
const WARM_PAIRS: usize = 400;

/// A body at one turn.
#[derive(Debug, Clone)]
pub(in crate::packing) struct Variant {
    pub(in crate::packing) shape: usize,
    pub(in crate::packing) turn_rad: f64,
    /// Box of shadow and footing, relative to the origin.
    pub(in crate::packing) bounds: Bounds,
}

/// Variants that are not taken by their hulls.
#[derive(Debug, Default)]
pub(in crate::packing) struct Exact {
    /// Among one another: still, moving.
    pub(in crate::packing) pairs: BTreeSet<(usize, usize)>,
    /// On the bed.
    pub(in crate::packing) inner_fits: BTreeSet<usize>,
}

/// What the search looks things up in.
#[derive(Debug)]
pub(in crate::packing) struct ZoneTable<'a> {
    pub(in crate::packing) problem: &'a Problem,
    pub(in crate::packing) bodies: Vec<Arc<Body>>,
    /// Free variants shape by shape, then those that only fixed copies have.
    pub(in crate::packing) variants: Vec<Variant>,
    /// Free variants by shape.
    pub(in crate::packing) of_shape: Vec<Vec<usize>>,
    /// Fixed copies by bed.
    pub(in crate::packing) fixed: Vec<Vec<(usize, Point)>>,
    pairs: Vec<OnceLock<Arc<Zone>>>,
    /// Holds the zones of an unturned and a turned shape.
    cache: Arc<ZoneCache>,
    /// What is exact, where all else is taken by its hull.
    exact: Option<Exact>,
    inner_fits: Vec<OnceLock<Arc<InnerFit>>>,
    /// One figure for each relative turn, to the bit, whichever pair asks first: threads race.
    relative: BTreeMap<i64, f64>,
}

fn key_of(turn_rad: f64) -> i64 {
    (turn_rad * 1e9).round() as i64
}

impl ZoneCache {
    /// Works out what can be known of the shapes before any lies anywhere.
    pub fn learn(self: &Arc<Self>, problem: &Problem) {
        ZoneTable::cached(problem, &[], self).bodies.par_iter().for_each(|b| b.make_ready());
    }
}

impl<'a> ZoneTable<'a> {
    /// `more`: turns of each shape beside those of its body.
    pub(in crate::packing) fn new(problem: &'a Problem, more: &[Vec<f64>]) -> Self {
        Self::cached(problem, more, &Arc::default())
    }

    /// As [`Self::new`], with bodies and zones of questions before.
    pub(in crate::packing) fn cached(problem: &'a Problem, more: &[Vec<f64>], cache: &Arc<ZoneCache>) -> Self {
        let slimmest = |outline: fn(&Shape) -> &Outline| {
            problem.shapes.iter().map(|s| body::least_width(outline(s).region())).fold(f64::INFINITY, f64::min)
        };
        let slim = [slimmest(|s| &s.shadow), slimmest(|s| &s.contact)];
        let bodies: Vec<Arc<Body>> = problem.shapes.par_iter().map(|s| cache.body(s, problem, slim)).collect();
        let mut variants = Vec::new();
        let mut of_shape = Vec::new();
        // Tables grow with the square: with many shapes each gets fewer turns.
        let most = (900 / bodies.len().max(1)).clamp(4, 28);
        for (shape, body) in bodies.iter().enumerate() {
            let turns = if body.usable { &body.turns[..body.turns.len().min(most)] } else { &[] };
            let from = variants.len();
            let more = more.get(shape).map(Vec::as_slice).unwrap_or_default();
            let known = |t: f64| turns.contains(&t);
            let all = more.iter().copied().filter(|t| body.usable && !known(*t)).chain(turns.iter().copied());
            variants.extend(all.map(|t| Variant { shape, turn_rad: t, bounds: body.bounds_at(t) }));
            of_shape.push((from..variants.len()).collect());
        }
        let fixed = problem
            .beds
            .iter()
            .map(|bed| {
                bed.fixed
                    .iter()
                    .filter(|i| bodies.get(i.shape).is_some_and(|b| b.usable))
                    .filter(|i| i.at.origin().is_finite() && i.at.turn_rad.is_finite())
                    .map(|i| {
                        let known = variants.iter().position(|v| v.shape == i.shape && v.turn_rad == i.at.turn_rad);
                        let v = known.unwrap_or_else(|| {
                            let bounds = bodies[i.shape].bounds_at(i.at.turn_rad);
                            variants.push(Variant { shape: i.shape, turn_rad: i.at.turn_rad, bounds });
                            variants.len() - 1
                        });
                        (v, i.at.origin())
                    })
                    .collect()
            })
            .collect();
        let n = variants.len();
        let mut relative = BTreeMap::new();
        for a in &variants {
            for b in &variants {
                let turn = (b.turn_rad - a.turn_rad).rem_euclid(TAU);
                relative.entry(key_of(turn)).or_insert(turn);
            }
        }
        Self {
            problem,
            relative,
            bodies,
            of_shape,
            fixed,
            pairs: (0..n * n).map(|_| OnceLock::new()).collect(),
            cache: cache.clone(),
            exact: None,
            inner_fits: (0..n * problem.beds.len()).map(|_| OnceLock::new()).collect(),
            variants,
        }
    }

    /// Computes the zones that unturned shapes placed in this order will ask for, on all threads.
    pub(in crate::packing) fn warm(&self, order: &[usize], watch: &dyn Watch<Layout>) {
        let first = |s: usize| self.of_shape[s].first().copied();
        let pairs: Vec<(usize, usize)> = order
            .iter()
            .enumerate()
            .flat_map(|(i, &a)| order[i..].iter().filter_map(move |&b| Some((first(a)?, first(b)?))))
            .collect();
        // With very many shapes most never lie on one bed.
        if pairs.len() <= WARM_PAIRS {
            pairs.par_iter().for_each(|&(still, moving)| {
                if !watch.cancelled() {
                    self.pair(still, moving);
                }
            });
        }
    }

    /// Offsets of a copy of `moving` from a copy of `still` at which they breach a clearance.
    pub(in crate::packing) fn pair(&self, still: usize, moving: usize) -> &Arc<Zone> {
        self.pairs[moving * self.variants.len() + still].get_or_init(|| {
            let (a, b) = (&self.variants[still], &self.variants[moving]);
            if self.exact.as_ref().is_some_and(|exact| !exact.pairs.contains(&(still, moving))) {
                return Arc::new(self.hull_zone(still, moving));
            }
            let base = self.base(a.shape, b.shape, b.turn_rad - a.turn_rad);
            Arc::new(Zone::new(&base.placed(Placement::new(0.0, 0.0, a.turn_rad))))
        })
    }

    /// From now on only these have exact zones and inner fits, the others those of their hulls, which take no time.
    pub(in crate::packing) fn with_hulls(mut self, exact: Exact) -> Self {
        self.exact = Some(exact);
        self.pairs.fill_with(OnceLock::new);
        self.inner_fits.fill_with(OnceLock::new);
        self
    }

    /// Some of the places where a variant may lie on an empty bed, those for its hull: quick.
    pub(in crate::packing) fn hull_inner_fit(&self, bed: usize, variant: usize) -> InnerFit {
        let v = &self.variants[variant];
        InnerFit::of_hull(&self.problem.beds[bed], &self.bodies[v.shape], v.turn_rad)
    }

    /// A convex zone round the zone of a pair: that of the hulls.
    pub(in crate::packing) fn hull_zone(&self, still: usize, moving: usize) -> Zone {
        let (a, b) = (&self.variants[still], &self.variants[moving]);
        let turned = |l: &Layer, turn: f64| -> Vec<Point> {
            let at = Placement::new(0.0, 0.0, turn);
            l.hull().iter().map(|&p| at.apply(p)).collect()
        };
        let (body, other) = (&self.bodies[a.shape], &self.bodies[b.shape]);
        let mut layers = vec![(&body.shadow_grown, &other.shadow)];
        if self.problem.footings_may_merge {
            layers.extend([(&body.footing, &other.contact), (&body.contact, &other.footing)]);
        } else {
            layers.push((&body.footing_grown, &other.footing));
        }
        let sums = layers.into_iter().flat_map(|(l, m)| zone::sum_loop(&turned(l, a.turn_rad), &turned(m, b.turn_rad)));
        Zone::new(&Polygon::simple(hull::convex_hull(sums)).into())
    }

    /// Offsets at which a shape turned by `turn` breaches a clearance with an unturned one.
    pub(in crate::packing) fn base(&self, a: usize, b: usize, turn: f64) -> Arc<Region> {
        let turn = turn.rem_euclid(TAU);
        // A turn that no pair of variants has is taken as its key says, so that it does not matter who asks first.
        let turn = self.relative.get(&key_of(turn)).copied().unwrap_or(key_of(turn) as f64 * 1e-9);
        let (a, b) = (&self.bodies[a], &self.bodies[b]);
        self.cache.base(a, b, turn, || self.between(a, b, Placement::new(0.0, 0.0, turn)))
    }

    fn between(&self, a: &Body, b: &Body, at: Placement) -> Region {
        let turned = |l: &Layer| -> Vec<Vec<Point>> {
            l.pieces().iter().map(|p| p.iter().map(|&q| at.apply(q)).collect()).collect()
        };
        let mut parts = Vec::new();
        let no_footing = a.footing_within_shadow && b.footing_within_shadow;
        if no_footing || !(a.shadow_within_footing && b.shadow_within_footing) {
            parts.push(zone::overlap_positions(a.shadow_grown.loops(), &turned(&b.shadow)));
        }
        if !no_footing {
            if self.problem.footings_may_merge {
                parts.push(zone::overlap_positions(a.footing.loops(), &turned(&b.contact)));
                parts.push(zone::overlap_positions(a.contact.loops(), &turned(&b.footing)));
            } else {
                parts.push(zone::overlap_positions(a.footing_grown.loops(), &turned(&b.footing)));
            }
        }
        match parts.len() {
            1 => parts.remove(0),
            _ => boolean::union(&parts),
        }
    }

    /// Are two copies so near that a clearance may be breached? Cheap: asks for no zone.
    pub(in crate::packing) fn near(&self, (v, p): (usize, Point), (w, q): (usize, Point)) -> bool {
        // Search outlines are a little larger than the true ones.
        self.within((v, p), (w, q), self.problem.gap_mm.max(self.problem.footing_gap_mm).max(0.0) + 0.5)
    }

    /// Are the boxes of two copies no farther apart than this?
    pub(in crate::packing) fn within(&self, (v, p): (usize, Point), (w, q): (usize, Point), reach: f64) -> bool {
        self.variants[v].bounds.moved(p).grown(reach).overlaps(self.variants[w].bounds.moved(q))
    }

    /// Where a variant may lie on an empty bed.
    pub(in crate::packing) fn inner_fit(&self, bed: usize, variant: usize) -> &Arc<InnerFit> {
        self.inner_fits[bed * self.variants.len() + variant].get_or_init(|| {
            if self.exact.as_ref().is_some_and(|exact| !exact.inner_fits.contains(&variant)) {
                return Arc::new(self.hull_inner_fit(bed, variant));
            }
            let v = &self.variants[variant];
            Arc::new(InnerFit::new(&self.problem.beds[bed], &self.bodies[v.shape], v.turn_rad))
        })
    }

    /// As [`Self::pair`], for a moving shape at any turn.
    pub(in crate::packing) fn zone_to_turn(&self, still: usize, shape: usize, turn: f64) -> Zone {
        let a = &self.variants[still];
        Zone::new(&self.base(a.shape, shape, turn - a.turn_rad).placed(Placement::new(0.0, 0.0, a.turn_rad)))
    }

    /// May this shape lie on this bed (class of the bed, height)?
    pub(in crate::packing) fn admits(&self, bed: usize, shape: usize) -> bool {
        let (b, s) = (&self.problem.beds[bed], &self.problem.shapes[shape]);
        s.height_mm <= b.height_mm + 1e-9 && b.class.is_none_or(|c| c == s.class)
    }
}
