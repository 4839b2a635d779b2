//! From a plate of a job to what is drawn of it.

use std::{collections::BTreeMap, sync::Arc};

use super::{DrawnBed, DrawnConflict, DrawnCopy, DrawnPart, Paper, SheetInput, TitleBlock, label_spot, words};
use crate::{
    document::{Copy, Footing, Job, Part, PartId, PlateId},
    estimate::Items,
    geom::InnerCircle,
    plate::{Checker, Conflict, Prepared, PreparedShape, Shapes, skirt_loops},
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
        let mut labels: BTreeMap<PartId, Option<InnerCircle>> = BTreeMap::new();
        let mut copies = Vec::with_capacity(plate.copies.len());
        let mut counts: BTreeMap<PartId, usize> = BTreeMap::new();
        let mut standing = Vec::with_capacity(plate.copies.len());
        for copy in &plate.copies {
            let Some(part) = job.part(copy.part) else { continue };
            *counts.entry(part.id).or_default() += 1;
            let Some(shape) = shapes.get(&part.id) else { continue };
            let label = *labels.entry(part.id).or_insert_with(|| label_spot(shape.shadow.region()));
            let shape = prepared.get(shape, job.footing(copy), &job.margins);
            copies.push(DrawnCopy::of_copy(job, copy, part, &shape, label));
            standing.push((shape, copy.placement()));
        }
        let parts = job
            .parts
            .iter()
            .filter_map(|p| {
                let count = *counts.get(&p.id)?;
                let mirrored = if p.pose.mirrored { "mirrored " } else { "" };
                let name = format!("{mirrored}{}", p.name);
                Some(DrawnPart { letter: p.letter.clone(), name, hue: p.hue(), count })
            })
            .collect();
        let tolerance_mm = job.margins.tolerance_mm.max(1e-3);
        let footings = standing.iter().map(|(form, at)| (&**form, *at));
        let loops = job.recipe(plate.recipe).map(|r| skirt_loops(r, footings, tolerance_mm)).unwrap_or_default();
        let conflicts = Checker::new(job, plate, shapes, prepared).conflicts();
        let material = job.material(plate.material).map(|m| m.name.as_str());
        let colour = Some(plate.colour.as_str()).filter(|c| !c.is_empty());
        Some(Self {
            bed: DrawnBed::of_machine(machine, job.edge_mm(machine), tolerance_mm),
            copies,
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
                copies: plate.copies.len().to_string(),
                items: facts.items.as_ref().map(words::items).unwrap_or_default(),
            },
            parts,
            paper: facts.paper,
        })
    }
}
