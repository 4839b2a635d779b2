//! A small job of the beekeepers' fittings workshop: a spacer block and a left-hand bracket on one plate.

use std::{collections::BTreeMap, sync::Arc};

use stonehand::{
    document::{
        Copy, CopyId, FileUnit, Footing, Job, KeepOut, Machine, MachineId, Material, MaterialId, MeshId, MeshRef, Part,
        PartId, Plate, PlateId, Pose, Recipe, RecipeId, Turns,
    },
    estimate::Items,
    formats::write::{PlateModel, PlateTime},
    geom::{Outline, Point, Polygon, Region},
    mesh::TriMesh,
    plate::{PartShape, Shapes},
};

/// A job with all that the writers need.
pub(crate) struct Fixture {
    pub(crate) job: Job,
    pub(crate) shapes: Shapes,
    pub(crate) meshes: BTreeMap<PartId, Arc<TriMesh>>,
}

pub(crate) const PLATE: PlateId = PlateId(9);

/// An upright prism over a counter-clockwise convex or star-shaped (from its first corner) outline.
fn prism(outline: &[[f64; 2]], height: f64) -> TriMesh {
    let n = outline.len() as u32;
    let vertices = [0.0, height].iter().flat_map(|&z| outline.iter().map(move |p| [p[0], p[1], z])).collect();
    let mut triangles = Vec::new();
    for i in 1..n - 1 {
        triangles.push([0, i + 1, i]);
        triangles.push([n, n + i, n + i + 1]);
    }
    for i in 0..n {
        let j = (i + 1) % n;
        triangles.push([i, j, j + n]);
        triangles.push([i, j + n, i + n]);
    }
    TriMesh { vertices, triangles }
}

/// The shape of a prism as it stands, from its outline in the file, its pose and its unit.
fn shape(mesh: &TriMesh, outline: &[[f64; 2]], pose: &Pose, unit: FileUnit) -> PartShape {
    let m = pose.linear(unit.mm());
    let turn = |p: [f64; 3]| -> [f64; 3] { std::array::from_fn(|j| p[0] * m[0][j] + p[1] * m[1][j] + p[2] * m[2][j]) };
    let turned: Vec<[f64; 3]> = mesh.vertices.iter().map(|v| turn(*v)).collect();
    let least = |k: usize| turned.iter().map(|v| v[k]).fold(f64::INFINITY, f64::min);
    let most = |k: usize| turned.iter().map(|v| v[k]).fold(f64::NEG_INFINITY, f64::max);
    let shift = [-(least(0) + most(0)) / 2.0, -(least(1) + most(1)) / 2.0, -least(2)];
    let plan =
        outline.iter().map(|p| turn([p[0], p[1], 0.0])).map(|p| Point::new(p[0] + shift[0], p[1] + shift[1])).collect();
    let region: Region = Polygon::simple(plan).into();
    PartShape {
        shadow: Outline::new(region.clone()),
        contact: Outline::new(region),
        height_mm: most(2) - least(2),
        shift_mm: shift,
        own_mirror: false,
    }
}

impl Fixture {
    pub(crate) fn new() -> Self {
        let block = [[0.0, 0.0], [20.0, 0.0], [20.0, 10.0], [0.0, 10.0]];
        // In inches: an L, 1.2 × 0.8, arms 0.25 wide.
        let bracket = [[0.25, 0.25], [0.25, 0.8], [0.0, 0.8], [0.0, 0.0], [1.2, 0.0], [1.2, 0.25]];
        let meshes = [prism(&block, 5.0), prism(&bracket, 0.5)].map(Arc::new);
        let poses = [Pose::default(), Pose { mirrored: true, scale_percent: 100.4, ..Pose::default() }];
        let units = [FileUnit::Millimeter, FileUnit::Inch];
        let names = ["frame spacer", "corner bracket"];
        let mut job = Job { title: "Hive fittings".into(), next_id: 40, letters_given: 2, ..Job::default() };
        let mut machine = Machine::rectangular(MachineId(1), "Bench 2", 240.0, 200.0, 190.0);
        machine.edge_mm = 4.0;
        let clip = [Point::new(0.0, 186.0), Point::new(30.0, 186.0), Point::new(30.0, 200.0), Point::new(0.0, 200.0)];
        machine.keep_outs.push(KeepOut { name: "purge".into(), outline: clip.to_vec() });
        job.machines.push(machine);
        job.recipes.push(Recipe::plain(RecipeId(2)));
        job.materials.push(Material {
            id: MaterialId(3),
            name: "PLA".into(),
            density_g_cm3: 1.24,
            heat_capacity_j_kg_k: 1800.0,
            conductivity_w_m_k: 0.13,
            deposit_c: 210.0,
            limit_c: 60.0,
            air_c: 23.0,
            film_w_m2_k: 40.0,
            bed_c: 60.0,
            fan: stonehand::document::Fan::Typed,
            cost_per_kg: 20.0,
            strength: stonehand::document::Strength::default(),
            adhesions: Vec::new(),
            origins: BTreeMap::new(),
        });
        let mut shapes = Shapes::new();
        let mut by_part = BTreeMap::new();
        for (i, outline) in [&block[..], &bracket[..]].into_iter().enumerate() {
            let id = PartId(10 + i as u32);
            let mesh = MeshId::new(&format!("{}", i + 1).repeat(64), 0);
            job.meshes.push(MeshRef {
                id: mesh.clone(),
                file: format!("meshes/{}.stl", names[i].replace([' ', ','], "-")),
                object: names[i].into(),
                body: None,
                unit: units[i],
            });
            job.parts.push(Part {
                id,
                letter: ["A", "B"][i].into(),
                name: names[i].into(),
                mesh,
                body: None,
                pose: poses[i],
                wanted: [3, 1][i],
                due: None,
                material: MaterialId(3),
                colour: "black".into(),
                recipe: RecipeId(2),
                footing: [Footing::Bare, Footing::Brim { width_mm: 5.0 }][i],
                turns: Turns::Free,
                together: false,
                other_hand: None,
                mends: Vec::new(),
                clean_up: stonehand::document::CleanUp::default(),
                next_number: 9,
            });
            shapes.insert(id, Arc::new(shape(&meshes[i], outline, &poses[i], units[i])));
            by_part.insert(id, meshes[i].clone());
        }
        let copy = |id: u32, part: u32, number: u32, x_mm: f64, y_mm: f64, turn_deg: f64| Copy {
            id: CopyId(id),
            part: PartId(part),
            number,
            x_mm,
            y_mm,
            turn_deg,
            locked: number == 2,
            footing: None,
        };
        let mut copies = vec![
            copy(20, 10, 1, 60.0, 50.0, 0.0),
            copy(21, 10, 2, 110.125, 95.0, 90.0),
            copy(22, 11, 1, 170.3, 140.7, 33.3),
        ];
        copies[1].footing = Some(Footing::Raft { width_mm: 4.0 });
        job.plates.push(Plate {
            id: PLATE,
            machine: MachineId(1),
            material: MaterialId(3),
            colour: "black".into(),
            recipe: RecipeId(2),
            spool: None,
            twin: None,
            twin_spool: None,
            run: stonehand::document::RunState::default(),
            copies,
        });
        Self { job, shapes, meshes: by_part }
    }

    /// A time of the plate; the items add up to it.
    pub(crate) fn time() -> PlateTime {
        let items = Items {
            heat_up_s: 180.0,
            walls_s: 1500.0,
            solid_s: 800.0,
            infill_s: 500.0,
            footing_s: 95.0,
            travel_s: 150.0,
            retraction_s: 95.0,
            layer_change_s: 60.0,
            slowing_s: 470.0,
            end_s: 50.0,
            ..Items::default()
        };
        PlateTime { time_s: 3900.0, mass_g: 12.3, items }
    }

    /// Hands the plate with its meshes to `f`.
    pub(crate) fn with_model<T>(&self, f: impl FnOnce(&PlateModel<'_>) -> T) -> T {
        let meshes = |p: &Part| self.meshes.get(&p.id).cloned();
        f(&PlateModel { job: &self.job, plate: PLATE, shapes: &self.shapes, meshes: &meshes })
    }
}
