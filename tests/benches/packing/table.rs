//! How good layouts get in a time, instance by instance: strips.json, fewest-beds.json, and equal parts.

use std::{error::Error, f64::consts::TAU, fs, path::Path};

use serde::Deserialize;
use stonehand::{
    geom::{Bounds, Outline, Point, Polygon, Region, disc, offset},
    packing::{Aim, Bed, Layout, Problem, Shape, solve, verify},
};

use crate::{clock::Clock, cut, kept};

#[path = "../../../src/packing/tests/rectangles.rs"]
mod rectangles;
use rectangles::RECTANGLES;

pub(crate) fn plain(region: impl Into<Region>, step_rad: Option<f64>) -> Shape {
    let o = Outline::new(region.into());
    Shape { shadow: o.clone(), contact: o.clone(), footing: o, turn_step_rad: step_rad, class: 0, height_mm: 1.0 }
}

pub(crate) fn bed(room: impl Into<Region>) -> Bed {
    Bed { room: room.into(), keep_outs: vec![], fixed: vec![], class: None, height_mm: 1000.0, twin: None }
}

pub(crate) fn rectangle(w: f64, h: f64) -> Region {
    Region::rectangle(Bounds::new(Point::default(), Point::new(w, h)))
}

pub(crate) fn problem(shapes: Vec<Shape>, beds: Vec<Bed>, aim: Aim) -> Problem {
    Problem { shapes, beds, gap_mm: 0.0, footing_gap_mm: 0.0, footings_may_merge: false, aim }
}

/// 300 copies of 12 parts with holes and brims on one bed of 420 × 420.
fn crowd() -> Problem {
    let shapes: Vec<Shape> = (0..12_u32)
        .map(|i| {
            let (size, corners) = (5.0 + f64::from(i % 6), 5 + 3 * i as usize);
            let mut outer = disc::regular(Point::default(), size, corners);
            if i % 2 == 0 {
                outer.holes.push(polygon(24, 0.5 * size).outer.into_iter().rev().collect());
            }
            let shadow = Region::from(outer);
            let footing = offset::grow(&shadow, f64::from(i % 3), 0.01);
            Shape { footing: Outline::new(footing), ..plain(shadow, if i % 3 == 0 { Some(TAU / 4.0) } else { None }) }
        })
        .collect();
    let counts = vec![25; shapes.len()];
    Problem {
        gap_mm: 2.0,
        footing_gap_mm: 0.5,
        ..problem(shapes, vec![bed(rectangle(420.0, 420.0))], Aim::Pack { counts })
    }
}

/// The most memory this process has had, MB, where the system tells.
fn peak_mb() -> Option<f64> {
    let status = fs::read_to_string("/proc/self/status").ok()?;
    let line = status.lines().find(|l| l.starts_with("VmHWM:"))?;
    Some(line.split_whitespace().nth(1)?.parse::<f64>().ok()? / 1024.0)
}

#[derive(Deserialize)]
struct Strip {
    name: String,
    height: f64,
    area: f64,
    pieces: Vec<Piece>,
    length_at: Lengths,
}
#[derive(Deserialize)]
struct Piece {
    count: usize,
    turns_deg: Vec<f64>,
    ring: Vec<[f64; 2]>,
}
#[derive(Deserialize)]
struct Lengths {
    greedy_mean: f64,
    research_10s: f64,
    research_60s: f64,
    best_published: f64,
}
#[derive(Deserialize)]
#[expect(clippy::struct_field_names, reason = "the names of the file")]
struct Beds {
    name: String,
    width: f64,
    height: f64,
    turns_deg: Vec<f64>,
    optimal_beds: usize,
    pieces: Vec<Vec<[f64; 2]>>,
}

fn ring(points: &[[f64; 2]]) -> Polygon {
    Polygon::simple(points.iter().copied().map(Point::from).collect())
}

fn step(turns_deg: &[f64]) -> Option<f64> {
    if turns_deg.is_empty() { None } else { Some(TAU / turns_deg.len() as f64) }
}

struct Row {
    layout: Layout,
    first_s: f64,
    last_s: f64,
    valid: bool,
    /// From the word to stop to the answer.
    late_s: f64,
}

fn timed(p: &Problem, seconds: f64, enough: impl Fn(&Layout) -> bool + Sync + 'static) -> Row {
    let clock = Clock::new(seconds, enough);
    let layout = solve(p, 1, None, &clock);
    let late_s = clock.begun.elapsed().as_secs_f64() - seconds;
    let first_s = clock.first.lock().ok().and_then(|f| *f).unwrap_or_default().as_secs_f64();
    let last_s = clock.last.lock().map(|l| l.as_secs_f64()).unwrap_or_default();
    Row { valid: verify(p, &layout).is_ok(), layout, first_s, last_s, late_s }
}

fn polygon(n: usize, r: f64) -> Polygon {
    disc::regular(Point::default(), r, n)
}

#[expect(clippy::print_stdout, reason = "a table is what this prints")]
pub(crate) fn table(folder: &Path, only: &str) -> Result<(), Box<dyn Error>> {
    let wanted = |name: &str| name.contains(only);
    let at = std::env::var("STONEHAND_PACKING_AT").unwrap_or_default();
    println!("equal parts: name, copies (target), density, first at s, best at s, valid");
    let l: Vec<[f64; 2]> = vec![[0., 0.], [30., 0.], [30., 10.], [10., 10.], [10., 30.], [0., 30.]];
    let round = |r: f64| {
        // 128-gons drawn round the circle.
        polygon(128, r / (std::f64::consts::PI / 128.0).cos())
    };
    let mut equal: Vec<(String, Shape, Region, usize, f64)> = vec![
        ("pentagon R12 220x220".into(), plain(polygon(5, 12.0), None), rectangle(220., 220.), 114, 10.0),
        ("heptagon R12 220x220".into(), plain(polygon(7, 12.0), None), rectangle(220., 220.), 99, 10.0),
        ("L 240x180".into(), plain(ring(&l), None), rectangle(240., 180.), 84, 10.0),
        ("39 circles in 100".into(), plain(round(8.12), None), rectangle(100., 100.), 39, 60.0),
        (
            "80 circles in R10.02".into(),
            plain(round(1.0), None),
            disc::inside(Point::default(), 10.02, 0.0005).into(),
            80,
            60.0,
        ),
    ];
    // Strips of 60 pentagons: length at 81.2 %.
    let area5 = polygon(5, 10.0).area();
    let length = 60.0 * area5 / (100.0 * 0.812);
    equal.push(("60 pentagons R10 at 81.2 %".into(), plain(polygon(5, 10.0), None), rectangle(length, 100.), 60, 10.0));
    for ([w, h], [a, b], n) in RECTANGLES {
        let name = format!("pallet {w}x{h} of {a}x{b}");
        equal.push((name, plain(rectangle(a, b), Some(TAU / 4.0)), rectangle(w, h), n, 10.0));
    }
    for (name, shape, room, target, seconds) in equal.into_iter().filter(|e| wanted(&e.0)) {
        let aim = Aim::TopUp { shares: vec![1.0], at_most: vec![target + 2], there: vec![] };
        let (part, all) = (shape.shadow.region().area(), room.area());
        let p = problem(vec![shape], vec![bed(room)], aim);
        let row = timed(&p, seconds, move |l| l.count() >= target + 2);
        kept::keep(&name, &p, &row.layout)?;
        let copies = row.layout.count();
        let density = 100.0 * part * copies as f64 / all;
        println!("{name}: {copies} ({target}), {density:.2} %, {:.3}, {:.2}, {}", row.first_s, row.last_s, row.valid);
    }
    if wanted("crowd") {
        println!("crowd: copies placed of 300, first at s, best at s, valid, answer to cancel after s, peak MB");
        let p = crowd();
        let row = timed(&p, 10.0, |_| false);
        kept::keep("crowd", &p, &row.layout)?;
        let mb = peak_mb().unwrap_or(f64::NAN);
        println!(
            "crowd: {} of 300, {:.3}, {:.2}, {}, {:.3}, {mb:.0}",
            row.layout.count(),
            row.first_s,
            row.last_s,
            row.valid,
            row.late_s
        );
    }
    println!("cut from a rectangle: name, how much longer: kinds, pieces in of all, first at s, best at s, valid");
    for cut in cut::CUTS.iter().filter(|c| wanted(c.name)) {
        for percent in [25.0, 15.0, 10.0, 6.0, 3.0, 0.0] {
            let p = cut.problem(1.0 + percent / 100.0);
            let Aim::Pack { counts } = &p.aim else { continue };
            let (kinds, all) = (counts.len(), counts.iter().sum::<usize>());
            let row = timed(&p, 10.0, |l| l.unplaced.iter().all(|n| *n == 0));
            kept::keep(&format!("{} at {percent} %", cut.name), &p, &row.layout)?;
            let placed = row.layout.count();
            println!(
                "{} + {percent} %: {kinds}, {placed} of {all}, {:.3}, {:.2}, {}",
                cut.name, row.first_s, row.last_s, row.valid
            );
            if placed < all {
                break;
            }
        }
    }
    if !folder.join("strips.json").is_file() {
        return Ok(());
    }
    println!("strips: name, length asked: pieces in of all, first at s, best at s, valid");
    let strips: Vec<Strip> = serde_json::from_slice(&fs::read(folder.join("strips.json"))?)?;
    for s in strips.iter().filter(|s| wanted(&s.name)) {
        let lengths = [
            ("greedy", s.length_at.greedy_mean),
            ("research 10 s", s.length_at.research_10s),
            ("research 60 s", s.length_at.research_60s),
            ("best published", s.length_at.best_published),
        ];
        for (what, length) in lengths.into_iter().filter(|(what, _)| what.contains(&at)) {
            let shapes = s.pieces.iter().map(|p| plain(ring(&p.ring), step(&p.turns_deg))).collect();
            let counts: Vec<usize> = s.pieces.iter().map(|p| p.count).collect();
            let all: usize = counts.iter().sum();
            let p = problem(shapes, vec![bed(rectangle(length, s.height))], Aim::Pack { counts });
            let row = timed(&p, 60.0, |l| l.unplaced.iter().all(|n| *n == 0));
            kept::keep(&format!("{} at {what}", s.name), &p, &row.layout)?;
            let density = 100.0 * s.area / (length * s.height);
            println!(
                "{} at {what} ({density:.1} %): {} of {all}, {:.3}, {:.2}, {}",
                s.name,
                row.layout.count(),
                row.first_s,
                row.last_s,
                row.valid
            );
            if row.layout.count() < all {
                break;
            }
        }
    }
    println!("fewest beds: name, beds (optimum), first at s, best at s, valid");
    let instances: Vec<Beds> = serde_json::from_slice(&fs::read(folder.join("fewest-beds.json"))?)?;
    let (mut total, mut optimum, mut exact, mut count) = (0, 0, 0, 0);
    for i in instances.iter().filter(|i| wanted(&i.name)) {
        let shapes: Vec<Shape> = i.pieces.iter().map(|p| plain(ring(p), step(&i.turns_deg))).collect();
        let counts = vec![1; shapes.len()];
        let room = rectangle(i.width * 1.0001, i.height * 1.0001);
        let p = problem(shapes, vec![bed(room); i.optimal_beds * 2 + 2], Aim::Pack { counts });
        let used = |l: &Layout| l.beds.iter().filter(|b| !b.is_empty()).count();
        let least = i.optimal_beds;
        let row = timed(&p, 5.0, move |l| used(l) <= least && l.unplaced.iter().all(|n| *n == 0));
        kept::keep(&i.name, &p, &row.layout)?;
        let used = used(&row.layout);
        println!("{}: {used} ({}), {:.3}, {:.2}, {}", i.name, i.optimal_beds, row.first_s, row.last_s, row.valid);
        total += used;
        optimum += i.optimal_beds;
        exact += usize::from(used == i.optimal_beds);
        count += 1;
    }
    println!("in all: {total} beds of {optimum}, {exact} of {count} at the optimum");
    Ok(())
}
