//! Orders dealt out over machines and days: 300 copies of 12 parts over 6 machines, large ones that take a working week and small ones that take a
//! day and a half, and 2000 copies of 40 parts over 20. `cargo bench --bench deal` prints for each, after the first dealing and after 10 and 60 s: seconds spent, plates, when the last print ends,
//! the bound, how far apart they are, what is late and what is left unserved. Words choose cases and seconds: `-- 300 10`, `-- week 60`.

use std::{
    collections::BTreeMap,
    env,
    error::Error,
    f64::consts::PI,
    sync::Arc,
    time::{Duration, Instant},
};

use jiff::civil::date;
use stonehand::{
    batch::zone_of,
    document::{
        CleanUp, ClockTime, Footing, Job, Machine, MachineId, Margins, MeshId, Part, PartId, Pose, Shop, Span, Turns,
        letter,
    },
    estimate::{self, Profile},
    geom::{Outline, Point, Polygon, Region},
    plate::PartShape,
    studies::{DealPart, DealTask, deal},
    watch::Quiet,
};

/// An order.
#[derive(Clone, Copy)]
struct Case {
    word: &'static str,
    copies: u32,
    kinds: usize,
    machines: usize,
    /// How much larger than small fittings its parts are.
    scale: f64,
}

const CASES: [Case; 3] = [
    Case { word: "week", copies: 300, kinds: 12, machines: 6, scale: 1.6 },
    Case { word: "300", copies: 300, kinds: 12, machines: 6, scale: 1.0 },
    Case { word: "2000", copies: 2000, kinds: 40, machines: 20, scale: 1.0 },
];

/// Outlines as a workshop has them: blocks, brackets, discs.
fn outline(n: usize, scale: f64) -> Region {
    let size = scale * (22.0 + 7.0 * ((n * 5) % 7) as f64);
    let corners: Vec<Point> = match n % 3 {
        0 => [[0.0, 0.0], [size, 0.0], [size, 0.6 * size], [0.0, 0.6 * size]].map(Point::from).to_vec(),
        1 => {
            let w = 0.35 * size;
            [[0.0, 0.0], [size, 0.0], [size, w], [w, w], [w, size], [0.0, size]].map(Point::from).to_vec()
        }
        _ => (0..40).map(|i| Point::new(size / 2.0, 0.0).turned(f64::from(i) * PI / 20.0)).collect(),
    };
    let region = Region::from(Polygon::simple(corners));
    let middle = region.bounds().centre();
    region.placed(stonehand::geom::Placement::at(-middle.x, -middle.y))
}

fn order(case: Case) -> Result<DealTask, Box<dyn Error>> {
    let Case { copies, kinds, machines, scale, .. } = case;
    let mut job = Job::with_shop("bench", &Shop::starter());
    let mut id = job.next_id;
    let mut next = || {
        id += 1;
        id - 1
    };
    job.machines = (1..=machines)
        .map(|n| Machine::rectangular(MachineId(next()), &format!("Bench {n}"), 240.0, 200.0, 190.0))
        .collect();
    job.margins = Margins { gap_mm: 3.0, ..Margins::default() };
    let clock = |h| ClockTime::new(h, 0).ok_or("no time of day");
    let day = vec![Span { from: clock(8)?, to: clock(17)? }];
    job.shifts.hours.time_zone = "Europe/Lisbon".into();
    job.shifts.hours.week = std::array::from_fn(|d| if d < 5 { day.clone() } else { Vec::new() });
    job.shifts.hours.people = if machines > 10 { 2 } else { 1 };
    let recipe = job.recipes[0].clone();
    let mut parts = BTreeMap::new();
    for n in 0..kinds {
        let part = PartId(next());
        let height_mm = scale * [6.0, 12.0, 20.0, 30.0, 9.0, 45.0, 15.0][n % 7];
        job.parts.push(Part {
            id: part,
            letter: letter(n),
            name: format!("fitting {}", n + 1),
            mesh: MeshId::new("0", 0),
            body: None,
            mends: Vec::new(),
            pose: Pose::default(),
            wanted: copies / kinds as u32 + u32::from((n as u32) < copies % kinds as u32),
            due: (n % 4 == 0).then(|| "2026-12-04".to_owned()),
            material: job.materials[0].id,
            colour: if n % 3 == 0 { "black".into() } else { "straw".into() },
            recipe: recipe.id,
            footing: Footing::Bare,
            clean_up: CleanUp::default(),
            turns: Turns::Quarters,
            together: false,
            other_hand: None,
            next_number: 1,
        });
        let section = outline(n, scale);
        let spans = estimate::layers(&recipe, height_mm);
        let sections = vec![section.clone(); spans.len()];
        let profile = Arc::new(Profile::compute(&sections, &spans, &recipe, &Quiet)?);
        let outline = Outline::new(section);
        let shape =
            PartShape { shadow: outline.clone(), contact: outline, height_mm, shift_mm: [0.0; 3], own_mirror: false };
        parts.insert(part, DealPart { shape: Arc::new(shape), profile });
    }
    job.next_id = id;
    let start = date(2026, 12, 1).at(8, 0, 0, 0).to_zoned_datetime(zone_of(&job.shifts.hours))?.timestamp();
    let unknown = BTreeMap::new();
    Ok(DealTask { job: Arc::new(job), parts, unknown, start, seed: 1, rounds: Some(0), time: None })
}

fn main() -> Result<(), Box<dyn Error>> {
    let words: Vec<String> = env::args().skip(1).collect();
    for case in CASES {
        if words.iter().any(|w| CASES.iter().any(|c| c.word == w)) && !words.iter().any(|w| w == case.word) {
            continue;
        }
        let task = order(case)?;
        eprintln!("{}: {} copies of {} parts over {} machines", case.word, case.copies, case.kinds, case.machines);
        for seconds in [0_u32, 10, 60] {
            let asked = |s: u32| words.contains(&s.to_string());
            if seconds > 0 && (asked(10) || asked(60)) && !asked(seconds) {
                continue;
            }
            let time = (seconds > 0).then(|| Duration::from_secs(u64::from(seconds)));
            let task = DealTask { time, rounds: if seconds > 0 { None } else { Some(0) }, ..task.clone() };
            let begun = Instant::now();
            let done = deal(&task, &Quiet)?;
            eprintln!(
                "{:6.2} s  {:3} plates  ends after {:6.2} h  bound {:6.2} h  gap {:5.1} %  late {:6.1} h  unserved {:5.1} min  {} changes  {} left",
                begun.elapsed().as_secs_f64(),
                done.plates.len(),
                done.cost.finish_s as f64 / 3600.0,
                done.bound_s as f64 / 3600.0,
                100.0 * done.gap().unwrap_or(f64::NAN),
                done.cost.late_s as f64 / 3600.0,
                done.cost.unserved_s as f64 / 60.0,
                done.cost.changes,
                done.not_dealt.iter().map(|n| n.count).sum::<usize>(),
            );
        }
    }
    Ok(())
}
