//! Packing problems from plates and orders.

use std::{
    borrow::Cow,
    collections::{BTreeMap, BTreeSet},
    f64::consts::TAU,
    sync::Arc,
};

use thiserror::Error;

use super::{
    Fit, Mapping, NewPlate, PlateTwin, Prepared, PreparedShape, Room, Shapes, Target, Unplaced,
    checker::height_on_bed_mm, fits, made, skirt::inside_skirt,
};
use crate::{
    document::{
        CopyId, Footing, Job, KeepOut, Machine, MachineId, MaterialId, Part, PartId, Plate, PlateId, Recipe, RecipeId,
        Twin,
    },
    geom::{Bounds, Placement, Point, Polygon, Region, boolean, simplify},
    packing::{self, Aim, Bed, Item, Problem, Shape},
};

/// New plates offered at most, whatever the order.
const PLATES_AT_MOST: usize = 400;
/// How full a plate is taken to get at the very least, by shadow area, when new plates are counted out.
const THIN: f64 = 0.2;
/// Beds and keep-outs with more corners than this are searched with fewer: the room taken too small, keep-outs too large, by no more
/// than the job's tolerance.
const MANY_CORNERS: usize = 500;
/// Areas drawn are wider and deeper than this, mm.
const LEAST_AREA_MM: f64 = 0.1;

/// A packing problem and the way back.
#[derive(Debug, Clone)]
pub struct Task {
    /// The packing problem.
    pub problem: Problem,
    /// What it means in the job.
    pub mapping: Mapping,
    /// What of beds a person may use where the search uses less, by bed.
    wider: BTreeMap<usize, Wider>,
}

impl Task {
    /// The problem to ask for bounds. Where a skirt goes round everything, the search keeps to less room than a person
    /// has to (shadows may reach over the skirt, and a skirt may lead round a keep-out), and so it does on beds of very many
    /// corners: no bound may count on that.
    pub fn bounding(&self) -> Cow<'_, Problem> {
        if self.wider.is_empty() {
            return Cow::Borrowed(&self.problem);
        }
        let mut problem = self.problem.clone();
        for (&bed, wider) in &self.wider {
            if let Some(b) = problem.beds.get_mut(bed) {
                (b.room, b.keep_outs, b.twin) = (wider.room.clone(), wider.keep_outs.clone(), wider.twin);
            }
        }
        Cow::Owned(problem)
    }
}

impl Task {
    /// Of the copies that may be moved, those of shapes that a Top up adds to.
    pub fn asked_there(&self) -> usize {
        let Aim::TopUp { shares, there, .. } = &self.problem.aim else { return 0 };
        shares.iter().zip(there).filter(|(share, _)| **share > 0.0).map(|(_, n)| n).sum()
    }
}

/// Why there is nothing to arrange.
#[derive(Debug, Clone, PartialEq, Eq, Error)]
pub enum TaskError {
    /// No such plate.
    #[error("there is no plate to arrange: add one first")]
    NoPlate,
    /// A plate's machine is not in the job.
    #[error("plate {0} has no machine: choose one first")]
    NoMachine(usize),
    /// No copy may be moved.
    #[error("nothing here may be moved: unlock copies, or select others")]
    NothingFree,
    /// No such part.
    #[error("there is no such part in the order")]
    NoPart,
    /// The part has no outlines.
    #[error("the mesh of {0} is missing: locate it first")]
    NoShape(String),
    /// The part does not go with the plates.
    #[error("{0} has a different material, colour or recipe from this plate: choose a plate that matches")]
    Mixed(String),
    /// Nothing can lie within the area drawn.
    #[error("the area drawn does not cover this bed: draw it on the bed, at least 0.1 mm wide and deep")]
    NoArea,
    /// The area drawn lies beside the half in which copies may lie.
    #[error("this plate is printed twice at once: draw the area in the left half of the bed")]
    NotInHalf,
    /// Nothing is ordered.
    #[error("every ordered copy is already on a plate")]
    NothingOrdered,
    /// No machine.
    #[error("there is no machine in the job: add one first")]
    NoMachines,
}

/// What goes together on a plate: on one that is printed twice at once a copy counts otherwise than on one that is not.
type ClassKey = (MaterialId, String, RecipeId, Printed);

/// How a plate is printed: 0 once, else by [`Twin::ALL`], from 1.
type Printed = u8;

fn printed(twin: Option<Twin>) -> Printed {
    twin.and_then(|t| Twin::ALL.iter().position(|o| *o == t)).map_or(0, |i| i as u8 + 1)
}

/// What of a bed a person may use.
#[derive(Debug, Clone)]
struct Wider {
    room: Region,
    keep_outs: Vec<Region>,
    twin: Option<packing::Twin>,
}

/// What of a bed the search may use, and what a person may where that is more.
#[derive(Clone)]
struct Ground {
    room: Region,
    keep_outs: Vec<Region>,
    wider: Option<(Region, Vec<Region>)>,
}

/// Gathers shapes, classes and beds, each once.
struct Builder<'a> {
    job: &'a Job,
    shapes: &'a Shapes,
    prepared: &'a Prepared,
    known: BTreeMap<(PartId, &'static str, u64, Printed), usize>,
    classes: Vec<ClassKey>,
    problem_shapes: Vec<Shape>,
    beds: Vec<Bed>,
    mapping: Mapping,
    wider: BTreeMap<usize, Wider>,
    grounds: BTreeMap<(MachineId, u64, Printed), Ground>,
}

fn class_of_part(part: &Part, twin: Option<Twin>) -> ClassKey {
    (part.material, part.colour.clone(), part.recipe, printed(twin))
}

fn class_of_plate(job: &Job, plate: &Plate) -> ClassKey {
    (plate.material, plate.colour.clone(), plate.recipe, printed(job.twin(plate)))
}

impl<'a> Builder<'a> {
    fn new(job: &'a Job, shapes: &'a Shapes, prepared: &'a Prepared) -> Self {
        Self {
            job,
            shapes,
            prepared,
            known: BTreeMap::new(),
            classes: Vec::new(),
            problem_shapes: Vec::new(),
            beds: Vec::new(),
            mapping: Mapping { why: "found no room on these plates".into(), ..Mapping::default() },
            wider: BTreeMap::new(),
            grounds: BTreeMap::new(),
        }
    }
    fn class(&mut self, key: ClassKey) -> u32 {
        let i = self.classes.iter().position(|c| *c == key).unwrap_or_else(|| {
            self.classes.push(key);
            self.classes.len() - 1
        });
        i as u32
    }
    /// The index of a part with a footing among the problem's shapes, for plates that are printed so; `None` where it has no
    /// outlines.
    fn shape(&mut self, part: &Part, footing: Footing, twin: Option<Twin>) -> Option<usize> {
        let key = (part.id, footing.kind(), footing.width_mm().to_bits(), printed(twin));
        if let Some(&i) = self.known.get(&key) {
            return Some(i);
        }
        let shape = self.shapes.get(&part.id)?;
        let form = self.prepared.get(shape, footing, &self.job.margins);
        let class = self.class(class_of_part(part, twin));
        self.problem_shapes.push(Shape {
            shadow: shape.shadow.clone(),
            contact: shape.contact.clone(),
            footing: form.footing.clone(),
            turn_step_rad: part.turns.step_deg().map(|d| if d >= 360.0 { TAU } else { d.to_radians() }),
            class,
            height_mm: height_on_bed_mm(self.job, part.id, footing, shape.height_mm),
        });
        self.mapping.shapes.push((part.id, footing));
        self.mapping.free.push(Vec::new());
        let i = self.problem_shapes.len() - 1;
        self.known.insert(key, i);
        Some(i)
    }
    fn bed(&mut self, machine: &Machine, class: u32, target: Target, twin: Option<Twin>) -> usize {
        let skirt_mm = self.skirt_mm(class);
        let key = (machine.id, skirt_mm.to_bits(), printed(twin));
        let twin = twin.and_then(|kind| PlateTwin::on(machine, kind));
        let ground = match self.grounds.get(&key) {
            Some(known) => known.clone(),
            None => self.ground(machine, skirt_mm, twin.as_ref()),
        };
        self.grounds.entry(key).or_insert_with(|| ground.clone());
        let Ground { room, keep_outs, wider } = ground;
        if let Some((room, keep_outs)) = wider {
            let twin = twin.map(|t| t.packing());
            self.wider.insert(self.beds.len(), Wider { room, keep_outs, twin });
        }
        let whole = twin.map(|_| self.prepared.room(self.job, machine, 0.0).region().bounds());
        let twin = twin.zip(whole).map(|(t, whole)| t.within(whole, room.bounds(), skirt_mm));
        self.beds.push(Bed {
            room,
            keep_outs,
            fixed: Vec::new(),
            class: Some(class),
            height_mm: machine.height_mm,
            twin,
        });
        self.mapping.beds.push(target);
        self.beds.len() - 1
    }
    /// What of a machine's bed the search may use.
    fn ground(&self, machine: &Machine, skirt_mm: f64, twin: Option<&PlateTwin>) -> Ground {
        let tolerance_mm = self.job.margins.tolerance_mm;
        let mut room = self.prepared.room(self.job, machine, skirt_mm).region().clone();
        let mut keep_outs: Vec<Region> = machine.keep_outs.iter().map(KeepOut::region).collect();
        let mut wider = None;
        if skirt_mm > 0.0 {
            let whole = self.prepared.room(self.job, machine, 0.0);
            wider = Some((whole.region().clone(), keep_outs.clone()));
            if let Some(twin) = twin {
                // The twins' skirt takes room too: what is in its way counts where the copies lie.
                let within = twin.within(whole.region().bounds(), room.bounds(), skirt_mm);
                let back: Vec<Region> = keep_outs.iter().map(|k| within.region_back(k)).collect();
                keep_outs.extend(back);
                let half = within.half(&room, 0.0);
                let (half, left) = inside_skirt(&half, keep_outs, skirt_mm, tolerance_mm);
                (room, keep_outs) = (boolean::union([&half, &twin.region(&half)]), left);
            } else {
                (room, keep_outs) = inside_skirt(&room, keep_outs, skirt_mm, tolerance_mm);
            }
        }
        if room.vertex_count() > MANY_CORNERS || keep_outs.iter().any(|k| k.vertex_count() > MANY_CORNERS) {
            wider = wider.or_else(|| Some((room.clone(), keep_outs.clone())));
            room = simplify::inward(&room, tolerance_mm);
            keep_outs = keep_outs.iter().map(|k| simplify::outward(k, tolerance_mm)).collect();
        }
        Ground { room, keep_outs, wider }
    }
    fn finish(self, aim: Aim) -> Task {
        let margins = &self.job.margins;
        let problem = Problem {
            shapes: self.problem_shapes,
            beds: self.beds,
            gap_mm: margins.gap_mm,
            footing_gap_mm: margins.footing_gap_mm,
            footings_may_merge: margins.footings_may_merge,
            aim,
        };
        Task { problem, mapping: self.mapping, wider: self.wider }
    }
    /// What the skirt of plates of a class takes round their footings, mm.
    fn skirt_mm(&self, class: u32) -> f64 {
        let recipe = self.classes.get(class as usize).and_then(|c| self.job.recipe(c.2));
        recipe.map_or(0.0, Recipe::skirt_mm)
    }
    /// The plates asked for as beds. `is_free` says which copies may be moved; all others are fixed.
    fn plates(&mut self, plates: &[PlateId], is_free: impl Fn(&Plate, CopyId) -> bool) -> Result<(), TaskError> {
        for &id in plates {
            let plate = self.job.plate(id).ok_or(TaskError::NoPlate)?;
            let machine = self
                .job
                .machine(plate.machine)
                .ok_or_else(|| TaskError::NoMachine(self.job.plate_number(id).unwrap_or(0)))?;
            let twin = self.job.twin(plate);
            let class = self.class(class_of_plate(self.job, plate));
            let bed = self.bed(machine, class, Target::Existing(id), twin);
            for copy in &plate.copies {
                let Some(part) = self.job.part(copy.part) else { continue };
                // What cannot be seen must not be laid over.
                let unseen = || TaskError::NoShape(part.name.clone());
                let shape = self.shape(part, self.job.footing(copy), twin).ok_or_else(unseen)?;
                // A copy that does not belong here stays: where it should go is the person's to say.
                if !copy.locked && self.job.belongs(part, plate) && is_free(plate, copy.id) {
                    self.mapping.free[shape].push((copy.id, bed, copy.placement()));
                } else {
                    self.beds[bed].fixed.push(Item { shape, at: copy.placement() });
                }
            }
        }
        if self.beds.is_empty() { Err(TaskError::NoPlate) } else { Ok(()) }
    }
}

/// Pack: the copies on these plates arranged tighter. Locked copies stay; with `only`, all but those stay; so do
/// copies that do not belong to their plate. A copy whose outline is not known is refused: others would be laid over it.
/// With `more_plates`, new plates of the same kinds take what finds no room.
pub fn pack_task(
    job: &Job,
    plates: &[PlateId],
    only: Option<&BTreeSet<CopyId>>,
    more_plates: bool,
    shapes: &Shapes,
    prepared: &Prepared,
) -> Result<Task, TaskError> {
    let mut b = Builder::new(job, shapes, prepared);
    b.plates(plates, |_, id| only.is_none_or(|o| o.contains(&id)))?;
    let counts: Vec<usize> = b.mapping.free.iter().map(Vec::len).collect();
    if counts.iter().sum::<usize>() == 0 {
        return Err(TaskError::NothingFree);
    }
    if more_plates {
        let mut kinds: Vec<NewPlate> = Vec::new();
        for plate in plates.iter().filter_map(|&id| job.plate(id)) {
            let kind = kind_of(job, plate);
            if !kinds.contains(&kind) {
                kinds.push(kind);
            }
        }
        for kind in kinds {
            let class = b.class((kind.material, kind.colour.clone(), kind.recipe, printed(kind.twin)));
            let Some(machine) = job.machine(kind.machine) else { continue };
            let room = prepared.room(job, machine, b.skirt_mm(class));
            let half = kind.twin.and_then(|t| PlateTwin::on(machine, t)).map(|t| t.half(room.region()));
            let need = plates_needed(&b, class, &counts, half.as_ref().unwrap_or(room.region()));
            for _ in 0..need {
                b.bed(machine, class, Target::New(kind.clone()), kind.twin);
            }
        }
    }
    Ok(b.finish(Aim::Pack { counts }))
}

/// Top up: as many more copies as fit on these plates, of one part, or of every part that goes with them in the
/// order's proportion. Copies that lie there may be moved, unless they are locked or `keep` says that all stay. With
/// `area`, on bed millimetres, new copies and their footings lie within it, and all others stay.
pub fn top_up_task(
    job: &Job,
    plates: &[PlateId],
    part: Option<PartId>,
    area: Option<Bounds>,
    keep: bool,
    shapes: &Shapes,
    prepared: &Prepared,
) -> Result<Task, TaskError> {
    let mut b = Builder::new(job, shapes, prepared);
    b.plates(plates, |_, _| !keep && area.is_none())?;
    if let Some(area) = area {
        let rooms = b.beds.iter_mut().map(|bed| (&mut bed.room, bed.twin));
        for (room, twin) in rooms.chain(b.wider.values_mut().map(|w| (&mut w.room, w.twin))) {
            // Whatever was drawn, only numbers of the bed's own size go into what follows.
            let all = room.bounds();
            let within = Bounds::new(
                Point::new(area.min.x.max(all.min.x), area.min.y.max(all.min.y)),
                Point::new(area.max.x.min(all.max.x), area.max.y.min(all.max.y)),
            );
            let drawn = [area.min.x, area.min.y, area.max.x, area.max.y].iter().all(|v| !v.is_nan());
            if !drawn || within.width() <= LEAST_AREA_MM || within.height() <= LEAST_AREA_MM {
                return Err(TaskError::NoArea);
            }
            let within = Region::rectangle(within);
            *room = match twin {
                // The area, as far as it lies in the left half, and where the twins of what lies there would be.
                Some(twin) => {
                    let own = boolean::intersection(&twin.half(room, 0.0), &within);
                    if own.is_empty() {
                        return Err(TaskError::NotInHalf);
                    }
                    boolean::union([&own, &twin.region(&own)])
                }
                None => boolean::intersection(room, &within),
            };
        }
    }
    let on_plates: Vec<&Plate> = plates.iter().filter_map(|&id| job.plate(id)).collect();
    let goes = |p: &Part| on_plates.iter().any(|plate| job.belongs(p, plate));
    let parts: Vec<&Part> = match part {
        Some(id) => {
            let p = job.part(id).ok_or(TaskError::NoPart)?;
            if !goes(p) {
                return Err(TaskError::Mixed(p.name.clone()));
            }
            if !shapes.contains_key(&id) {
                return Err(TaskError::NoShape(p.name.clone()));
            }
            vec![p]
        }
        None => job.parts.iter().filter(|p| p.wanted > 0 && goes(p) && shapes.contains_key(&p.id)).collect(),
    };
    if parts.is_empty() {
        return Err(TaskError::NothingOrdered);
    }
    let mut ways: Vec<Option<Twin>> = on_plates.iter().map(|p| job.twin(p)).collect();
    ways.sort_by_key(|t| printed(*t));
    ways.dedup();
    let mut wanted = Vec::new();
    for p in parts {
        for twin in ways.iter().copied() {
            if let Some(s) = b.shape(p, p.footing, twin) {
                let share = f64::from(p.wanted) / per_copy(job, p, twin, shapes);
                wanted.push((s, if part.is_some() { 1.0 } else { share }));
            }
        }
    }
    let area: f64 = b.beds.iter().map(|bed| bed.room.area()).sum();
    let there: Vec<usize> = b.mapping.free.iter().map(Vec::len).collect();
    let mut shares = vec![0.0; b.problem_shapes.len()];
    let mut at_most = there.clone();
    for (s, share) in wanted {
        shares[s] = share;
        // No more can fit than their shadows' area allows.
        let by_area = (area / b.problem_shapes[s].shadow.region().area().max(1e-3)).floor().min(1e6) as usize;
        at_most[s] = by_area.max(there[s]);
    }
    Ok(b.finish(Aim::TopUp { shares, at_most, there }))
}

/// What of the order, counted in copies of a part, comes with each of its copies on a plate printed so. Of a pair either copy brings
/// one of each, so each of them need only be laid half as often.
fn per_copy(job: &Job, part: &Part, twin: Option<Twin>, shapes: &Shapes) -> f64 {
    match twin {
        None => 1.0,
        Some(Twin::Shifted) => 2.0,
        Some(Twin::Handed) => {
            let own = shapes.get(&part.id).is_some_and(|s| s.own_mirror);
            if job.twin_part(Twin::Handed, part, own).is_some() { 2.0 } else { 1.0 }
        }
    }
}

/// The first layout of an order: every ordered copy that is on no plate yet, on new plates of its material, colour and
/// recipe, machines in turn among those that take parts of that kind. What fits no machine is left out with its reason.
pub fn order_task(job: &Job, shapes: &Shapes, prepared: &Prepared) -> Result<Task, TaskError> {
    if job.machines.is_empty() {
        return Err(TaskError::NoMachines);
    }
    let rooms_of = |recipe: RecipeId| -> Vec<Arc<Room>> {
        let skirt_mm = job.recipe(recipe).map_or(0.0, Recipe::skirt_mm);
        job.machines.iter().map(|m| prepared.room(job, m, skirt_mm)).collect()
    };
    let mut b = Builder::new(job, shapes, prepared);
    let mut counts: Vec<usize> = Vec::new();
    // By class, in the order's order: which machines take which of its shapes.
    let mut takers: BTreeMap<u32, Vec<(usize, Vec<bool>)>> = BTreeMap::new();
    let mut anything = false;
    for part in &job.parts {
        let missing = (part.wanted as usize).saturating_sub(made(job, part.id, shapes));
        if missing == 0 {
            continue;
        }
        anything = true;
        let mut leave_out = |why: String| {
            b.mapping.left_out.push(Unplaced { part: part.id, copies: Vec::new(), count: missing, why });
        };
        let Some(shape) = shapes.get(&part.id) else {
            leave_out("its mesh is missing".into());
            continue;
        };
        let form = prepared.get(shape, part.footing, &job.margins);
        let rooms = rooms_of(part.recipe);
        let height_mm = height_on_bed_mm(job, part.id, part.footing, shape.height_mm);
        let fit: Vec<bool> = job
            .machines
            .iter()
            .zip(&rooms)
            .map(|(m, room)| height_mm <= m.height_mm + 1e-9 && fits(room, &form, part.turns) == Fit::Fits)
            .collect();
        if !fit.contains(&true) {
            leave_out(why_none_takes(job, &rooms, &form, part, height_mm));
            continue;
        }
        if let Some(s) = b.shape(part, part.footing, None) {
            counts.resize(b.problem_shapes.len(), 0);
            counts[s] = missing;
            takers.entry(b.problem_shapes[s].class).or_default().push((s, fit));
        }
    }
    if !anything {
        return Err(TaskError::NothingOrdered);
    }
    for (class, shapes_of_class) in takers {
        // Each kind of plate starts with another machine.
        let mut turn = class as usize;
        let (material, colour, recipe, _) = b.classes[class as usize].clone();
        let rooms = rooms_of(recipe);
        let useful: Vec<usize> =
            (0..job.machines.len()).filter(|&m| shapes_of_class.iter().any(|(_, fit)| fit[m])).collect();
        // Enough plates of every machine that any one of them could take all it can take.
        let mut left: Vec<usize> = useful
            .iter()
            .map(|&m| {
                let its: Vec<usize> = counts
                    .iter()
                    .enumerate()
                    .map(|(s, &n)| if shapes_of_class.iter().any(|(t, fit)| *t == s && fit[m]) { n } else { 0 })
                    .collect();
                plates_needed(&b, class, &its, rooms[m].region())
            })
            .collect();
        while left.iter().any(|&n| n > 0) {
            let k = turn % useful.len();
            turn += 1;
            if left[k] > 0 {
                left[k] -= 1;
                let machine = &job.machines[useful[k]];
                let kind = NewPlate { machine: machine.id, material, colour: colour.clone(), recipe, twin: None };
                b.bed(machine, class, Target::New(kind), None);
            }
        }
    }
    b.mapping.why = "found no room on the plates tried".into();
    Ok(b.finish(Aim::Pack { counts }))
}

fn kind_of(job: &Job, plate: &Plate) -> NewPlate {
    let Plate { machine, material, recipe, .. } = *plate;
    NewPlate { machine, material, colour: plate.colour.clone(), recipe, twin: job.twin(plate) }
}

/// How many plates of a room surely suffice for the copies of a class: by area, half the clearance round copies and room
/// counted in, each plate thinly filled; never more than one a copy.
fn plates_needed(b: &Builder<'_>, class: u32, counts: &[usize], region: &Region) -> usize {
    let mine = || b.problem_shapes.iter().zip(counts).filter(|(s, _)| s.class == class);
    let copies: usize = mine().map(|(_, &n)| n).sum();
    let half = 0.5 * b.job.margins.gap_mm.max(b.job.margins.footing_gap_mm).max(0.0);
    // Area of a convex region grown by half the clearance (Steiner's formula).
    let grown = |area: f64, around: f64| area + around * half + std::f64::consts::PI * half * half;
    let area: f64 = mine()
        .map(|(s, &n)| {
            [&s.shadow, &s.footing]
                .map(|o| {
                    let hull = Region::from(Polygon::simple(o.hull().to_vec()));
                    grown(hull.area(), hull.perimeter())
                })
                .into_iter()
                .fold(0.0, f64::max)
                * n as f64
        })
        .sum();
    let by_area = (area / (grown(region.area(), region.perimeter()) * THIN).max(1.0)).ceil() as usize + 1;
    copies.min(by_area).min(PLATES_AT_MOST)
}

/// Why no machine takes a part: too tall for all that are large enough, or too large for all.
fn why_none_takes(job: &Job, rooms: &[Arc<Room>], form: &PreparedShape, part: &Part, height_mm: f64) -> String {
    let large_enough: Vec<&Machine> = job
        .machines
        .iter()
        .zip(rooms)
        .filter(|(_, room)| fits(room, form, part.turns) == Fit::Fits)
        .map(|(m, _)| m)
        .collect();
    if let Some(tallest) = large_enough.iter().map(|m| m.height_mm).reduce(f64::max) {
        return format!("{height_mm:.1} mm tall; the tallest bed that is large enough takes {tallest:.1} mm");
    }
    let b = form.bounds_at(Placement::default());
    let skirted = job.recipe(part.recipe).is_some_and(|r| r.skirt_mm() > 0.0);
    let within = if skirted { " within its skirt" } else { "" };
    let sizes: Vec<String> = rooms.iter().map(|r| r.size_mm()).map(|(w, d)| format!("{w:.1} × {d:.1} mm")).collect();
    format!(
        "{:.1} × {:.1} mm with its footing; no bed is large enough{within} ({})",
        b.width(),
        b.height(),
        sizes.join(", ")
    )
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::{
        document::Turns,
        packing::Layout,
        plate::samples::{Bench, rectangle},
        watch::Quiet,
    };

    fn pack(b: &Bench, only: Option<&BTreeSet<CopyId>>, more: bool) -> Result<Task, TaskError> {
        let plates: Vec<PlateId> = b.job.plates.iter().map(|p| p.id).collect();
        pack_task(&b.job, &plates, only, more, &b.shapes, &Prepared::new())
    }

    #[test]
    fn locked_and_unselected_copies_are_fixed_and_others_free() {
        let mut b = Bench::new();
        let (e, f) = (b.block(20.0, 20.0), b.block(30.0, 10.0));
        let ids = [b.put(e, 30.0, 30.0), b.put(e, 60.0, 30.0), b.put(f, 100.0, 30.0)];
        b.job.plates[0].copies[1].locked = true;
        let task = pack(&b, None, false).expect("two are free");
        assert_eq!(task.problem.aim, Aim::Pack { counts: vec![1, 1] });
        assert_eq!(task.problem.beds[0].fixed.len(), 1);
        let only = BTreeSet::from([ids[2]]);
        let task = pack(&b, Some(&only), false).expect("one is free");
        assert_eq!(task.problem.aim, Aim::Pack { counts: vec![0, 1] });
        assert_eq!(task.problem.beds[0].fixed.len(), 2);
        let none = BTreeSet::from([ids[1]]);
        assert_eq!(pack(&b, Some(&none), false).err(), Some(TaskError::NothingFree));
    }

    #[test]
    fn a_copy_with_a_footing_of_its_own_is_a_shape_of_its_own() {
        let mut b = Bench::new();
        let e = b.block(20.0, 20.0);
        b.put(e, 30.0, 30.0);
        b.put(e, 60.0, 30.0);
        b.job.plates[0].copies[1].footing = Some(Footing::Brim { width_mm: 5.0 });
        b.part_mut(e).turns = Turns::Free;
        let task = pack(&b, None, false).expect("both are free");
        assert_eq!(task.problem.aim, Aim::Pack { counts: vec![1, 1] });
        let shapes = &task.problem.shapes;
        assert!((shapes[0].footing.region().area() - 400.0).abs() < 1e-9);
        assert!(shapes[1].footing.region().area() > 400.0 + 80.0 * 5.0 + 3.1 * 25.0);
        assert_eq!(shapes[0].turn_step_rad, None);
        assert_eq!(task.mapping.part(1), Some(e));
    }

    #[test]
    fn classes_keep_materials_apart_and_strangers_stay() {
        let mut b = Bench::new();
        b.plate(1);
        b.job.plates[1].colour = "black".into();
        let (e, f) = (b.block(20.0, 20.0), b.block(30.0, 10.0));
        b.part_mut(f).colour = "black".into();
        b.put(e, 30.0, 30.0);
        b.put(f, 100.0, 30.0);
        b.put_on(1, f, Placement::at(100.0, 100.0));
        let task = pack(&b, None, true).expect("two are free");
        assert_eq!(task.problem.aim, Aim::Pack { counts: vec![1, 1] });
        let p = &task.problem;
        assert_eq!(p.beds[0].fixed.len(), 1, "the black copy on the white plate stays");
        assert_eq!((p.beds[0].class, p.beds[1].class), (Some(p.shapes[0].class), Some(p.shapes[1].class)));
        assert_ne!(p.shapes[0].class, p.shapes[1].class);
        // One more plate of each kind is offered: one copy needs no more.
        assert_eq!(p.beds.len(), 4);
        assert!(matches!(task.mapping.target(2), Some(Target::New(n)) if n.colour == "white"));
        assert!(matches!(task.mapping.target(3), Some(Target::New(n)) if n.colour == "black"));
        // The round bed's room lies within its circle.
        assert!(p.beds[1].room.vertices().all(|v| v.distance(Point::new(100.0, 100.0)) <= 100.0 + 1e-9));
    }

    #[test]
    fn top_up_of_one_part_and_of_all_in_proportion() {
        let mut b = Bench::new();
        let (e, f, g) = (b.block(20.0, 20.0), b.block(30.0, 10.0), b.block(5.0, 5.0));
        (b.part_mut(e).wanted, b.part_mut(f).wanted, b.part_mut(g).wanted) = (12, 4, 8);
        b.part_mut(g).colour = "black".into();
        b.put(e, 30.0, 30.0);
        let plates = [b.job.plates[0].id];
        let top = |part| top_up_task(&b.job, &plates, part, None, true, &b.shapes, &Prepared::new());
        let task = top(None).expect("two parts go with the plate");
        assert_eq!(task.problem.beds[0].fixed.len(), 1);
        assert_eq!(
            task.problem.aim,
            Aim::TopUp { shares: vec![12.0, 4.0], at_most: vec![120, 160], there: vec![0, 0] }
        );
        let Aim::TopUp { shares, .. } = top(Some(f)).expect("it goes with the plate").problem.aim else { panic!() };
        assert_eq!(shares, [0.0, 1.0]);
        assert_eq!(top(Some(g)).err(), Some(TaskError::Mixed("part C".into())));
        assert_eq!(top(Some(PartId(999))).err(), Some(TaskError::NoPart));
    }

    /// Unlocked copies may be moved and must stay; a locked one, and one with a footing of its own, count as what they
    /// are.
    #[test]
    fn top_up_may_move_what_is_not_locked() {
        let mut b = Bench::new();
        let (e, f) = (b.block(20.0, 20.0), b.block(30.0, 10.0));
        b.put(e, 30.0, 30.0);
        b.put(e, 60.0, 30.0);
        b.put(e, 90.0, 30.0);
        b.put(f, 120.0, 100.0);
        b.job.plates[0].copies[1].locked = true;
        b.job.plates[0].copies[2].footing = Some(Footing::Brim { width_mm: 5.0 });
        let plates = [b.job.plates[0].id];
        let task = top_up_task(&b.job, &plates, Some(e), None, false, &b.shapes, &Prepared::new()).expect("it goes");
        assert_eq!(task.problem.beds[0].fixed.len(), 1);
        let Aim::TopUp { shares, at_most, there } = &task.problem.aim else { panic!() };
        assert_eq!((shares.as_slice(), there.as_slice()), ([1.0, 0.0, 0.0].as_slice(), [1, 1, 1].as_slice()));
        assert_eq!(at_most[1..], [1, 1]);
        assert_eq!(task.mapping.now().count(), 3);
    }

    #[test]
    fn an_order_goes_to_machines_that_take_it() {
        let mut b = Bench::new();
        b.job.plates.clear();
        // Tall: only Bench 3 (300) takes it. Long: only Bench 3. Plain: all. Huge: none. Tower: none.
        let tall = b.part(rectangle(10.0, 10.0), rectangle(10.0, 10.0), 250.0);
        let (plain, huge) = (b.block(40.0, 40.0), b.block(310.0, 310.0));
        let tower = b.part(rectangle(10.0, 10.0), rectangle(10.0, 10.0), 400.0);
        for (p, n) in [(tall, 2), (plain, 30), (huge, 1), (tower, 3)] {
            b.part_mut(p).wanted = n;
        }
        let task = order_task(&b.job, &b.shapes, &Prepared::new()).expect("there is an order");
        assert_eq!(task.problem.aim, Aim::Pack { counts: vec![2, 30] });
        assert!(task.problem.beds.iter().any(|bed| bed.height_mm >= 250.0));
        let beds: Vec<MachineIdOf> = (0..3).map(|i| machine_of(&task, i)).collect();
        let all: Vec<MachineIdOf> = b.job.machines.iter().map(|m| m.id.0).collect();
        assert_eq!(beds, all, "machines take turns");
        let out: Vec<(PartId, usize, &str)> =
            task.mapping.left_out().iter().map(|u| (u.part, u.count, u.why.as_str())).collect();
        assert_eq!(out[0].0, huge);
        assert_eq!(
            out[0].2,
            "310.0 × 310.0 mm with its footing; no bed is large enough \
             (240.0 × 200.0 mm, 200.0 × 200.0 mm, 300.0 × 300.0 mm)"
        );
        assert_eq!(out[1], (tower, 3, "400.0 mm tall; the tallest bed that is large enough takes 300.0 mm"));
        // What is left over by a search is told too.
        let none = Layout { beds: vec![Vec::new(); task.problem.beds.len()], unplaced: vec![2, 30] };
        let placed = task.mapping.back(&none);
        assert!(placed.plates.is_empty());
        assert_eq!(placed.unplaced.iter().map(|u| u.count).sum::<usize>(), 36);
    }

    #[test]
    fn an_area_keeps_new_copies_within_it() {
        let mut b = Bench::new();
        let e = b.block(20.0, 20.0);
        b.put(e, 120.0, 100.0);
        let area = Bounds::new(Point::new(-10.0, 30.0), Point::new(70.0, 75.0));
        let plates = [b.job.plates[0].id];
        let task =
            top_up_task(&b.job, &plates, Some(e), Some(area), false, &b.shapes, &Prepared::new()).expect("it goes");
        // Cut to the bed: 70 × 45 mm takes three by two with gaps of 3 mm, and 3 150 mm² no more than 7 by area.
        assert!((task.problem.beds[0].room.area() - 70.0 * 45.0).abs() < 1e-6);
        assert_eq!(task.problem.aim, Aim::TopUp { shares: vec![1.0], at_most: vec![7], there: vec![0] });
        let layout = packing::solve(&task.problem, 1, Some(1), &Quiet);
        assert_eq!(layout.count(), 6);
    }

    /// Whatever is drawn: no panic, and a refusal where nothing of the bed is in it.
    #[test]
    fn absurd_areas_are_cut_to_the_bed_or_refused() {
        let mut b = Bench::new();
        let e = b.block(20.0, 20.0);
        b.put(e, 120.0, 100.0);
        let plates = [b.job.plates[0].id];
        let (inf, nan, big) = (f64::INFINITY, f64::NAN, 1e300);
        for (corners, fits) in [
            ([-big, -big, big, big], true),
            ([-inf, -inf, inf, inf], true),
            ([-10.0, 30.0, inf, 75.0], true),
            ([nan, 0.0, 50.0, 50.0], false),
            ([50.0, 50.0, 50.0, 50.0], false),
            ([70.0, 70.0, 20.0, 20.0], false),
            ([1e9, 1e9, 2e9, 2e9], false),
            ([50.0, 50.0, 50.0 + 1e-12, 90.0], false),
        ] {
            let [x, y, to_x, to_y] = corners;
            let area = Bounds { min: Point::new(x, y), max: Point::new(to_x, to_y) };
            let task = top_up_task(&b.job, &plates, Some(e), Some(area), false, &b.shapes, &Prepared::new());
            let Ok(task) = task else {
                assert!(!fits && task.err() == Some(TaskError::NoArea), "{corners:?}");
                continue;
            };
            assert!(fits, "{corners:?}");
            let layout = packing::solve(&task.problem, 1, Some(0), &Quiet);
            assert!(layout.count() > 3 && packing::verify(&task.problem, &layout).is_ok(), "{corners:?}");
            assert!(packing::top_up_bound(&task.problem, &Quiet).is_some_and(|b| b.value >= layout.count() as u64));
        }
    }

    #[test]
    fn a_skirt_takes_its_strip_of_the_room_but_not_of_the_bounds() {
        let mut b = Bench::new();
        let recipe = &mut b.job.recipes[0];
        // By the recipe's definition it reaches 4 + 2 · 0.5 = 5 mm.
        (recipe.skirt_loops, recipe.skirt_gap_mm, recipe.bead_width_mm) = (2, 4.0, 0.5);
        let corner = [[0.0, 0.0], [30.0, 0.0], [30.0, 10.0], [0.0, 10.0]].map(Point::from).to_vec();
        b.job.machines[0].keep_outs = vec![KeepOut { name: "clip".into(), outline: corner }];
        let e = b.block(20.0, 20.0);
        b.part_mut(e).footing = Footing::Brim { width_mm: 2.0 };
        b.put(e, 100.0, 100.0);
        let plates = [b.job.plates[0].id];
        let task = top_up_task(&b.job, &plates, Some(e), None, true, &b.shapes, &Prepared::new()).expect("it goes");
        // 240 × 200 less 5 all round, and less what the clip and its 5 mm take: 15 below.
        let room = task.problem.beds[0].room.bounds();
        assert!(room.min.distance(Point::new(5.0, 15.0)) < 1e-9 && room.max.distance(Point::new(235.0, 195.0)) < 1e-9);
        let bounding = task.bounding();
        assert!((bounding.beds[0].room.area() - 240.0 * 200.0).abs() < 1e-6);
        assert_eq!(bounding.beds[0].keep_outs.len(), 1);
        let layout = packing::solve(&task.problem, 1, Some(2), &Quiet);
        assert_eq!(packing::verify(&task.problem, &layout), Ok(()));
        assert!(layout.count() > 20);
        for p in &task.mapping.back(&layout).plates[0].copies {
            b.put_on(0, e, p.at);
        }
        assert_eq!(super::super::conflicts(&b.job, &b.job.plates[0], &b.shapes), []);
        b.job.recipes[0].skirt_loops = 0;
        let task = top_up_task(&b.job, &plates, Some(e), None, true, &b.shapes, &Prepared::new()).expect("it goes");
        assert!((task.problem.beds[0].room.area() - 240.0 * 200.0).abs() < 1e-6);
        assert!(matches!(task.bounding(), Cow::Borrowed(_)));
    }

    type MachineIdOf = u32;
    fn machine_of(task: &Task, bed: usize) -> MachineIdOf {
        match task.mapping.target(bed) {
            Some(Target::New(n)) => n.machine.0,
            _ => 0,
        }
    }

    #[test]
    fn an_order_without_machines_or_wishes() {
        let mut b = Bench::new();
        b.block(20.0, 20.0);
        let order = |b: &Bench| order_task(&b.job, &b.shapes, &Prepared::new()).err();
        assert_eq!(order(&b), Some(TaskError::NothingOrdered));
        b.job.machines.clear();
        assert_eq!(order(&b), Some(TaskError::NoMachines));
    }
}
