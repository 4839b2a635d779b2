//! The order: about sixty fittings over two machines, as a job.

use std::fmt::Write as _;

use jiff::civil::date;
use sha2::{Digest, Sha256};
use stonehand::{
    document::{
        BedShape, ClockTime, FileUnit, Footing, HeadClearance, Hours, Job, KeepOut, Machine, MachineId, Margins,
        MeshId, MeshRef, Part, PartId, Pose, Sensor, Shifts, Shop, Span, Spool, SpoolId, TailFixed, Turns, letter,
    },
    geom::Point,
};

use super::{Failure, MeshFile, rows::lay_out};

/// One line of the order.
struct Line {
    name: &'static str,
    file: &'static str,
    /// Which object of the file.
    index: usize,
    wanted: u32,
    due: Option<&'static str>,
    material: &'static str,
    colour: &'static str,
    recipe: usize,
    footing: Footing,
    turns: Turns,
}

const BARE: Footing = Footing::Bare;

/// What is wanted.
const LINES: &[Line] = &[
    line("queen-cage peg", "queen-cage-peg.stl", 14).with(Footing::Brim { width_mm: 5.0 }, Turns::None),
    line("corner bracket", "corner-bracket.stl", 10).due("2027-03-12"),
    line("jar-lid adapter", "jar-lid-adapter.stl", 5),
    line("entrance gate", "entrance-gate.stl", 6).with(BARE, Turns::Quarters).due("2027-03-12"),
    line("frame spacer", "frame-spacer.obj", 10).with(BARE, Turns::Free),
    line("strap hook", "strap-hook.3mf", 6),
    line("strap keeper", "strap-hook.3mf", 6).second(),
    line("feeder funnel", "feeder-funnel.stl", 3).with(Footing::Raft { width_mm: 4.0 }, Turns::None).clear(),
    line("feeder float", "feeder-float.stl", 3).with(BARE, Turns::None).clear(),
];

const fn line(name: &'static str, file: &'static str, wanted: u32) -> Line {
    Line {
        name,
        file,
        index: 0,
        wanted,
        due: None,
        material: "PLA",
        colour: "straw",
        recipe: 0,
        footing: BARE,
        turns: Turns::Eighths,
    }
}

impl Line {
    const fn with(self, footing: Footing, turns: Turns) -> Self {
        Self { footing, turns, ..self }
    }
    const fn due(self, day: &'static str) -> Self {
        Self { due: Some(day), ..self }
    }
    /// The file's second object.
    const fn second(self) -> Self {
        Self { index: 1, ..self }
    }
    /// In clear PETG, by the second recipe.
    const fn clear(self) -> Self {
        Self { material: "PETG", colour: "clear", recipe: 1, ..self }
    }
}

fn keep_out(name: &str, [x0, y0, x1, y1]: [f64; 4]) -> KeepOut {
    let outline = vec![Point::new(x0, y0), Point::new(x1, y0), Point::new(x1, y1), Point::new(x0, y1)];
    KeepOut { name: name.into(), outline }
}

/// The machine, two of the materials and two of the recipes that a shop starts with, and a second machine with a round bed.
fn shop() -> Shop {
    let mut shop = Shop::starter();
    // Room for the numbers of machines before those of materials and recipes.
    shop.materials.iter_mut().for_each(|m| m.id.0 += 2);
    shop.recipes.iter_mut().for_each(|r| r.id.0 += 2);
    shop.machines.push(Machine {
        bed: BedShape::Round { diameter_mm: 200.0 },
        ..Machine::rectangular(MachineId(2), "Bench 2", 200.0, 200.0, 180.0)
    });
    shop.materials.retain(|m| LINES.iter().any(|l| l.material == m.name));
    shop.recipes.truncate(2);
    if let [rectangle, disc] = shop.machines.as_mut_slice() {
        rectangle.edge_mm = 2.0;
        rectangle.head = Some(HeadClearance { radius_mm: 45.0, under_gantry_mm: 30.0 });
        rectangle.keep_outs = vec![
            keep_out("clip", [0.0, 85.0, 9.0, 115.0]),
            keep_out("clip", [231.0, 85.0, 240.0, 115.0]),
            keep_out("purge", [0.0, 190.0, 60.0, 200.0]),
        ];
        disc.edge_mm = 3.0;
        disc.keep_outs = vec![keep_out("clip", [88.0, 0.0, 112.0, 10.0])];
    }
    shop
}

fn sha256(bytes: &[u8]) -> String {
    Sha256::digest(bytes).iter().fold(String::new(), |mut hex, byte| {
        // Writing to a string cannot fail.
        let _ = write!(hex, "{byte:02x}");
        hex
    })
}

/// One person, Monday to Thursday from eight to five, Friday until two; the work starts on a Monday morning.
fn shifts() -> Shifts {
    let day = |from, to| -> Vec<Span> {
        let clock = |hour| ClockTime::new(hour, 0);
        clock(from).zip(clock(to)).map(|(from, to)| Span { from, to }).into_iter().collect()
    };
    let week = [day(8, 17), day(8, 17), day(8, 17), day(8, 17), day(8, 14), Vec::new(), Vec::new()];
    let hours = Hours { time_zone: "Europe/Lisbon".into(), week, ..Hours::default() };
    Shifts { hours, start: Some(date(2027, 3, 8).at(8, 0, 0, 0)), ..Shifts::default() }
}

/// Two spools on the shelf, weighed, and every plate made from the one of its kind.
fn shelve(job: &mut Job) {
    for (name, letter, material, colour, grams_left) in
        [("Straw 1", "S", "PLA", "straw", 870.0), ("Clear 1", "C", "PETG", "clear", 640.0)]
    {
        let Some(material) = job.materials.iter().find(|m| m.name == material).map(|m| m.id) else { continue };
        let id = SpoolId(job.next_id);
        job.next_id += 1;
        let spool = Spool::full(id, name, material, colour);
        job.spools.push(Spool {
            letter: letter.into(),
            grams_left,
            sensor: Sensor::Motion,
            tail_fixed: TailFixed::No,
            ..spool
        });
        for plate in job.plates.iter_mut().filter(|p| p.material == material && p.colour == colour) {
            plate.spool = Some(id);
        }
    }
}

/// The order as a job, each copy in rows on a plate.
pub(crate) fn job(meshes: &[MeshFile]) -> Result<Job, Failure> {
    let mut job = Job::with_shop("Hive fittings", &shop());
    job.margins = Margins { gap_mm: 3.0, footing_gap_mm: 0.5, ..Margins::default() };
    job.shifts = shifts();
    let mut sizes = Vec::new();
    for line in LINES {
        let file = meshes.iter().find(|m| m.name == line.file).ok_or("no such sample")?;
        let (object, body) = file.objects.get(line.index).ok_or("no such object")?;
        sizes.push(body.size_in_plan());
        let mesh = MeshId::new(&sha256(&file.bytes), line.index);
        job.meshes.push(MeshRef {
            id: mesh.clone(),
            file: line.file.into(),
            object: (*object).into(),
            body: None,
            unit: FileUnit::Millimeter,
        });
        let material = job.materials.iter().find(|m| m.name == line.material).ok_or("no such material")?.id;
        let recipe = job.recipes.get(line.recipe).ok_or("no such recipe")?.id;
        job.parts.push(Part {
            id: PartId(job.next_id),
            letter: letter(job.parts.len()),
            name: line.name.into(),
            mesh,
            body: None,
            pose: Pose::default(),
            wanted: line.wanted,
            due: line.due.map(Into::into),
            material,
            colour: line.colour.into(),
            recipe,
            footing: line.footing,
            turns: line.turns,
            together: false,
            other_hand: None,
            mends: Vec::new(),
            clean_up: stonehand::document::CleanUp::default(),
            next_number: 1,
        });
        job.next_id += 1;
        job.letters_given += 1;
    }
    lay_out(&mut job, &sizes)?;
    shelve(&mut job);
    Ok(job)
}
