//! Search outlines and zones kept from one question to the next.

use std::{
    collections::BTreeMap,
    sync::{Arc, Mutex, MutexGuard, PoisonError},
};

use crate::geom::{Outline, Region};
use crate::packing::{
    Problem, Shape,
    bodies::body::{Body, FEW_SHAPES},
};

/// Bodies and zones kept at most: a zone takes some kilobytes.
const MOST_BODIES: usize = 256;
const MOST_ZONES: usize = 4096;

/// What [`make_room`](crate::packing::make_room) works out of shapes before it moves any, kept for the next call with the same
/// outlines (the same in memory, not merely equal ones) and gaps.
#[derive(Debug, Default)]
pub struct ZoneCache {
    bodies: Mutex<BTreeMap<BodyKey, Known>>,
    /// By addresses of two bodies and the relative turn to the bit.
    bases: Mutex<BTreeMap<(usize, usize, u64), Base>>,
}

/// Addresses of shadow, contact and footing; gaps, least widths and step of turns to the bit; footings may merge, few
/// shapes, a height that is a number. An entry keeps its outlines alive, so that no other ones can take their address.
type BodyKey = ([usize; 3], [u64; 5], [bool; 3]);

/// A body, and its outlines.
#[derive(Debug)]
struct Known {
    body: Arc<Body>,
    _outlines: [Arc<Region>; 3],
}

/// A zone, and the bodies it is of, so that no other ones can take their addresses.
#[derive(Debug)]
struct Base {
    zone: Arc<Region>,
    _of: [Arc<Body>; 2],
}

fn lock<T>(what: &Mutex<T>) -> MutexGuard<'_, T> {
    what.lock().unwrap_or_else(PoisonError::into_inner)
}

impl ZoneCache {
    /// Forgets what is known where that has become much.
    pub(in crate::packing) fn trim(&self) {
        let (mut bodies, mut bases) = (lock(&self.bodies), lock(&self.bases));
        if bodies.len() > MOST_BODIES {
            bodies.clear();
        }
        if bases.len() > MOST_ZONES {
            bases.clear();
        }
    }

    /// Forgets everything.
    pub fn clear(&self) {
        lock(&self.bodies).clear();
        lock(&self.bases).clear();
    }

    /// `slim` as in [`Body::new`].
    pub(in crate::packing) fn body(&self, shape: &Shape, problem: &Problem, slim: [f64; 2]) -> Arc<Body> {
        let outlines = [&shape.shadow, &shape.contact, &shape.footing].map(Outline::shared_region);
        let numbers =
            [problem.gap_mm, problem.footing_gap_mm, slim[0], slim[1], shape.turn_step_rad.unwrap_or(f64::NAN)];
        let key = (
            outlines.each_ref().map(|o| Arc::as_ptr(o) as usize),
            numbers.map(f64::to_bits),
            [problem.footings_may_merge, problem.shapes.len() <= FEW_SHAPES, shape.height_mm.is_finite()],
        );
        if let Some(known) = lock(&self.bodies).get(&key) {
            return known.body.clone();
        }
        let body = Arc::new(Body::new(shape, problem, slim));
        lock(&self.bodies).entry(key).or_insert(Known { body, _outlines: outlines }).body.clone()
    }

    /// The zone of two bodies of this cache, the second turned by `turn`; made when first asked for.
    pub(in crate::packing) fn base(
        &self,
        a: &Arc<Body>,
        b: &Arc<Body>,
        turn: f64,
        make: impl FnOnce() -> Region,
    ) -> Arc<Region> {
        let key = (Arc::as_ptr(a) as usize, Arc::as_ptr(b) as usize, turn.to_bits());
        if let Some(found) = lock(&self.bases).get(&key) {
            return found.zone.clone();
        }
        let made = Base { zone: Arc::new(make()), _of: [a.clone(), b.clone()] };
        lock(&self.bases).entry(key).or_insert(made).zone.clone()
    }
}
