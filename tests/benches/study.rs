//! A footing study of six variants on a bed that takes about 200 pegs bare: when its rows come within ten seconds, 9.5 of them for searching as in the window.
//! Then how many of those pegs at once, up to 100 and beyond: the first rows within a second, all to 100 copies within fifteen, with four seconds
//! to search as in the window. `cargo bench --bench study` prints a line a row: seconds since the start, words.

use std::{
    error::Error,
    f64::consts::PI,
    sync::Arc,
    time::{Duration, Instant},
};

use stonehand::{
    batch::Spoils,
    document::{CleanUp, Footing, Job, Machine, MachineId, Margins, MeshId, Part, PartId, Pose, Shop, Turns},
    estimate::{self, Profile},
    geom::{Outline, Point, Polygon, Region},
    plate::PartShape,
    stability::MassProfile,
    studies::{CopiesStudy, FootingStudy, StudiedPart, copies_advice, copies_study, footing_study},
    watch::Quiet,
};

const HEIGHT_MM: f64 = 60.0;

fn main() -> Result<(), Box<dyn Error>> {
    let mut job = Job::with_shop("bench", &Shop::starter());
    let (machine, part) = (MachineId(job.next_id), PartId(job.next_id + 1));
    job.next_id += 2;
    job.machines = vec![Machine::rectangular(machine, "Bench 1", 200.0, 160.0, 190.0)];
    job.margins = Margins { gap_mm: 3.0, footing_gap_mm: 0.0, ..Margins::default() };
    let recipe = job.recipes[0].clone();
    job.parts = vec![Part {
        id: part,
        letter: "A".into(),
        name: "peg".into(),
        mesh: MeshId::new("0", 0),
        body: None,
        mends: Vec::new(),
        pose: Pose::default(),
        wanted: 200,
        due: None,
        material: job.materials[0].id,
        colour: "straw".into(),
        recipe: recipe.id,
        footing: Footing::Bare,
        turns: Turns::None,
        together: false,
        other_hand: None,
        clean_up: CleanUp::default(),
        next_number: 1,
    }];
    let corner = |i: u32| Point::new(4.5, 0.0).turned(f64::from(i) * PI / 24.0);
    let section: Region = Polygon::simple((0..48).map(corner).collect()).into();
    let spans = estimate::layers(&recipe, HEIGHT_MM);
    let sections = vec![section.clone(); spans.len()];
    let tops: Vec<f64> = spans.iter().map(|s| s.top_mm).collect();
    let outline = Outline::new(section);
    let studied = StudiedPart {
        shape: Arc::new(PartShape {
            shadow: outline.clone(),
            contact: outline,
            height_mm: HEIGHT_MM,
            shift_mm: [0.0; 3],
            own_mirror: false,
        }),
        profile: Arc::new(Profile::compute(&sections, &spans, &recipe, &Quiet)?),
        mass: MassProfile::new(&sections, &tops, recipe.bead_width_mm, &Quiet).unwrap_or_default(),
        supports: Region::EMPTY,
    };
    let brims = [2.0, 3.0, 5.0, 8.0].map(|width_mm| Footing::Brim { width_mm });
    let mut variants = vec![Footing::Bare];
    variants.extend(brims);
    variants.push(Footing::Raft { width_mm: 3.0 });
    let study = FootingStudy {
        job: Arc::new(job),
        part,
        machine,
        studied,
        seed: 1,
        rounds: None,
        time: Some(Duration::from_millis(9500)),
        variants: Some(variants),
        with_suggested: false,
    };
    let start = Instant::now();
    footing_study(&study, &Quiet, &mut |row| {
        eprintln!("{:6.2} s  {}", start.elapsed().as_secs_f64(), row.words());
    })?;
    eprintln!("{:6.2} s  in all", start.elapsed().as_secs_f64());
    copies(&study)
}

fn copies(of: &FootingStudy) -> Result<(), Box<dyn Error>> {
    let study = CopiesStudy {
        job: of.job.clone(),
        part: of.part,
        machine: of.machine,
        studied: of.studied.clone(),
        seed: 1,
        rounds: None,
        time: Some(Duration::from_secs(4)),
        spoils: Spoils::Reach,
        confidence: 0.9,
        now: "2026-12-01T15:00:00Z".parse()?,
    };
    let (start, mut rows) = (Instant::now(), Vec::new());
    copies_study(&study, &Quiet, &mut |row| {
        if row.copies % 10 == 1 || row.copies == 100 {
            eprintln!("{:6.2} s  {}", start.elapsed().as_secs_f64(), row.words());
        }
        rows.push(row.clone());
    })?;
    eprintln!(
        "{:6.2} s  in all: {} rows; {}",
        start.elapsed().as_secs_f64(),
        rows.len(),
        copies_advice(&rows, study.spoils).join(" ")
    );
    Ok(())
}
