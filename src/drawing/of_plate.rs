//! From a plate of a job to what is drawn of it.

use std::{collections::BTreeMap, sync::Arc};

use super::{DrawnBed, DrawnConflict, DrawnCopy, DrawnPart, Paper, SheetInput, TitleBlock, label_spot, words};
use crate::{
    document::{Copy, Footing, Job, Part, PartId, PlateId},
    estimate::Items,
    geom::{InnerCircle, Point},
    plate::{Checker, Conflict, PlateTwin, Prepared, PreparedShape, Shapes, skirt_loops},
};

/// What a sheet says and a job does not know.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct SheetFacts {
    /// ISO 8601.
    pub date: String,
    /// Plate time, where it was estimated.
    pub time_s: Option<f64>,
    /// Filament of the plate, where it was estimated.
    pub mass_g: Option<f64>,
    /// Where the plate time goes, where it was estimated.
    pub items: Option<Items>,
    /// The page.
    pub paper: Paper,
}

impl DrawnCopy {
    /// A copy with its rings. `label` is [`label_spot`] of the part's own shadow, where the caller has it.
    pub fn of_copy(job: &Job, copy: &Copy, part: &Part, shape: &PreparedShape, label: Option<InnerCircle>) -> Self {
        let at = copy.placement();
        let rings = shape.rings_at(at);
        Self {
            name: job.copy_name(copy),
            letter: part.letter.clone(),
            hue: part.hue(),
            shadow: Arc::new(shape.shape.shadow.region().placed(at)),
            footing: (job.footing(copy) != Footing::Bare).then(|| Arc::new(rings.footing)),
            gap_ring: Some(Arc::new(rings.gap_ring)),
            locked: copy.locked,
            mirrored: part.pose.mirrored,
            label: label.map(|l| InnerCircle { centre: at.apply(l.centre), ..l }),
            ..Self::default()
        }
    }
}

impl DrawnCopy {
    /// The twin of a copy, pale, with the copy's name and a prime. `shape` is what lies there: of a handed twin the mirror
    /// image of the copy's; `label` as in [`DrawnCopy::of_copy`], of that shape.
    pub fn of_twin(
        job: &Job,
        copy: &Copy,
        part: &Part,
        shape: &PreparedShape,
        twin: &PlateTwin,
        label: Option<InnerCircle>,
    ) -> Self {
        let at = twin.placement(copy.placement());
        Self {
            name: twin_name(&job.copy_name(copy)),
            letter: part.letter.clone(),
            hue: part.hue(),
            shadow: Arc::new(shape.shape.shadow.region().placed(at)),
            footing: (job.footing(copy) != Footing::Bare).then(|| Arc::new(shape.rings_at(at).footing)),
            ghost: true,
            mirrored: part.pose.mirrored != twin.is_handed(),
            label: label.map(|l| InnerCircle { centre: at.apply(l.centre), ..l }),
            ..Self::default()
        }
    }
}

/// "E 14′": the twin of E 14.
pub fn twin_name(copy: &str) -> String {
    format!("{copy}\u{2032}")
}

impl DrawnConflict {
    /// A conflict with its word and millimetres.
    pub fn of_conflict(conflict: &Conflict) -> Self {
        Self {
            region: Arc::new(conflict.region.clone()),
            between: None,
            at: Some(conflict.place),
            text: words::conflict(conflict),
        }
    }
}

impl SheetInput {
    /// Everything on a plate: copies whose part has a shape, conflicts, title block and parts list (which says what is
    /// mirrored, however small the label). `None` where the
    /// plate or its machine is not in the job.
    pub fn of_plate(
        job: &Job,
        plate: PlateId,
        shapes: &Shapes,
        prepared: &Prepared,
        facts: &SheetFacts,
    ) -> Option<Self> {
        let number = job.plate_number(plate)?;
        let plate = job.plate(plate)?;
        let machine = job.machine(plate.machine)?;
        let twin = PlateTwin::of(job, plate);
        let mut labels: BTreeMap<PartId, Option<InnerCircle>> = BTreeMap::new();
        let (mut copies, mut twins) = (Vec::with_capacity(plate.copies.len()), Vec::new());
        let own_mirror = |id: PartId| shapes.get(&id).is_some_and(|s| s.own_mirror);
        let counts = job.lies_on(plate, own_mirror);
        // Mirrored ones that nobody ordered, by part.
        let mut strays: BTreeMap<PartId, usize> = BTreeMap::new();
        let mut standing = Vec::with_capacity(plate.copies.len());
        for copy in &plate.copies {
            let Some(part) = job.part(copy.part) else { continue };
            if twin.is_some() && job.part_of_twin(plate, copy, own_mirror).is_none() {
                *strays.entry(part.id).or_default() += 1;
            }
            let Some(shape) = shapes.get(&part.id) else { continue };
            let label = *labels.entry(part.id).or_insert_with(|| label_spot(shape.shadow.region()));
            let shape = prepared.get(shape, job.footing(copy), &job.margins);
            copies.push(DrawnCopy::of_copy(job, copy, part, &shape, label));
            if let Some(twin) = &twin {
                let (image, label) = if twin.is_handed() {
                    let mirrored = |l: InnerCircle| InnerCircle { centre: Point::new(-l.centre.x, l.centre.y), ..l };
                    (prepared.mirrored(&shape), label.map(mirrored))
                } else {
                    (shape.clone(), label)
                };
                twins.push(DrawnCopy::of_twin(job, copy, part, &image, twin, label));
            }
            standing.push((shape, copy.placement()));
        }
        let drawn_part = |p: &Part, count: usize, is_stray: bool| {
            let mirrored = if p.pose.mirrored == is_stray { "" } else { "mirrored " };
            let letter = if is_stray { twin_name(&p.letter) } else { p.letter.clone() };
            DrawnPart { letter, name: format!("{mirrored}{}", p.name), hue: p.hue(), count }
        };
        let of_part = |p: &Part| {
            let own = counts.get(&p.id).map(|&n| drawn_part(p, n, false));
            own.into_iter().chain(strays.get(&p.id).map(|&n| drawn_part(p, n, true))).collect::<Vec<_>>()
        };
        let parts = job.parts.iter().flat_map(of_part).collect();
        let tolerance_mm = job.margins.tolerance_mm.max(1e-3);
        let footings = standing.iter().map(|(form, at)| (&**form, *at));
        let mut loops = job.recipe(plate.recipe).map(|r| skirt_loops(r, footings, tolerance_mm)).unwrap_or_default();
        if let Some(twin) = &twin {
            loops.extend(loops.clone().iter().map(|l| twin.region(l)));
        }
        let conflicts = Checker::new(job, plate, shapes, prepared).conflicts();
        let material = job.material(plate.material).map(|m| m.name.as_str());
        let colour = Some(plate.colour.as_str()).filter(|c| !c.is_empty());
        Some(Self {
            bed: DrawnBed::of_plate(job, plate, tolerance_mm)?,
            copies,
            twins,
            skirt: loops.into_iter().map(Arc::new).collect(),
            conflicts: conflicts.iter().map(DrawnConflict::of_conflict).collect(),
            title: TitleBlock {
                title: job.title.clone(),
                plate: format!("{number} of {}", job.plates.len()),
                machine: machine.name.clone(),
                material: [material, colour].into_iter().flatten().collect::<Vec<_>>().join(", "),
                recipe: job.recipe(plate.recipe).map(|r| r.name.clone()).unwrap_or_default(),
                date: facts.date.clone(),
                scale: String::new(),
                time: facts.time_s.map(words::time).unwrap_or_default(),
                mass: facts.mass_g.map(words::mass).unwrap_or_default(),
                copies: words::copies_on(job, plate),
                items: facts.items.as_ref().map(words::items).unwrap_or_default(),
            },
            parts,
            paper: facts.paper,
        })
    }
}
