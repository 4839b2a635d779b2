//! Stability: poses of a part of a million triangles; mass profile of 500 layers of a thousand corners; judging it again, with its
//! contact widened afresh; a footing suggested. `STONEHAND_ONCE=1` runs each once without the harness and prints its time.

use std::{error::Error, f64::consts::TAU, hint::black_box, time::Instant};

use criterion::Criterion;
use stonehand::{
    document::{Footing, Job, Shop},
    formats::read::mesh_file,
    geom::{Point, Polygon, Region},
    stability::{Conditions, MassProfile, Stance, judge, looks, poses, suggest_footing},
    watch::Quiet,
};

#[path = "ring.rs"]
mod ring;

/// A gear-like section of 1000 corners and a second body beside it, swaying with height.
fn section(layer: usize) -> Region {
    let sway = (layer as f64 / 80.0).sin();
    let loop_of = |middle: f64, radius: f64| -> Polygon {
        let at = |i: usize| {
            let r = radius * (1.0 + 0.08 * (i as f64 * 0.6).sin());
            Point::new(middle + sway, 0.0) + Point::new(r, 0.0).turned(TAU * i as f64 / 500.0)
        };
        Polygon::simple((0..500).map(at).collect())
    };
    Region { polygons: vec![loop_of(0.0, 6.0), loop_of(20.0, 5.0)] }
}

fn main() -> Result<(), Box<dyn Error>> {
    let job = Job::with_shop("bench", &Shop::starter());
    let conditions = Conditions::of(&job, &job.materials[0], &job.recipes[0], &job.machines[0]);
    let mesh = mesh_file("ring.stl", &ring::stl())?.objects.remove(0).mesh;
    let sections: Vec<Region> = (0..500).map(section).collect();
    let tops: Vec<f64> = (1..=500).map(|i| f64::from(i) * 0.2).collect();
    let profile = || MassProfile::new(&sections, &tops, conditions.bead_mm, &Quiet).unwrap_or_default();
    let mass = profile();
    let contact = &sections[0];
    let brim = Stance::new(contact, None, Footing::Brim { width_mm: 5.0 }, &conditions);
    let all_poses = || poses(black_box(&mesh), &[], &conditions, 50.0, &Quiet).map_or(0, |p| p.len());
    let rejudged = || judge(&mass, black_box(&brim), &conditions).margin();
    let widened = || {
        judge(&mass, &Stance::new(contact, None, Footing::Brim { width_mm: 5.0 }, black_box(&conditions)), &conditions)
            .margin()
    };
    let suggested = || suggest_footing(&mass, contact, None, black_box(&conditions), 1.0).margin;
    let looked = || looks(&mass, contact, false, black_box(&conditions)).len();
    if std::env::var_os("STONEHAND_ONCE").is_some() {
        let ms = |name: &str, run: &dyn Fn() -> String| {
            let start = Instant::now();
            let answer = run();
            eprintln!("{name}: {:.2} ms ({answer})", start.elapsed().as_secs_f64() * 1e3);
        };
        ms("poses", &|| format!("{} poses", all_poses()));
        ms("profile", &|| format!("{} layers", profile().layers().len()));
        ms("judge", &|| rejudged().to_string());
        ms("widen and judge", &|| widened().to_string());
        ms("suggest", &|| suggested().to_string());
        ms("looks", &|| looked().to_string());
        return Ok(());
    }
    let mut criterion = Criterion::default().sample_size(10).configure_from_args();
    let mut group = criterion.benchmark_group("stability");
    group.bench_function("poses of a million triangles", |b| b.iter(all_poses));
    group.bench_function("mass profile of 500 layers", |b| b.iter(profile));
    group.bench_function("judged again", |b| b.iter(rejudged));
    group.bench_function("contact widened and judged", |b| b.iter(widened));
    group.bench_function("footing suggested", |b| b.iter(suggested));
    group.bench_function("looks", |b| b.iter(looked));
    group.finish();
    criterion.final_summary();
    Ok(())
}
