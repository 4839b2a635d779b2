//! A plate for the tests of this module.

use std::sync::Arc;

use super::{PartShape, Shapes};
use crate::{
    document::{
        BedShape, Copy, CopyId, Footing, Job, Machine, MachineId, MaterialId, MeshId, Part, PartId, Plate, PlateId,
        Pose, RecipeId, Shop, Turns, letter,
    },
    geom::{Bounds, Outline, Placement, Point, Polygon, Region},
};

/// A rectangle round the origin.
pub(super) fn rectangle(width: f64, depth: f64) -> Region {
    let h = Point::new(width / 2.0, depth / 2.0);
    Region::rectangle(Bounds::new(-h, h))
}

/// A square frame round the origin.
pub(super) fn frame(outer: f64, inner: f64) -> Region {
    let mut p: Polygon = rectangle(outer, outer).polygons.remove(0);
    let mut hole = rectangle(inner, inner).polygons.remove(0).outer;
    hole.reverse();
    p.holes.push(hole);
    p.into()
}

/// A shop with an empty plate on each machine and parts as asked.
pub(super) struct Bench {
    pub(super) job: Job,
    pub(super) shapes: Shapes,
}

impl Bench {
    /// The starter shop and two machines more, with one plate for its first (240 × 200 × 190), gap 3 mm.
    pub(super) fn new() -> Self {
        let mut bench = Self { job: Job::with_shop("Hive fittings", &Shop::starter()), shapes: Shapes::new() };
        let (round, large) = (MachineId(bench.id()), MachineId(bench.id()));
        bench.job.machines.extend([
            Machine {
                bed: BedShape::Round { diameter_mm: 200.0 },
                ..Machine::rectangular(round, "Bench 2", 200.0, 200.0, 180.0)
            },
            Machine::rectangular(large, "Bench 3", 300.0, 300.0, 300.0),
        ]);
        bench.plate(0);
        bench
    }
    pub(super) fn material(&self) -> MaterialId {
        self.job.materials[0].id
    }
    pub(super) fn recipe(&self) -> RecipeId {
        self.job.recipes[0].id
    }
    fn id(&mut self) -> u32 {
        self.job.next_id += 1;
        self.job.next_id - 1
    }
    /// A plate on machine number `machine`, from 0.
    pub(super) fn plate(&mut self, machine: usize) -> PlateId {
        let id = PlateId(self.id());
        let machine = self.job.machines[machine].id;
        let (material, recipe) = (self.material(), self.recipe());
        self.job.plates.push(Plate {
            id,
            machine,
            material,
            colour: "white".into(),
            recipe,
            spool: None,
            twin: None,
            twin_spool: None,
            run: crate::document::RunState::default(),
            copies: Vec::new(),
        });
        id
    }
    /// A part with a shadow and a contact.
    pub(super) fn part(&mut self, shadow: Region, contact: Region, height_mm: f64) -> PartId {
        let id = PartId(self.id());
        let n = self.job.parts.len();
        self.job.parts.push(Part {
            id,
            letter: letter(n),
            name: format!("part {}", letter(n)),
            mesh: MeshId::new("0", n),
            body: None,
            pose: Pose::default(),
            wanted: 0,
            due: None,
            material: self.material(),
            colour: "white".into(),
            recipe: self.recipe(),
            footing: Footing::Bare,
            turns: Turns::Quarters,
            together: false,
            other_hand: None,
            mends: Vec::new(),
            clean_up: crate::document::CleanUp::default(),
            next_number: 1,
        });
        let shape = PartShape {
            shadow: Outline::new(shadow),
            contact: Outline::new(contact),
            height_mm,
            shift_mm: [0.0; 3],
            own_mirror: false,
        };
        self.shapes.insert(id, Arc::new(shape));
        id
    }
    /// A block of a part: shadow and contact the same rectangle, 10 mm tall.
    pub(super) fn block(&mut self, width: f64, depth: f64) -> PartId {
        self.part(rectangle(width, depth), rectangle(width, depth), 10.0)
    }
    pub(super) fn part_mut(&mut self, id: PartId) -> &mut Part {
        self.job.parts.iter_mut().find(|p| p.id == id).expect("a part of this bench")
    }
    /// A copy on the first plate.
    pub(super) fn put(&mut self, part: PartId, x: f64, y: f64) -> CopyId {
        self.put_on(0, part, Placement::at(x, y))
    }
    pub(super) fn put_on(&mut self, plate: usize, part: PartId, at: Placement) -> CopyId {
        let id = CopyId(self.id());
        let p = self.part_mut(part);
        let number = p.next_number;
        p.next_number += 1;
        let turn_deg = at.turn_rad.to_degrees();
        let copy = Copy { id, part, number, x_mm: at.x, y_mm: at.y, turn_deg, locked: false, footing: None };
        self.job.plates[plate].copies.push(copy);
        id
    }
}
