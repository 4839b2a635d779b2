//! How long an estimate takes: a part's profile, and a plate of 500 copies on every pointer move.

use std::{hint::black_box, sync::Arc};

use criterion::{Criterion, criterion_group, criterion_main};
use stonehand::{
    document::{CopyId, Fan, Footing, Machine, MachineId, Material, MaterialId, Recipe, RecipeId},
    estimate::{FootingProfile, LayerSpan, PlateCopy, PlateInput, Profile, Tour, layer_span, plate},
    geom::{Placement, Point, Polygon, Region},
    watch::Quiet,
};

fn material() -> Material {
    Material {
        id: MaterialId(1),
        name: "PLA".into(),
        density_g_cm3: 1.24,
        heat_capacity_j_kg_k: 1800.0,
        conductivity_w_m_k: 0.13,
        deposit_c: 210.0,
        limit_c: 60.0,
        air_c: 25.0,
        film_w_m2_k: 50.0,
        bed_c: 60.0,
        fan: Fan::Typed,
        strength: stonehand::document::Strength::default(),
        adhesions: Vec::new(),
        cost_per_kg: 20.0,
        origins: std::collections::BTreeMap::default(),
    }
}

/// A wavy loop of `n` corners, radius about `r`, that changes with the layer.
fn wave(r: f64, n: usize, phase: f64) -> Vec<Point> {
    (0..n)
        .map(|i| {
            let t = std::f64::consts::TAU * i as f64 / n as f64;
            Point::new(r * (1.0 + 0.15 * (7.0 * t + phase).sin()), 0.0).turned(t)
        })
        .collect()
}

/// A body with a bore, twisting as it grows.
fn twisted(layers: usize, corners: usize) -> Vec<Region> {
    (0..layers)
        .map(|i| {
            let phase = i as f64 * 0.01;
            let mut hole = wave(12.0, corners / 2, -phase);
            hole.reverse();
            Polygon { outer: wave(40.0, corners, phase), holes: vec![hole] }.into()
        })
        .collect()
}

fn spans(recipe: &Recipe, n: usize) -> Vec<LayerSpan> {
    (0..n).map(|i| layer_span(recipe, i)).collect()
}

fn profiles(c: &mut Criterion) {
    let recipe = Recipe::plain(RecipeId(1));
    let mut group = c.benchmark_group("profile");
    group.sample_size(10);
    for corners in [400, 2000] {
        let sections = twisted(500, corners);
        let spans = spans(&recipe, 500);
        group.bench_function(format!("500 layers of {} corners", corners * 3 / 2), |b| {
            b.iter(|| Profile::compute(black_box(&sections), &spans, &recipe, &Quiet));
        });
    }
    group.finish();
}

fn plates(c: &mut Criterion) {
    let recipe = Recipe::plain(RecipeId(1));
    let (machine, material) = (Machine::rectangular(MachineId(1), "Bench 1", 400.0, 400.0, 300.0), material());
    let parts: Vec<(Arc<Profile>, Arc<FootingProfile>)> = (0..8)
        .filter_map(|k| {
            let section: Region = Polygon::simple(wave(3.0 + f64::from(k), 60, 0.0)).into();
            let n = 1000 - 90 * k as usize;
            let profile = Profile::compute(&vec![section.clone(); n], &spans(&recipe, n), &recipe, &Quiet).ok()?;
            let footing = FootingProfile::compute(&section, Footing::Brim { width_mm: 3.0 }, &recipe).ok()?;
            Some((Arc::new(profile), Arc::new(footing)))
        })
        .collect();
    let mut copies: Vec<PlateCopy> = (0..500usize)
        .map(|i| {
            let (profile, footing) = parts[i % 8].clone();
            let placement = Placement::new((i % 23) as f64 * 17.0, (i / 23) as f64 * 17.0, i as f64);
            PlateCopy { copy: CopyId(i as u32), profile, footing, placement }
        })
        .collect();
    let run = |copies: &[PlateCopy], tour: Tour<'_>| {
        plate(&PlateInput { machine: &machine, material: &material, recipe: &recipe, copies: black_box(copies) }, tour)
    };
    let Ok(before) = run(&copies, Tour::Exact) else { return };
    let mut group = c.benchmark_group("plate of 500 copies, 8 parts, 1000 layers");
    group.bench_function("sums only", |b| b.iter(|| run(&copies, Tour::None)));
    group.bench_function("dropped", |b| b.iter(|| run(&copies, Tour::Exact)));
    copies[123].placement.x += 40.0;
    group.bench_function("pointer move", |b| b.iter(|| run(&copies, Tour::Approximate(&before.tours))));
    group.finish();
}

criterion_group!(benches, profiles, plates);
criterion_main!(benches);
