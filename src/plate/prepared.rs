//! Rings of a part before it is placed, kept for as long as its outlines and margins stay the same.

use std::{
    collections::BTreeMap,
    sync::{Arc, Mutex, PoisonError},
};

use super::{PartShape, Rings, Room, Shapes};
use crate::{
    document::{BedShape, Copy, Footing, Job, Machine, Margins},
    geom::{Bounds, Outline, Placement, Region, offset},
    packing::ZoneCache,
};

/// A part's shape with its rings, in the part's own coordinates.
#[derive(Debug, Clone)]
pub struct PreparedShape {
    /// The shape itself.
    pub shape: Arc<PartShape>,
    /// How far the footing reaches beyond the contact, mm.
    pub footing_mm: f64,
    /// The contact grown by that; the contact itself where bare.
    pub footing: Outline,
    /// The shadow grown by half the gap.
    pub gap_ring: Arc<Region>,
}

impl PreparedShape {
    /// Grows the rings.
    pub fn new(shape: Arc<PartShape>, footing: Footing, margins: &Margins) -> Self {
        let footing_mm = footing.width_mm();
        let grown = if footing_mm > 0.0 {
            Outline::new(offset::grow(shape.contact.region(), footing_mm, margins.tolerance_mm))
        } else {
            shape.contact.clone()
        };
        let gap_ring = Arc::new(offset::grow(shape.shadow.region(), margins.gap_mm / 2.0, margins.tolerance_mm));
        Self { shape, footing_mm, footing: grown, gap_ring }
    }
    /// Its mirror image about its y axis, rings and all.
    #[must_use]
    pub fn mirrored(&self) -> Self {
        let outline = |o: &Outline| Outline::new(o.region().mirrored());
        let shape = PartShape {
            shadow: outline(&self.shape.shadow),
            contact: outline(&self.shape.contact),
            ..(*self.shape).clone()
        };
        Self {
            shape: Arc::new(shape),
            footing_mm: self.footing_mm,
            footing: outline(&self.footing),
            gap_ring: Arc::new(self.gap_ring.mirrored()),
        }
    }
    /// The rings where the copy lies.
    pub fn rings_at(&self, at: Placement) -> Rings {
        Rings { footing: self.footing.region().placed(at), gap_ring: self.gap_ring.placed(at) }
    }
    /// Least box round shadow and footing where the copy lies.
    pub fn bounds_at(&self, at: Placement) -> Bounds {
        self.shape.shadow.bounds_at(at).union(self.footing.bounds_at(at))
    }
}

/// The rings of one copy, made afresh; [`Prepared`] is the way for many.
pub fn rings(job: &Job, copy: &Copy, shape: &PartShape) -> Rings {
    PreparedShape::new(Arc::new(shape.clone()), job.footing(copy), &job.margins).rings_at(copy.placement())
}

/// Address of the outlines, then footing, gap and tolerance to the bit. An entry keeps its outlines alive, so that no
/// other ones can take their address.
type Key = (usize, u64, u64, u64);

/// Rooms kept, by bed, distance from its edge and tolerance to the bit.
const ROOMS: usize = 16;
type KnownRoom = (BedShape, [u64; 2], Arc<Room>);

/// A prepared shape and its mirror image. Both are kept, so that no other one can take the address of the first.
type Image = (Arc<PreparedShape>, Arc<PreparedShape>);

/// Prepared shapes and rooms, each made once. Shared by all who draw, check and arrange; cheap to look up.
#[derive(Debug, Default)]
pub struct Prepared {
    known: Mutex<BTreeMap<Key, Arc<PreparedShape>>>,
    images: Mutex<BTreeMap<usize, Image>>,
    zones: Arc<ZoneCache>,
    rooms: Mutex<Vec<KnownRoom>>,
}

impl Prepared {
    /// Knows nothing yet.
    pub fn new() -> Self {
        Self::default()
    }
    /// The shape with its rings for this footing and these margins.
    pub fn get(&self, shape: &Arc<PartShape>, footing: Footing, margins: &Margins) -> Arc<PreparedShape> {
        let key = (
            Arc::as_ptr(shape) as usize,
            footing.width_mm().to_bits(),
            margins.gap_mm.to_bits(),
            margins.tolerance_mm.to_bits(),
        );
        if let Some(found) = self.known.lock().unwrap_or_else(PoisonError::into_inner).get(&key) {
            return found.clone();
        }
        // Made without the lock held: two threads may make the same one, the second is dropped.
        let made = Arc::new(PreparedShape::new(shape.clone(), footing, margins));
        self.known.lock().unwrap_or_else(PoisonError::into_inner).entry(key).or_insert(made).clone()
    }
    /// The mirror image of a prepared shape.
    pub fn mirrored(&self, form: &Arc<PreparedShape>) -> Arc<PreparedShape> {
        let key = Arc::as_ptr(form) as usize;
        if let Some((_, image)) = self.images.lock().unwrap_or_else(PoisonError::into_inner).get(&key) {
            return image.clone();
        }
        let made = Arc::new(form.mirrored());
        let mut images = self.images.lock().unwrap_or_else(PoisonError::into_inner);
        images.entry(key).or_insert((form.clone(), made)).1.clone()
    }
    /// The room on a machine with the job's margins and a strip of `skirt_mm` within them. Of a bed of thousands of corners it takes its
    /// time.
    pub(super) fn room(&self, job: &Job, machine: &Machine, skirt_mm: f64) -> Arc<Room> {
        let key = [job.edge_mm(machine) + skirt_mm, job.margins.tolerance_mm].map(f64::to_bits);
        let mut rooms = self.rooms.lock().unwrap_or_else(PoisonError::into_inner);
        if let Some((.., room)) = rooms.iter().find(|(bed, k, _)| *k == key && *bed == machine.bed) {
            return room.clone();
        }
        let room = Arc::new(Room::within(job, machine, skirt_mm));
        if rooms.len() >= ROOMS {
            rooms.remove(0);
        }
        rooms.push((machine.bed.clone(), key, room.clone()));
        room
    }
    /// Of the shapes, for making room.
    pub(super) fn zones(&self) -> &Arc<ZoneCache> {
        &self.zones
    }
    /// Forgets shapes that are no longer in use.
    pub fn keep_only(&self, shapes: &Shapes) {
        self.zones.clear();
        let mut known = self.known.lock().unwrap_or_else(PoisonError::into_inner);
        let used = |p: &PreparedShape| shapes.values().any(|s| Arc::ptr_eq(s, &p.shape));
        known.retain(|_, p| used(p));
        let mut images = self.images.lock().unwrap_or_else(PoisonError::into_inner);
        images.retain(|_, (form, _)| used(form));
    }
    /// How many it holds.
    pub fn len(&self) -> usize {
        self.known.lock().unwrap_or_else(PoisonError::into_inner).len()
    }
    /// True when it holds none.
    pub fn is_empty(&self) -> bool {
        self.len() == 0
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::plate::{rings, samples::Bench};

    #[test]
    fn made_once_for_each_footing_and_gap_and_forgotten_with_its_part() {
        let mut b = Bench::new();
        let e = b.block(20.0, 20.0);
        let (prepared, shape) = (Prepared::new(), b.shapes[&e].clone());
        let brim = Footing::Brim { width_mm: 5.0 };
        let first = prepared.get(&shape, brim, &b.job.margins);
        assert!(Arc::ptr_eq(&first, &prepared.get(&shape, brim, &b.job.margins)));
        // A raft of the same width has the same outline.
        assert!(Arc::ptr_eq(&first, &prepared.get(&shape, Footing::Raft { width_mm: 5.0 }, &b.job.margins)));
        let wider = Margins { gap_mm: 8.0, ..b.job.margins };
        assert!(!Arc::ptr_eq(&first, &prepared.get(&shape, brim, &wider)));
        assert_eq!(prepared.len(), 2);
        b.shapes.clear();
        prepared.keep_only(&b.shapes);
        assert!(prepared.is_empty());
    }

    #[test]
    fn rooms_are_made_once_for_each_bed_and_margin() {
        let mut b = Bench::new();
        let prepared = Prepared::new();
        let room = |b: &Bench, skirt_mm: f64| prepared.room(&b.job, &b.job.machines[0], skirt_mm);
        let first = room(&b, 0.0);
        assert!(Arc::ptr_eq(&first, &room(&b, 0.0)) && !Arc::ptr_eq(&first, &room(&b, 5.0)));
        assert_eq!(room(&b, 5.0).region(), Room::within(&b.job, &b.job.machines[0], 5.0).region());
        b.job.margins.edge_mm += 3.0;
        assert_eq!(room(&b, 0.0).region(), Room::new(&b.job, &b.job.machines[0]).region());
        b.job.machines[0].bed = BedShape::Round { diameter_mm: 90.0 };
        assert!(room(&b, 0.0).is_round());
        for k in 0..40 {
            room(&b, f64::from(k));
        }
        assert_eq!(prepared.rooms.lock().unwrap_or_else(PoisonError::into_inner).len(), ROOMS);
    }

    #[test]
    fn rings_lie_round_the_copy() {
        let mut b = Bench::new();
        let e = b.block(20.0, 20.0);
        b.part_mut(e).footing = Footing::Brim { width_mm: 5.0 };
        b.put(e, 100.0, 50.0);
        let r = rings(&b.job, &b.job.plates[0].copies[0], &b.shapes[&e]);
        let (footing, ring) = (r.footing.bounds(), r.gap_ring.bounds());
        assert!((footing.min.x - 85.0).abs() < 0.011 && footing.min.x <= 85.0 && footing.max.y >= 65.0);
        assert!((ring.min.x - 88.5).abs() < 0.011 && ring.min.x <= 88.5 && ring.max.y >= 61.5);
    }
}
