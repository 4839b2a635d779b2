//! Orders of prisms dealt over small beds.

use std::{
    collections::BTreeMap,
    sync::{Arc, Mutex},
};

use jiff::civil::date;
use proptest::prelude::*;

use super::*;
use crate::{
    batch::zone_of,
    document::{
        ClockTime, Copy, CopyId, Footing, Job, Machine, MachineId, Margins, MeshId, Part, PartId, Plate, PlateId, Pose,
        RunState, Shop, Span, Turns, letter,
    },
    estimate::{self, Profile},
    geom::{Bounds, Outline, Placement, Point, Region},
    plate::{PartShape, Shapes, conflicts},
    watch::{Quiet, Watch},
};

/// A part: width, depth, height, how many, due.
type Ordered = (f64, f64, f64, u32, Option<&'static str>);

fn rectangle(width: f64, depth: f64) -> Region {
    let h = Point::new(width / 2.0, depth / 2.0);
    Region::rectangle(Bounds::new(-h, h))
}

/// An order of blocks on equal machines with beds of 120 × 100 × 100 mm; somebody is there from 08:00 to 17:00 every day.
fn task(machines: usize, order: &[Ordered]) -> DealTask {
    let mut job = Job::with_shop("Hive fittings", &Shop::starter());
    let mut id = job.next_id;
    let mut next = || {
        id += 1;
        id - 1
    };
    job.machines = (1..=machines)
        .map(|n| Machine::rectangular(MachineId(next()), &format!("Bench {n}"), 120.0, 100.0, 100.0))
        .collect();
    job.margins = Margins { gap_mm: 3.0, ..Margins::default() };
    job.shifts.hours.time_zone = "Europe/Lisbon".into();
    let clock = |h| ClockTime::new(h, 0).expect("a time of day");
    job.shifts.hours.week = std::array::from_fn(|_| vec![Span { from: clock(8), to: clock(17) }]);
    let mut parts = BTreeMap::new();
    let recipe = job.recipes[0].clone();
    for (n, &(width, depth, height_mm, wanted, due)) in order.iter().enumerate() {
        let part = PartId(next());
        job.parts.push(Part {
            id: part,
            letter: letter(n),
            name: format!("block {}", letter(n)),
            mesh: MeshId::new("0", 0),
            body: None,
            mends: Vec::new(),
            pose: Pose::default(),
            wanted,
            due: due.map(str::to_owned),
            material: job.materials[0].id,
            colour: "straw".into(),
            recipe: recipe.id,
            footing: Footing::Bare,
            clean_up: crate::document::CleanUp::default(),
            turns: Turns::Quarters,
            together: false,
            other_hand: None,
            next_number: 1,
        });
        let spans = estimate::layers(&recipe, height_mm);
        let sections = vec![rectangle(width, depth); spans.len()];
        let profile = Arc::new(Profile::compute(&sections, &spans, &recipe, &Quiet).expect("sound"));
        let outline = Outline::new(rectangle(width, depth));
        let shape = Arc::new(PartShape { shadow: outline.clone(), contact: outline, height_mm, shift_mm: [0.0; 3] });
        parts.insert(part, DealPart { shape, profile });
    }
    job.letters_given = order.len() as u32;
    job.next_id = id;
    let start = date(2026, 12, 1).at(8, 0, 0, 0).to_zoned_datetime(zone_of(&job.shifts.hours)).expect("a time");
    DealTask {
        job: Arc::new(job),
        parts,
        unknown: BTreeMap::new(),
        start: start.timestamp(),
        seed: 1,
        rounds: Some(2),
        time: None,
    }
}

fn dealt(task: &DealTask) -> Dealt {
    deal(task, &Quiet).expect("it can be dealt")
}

/// The job with the dealing carried out, as plain as can be: for conflicts and counts.
fn carried_out(task: &DealTask, dealt: &Dealt) -> Job {
    let mut job = (*task.job).clone();
    let mut plates = Vec::new();
    let mut id = job.next_id + 10_000;
    for p in &dealt.plates {
        let old = p.plate.and_then(|id| task.job.plate(id));
        if p.stays {
            plates.push(old.expect("it was there").clone());
            continue;
        }
        id += 1;
        let mut plate = Plate {
            id: p.plate.unwrap_or(PlateId(id)),
            machine: p.kind.machine,
            material: p.kind.material,
            colour: p.kind.colour.clone(),
            recipe: p.kind.recipe,
            spool: None,
            twin: None,
            run: RunState::default(),
            copies: Vec::new(),
        };
        for c in &p.copies {
            id += 1;
            plate.copies.push(Copy {
                id: c.copy.unwrap_or(CopyId(id)),
                part: c.part,
                number: id,
                x_mm: c.at.x,
                y_mm: c.at.y,
                turn_deg: c.at.turn_rad.to_degrees(),
                locked: false,
                footing: Some(c.footing),
            });
        }
        plates.push(plate);
    }
    job.plates = plates;
    job
}

/// Every copy wanted is dealt once, none lies in conflict, no copy of the job is lost or doubled.
fn sound(task: &DealTask, done: &Dealt) {
    let after = carried_out(task, done);
    let shapes: Shapes = task.parts.iter().map(|(id, p)| (*id, p.shape.clone())).collect();
    for plate in &after.plates {
        assert_eq!(conflicts(&after, plate, &shapes), [], "{plate:?}");
        assert!(plate.copies.iter().all(|c| after.belongs(after.part(c.part).expect("a part"), plate)));
    }
    let copies: Vec<CopyId> = after.plates.iter().flat_map(|p| &p.copies).map(|c| c.id).collect();
    let mut once = copies.clone();
    once.sort_unstable();
    once.dedup();
    assert_eq!(once.len(), copies.len(), "a copy lies twice");
    for plate in &task.job.plates {
        if plate.run.ended.is_none() {
            assert!(plate.copies.iter().all(|c| copies.contains(&c.id)), "a copy is lost");
        }
    }
    for part in &after.parts {
        let left: usize = done.not_dealt.iter().filter(|n| n.part == part.id).map(|n| n.count).sum();
        let made = |j: &Job| {
            j.plates.iter().filter(|p| !p.run.failed).flat_map(|p| &p.copies).filter(|c| c.part == part.id).count()
        };
        let ended: usize = task
            .job
            .plates
            .iter()
            .filter(|p| p.run.ended.is_some() && !p.run.failed)
            .flat_map(|p| &p.copies)
            .filter(|c| c.part == part.id)
            .count();
        let before = made(&task.job);
        assert_eq!(made(&after) + ended + left, before.max(part.wanted as usize), "{}", part.name);
    }
    assert!(done.bound_s <= done.cost.finish_s);
}

#[test]
fn every_copy_is_dealt_once_and_none_in_conflict() {
    let task =
        task(2, &[(30.0, 20.0, 8.0, 14, None), (20.0, 20.0, 30.0, 9, Some("2026-12-02")), (50.0, 40.0, 4.0, 3, None)]);
    let done = dealt(&task);
    sound(&task, &done);
    assert_eq!(done.not_dealt, []);
    assert_eq!(done.cost.not_run, 0);
    assert!(done.plates.len() >= 2, "{done:?}");
    // The same seed and rounds give the same plates.
    assert_eq!(done, dealt(&task));
    println!("{:?}", done.cost);
    println!("bound {} gap {:?}", done.bound_s, done.gap());
}
