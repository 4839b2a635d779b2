//! Copies as they are drawn, kept from frame to frame: only what moved is made afresh.

use std::{
    collections::{BTreeMap, BTreeSet},
    sync::Arc,
};

use super::sections::Sections;
use crate::{
    document::{Copy, CopyId, Footing, Job, Plate},
    drawing::{DrawnBed, DrawnCopy, Labels, Mark, copy_labels, label_spot, ruler_marks},
    geom::{Bounds, InnerCircle, Placement, Point, Region},
    gui::read,
    plate::{PartShape, PlateTwin, PreparedShape, skirt_loops},
    session::Session,
};

/// What a drawn copy's outlines depend on.
#[derive(Clone, PartialEq)]
struct Key {
    x: u64,
    y: u64,
    turn: u64,
    prepared: usize,
    footing: Option<u64>,
    gap_ring: bool,
}

struct Kept {
    key: Key,
    /// Also keeps the outlines alive, so that no others can take their address.
    prepared: Arc<PreparedShape>,
    drawn: DrawnCopy,
    at: Placement,
    bounds: Bounds,
    /// Rises whenever anything drawn changes.
    stamp: u64,
}

/// A copy on the canvas.
pub(crate) struct Shown<'a> {
    /// Which.
    pub(crate) id: CopyId,
    /// As it is drawn.
    pub(crate) drawn: &'a DrawnCopy,
    /// Where its origin lies.
    pub(crate) at: Point,
    /// Box round shadow and footing, bed millimetres.
    pub(crate) bounds: Bounds,
    /// Another one, another picture.
    pub(crate) stamp: u64,
}

/// A twin on the canvas.
struct KeptTwin {
    /// The copy's, and how the plate is printed.
    key: (u64, PlateTwin),
    drawn: DrawnCopy,
    at: Point,
    bounds: Bounds,
    stamp: u64,
}

/// Lines of the skirt.
#[derive(Default)]
struct Skirt {
    /// What they were laid round: stamp and number of the copies, the recipe's numbers.
    key: Option<(u64, usize, String)>,
    loops: Vec<Arc<Region>>,
}

/// Room that the ticks of a ruler take, screen points.
const TICKS_PT: f64 = 8.0;

/// Labels smaller than this, points, cannot be read on a screen: the name is told at the pointer.
const LEAST_LABEL_PT: f32 = 4.0;

/// What labels are laid out for.
#[derive(PartialEq)]
struct LaidOut {
    mm_per_pt: f64,
    bed: Bounds,
    block: Option<Bounds>,
    stamps: Vec<u64>,
}

/// Labels of all copies in sight.
struct Written {
    key: LaidOut,
    marks: Vec<Mark>,
    labels: Labels,
}

/// Drawn copies kept from frame to frame.
#[derive(Default)]
pub(crate) struct Drawn {
    copies: BTreeMap<CopyId, Kept>,
    twins: BTreeMap<CopyId, KeptTwin>,
    order: Vec<CopyId>,
    labels: BTreeMap<usize, (Arc<PartShape>, Option<InnerCircle>)>,
    bed: Option<(String, DrawnBed)>,
    sections: Sections,
    stamps: u64,
    skirt: Skirt,
    written: Option<Written>,
    pub(super) rows: super::rows::Kept,
}

impl Drawn {
    /// Brings what is kept up to date with the plate.
    pub(crate) fn update(&mut self, session: &Session, job: &Job, plate: &Plate, gap_rings: bool) {
        let short = session.height_mm().is_some_and(|z| read::short_at(session, z));
        self.sections.update(session, job, plate);
        self.order.clear();
        for copy in &plate.copies {
            if self.refresh(session, job, copy, gap_rings, short).is_some() {
                self.order.push(copy.id);
            }
        }
        if self.copies.len() > self.order.len() {
            let there: BTreeSet<CopyId> = self.order.iter().copied().collect();
            self.copies.retain(|id, _| there.contains(id));
        }
        self.refresh_twins(session, job, plate);
        self.labels.retain(|_, (shape, _)| Arc::strong_count(shape) > 1);
        // What is selected lies on top.
        let selection = session.selection();
        self.order.sort_by_key(|id| selection.contains(id));
    }
    fn refresh(&mut self, session: &Session, job: &Job, copy: &Copy, gap_rings: bool, short: bool) -> Option<()> {
        let part = job.part(copy.part)?;
        let prepared = read::prepared(session, job, copy)?;
        let footing = match job.footing(copy) {
            Footing::Bare => None,
            other => Some(other.width_mm().to_bits()),
        };
        let key = Key {
            x: copy.x_mm.to_bits(),
            y: copy.y_mm.to_bits(),
            turn: copy.turn_deg.to_bits(),
            prepared: Arc::as_ptr(&prepared) as usize,
            footing,
            gap_ring: gap_rings,
        };
        let at = copy.placement();
        let section = self.sections.of(copy.id).map(|s| (s.clone(), at));
        let old = self.copies.get(&copy.id);
        let same = old.is_some_and(|k| k.key == key);
        let base = if let (true, Some(k)) = (same, old) {
            k.drawn.clone()
        } else {
            let spot = self.label(&prepared.shape);
            let mut drawn = DrawnCopy::of_copy(job, copy, part, &prepared, spot);
            // The outline that it had when its mesh was last there.
            drawn.ghost = session.library().loaded(&part.mesh).is_none();
            if !gap_rings {
                drawn.gap_ring = None;
            }
            drawn
        };
        let drawn = DrawnCopy {
            name: job.copy_name(copy),
            letter: part.letter.clone(),
            hue: part.hue(),
            locked: copy.locked,
            mirrored: part.pose.mirrored,
            selected: session.selection().contains(&copy.id),
            short_of_cooling: short && section.is_some(),
            section: match (&base.section, &section) {
                (Some(kept), Some(_)) if same && self.sections.unchanged() => Some(kept.clone()),
                (_, Some((region, at))) => Some(Arc::new(region.placed(*at))),
                (_, None) => None,
            },
            support: match (&base.support, self.sections.support_of(copy.id)) {
                (Some(kept), Some(_)) if same && self.sections.unchanged() => Some(kept.clone()),
                (_, Some(region)) => Some(Arc::new(region.placed(at))),
                (_, None) => None,
            },
            ..base
        };
        let changed = self.copies.get(&copy.id).is_none_or(|k| k.key != key || !alike(&k.drawn, &drawn));
        if changed {
            self.stamps += 1;
            let bounds = prepared.bounds_at(at);
            let kept = Kept { key, prepared, drawn, at, bounds, stamp: self.stamps };
            self.copies.insert(copy.id, kept);
        }
        Some(())
    }
    /// The copies' twins, made afresh where the copy is.
    fn refresh_twins(&mut self, session: &Session, job: &Job, plate: &Plate) {
        let Some(twin) = PlateTwin::of(job, plate) else {
            self.twins.clear();
            return;
        };
        self.twins.retain(|id, _| self.copies.contains_key(id));
        for copy in &plate.copies {
            let (Some(part), Some(kept)) = (job.part(copy.part), self.copies.get(&copy.id)) else { continue };
            let key = (kept.stamp, twin);
            if self.twins.get(&copy.id).is_some_and(|t| t.key == key) {
                continue;
            }
            let (prepared, at) = (kept.prepared.clone(), twin.placement(kept.at));
            let image = if twin.is_handed() { session.prepared().mirrored(&prepared) } else { prepared.clone() };
            let mut label = self.label(&prepared.shape);
            if let Some(l) = label.as_mut().filter(|_| twin.is_handed()) {
                l.centre.x = -l.centre.x;
            }
            let drawn = DrawnCopy::of_twin(job, copy, part, &image, &twin, label);
            self.stamps += 1;
            let bounds = image.bounds_at(at);
            self.twins.insert(copy.id, KeptTwin { key, drawn, at: at.origin(), bounds, stamp: self.stamps });
        }
    }
    /// The twins of all copies, on a plate that is printed twice at once.
    pub(crate) fn twins(&self) -> impl Iterator<Item = Shown<'_>> {
        self.twins.iter().map(|(id, t)| Shown { id: *id, drawn: &t.drawn, at: t.at, bounds: t.bounds, stamp: t.stamp })
    }
    /// The widest spot of a part's shadow, found once.
    fn label(&mut self, shape: &Arc<PartShape>) -> Option<InnerCircle> {
        let key = Arc::as_ptr(shape) as usize;
        self.labels.entry(key).or_insert_with(|| (shape.clone(), label_spot(shape.shadow.region()))).1
    }
    /// The bed as it is drawn.
    pub(crate) fn bed(&mut self, job: &Job, plate: &Plate) -> Option<&DrawnBed> {
        let machine = job.machine(plate.machine)?;
        let edge = job.edge_mm(machine);
        let key = format!("{:?} {:?} {edge} {:?} {:?}", machine.bed, machine.keep_outs, machine.carriages, plate.twin);
        if self.bed.as_ref().is_none_or(|(k, _)| *k != key) {
            self.bed = Some((key, DrawnBed::of_plate(job, plate, job.margins.tolerance_mm.max(0.01))?));
        }
        self.bed.as_ref().map(|(_, b)| b)
    }
    /// Lines of the skirt round everything, laid afresh only when something has changed.
    pub(crate) fn skirt(&mut self, job: &Job, plate: &Plate) -> &[Arc<Region>] {
        let Some(recipe) = job.recipe(plate.recipe).filter(|r| r.skirt_loops > 0) else { return &[] };
        let twin = PlateTwin::of(job, plate);
        let numbers = format!("{} {} {} {twin:?}", recipe.skirt_loops, recipe.skirt_gap_mm, recipe.bead_width_mm);
        let key = Some((self.stamps, self.order.len(), numbers));
        if self.skirt.key != key {
            let standing = self.order.iter().filter_map(|id| self.copies.get(id)).map(|k| (&*k.prepared, k.at));
            let mut loops = skirt_loops(recipe, standing, job.margins.tolerance_mm.max(0.01));
            if let Some(twin) = twin {
                loops.extend(loops.clone().iter().map(|l| twin.region(l)));
            }
            self.skirt = Skirt { key, loops: loops.into_iter().map(Arc::new).collect() };
        }
        &self.skirt.loops
    }
    /// Labels of the copies in sight, off the rulers round `bed` and the title block, and the room that they leave; laid out afresh only when
    /// something has changed.
    pub(super) fn labels(
        &mut self,
        seen: Bounds,
        bed: Bounds,
        block: Option<Bounds>,
        mm_per_pt: f64,
    ) -> (&[Mark], Labels) {
        // By number, not back to front: what is selected keeps its place.
        let shown = || self.copies.values().filter(|k| k.bounds.overlaps(seen));
        let twins = || self.twins.values().filter(|k| k.bounds.overlaps(seen));
        let stamps = shown().map(|k| k.stamp).chain(twins().map(|k| k.stamp)).collect();
        let key = LaidOut { mm_per_pt, bed, block, stamps };
        if self.written.as_ref().is_none_or(|w| w.key != key) {
            let mut labels = Labels::new(mm_per_pt);
            labels.take_texts(&ruler_marks(bed, bed.grown(1e3 * mm_per_pt), mm_per_pt));
            if let Some(block) = block {
                labels.take(block);
            }
            // Nor across the ticks.
            let ticks = Point::new(TICKS_PT, TICKS_PT) * mm_per_pt;
            labels.take(Bounds::new(bed.min - ticks, Point::new(bed.max.x, bed.min.y)));
            labels.take(Bounds::new(bed.min - ticks, Point::new(bed.min.x, bed.max.y)));
            let marks =
                copy_labels(shown().map(|k| &k.drawn).chain(twins().map(|k| &k.drawn)), &mut labels, LEAST_LABEL_PT);
            self.written = Some(Written { key, marks, labels });
        }
        self.written.as_ref().map_or((&[], Labels::new(mm_per_pt)), |w| (w.marks.as_slice(), w.labels.clone()))
    }
    /// The labels that [`Self::labels`] laid out last.
    pub(super) fn written(&self) -> &[Mark] {
        self.written.as_ref().map_or(&[], |w| w.marks.as_slice())
    }
    /// All copies, back to front.
    pub(crate) fn shown(&self) -> impl DoubleEndedIterator<Item = Shown<'_>> {
        self.order.iter().filter_map(|id| {
            let k = self.copies.get(id)?;
            Some(Shown { id: *id, drawn: &k.drawn, at: k.at.origin(), bounds: k.bounds, stamp: k.stamp })
        })
    }
    /// The copy on top at a point, or within `reach_mm` of it.
    pub(crate) fn hit(&self, p: Point, reach_mm: f64) -> Option<CopyId> {
        let inside = self.shown().rev().find(|s| s.bounds.contains(p) && s.drawn.shadow.contains(p));
        inside
            .or_else(|| {
                self.shown().rev().find(|s| {
                    s.bounds.grown(reach_mm).contains(p)
                        && s.drawn.shadow.edges().any(|(a, b)| near(p, a, b) <= reach_mm)
                })
            })
            .map(|s| s.id)
    }
    /// Box round these copies' shadows and footings.
    pub(crate) fn bounds_of(&self, ids: impl IntoIterator<Item = CopyId>) -> Bounds {
        ids.into_iter().filter_map(|id| self.copies.get(&id)).fold(Bounds::EMPTY, |b, k| b.union(k.bounds))
    }
    /// The corner of an outline nearest to `p`, within `reach_mm`.
    pub(crate) fn corner_near(&self, p: Point, reach_mm: f64) -> Option<Point> {
        self.shown()
            .filter(|s| s.bounds.grown(reach_mm).contains(p))
            .flat_map(|s| s.drawn.shadow.vertices())
            .map(|v| (v.distance(p), v))
            .filter(|(d, _)| *d <= reach_mm)
            .min_by(|a, b| a.0.total_cmp(&b.0))
            .map(|(_, v)| v)
    }
}

/// Do two copies look the same? Outlines are compared by address: a copy that did not move keeps its own.
fn alike(a: &DrawnCopy, b: &DrawnCopy) -> bool {
    let same = |x: &Option<Arc<Region>>, y: &Option<Arc<Region>>| match (x, y) {
        (Some(x), Some(y)) => Arc::ptr_eq(x, y),
        (None, None) => true,
        _ => false,
    };
    Arc::ptr_eq(&a.shadow, &b.shadow)
        && same(&a.section, &b.section)
        && same(&a.support, &b.support)
        && (a.hue, a.locked, a.selected, a.mirrored, a.short_of_cooling)
            == (b.hue, b.locked, b.selected, b.mirrored, b.short_of_cooling)
        && a.name == b.name
        && a.letter == b.letter
}

/// Distance of `p` from the segment a–b.
fn near(p: Point, a: Point, b: Point) -> f64 {
    let d = b - a;
    let t = if d.length_squared() > 0.0 { ((p - a).dot(d) / d.length_squared()).clamp(0.0, 1.0) } else { 0.0 };
    p.distance(a + d * t)
}
