//! The solids of a plate and where they stand.

use std::{collections::BTreeMap, sync::Arc};

use super::{Matrix, WriteError, corner_marks::corner_marks, footing_solid::footing_solid};
use crate::{
    document::{FileUnit, Footing, Job, MeshRef, Part, Plate, PlateId, Recipe},
    geom::{Placement, Region, boolean, offset},
    mesh::TriMesh,
    plate::{PlateTwin, Shapes},
};

/// A plate with the meshes of its parts.
pub struct PlateModel<'a> {
    /// The job.
    pub job: &'a Job,
    /// Which plate.
    pub plate: PlateId,
    /// What the parts look like from above.
    pub shapes: &'a Shapes,
    /// The mesh of a part in its file's own coordinates, split off its file where the part is one body of several.
    pub meshes: &'a dyn Fn(&Part) -> Option<Arc<TriMesh>>,
}

/// What goes into a model beside the parts.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub struct ModelOptions {
    /// The plate as one body that cannot be rearranged.
    pub one_body: bool,
    /// Brims and rafts as geometry; a raft raises its part.
    pub footings: bool,
    /// Two small marks at opposite corners of the bed.
    pub corner_marks: bool,
    /// Of a plate that is printed twice at once both halves; else one, for a machine that doubles it by itself.
    pub both_halves: bool,
}

/// A body that is used any number of times.
pub(super) struct Body {
    /// The part's name, or what else it is.
    pub(super) name: String,
    /// In its own coordinates.
    pub(super) mesh: Arc<TriMesh>,
    /// From its own coordinates to where it stands with its origin at the bed's.
    pub(super) posed: Matrix,
}

/// A copy (or a mark): bodies that stay together.
pub(super) struct Item {
    /// "E 14".
    pub(super) name: String,
    /// Indices of bodies, and how far each is raised, mm.
    pub(super) bodies: Vec<(usize, f64)>,
    /// Where it lies.
    pub(super) at: Placement,
}

/// All of a plate.
pub(super) struct Assembly {
    pub(super) bodies: Vec<Body>,
    pub(super) items: Vec<Item>,
    /// The plate's number, from 1.
    pub(super) number: usize,
}

/// The mesh reference of a part: the one of its own body, where the file was split.
pub(super) fn mesh_ref<'a>(job: &'a Job, part: &Part) -> Option<&'a MeshRef> {
    job.meshes.iter().find(|m| m.id == part.mesh && m.body == part.body).or_else(|| job.mesh(&part.mesh))
}

impl Item {
    /// From a body's own coordinates to the bed, for each of the item's bodies.
    pub(super) fn matrices<'a>(&'a self, bodies: &'a [Body]) -> impl Iterator<Item = (&'a Body, Matrix)> + 'a {
        let at = Matrix::placed(self.at);
        self.bodies.iter().map(move |&(i, lift)| (&bodies[i], bodies[i].posed.then(&at).raised(lift)))
    }
}

impl PlateModel<'_> {
    pub(super) fn assemble(&self, options: ModelOptions) -> Result<Assembly, WriteError> {
        let job = self.job;
        let number = job.plate_number(self.plate).ok_or(WriteError::UnknownPlate(self.plate))?;
        let plate = job.plate(self.plate).ok_or(WriteError::UnknownPlate(self.plate))?;
        let recipe = job.recipe(plate.recipe).cloned().unwrap_or_else(|| Recipe::plain(plate.recipe));
        let tolerance_mm = job.margins.tolerance_mm.max(1e-4);
        let twin = PlateTwin::of(job, plate).filter(|_| options.both_halves);
        let (mut bodies, mut items, mut twins) = (Vec::<Body>::new(), Vec::new(), Vec::new());
        let mut of_part = BTreeMap::new();
        let mut of_footing: BTreeMap<_, Option<(usize, f64)>> = BTreeMap::new();
        for copy in &plate.copies {
            let missing = |part: &str| WriteError::MissingMesh { copy: job.copy_name(copy), part: part.to_owned() };
            let part = job.part(copy.part).ok_or_else(|| missing("?"))?;
            let shape = self.shapes.get(&part.id).ok_or_else(|| missing(&part.name))?;
            let (of_item, mirrored) = {
                let mut body = |mirror: bool| -> Result<usize, WriteError> {
                    if let Some(&i) = of_part.get(&(part.id, mirror)) {
                        return Ok(i);
                    }
                    let mesh = (self.meshes)(part).ok_or_else(|| missing(&part.name))?;
                    let unit = mesh_ref(job, part).map_or(FileUnit::Millimeter, |m| m.unit);
                    let posed = Matrix::posed(&part.pose, unit, shape.shift_mm);
                    let posed = if mirror { posed.then(&Matrix::mirror()) } else { posed };
                    let mirrored = if part.pose.mirrored == mirror { "" } else { " (mirrored)" };
                    bodies.push(Body { name: format!("{} {}{mirrored}", part.letter, part.name), mesh, posed });
                    of_part.insert((part.id, mirror), bodies.len() - 1);
                    Ok(bodies.len() - 1)
                };
                let own = vec![(body(false)?, 0.0)];
                let twin = twin.filter(PlateTwin::is_handed).map(|_| body(true)).transpose()?;
                (own.clone(), twin.map_or(own, |i| vec![(i, 0.0)]))
            };
            let (mut of_item, mut of_twin) = (of_item, mirrored);
            let footing = job.footing(copy);
            if options.footings && footing != Footing::Bare {
                let mut stand = |mirror: bool, of_item: &mut Vec<(usize, f64)>| {
                    let key = (part.id, footing.kind(), footing.width_mm().to_bits(), mirror);
                    let found = of_footing.entry(key).or_insert_with(|| {
                        let solid = footing_solid(footing, shape.contact.region(), &recipe, tolerance_mm)?;
                        let mirrored = if mirror { " (mirrored)" } else { "" };
                        let name = format!("{} {} {} mm{mirrored}", part.letter, footing.kind(), footing.width_mm());
                        let posed = if mirror { Matrix::mirror() } else { Matrix::placed(Placement::default()) };
                        bodies.push(Body { name, mesh: Arc::new(solid.mesh), posed });
                        Some((bodies.len() - 1, solid.lift_mm))
                    });
                    if let Some((i, lift_mm)) = *found {
                        of_item[0].1 = lift_mm;
                        of_item.push((i, 0.0));
                    }
                };
                stand(false, &mut of_item);
                if let Some(twin) = &twin {
                    stand(twin.is_handed(), &mut of_twin);
                }
            }
            let (name, at) = (job.copy_name(copy), copy.placement());
            if let Some(twin) = &twin {
                let what = if twin.is_handed() { "mirrored" } else { "twin" };
                let item = Item { name: format!("{name} {what}"), bodies: of_twin, at: twin.placement(at) };
                twins.push(item);
            }
            items.push(Item { name, bodies: of_item, at });
        }
        items.append(&mut twins);
        if options.corner_marks {
            self.add_corner_marks(plate, &recipe, twin.as_ref(), &mut bodies, &mut items);
        }
        Ok(Assembly { bodies, items, number })
    }

    fn add_corner_marks(
        &self,
        plate: &Plate,
        recipe: &Recipe,
        twin: Option<&PlateTwin>,
        bodies: &mut Vec<Body>,
        items: &mut Vec<Item>,
    ) {
        let Some(machine) = self.job.machine(plate.machine) else { return };
        let tolerance_mm = self.job.margins.tolerance_mm.max(1e-3);
        let bed: Region = machine.bed.outline(tolerance_mm).into();
        let room = offset::shrink(&bed, self.job.edge_mm(machine), tolerance_mm);
        let mut taken: Vec<Region> = machine.keep_outs.iter().map(crate::document::KeepOut::region).collect();
        for copy in &plate.copies {
            if let Some(shape) = self.shapes.get(&copy.part) {
                taken.push(shape.shadow.region().placed(copy.placement()));
                let footing = self.job.footing(copy).width_mm();
                let grown = offset::grow(shape.contact.region(), footing, tolerance_mm.max(0.05));
                taken.push(grown.placed(copy.placement()));
            }
        }
        if let Some(twin) = twin {
            taken.extend(taken.clone().iter().skip(machine.keep_outs.len()).map(|r| twin.region(r)));
        }
        for (name, mesh) in corner_marks(&room, &boolean::union(&taken), recipe.first_layer_mm) {
            let posed = Matrix::placed(Placement::default());
            bodies.push(Body { name: name.to_owned(), mesh: Arc::new(mesh), posed });
            let bodies = vec![(bodies.len() - 1, 0.0)];
            items.push(Item { name: name.to_owned(), bodies, at: Placement::default() });
        }
    }
}
