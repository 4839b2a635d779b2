//! Which copies of a plate are in conflict, and with what.

use std::{
    collections::{BTreeMap, BTreeSet},
    sync::Arc,
};

use super::{
    Conflict, ConflictKind, Fit, PlateTwin, Prepared, PreparedShape, Room, Shapes,
    fit::{beyond, fits_half},
    fits, skirt,
};
use crate::{
    document::{Copy, CopyId, Footing, Job, Margins, Part, PartId, Plate, Recipe},
    geom::{Bounds, BoxTree, Outline, Placement, Point, Region, boolean, depth, moments, offset},
    packing::ZoneCache,
};

/// Breaches under this are none, mm: what exports round to.
const SLACK_MM: f64 = 1e-6;
/// Conflicts between two copies that are told of a plate. A heap of copies (a unit chosen wrongly) has as many as there are pairs,
/// and nobody reads more.
const MOST_PAIRS: usize = 2000;

/// All conflicts of a plate. Copies whose part has no shape (a mesh is missing) are not looked at.
pub fn conflicts(job: &Job, plate: &Plate, shapes: &Shapes) -> Vec<Conflict> {
    Checker::new(job, plate, shapes, &Prepared::new()).conflicts()
}

/// A plate made ready for many questions: built once, then asked for the copies being moved.
#[derive(Debug, Clone)]
pub struct Checker {
    entries: Vec<Entry>,
    by_id: BTreeMap<CopyId, usize>,
    tree: BoxTree,
    bed: Option<Bed>,
    margins: Margins,
    /// How far the plate's skirt reaches from the footings; 0 without one.
    skirt_mm: f64,
    /// How far apart two boxes (shadow and footing) may be and still breach a clearance.
    reach_mm: f64,
    zones: Arc<ZoneCache>,
    covered: f64,
}

#[derive(Debug, Clone)]
struct Entry {
    id: CopyId,
    form: Arc<PreparedShape>,
    /// Its twin's, where the plate is printed twice at once.
    image: Arc<PreparedShape>,
    at: Placement,
    /// Does not fit this bed, or one half of it, at any allowed rotation.
    too_large: bool,
    /// Height with the raft under it.
    height_mm: f64,
    belongs: bool,
}

#[derive(Debug, Clone)]
struct Bed {
    room: Arc<Room>,
    keep_outs: Vec<(String, Outline)>,
    height_mm: f64,
    twin: Option<Halves>,
}

/// Of a bed on which everything is printed twice at once.
#[derive(Debug, Clone, Copy)]
struct Halves {
    twin: PlateTwin,
    /// How far copies may reach along X.
    end_mm: f64,
}

/// A copy, or its twin, at a place.
#[derive(Clone, Copy)]
struct Lying<'a> {
    entry: &'a Entry,
    form: &'a Arc<PreparedShape>,
    at: Placement,
    is_twin: bool,
}

impl Entry {
    fn lying(&self, at: Placement) -> Lying<'_> {
        Lying { entry: self, form: &self.form, at, is_twin: false }
    }
    fn twin(&self, at: Placement, twin: &PlateTwin) -> Lying<'_> {
        Lying { entry: self, form: &self.image, at: twin.placement(at), is_twin: true }
    }
}

/// Height of a copy with the raft under it, mm.
pub(super) fn height_on_bed_mm(job: &Job, part: PartId, footing: Footing, height_mm: f64) -> f64 {
    let raft = match footing {
        Footing::Raft { .. } => job.part(part).and_then(|p| job.recipe(p.recipe)).map_or(0.0, Recipe::raft_height_mm),
        Footing::Bare | Footing::Brim { .. } => 0.0,
    };
    height_mm + raft
}

impl Checker {
    /// Makes a plate ready.
    pub fn new(job: &Job, plate: &Plate, shapes: &Shapes, prepared: &Prepared) -> Self {
        let twin = PlateTwin::of(job, plate);
        let bed = job.machine(plate.machine).map(|m| {
            let room = prepared.room(job, m, 0.0);
            Bed {
                twin: twin.map(|twin| Halves { twin, end_mm: twin.end_mm(room.region().bounds()) }),
                room,
                keep_outs: m.keep_outs.iter().map(|k| (k.name.clone(), Outline::new(k.region()))).collect(),
                height_mm: m.height_mm,
            }
        });
        let mut known: BTreeMap<(usize, PartId), bool> = BTreeMap::new();
        let mut too_large = |form: &Arc<PreparedShape>, part: &Part| {
            let Some(bed) = &bed else { return false };
            let key = (Arc::as_ptr(form) as usize, part.id);
            *known.entry(key).or_insert_with(|| {
                let fit = match &bed.twin {
                    Some(h) => fits_half(&bed.room, &h.twin, form, part.turns, prepared),
                    None => fits(&bed.room, form, part.turns),
                };
                fit != Fit::Fits
            })
        };
        let entry = |c: &Copy| {
            let (part, shape) = (job.part(c.part)?, shapes.get(&c.part)?);
            let footing = job.footing(c);
            let form = prepared.get(shape, footing, &job.margins);
            Some(Entry {
                id: c.id,
                at: c.placement(),
                too_large: too_large(&form, part),
                image: match twin {
                    Some(t) if t.is_handed() => prepared.mirrored(&form),
                    _ => form.clone(),
                },
                form,
                height_mm: height_on_bed_mm(job, c.part, footing, shape.height_mm),
                belongs: job.belongs(part, plate),
            })
        };
        let entries: Vec<Entry> = plate.copies.iter().filter_map(entry).collect();
        let boxes: Vec<Bounds> = entries.iter().map(|e| e.form.bounds_at(e.at)).collect();
        let shadows: f64 = entries.iter().map(|e| e.form.shape.shadow.region().area()).sum();
        let room = bed.as_ref().map_or(0.0, |b| b.room.region().area());
        Self {
            covered: if room > 0.0 { shadows / room } else { 0.0 },
            by_id: entries.iter().enumerate().map(|(i, e)| (e.id, i)).collect(),
            tree: BoxTree::new(&boxes),
            entries,
            bed,
            margins: job.margins,
            skirt_mm: job.recipe(plate.recipe).map_or(0.0, Recipe::skirt_mm),
            reach_mm: job.margins.gap_mm.max(job.margins.footing_gap_mm).max(0.0) + SLACK_MM,
            zones: prepared.zones().clone(),
        }
    }

    /// All conflicts of the plate as it is; of those between two copies, the first 2000.
    pub fn conflicts(&self) -> Vec<Conflict> {
        let mut out = Vec::new();
        for e in &self.entries {
            self.alone(e, e.at, &mut out);
        }
        let most = out.len() + MOST_PAIRS;
        for (i, e) in self.entries.iter().enumerate() {
            for j in self.tree.touching(e.form.bounds_at(e.at).grown(self.reach_mm)) {
                if j > i && out.len() < most {
                    let f = &self.entries[j];
                    self.pair(e.lying(e.at), f.lying(f.at), &mut out);
                }
            }
            if let Some(twin) = self.twin() {
                for j in self.tree.touching(twin.bounds_back(e.form.bounds_at(e.at)).grown(self.reach_mm)) {
                    // Of two copies of handed twins either with the other's twin: the same, mirrored.
                    if out.len() < most && (j >= i || !twin.is_handed()) {
                        let f = &self.entries[j];
                        self.pair(e.lying(e.at), f.twin(f.at, twin), &mut out);
                    }
                }
            }
            if out.len() >= most {
                break;
            }
        }
        self.skirt_between(|i| self.entries[i].at, |_| true, &mut out);
        sort(&mut out);
        out
    }

    /// The conflicts that the moved copies would have at their new places, with each other and with all the rest.
    /// Ids that are not on the plate are passed over.
    pub fn conflicts_of(&self, moved: &[(CopyId, Placement)]) -> Vec<Conflict> {
        let moved: BTreeMap<usize, Placement> =
            moved.iter().filter_map(|(id, at)| Some((*self.by_id.get(id)?, *at))).collect();
        let mut out = Vec::new();
        let boxes: Vec<(usize, Placement, Bounds)> =
            moved.iter().map(|(&i, &at)| (i, at, self.entries[i].form.bounds_at(at).grown(self.reach_mm))).collect();
        for &(i, at, _) in &boxes {
            self.alone(&self.entries[i], at, &mut out);
        }
        let most = out.len() + MOST_PAIRS;
        for &(i, at, grown) in &boxes {
            let e = &self.entries[i];
            for j in self.tree.touching(grown) {
                if !moved.contains_key(&j) && out.len() < most {
                    let f = &self.entries[j];
                    self.pair(e.lying(at), f.lying(f.at), &mut out);
                }
            }
            let Some(twin) = self.twin() else { continue };
            let still = |j: &usize| !moved.contains_key(j);
            for j in self.tree.touching(twin.bounds_back(grown)).into_iter().filter(still) {
                if out.len() < most {
                    let f = &self.entries[j];
                    self.pair(e.lying(at), f.twin(f.at, twin), &mut out);
                }
            }
            // A handed twin on another copy is the same as the copy on the other's twin, mirrored.
            for j in self.tree.touching(twin.bounds(grown)).into_iter().filter(still) {
                if out.len() < most && !twin.is_handed() {
                    let f = &self.entries[j];
                    self.pair(f.lying(f.at), e.twin(at, twin), &mut out);
                }
            }
        }
        // Among themselves: copies moved along together keep their places to one another, so most boxes part.
        if boxes.len() > 1 || self.twin().is_some() {
            let tree = BoxTree::new(&boxes.iter().map(|b| b.2).collect::<Vec<_>>());
            for (k, &(i, at, grown)) in boxes.iter().enumerate() {
                for l in tree.touching(grown) {
                    if l > k && out.len() < most {
                        let (j, other_at, _) = boxes[l];
                        self.pair(self.entries[i].lying(at), self.entries[j].lying(other_at), &mut out);
                    }
                }
                let Some(twin) = self.twin() else { continue };
                for l in tree.touching(twin.bounds_back(grown)) {
                    if out.len() < most && (l >= k || !twin.is_handed()) {
                        let (j, other_at, _) = boxes[l];
                        self.pair(self.entries[i].lying(at), self.entries[j].twin(other_at, twin), &mut out);
                    }
                }
            }
        }
        let at = |i: usize| moved.get(&i).copied().unwrap_or(self.entries[i].at);
        self.skirt_between(at, |i| moved.contains_key(&i), &mut out);
        sort(&mut out);
        out
    }

    /// Where a copy lies; `None` where it is not on the plate or has no shape.
    pub fn placement(&self, copy: CopyId) -> Option<Placement> {
        self.by_id.get(&copy).map(|&i| self.entries[i].at)
    }

    /// The copy's shape with its rings.
    pub fn form(&self, copy: CopyId) -> Option<&Arc<PreparedShape>> {
        self.by_id.get(&copy).map(|&i| &self.entries[i].form)
    }

    /// Shadows of all copies as a share of the room, the bed less its edge margin.
    pub fn covered(&self) -> f64 {
        self.covered
    }

    /// Copies that have a shape, in the order of the plate.
    pub(super) fn copies(&self) -> impl Iterator<Item = CopyId> + '_ {
        self.entries.iter().map(|e| e.id)
    }

    /// Every shape on the plate once, in the order of the plate.
    pub(super) fn forms(&self) -> Vec<&Arc<PreparedShape>> {
        let mut seen = BTreeSet::new();
        self.entries.iter().map(|e| &e.form).filter(|form| seen.insert(Arc::as_ptr(form) as usize)).collect()
    }

    /// What is kept from one making of room to the next.
    pub(super) fn zones(&self) -> &Arc<ZoneCache> {
        &self.zones
    }

    /// Box of a copy's shadow and footing where it lies.
    pub(super) fn bounds(&self, copy: CopyId) -> Option<Bounds> {
        self.by_id.get(&copy).map(|&i| self.entries[i].form.bounds_at(self.entries[i].at))
    }

    /// Copies whose shadow or footing may be nearer to the area than the margins ask, in the order of the plate.
    pub(super) fn touching(&self, area: Bounds) -> Vec<CopyId> {
        let mut near: Vec<usize> = self.tree.touching(area.grown(self.reach_mm)).into_iter().collect();
        near.sort_unstable();
        near.into_iter().map(|i| self.entries[i].id).collect()
    }

    /// Where copies may lie, and what they must not cover.
    pub(super) fn ground(&self) -> Option<(Region, Vec<Region>)> {
        let bed = self.bed.as_ref()?;
        Some((bed.room.region().clone(), bed.keep_outs.iter().map(|(_, k)| k.region().clone()).collect()))
    }

    /// How the plate is printed twice at once.
    pub(super) fn twin(&self) -> Option<&PlateTwin> {
        Some(&self.bed.as_ref()?.twin.as_ref()?.twin)
    }

    /// What was asked for between copies.
    pub(super) fn margins(&self) -> &Margins {
        &self.margins
    }

    /// Takes over new places, as after a drop: cheaper than building anew.
    pub fn set(&mut self, moved: &[(CopyId, Placement)]) {
        for (id, at) in moved {
            if let Some(&i) = self.by_id.get(id) {
                self.entries[i].at = *at;
                self.tree.set(i, self.entries[i].form.bounds_at(*at));
            }
        }
    }

    /// Conflicts of one copy, and of its twin, with the bed and the machine.
    fn alone(&self, e: &Entry, at: Placement, out: &mut Vec<Conflict>) {
        let one = |kind, amount_mm, region: Region| {
            let place = place_of(&region).unwrap_or_else(|| e.form.bounds_at(at).centre());
            Conflict { kind, copies: vec![e.id], amount_mm, region, place, keep_out: None, twin: None }
        };
        if !e.belongs {
            out.push(one(ConflictKind::MixedRecipe, 0.0, Region::EMPTY));
        }
        let Some(bed) = &self.bed else { return };
        let is_off = self.on_ground(bed, e.lying(at), true, out);
        if let Some(Halves { twin, end_mm }) = &bed.twin {
            let past = beyond(*end_mm, &e.form, at, 0.0);
            let past_skirt = beyond(*end_mm, &e.form, at, self.skirt_mm);
            let over = |of: &[Region]| {
                let b = of.iter().map(Region::bounds).fold(Bounds::EMPTY, Bounds::union);
                let rest = Bounds::new(Point::new(*end_mm, b.min.y), Point::new(b.max.x.max(*end_mm) + 1.0, b.max.y));
                let rest = Region::rectangle(rest);
                boolean::union(&of.iter().map(|r| boolean::intersection(r, &rest)).collect::<Vec<_>>())
            };
            if past > SLACK_MM {
                let kind = if e.too_large { ConflictKind::HalfTooSmall } else { ConflictKind::Half };
                let of = [&e.form.shape.shadow, &e.form.footing].map(|o| o.region().placed(at));
                out.push(one(kind, past, over(&of)));
            } else if self.skirt_mm > 0.0 && past_skirt > SLACK_MM {
                out.push(one(ConflictKind::SkirtHalf, past_skirt, over(&[self.within_skirt(e.lying(at))])));
            }
            // What is off the bed has a twin that is, too: said once.
            self.on_ground(bed, e.twin(at, twin), !is_off, out);
        }
        let above = e.height_mm - bed.height_mm;
        if above > SLACK_MM {
            out.push(one(ConflictKind::TooTall, above, e.form.shape.shadow.region().placed(at)));
        }
    }

    /// Conflicts with the bed's edge, where that is asked, and with keep-outs. Is it off the bed?
    fn on_ground(&self, bed: &Bed, l: Lying<'_>, edge: bool, out: &mut Vec<Conflict>) -> bool {
        let (e, form, at) = (l.entry, l.form, l.at);
        let (shadow, contact) = (&form.shape.shadow, &form.shape.contact);
        let one = |kind, amount_mm, region: Region, keep_out| {
            let place = place_of(&region).unwrap_or_else(|| form.bounds_at(at).centre());
            let twin = l.is_twin.then_some(e.id);
            Conflict { kind, copies: vec![e.id], amount_mm, region, place, keep_out, twin }
        };
        let excess = bed.room.excess_mm(shadow, at, 0.0).max(bed.room.excess_mm(contact, at, form.footing_mm));
        let is_off = excess > SLACK_MM;
        if is_off && edge {
            let kind = if e.too_large && bed.twin.is_none() { ConflictKind::TooLarge } else { ConflictKind::OffBed };
            let outside = |o: &Outline| boolean::difference(&o.region().placed(at), bed.room.region());
            let mut region = outside(shadow);
            if form.footing_mm > 0.0 {
                region = boolean::union([&region, &outside(&form.footing)]);
            }
            out.push(one(kind, excess, region, None));
        } else if self.skirt_mm > 0.0 && !is_off {
            let short = bed.room.excess_mm(contact, at, form.footing_mm + self.skirt_mm);
            if short > SLACK_MM {
                let region = boolean::difference(&self.within_skirt(l), bed.room.region());
                out.push(one(ConflictKind::SkirtRoom, short, region, None));
            }
        }
        for (name, area) in &bed.keep_outs {
            let home = Placement::default();
            let w = form.footing_mm;
            let footing_in = w - contact.distance_within(at, area, home, w.max(SLACK_MM));
            let over = shadow.distance_within(at, area, home, SLACK_MM) < SLACK_MM;
            if !over && footing_in <= SLACK_MM {
                let skirted = w + self.skirt_mm;
                let skirt_in = skirted - contact.distance_within(at, area, home, skirted.max(SLACK_MM));
                if self.skirt_mm > 0.0 && skirt_in > SLACK_MM {
                    let region = boolean::intersection(&self.within_skirt(l), area.region());
                    out.push(one(ConflictKind::SkirtRoom, skirt_in, region, Some(name.clone())));
                }
                continue;
            }
            let covered = |o: &Outline| depth::overlap(&o.region().placed(at), area.region()).filter(has_width);
            let by_shadow = if over { covered(shadow) } else { None };
            let by_footing = if footing_in > SLACK_MM { covered(&form.footing) } else { None };
            // How far a footing reaches in is known without its polygon's error, unless the contact is in there too.
            let deep = |o: &depth::Overlap| if footing_in < w { footing_in } else { o.depth_mm };
            let amount_mm = by_shadow.as_ref().map_or(0.0, |o| o.depth_mm).max(by_footing.as_ref().map_or(0.0, deep));
            if amount_mm > SLACK_MM {
                let region = match (by_shadow, by_footing) {
                    (Some(s), Some(f)) => boolean::union([&s.region, &f.region]),
                    (Some(o), None) | (None, Some(o)) => o.region,
                    (None, None) => Region::EMPTY,
                };
                out.push(one(ConflictKind::KeepOut, amount_mm, region, Some(name.clone())));
            }
        }
        is_off
    }

    /// A footing grown to the outer edge of a skirt laid round it.
    fn within_skirt(&self, l: Lying<'_>) -> Region {
        offset::grow(&l.form.footing.region().placed(l.at), self.skirt_mm, self.margins.tolerance_mm)
    }

    /// Where the skirt, led straight from footing to footing, leaves the bed or covers a keep-out though each footing alone
    /// would have room for it. `concerns` says which entries are looked at.
    fn skirt_between(
        &self,
        at: impl Fn(usize) -> Placement,
        concerns: impl Fn(usize) -> bool,
        out: &mut Vec<Conflict>,
    ) {
        let Some(bed) = self.bed.as_ref().filter(|_| self.skirt_mm > 0.0) else { return };
        let convex = bed.room.is_round() || bed.room.is_rectangular();
        if convex && bed.keep_outs.is_empty() {
            return;
        }
        let corners = |i: usize| self.entries[i].form.footing.hull().iter().map(move |&p| (p, i));
        let points: Vec<(Point, usize)> =
            (0..self.entries.len()).flat_map(corners).map(|(p, i)| (at(i).apply(p), i)).collect();
        for band in skirt::bands(&points, self.skirt_mm) {
            let [i, j] = band.between;
            if !concerns(i) && !concerns(j) {
                continue;
            }
            let mut copies = vec![self.entries[i].id, self.entries[j].id];
            copies.sort_unstable();
            copies.dedup();
            let mut tell = |crossed: Option<depth::Overlap>, keep_out: Option<&String>, twin: Option<CopyId>| {
                // Grown footings exceed the true ones by the tolerance at most.
                let Some(o) = crossed.filter(|o| o.depth_mm > SLACK_MM + self.margins.tolerance_mm) else { return };
                let told = |c: &Conflict| {
                    let same = match c.kind {
                        ConflictKind::SkirtRoom | ConflictKind::KeepOut => c.keep_out.as_ref() == keep_out,
                        ConflictKind::OffBed | ConflictKind::TooLarge => keep_out.is_none(),
                        _ => false,
                    };
                    same && c.twin.is_some() == twin.is_some() && c.copies.iter().any(|id| copies.contains(id))
                };
                if out.iter().any(told) {
                    return;
                }
                let place = place_of(&o.region).unwrap_or_else(|| o.region.bounds().centre());
                out.push(Conflict {
                    kind: ConflictKind::SkirtRoom,
                    copies: copies.clone(),
                    amount_mm: o.depth_mm,
                    region: o.region,
                    place,
                    keep_out: keep_out.cloned(),
                    twin,
                });
            };
            let twin = self.twin().map(|t| t.region(&band.region));
            let last = copies.last().copied();
            for (region, twin) in [(&band.region, None)].into_iter().chain(twin.as_ref().map(|r| (r, last))) {
                if !convex {
                    let outside = boolean::difference(region, bed.room.region());
                    tell(depth::overlap(&outside, &outside), None, twin);
                }
                for (name, area) in &bed.keep_outs {
                    tell(depth::overlap(region, area.region()), Some(name), twin);
                }
            }
        }
    }

    /// Conflicts of two copies with each other; the second may be a twin.
    fn pair(&self, a: Lying<'_>, b: Lying<'_>, out: &mut Vec<Conflict>) {
        let (a_at, b_at) = (a.at, b.at);
        let gap = self.margins.gap_mm;
        let (a_shape, b_shape) = (&a.form.shape, &b.form.shape);
        let two = |kind, first: Lying<'_>, second: Lying<'_>, amount_mm, region: Region| {
            let place = place_of(&region).unwrap_or_else(|| {
                let (p, q) = (a.form.bounds_at(a_at), b.form.bounds_at(b_at));
                Point::new(
                    f64::midpoint(p.min.x.max(q.min.x), p.max.x.min(q.max.x)),
                    f64::midpoint(p.min.y.max(q.min.y), p.max.y.min(q.max.y)),
                )
            });
            let mut copies = vec![first.entry.id, second.entry.id];
            copies.dedup();
            let twin = b.is_twin.then_some(b.entry.id);
            Conflict { kind, copies, amount_mm, region, place, keep_out: None, twin }
        };
        let apart = a_shape.shadow.distance_within(a_at, &b_shape.shadow, b_at, gap.max(SLACK_MM));
        if apart < SLACK_MM {
            let (p, q) = (a_shape.shadow.region().placed(a_at), b_shape.shadow.region().placed(b_at));
            if let Some(o) = depth::overlap(&p, &q).filter(|o| o.depth_mm > SLACK_MM && has_width(o)) {
                out.push(two(ConflictKind::Overlap, a, b, o.depth_mm, o.region));
                return;
            }
        }
        if apart < gap - SLACK_MM {
            let between = boolean::intersection(&a.form.gap_ring.placed(a_at), &b.form.gap_ring.placed(b_at));
            out.push(two(ConflictKind::Clearance, a, b, gap - apart, between));
        }
        let (wa, wb) = (a.form.footing_mm, b.form.footing_mm);
        let wider = wa.max(wb);
        let wanted = if self.margins.footings_may_merge { wider } else { wa + wb + self.margins.footing_gap_mm };
        if wanted <= SLACK_MM {
            return;
        }
        let contacts = a_shape.contact.distance_within(a_at, &b_shape.contact, b_at, wanted);
        if contacts < wider - SLACK_MM {
            let (first, second, at, other_at) = if wa >= wb { (a, b, a_at, b_at) } else { (b, a, b_at, a_at) };
            let region = boolean::intersection(
                &first.form.footing.region().placed(at),
                &second.form.shape.contact.region().placed(other_at),
            );
            out.push(two(ConflictKind::FootingOverlap, first, second, wider - contacts, region));
        } else if contacts < wanted - SLACK_MM {
            let region =
                boolean::intersection(&a.form.footing.region().placed(a_at), &b.form.footing.region().placed(b_at));
            out.push(two(ConflictKind::FootingClearance, a, b, wanted - contacts, region));
        }
    }
}

/// Is it wider than rounding anywhere? Outlines that fit into each other's corners and overlap by a rounding error share a thin angle,
/// which is as deep as its legs are long.
fn has_width(o: &depth::Overlap) -> bool {
    o.region.area() > 0.5 * SLACK_MM * o.region.perimeter()
}

/// The middle of the largest piece.
fn place_of(region: &Region) -> Option<Point> {
    let largest = region.polygons.iter().max_by(|p, q| p.area().total_cmp(&q.area()))?;
    Some(moments::moments(&largest.clone().into()).centroid)
}

fn sort(conflicts: &mut [Conflict]) {
    conflicts.sort_by(|a, b| (a.kind, &a.copies, &a.keep_out, a.twin).cmp(&(b.kind, &b.copies, &b.keep_out, b.twin)));
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;

    use super::*;
    use crate::{
        document::{BedShape, KeepOut},
        geom::disc,
        plate::samples::{Bench, frame, rectangle},
    };

    /// Kind, copies and amount of every conflict on the first plate.
    fn found(b: &Bench) -> Vec<(ConflictKind, Vec<CopyId>, f64)> {
        let round = |v: f64| (v * 1e6).round() / 1e6;
        conflicts(&b.job, &b.job.plates[0], &b.shapes)
            .into_iter()
            .map(|c| (c.kind, c.copies, round(c.amount_mm)))
            .collect()
    }

    #[test]
    fn overlap_clearance_and_exactly_the_gap() {
        let mut b = Bench::new();
        let e = b.block(20.0, 20.0);
        let (first, second) = (b.put(e, 50.0, 50.0), b.put(e, 73.0, 50.0));
        assert_eq!(found(&b), []);
        b.job.plates[0].copies[1].x_mm = 71.2;
        assert_eq!(found(&b), [(ConflictKind::Clearance, vec![first, second], 1.8)]);
        b.job.plates[0].copies[1].x_mm = 62.0;
        assert_eq!(found(&b), [(ConflictKind::Overlap, vec![first, second], 8.0)]);
        let c = &conflicts(&b.job, &b.job.plates[0], &b.shapes)[0];
        assert!((c.region.area() - 160.0).abs() < 1e-6 && c.place.distance(Point::new(56.0, 50.0)) < 1e-9);
    }

    #[test]
    fn touching_without_a_gap_is_no_conflict() {
        let mut b = Bench::new();
        b.job.margins.gap_mm = 0.0;
        let e = b.block(20.0, 20.0);
        let copies = vec![b.put(e, 50.0, 50.0), b.put(e, 70.0, 55.0)];
        assert_eq!(found(&b), []);
        b.job.plates[0].copies[1].x_mm = 69.9;
        assert_eq!(found(&b), [(ConflictKind::Overlap, copies, 0.1)]);
    }

    #[test]
    fn a_part_within_a_ring() {
        let mut b = Bench::new();
        let (ring, peg) = (b.part(frame(40.0, 20.0), frame(40.0, 20.0), 5.0), b.block(6.0, 6.0));
        let copies = vec![b.put(ring, 60.0, 60.0), b.put(peg, 60.0, 60.0)];
        assert_eq!(found(&b), []);
        b.job.plates[0].copies[1].x_mm = 65.0;
        assert_eq!(found(&b), [(ConflictKind::Clearance, copies.clone(), 1.0)]);
        b.part_mut(ring).footing = Footing::Brim { width_mm: 3.0 };
        b.job.margins.gap_mm = 0.0;
        assert_eq!(found(&b), [(ConflictKind::FootingOverlap, copies, 1.0)]);
    }

    #[test]
    fn a_brim_may_pass_under_an_overhang_but_not_into_a_contact() {
        let mut b = Bench::new();
        // A funnel: 10 mm on the bed, 40 mm above. Its neighbour is a flat block with a brim.
        let (funnel, block) = (b.part(rectangle(40.0, 40.0), rectangle(10.0, 10.0), 30.0), b.block(20.0, 20.0));
        b.part_mut(block).footing = Footing::Brim { width_mm: 12.0 };
        let (f, k) = (b.put(funnel, 100.0, 100.0), b.put(block, 133.0, 100.0));
        // Shadows 3 mm apart, contacts 18: the brim lies under the funnel.
        assert_eq!(found(&b), []);
        b.part_mut(block).footing = Footing::Brim { width_mm: 19.0 };
        assert_eq!(found(&b), [(ConflictKind::FootingOverlap, vec![k, f], 1.0)]);
        b.part_mut(block).footing = Footing::Brim { width_mm: 12.0 };
        b.job.margins.footing_gap_mm = 7.0;
        assert_eq!(found(&b), [(ConflictKind::FootingClearance, vec![f, k], 1.0)]);
        b.job.margins.footings_may_merge = true;
        assert_eq!(found(&b), []);
    }

    #[test]
    fn merging_brims_must_be_allowed() {
        let mut b = Bench::new();
        let e = b.block(20.0, 20.0);
        b.part_mut(e).footing = Footing::Brim { width_mm: 4.0 };
        let copies = vec![b.put(e, 50.0, 50.0), b.put(e, 75.0, 50.0)];
        assert_eq!(found(&b), [(ConflictKind::FootingClearance, copies, 3.0)]);
        b.job.margins.footings_may_merge = true;
        assert_eq!(found(&b), []);
    }

    #[test]
    fn the_edge_of_a_rectangular_bed_with_and_without_a_margin() {
        let mut b = Bench::new();
        let e = b.block(20.0, 20.0);
        let copy = b.put(e, 10.0, 190.0);
        assert_eq!(found(&b), []);
        b.job.margins.edge_mm = 2.0;
        assert_eq!(found(&b), [(ConflictKind::OffBed, vec![copy], 2.0)]);
        b.job.margins.edge_mm = 0.0;
        b.job.machines[0].edge_mm = 1.0;
        assert_eq!(found(&b), [(ConflictKind::OffBed, vec![copy], 1.0)]);
        b.job.machines[0].edge_mm = 0.0;
        b.part_mut(e).footing = Footing::Brim { width_mm: 5.0 };
        assert_eq!(found(&b), [(ConflictKind::OffBed, vec![copy], 5.0)]);
    }

    #[test]
    fn a_round_bed_is_a_true_circle() {
        let mut b = Bench::new();
        b.job.machines[0].bed = BedShape::Round { diameter_mm: 200.0 };
        let e = b.block(20.0, 20.0);
        // The far corner of a block at distance d along x: hypot(d + 10, 10) = 100 at the edge.
        let d = 99.498_743_710_662 - 10.0;
        let copy = b.put(e, 100.0 + d - 1e-9, 100.0);
        assert_eq!(found(&b), []);
        b.job.plates[0].copies[0].x_mm += 0.5;
        let more = (99.498_743_710_662_f64 + 0.5).hypot(10.0) - 100.0;
        assert_eq!(found(&b), [(ConflictKind::OffBed, vec![copy], (more * 1e6).round() / 1e6)]);
    }

    #[test]
    fn a_bed_of_any_shape() {
        let mut b = Bench::new();
        let l = [[0.0, 0.0], [200.0, 0.0], [200.0, 100.0], [100.0, 100.0], [100.0, 200.0], [0.0, 200.0]];
        b.job.machines[0].bed = BedShape::Polygon { outline: l.map(Point::from).to_vec() };
        let e = b.block(20.0, 20.0);
        let copy = b.put(e, 90.0, 90.0);
        assert_eq!(found(&b), []);
        b.job.plates[0].copies[0].x_mm = 92.0;
        assert_eq!(found(&b), []);
        b.job.plates[0].copies[0].y_mm = 94.0;
        assert_eq!(found(&b), [(ConflictKind::OffBed, vec![copy], 2.0)]);
        b.job.plates[0].copies[0].x_mm = 150.0;
        b.job.plates[0].copies[0].y_mm = 48.0;
        b.job.margins.edge_mm = 39.0;
        assert_eq!(found(&b), [(ConflictKind::OffBed, vec![copy], 1.0)]);
        // With 45 it still fits where the arms meet; with 49 not.
        b.job.margins.edge_mm = 45.0;
        assert_eq!(found(&b), [(ConflictKind::OffBed, vec![copy], 7.0)]);
        b.job.margins.edge_mm = 49.0;
        assert_eq!(found(&b), [(ConflictKind::TooLarge, vec![copy], 11.0)]);
    }

    #[test]
    fn keep_outs_bar_shadows_and_footings() {
        let mut b = Bench::new();
        let corner = [[0.0, 0.0], [30.0, 0.0], [30.0, 10.0], [0.0, 10.0]].map(Point::from).to_vec();
        b.job.machines[0].keep_outs = vec![KeepOut { name: "clip".into(), outline: corner }];
        let e = b.block(20.0, 20.0);
        let copy = b.put(e, 20.0, 20.0);
        assert_eq!(found(&b), []);
        b.job.plates[0].copies[0].y_mm = 18.0;
        assert_eq!(found(&b), [(ConflictKind::KeepOut, vec![copy], 2.0)]);
        b.job.plates[0].copies[0].y_mm = 22.0;
        b.part_mut(e).footing = Footing::Brim { width_mm: 5.0 };
        assert_eq!(found(&b), [(ConflictKind::KeepOut, vec![copy], 3.0)]);
        let c = &conflicts(&b.job, &b.job.plates[0], &b.shapes)[0];
        assert_eq!(c.keep_out.as_deref(), Some("clip"));
    }

    /// A skirt of 3 loops of 0.5 mm, 4 mm from the footings: it reaches 5.5 mm (the recipe's definition).
    fn skirted() -> Bench {
        let mut b = Bench::new();
        let recipe = &mut b.job.recipes[0];
        (recipe.skirt_loops, recipe.skirt_gap_mm, recipe.bead_width_mm) = (3, 4.0, 0.5);
        b
    }

    #[test]
    fn a_skirt_keeps_footings_and_not_shadows_from_the_edge() {
        let mut b = skirted();
        let e = b.block(20.0, 20.0);
        let copy = b.put(e, 15.5, 100.0);
        assert_eq!(found(&b), []);
        b.job.plates[0].copies[0].x_mm = 15.0;
        assert_eq!(found(&b), [(ConflictKind::SkirtRoom, vec![copy], 0.5)]);
        let c = &conflicts(&b.job, &b.job.plates[0], &b.shapes)[0];
        // Half a millimetre of a side of 20, and less at the round corners.
        assert!((0.5 * 20.0..0.5 * 20.0 + 3.0).contains(&c.region.area()) && c.place.x < 0.0, "{c:?}");
        b.job.plates[0].copies[0].x_mm = 22.0;
        b.part_mut(e).footing = Footing::Brim { width_mm: 5.0 };
        assert_eq!(found(&b), []);
        b.job.margins.edge_mm = 2.0;
        assert_eq!(found(&b), [(ConflictKind::SkirtRoom, vec![copy], 0.5)]);
        // Off the bed says enough.
        b.job.plates[0].copies[0].x_mm = 16.0;
        assert_eq!(found(&b), [(ConflictKind::OffBed, vec![copy], 1.0)]);
        // A funnel, 10 mm on the bed and 40 above: the skirt lies under what hangs over.
        let mut b = skirted();
        let funnel = b.part(rectangle(40.0, 40.0), rectangle(10.0, 10.0), 30.0);
        b.put(funnel, 20.0, 100.0);
        assert_eq!(found(&b), []);
        b.job.recipes[0].skirt_gap_mm = 14.0;
        assert_eq!(found(&b).len(), 1);
        b.job.recipes[0].skirt_loops = 0;
        assert_eq!(found(&b), []);
    }

    #[test]
    fn a_skirt_covers_no_keep_out_round_a_footing_nor_between_two() {
        let mut b = skirted();
        let corner = [[0.0, 0.0], [30.0, 0.0], [30.0, 30.0], [0.0, 30.0]].map(Point::from).to_vec();
        b.job.machines[0].keep_outs = vec![KeepOut { name: "clip".into(), outline: corner }];
        let e = b.block(20.0, 20.0);
        let (left, right) = (b.put(e, 15.5, 45.5), b.put(e, 130.0, 100.0));
        assert_eq!(found(&b), []);
        b.job.plates[0].copies[0].y_mm = 44.5;
        assert_eq!(found(&b), [(ConflictKind::SkirtRoom, vec![left], 1.0)]);
        // Each clear of the clip, but the straight line from one to the other is not.
        b.job.plates[0].copies[0].y_mm = 60.0;
        (b.job.plates[0].copies[1].x_mm, b.job.plates[0].copies[1].y_mm) = (60.0, 15.5);
        let between = found(&b);
        assert!(matches!(&between[..], [(ConflictKind::SkirtRoom, ids, mm)] if *ids == [left, right] && *mm > 1.0));
        let c = &conflicts(&b.job, &b.job.plates[0], &b.shapes)[0];
        assert_eq!(c.keep_out.as_deref(), Some("clip"));
        let checker = Checker::new(&b.job, &b.job.plates[0], &b.shapes, &Prepared::new());
        assert!(checker.conflicts_of(&[(right, Placement::at(130.0, 100.0))]).is_empty());
        assert_eq!(checker.conflicts_of(&[(right, Placement::at(60.0, 15.5))]).len(), 1);
    }

    #[test]
    fn too_tall_counts_the_raft() {
        let mut b = Bench::new();
        let peg = b.part(rectangle(8.0, 8.0), rectangle(8.0, 8.0), 189.5);
        let copy = b.put(peg, 50.0, 50.0);
        assert_eq!(found(&b), []);
        b.part_mut(peg).footing = Footing::Raft { width_mm: 2.0 };
        assert_eq!(found(&b), [(ConflictKind::TooTall, vec![copy], 0.3)]);
    }

    #[test]
    fn a_part_larger_than_the_bed_and_one_that_fits_turned() {
        let mut b = Bench::new();
        let (long, longer) = (b.block(20.0, 230.0), b.block(20.0, 250.0));
        let (x, y) = (b.put(long, 120.0, 100.0), b.put(longer, 150.0, 100.0));
        assert_eq!(found(&b), [(ConflictKind::OffBed, vec![x], 15.0), (ConflictKind::TooLarge, vec![y], 25.0)]);
    }

    #[test]
    fn another_colour_is_told() {
        let mut b = Bench::new();
        let e = b.block(20.0, 20.0);
        b.part_mut(e).colour = "black".into();
        let copy = b.put(e, 50.0, 50.0);
        assert_eq!(found(&b), [(ConflictKind::MixedRecipe, vec![copy], 0.0)]);
    }

    #[test]
    fn copies_whose_mesh_is_missing_are_passed_over() {
        let mut b = Bench::new();
        let (e, f) = (b.block(20.0, 20.0), b.block(30.0, 30.0));
        b.put(e, 50.0, 50.0);
        b.put(f, 55.0, 50.0);
        b.shapes.remove(&f);
        assert_eq!(found(&b), []);
    }

    /// All on one place: what is told has an end, and each copy's own conflicts are told all the same.
    #[test]
    fn a_heap_of_copies_tells_so_many_conflicts_and_no_more() {
        let mut b = Bench::new();
        let e = b.block(20.0, 20.0);
        let copies: Vec<CopyId> = (0..90).map(|_| b.put(e, 239.0, 50.0)).collect();
        let of = |all: &[Conflict], kind| all.iter().filter(|c| c.kind == kind).count();
        let all = conflicts(&b.job, &b.job.plates[0], &b.shapes);
        // 90 · 89 ÷ 2 = 4005 pairs.
        assert_eq!((of(&all, ConflictKind::Overlap), of(&all, ConflictKind::OffBed)), (MOST_PAIRS, 90));
        let checker = Checker::new(&b.job, &b.job.plates[0], &b.shapes, &Prepared::new());
        let moved: Vec<_> = copies.iter().map(|&c| (c, Placement::at(239.0, 60.0))).collect();
        let all = checker.conflicts_of(&moved);
        assert_eq!((of(&all, ConflictKind::Overlap), of(&all, ConflictKind::OffBed)), (MOST_PAIRS, 90));
    }

    proptest! {
        #![proptest_config(ProptestConfig::with_cases(64))]
        /// The checker asked for moved copies answers as the whole plate would, once they lie there.
        #[test]
        fn moved_copies_answer_as_if_they_lay_there(
            places in prop::collection::vec((0.0..240.0_f64, 0.0..200.0_f64, 0.0..6.3_f64), 4..24),
            moves in prop::collection::vec((0.0..240.0_f64, 0.0..200.0_f64, 0.0..6.3_f64), 1..4),
        ) {
            let mut b = Bench::new();
            b.job.margins.footing_gap_mm = 1.0;
            let parts = [
                b.part(frame(30.0, 16.0), frame(30.0, 16.0), 8.0),
                b.part(rectangle(24.0, 12.0), rectangle(6.0, 6.0), 20.0),
                b.part(disc::regular(Point::default(), 7.0, 24).into(), disc::regular(Point::default(), 7.0, 24).into(), 9.0),
            ];
            b.part_mut(parts[1]).footing = Footing::Brim { width_mm: 4.0 };
            let mut ids = Vec::new();
            for (i, &(x, y, turn)) in places.iter().enumerate() {
                ids.push(b.put_on(0, parts[i % 3], Placement::new(x, y, turn)));
            }
            let mut checker = Checker::new(&b.job, &b.job.plates[0], &b.shapes, &Prepared::new());
            let moved: Vec<(CopyId, Placement)> =
                moves.iter().zip(&ids).map(|(&(x, y, t), &id)| (id, Placement::new(x, y, t))).collect();
            let answer = checker.conflicts_of(&moved);
            for (c, m) in b.job.plates[0].copies.iter_mut().zip(&moved) {
                (c.x_mm, c.y_mm, c.turn_deg) = (m.1.x, m.1.y, m.1.turn_rad.to_degrees());
            }
            let whole = conflicts(&b.job, &b.job.plates[0], &b.shapes);
            let asked: Vec<&Conflict> =
                whole.iter().filter(|c| moved.iter().any(|m| c.involves(m.0))).collect();
            let name = |c: &Conflict| { let mut ids = c.copies.clone(); ids.sort(); (c.kind, ids, (c.amount_mm * 1e6).round()) };
            let sorted = |mut v: Vec<_>| { v.sort_by(|a: &(ConflictKind, Vec<CopyId>, f64), b| a.partial_cmp(b).expect("no NaN")); v };
            prop_assert_eq!(
                sorted(answer.iter().map(name).collect()),
                sorted(asked.into_iter().map(name).collect())
            );
            checker.set(&moved);
            prop_assert_eq!(checker.conflicts().len(), whole.len());
        }
    }
}
