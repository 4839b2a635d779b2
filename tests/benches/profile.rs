//! A part of a million triangles on 500 layers: sections, then paths. `STONEHAND_ONCE=1` runs both once, without the harness, so that
//! `/usr/bin/time -v` shows the peak memory.

use std::{error::Error, hint::black_box, time::Instant};

use criterion::Criterion;
use stonehand::{
    document::{Recipe, RecipeId},
    estimate::{LayerSpan, Profile, layer_span},
    formats::read::mesh_file,
    geom::Region,
    mesh::{TriMesh, sections},
    watch::Quiet,
};

#[path = "ring.rs"]
mod ring;

const LAYERS: usize = 500;

/// A part to be printed: its mesh, the heights of its sections, its layers.
struct Part {
    mesh: TriMesh,
    heights: Vec<f64>,
    spans: Vec<LayerSpan>,
    recipe: Recipe,
}

impl Part {
    fn new() -> Result<Self, Box<dyn Error>> {
        let mesh = mesh_file("ring.stl", &ring::stl())?.objects.remove(0).mesh;
        let [low, high] = mesh.bounds().ok_or("no mesh")?.map(|p| p[2]);
        let height = (high - low) / LAYERS as f64;
        let recipe = Recipe { layer_height_mm: height, first_layer_mm: height, ..Recipe::plain(RecipeId(1)) };
        let spans: Vec<LayerSpan> = (0..LAYERS).map(|i| layer_span(&recipe, i)).collect();
        let heights = spans.iter().map(|s| low + s.middle_mm).collect();
        Ok(Self { mesh, heights, spans, recipe })
    }
    fn sections(&self) -> Option<Vec<Region>> {
        sections(black_box(&self.mesh), &self.heights, &Quiet)
    }
    fn paths(&self, sections: &[Region]) -> Option<Profile> {
        Profile::compute(black_box(sections), &self.spans, &self.recipe, &Quiet).ok()
    }
}

fn main() -> Result<(), Box<dyn Error>> {
    let part = Part::new()?;
    if std::env::var_os("STONEHAND_ONCE").is_some() {
        let start = Instant::now();
        let cut = part.sections().ok_or("no sections")?;
        let sections_s = start.elapsed().as_secs_f64();
        let volume = part.paths(&cut).ok_or("no paths")?.volume_mm3();
        let (area, whole_s): (f64, f64) = (cut.iter().map(Region::area).sum(), start.elapsed().as_secs_f64());
        eprintln!("area {area:.3}, beads {volume:.1} mm³; sections in {sections_s:.3} s, with paths in {whole_s:.3} s");
        return Ok(());
    }
    let cut = part.sections().ok_or("no sections")?;
    let mut criterion = Criterion::default().sample_size(10).configure_from_args();
    let mut group = criterion.benchmark_group("a million triangles, 500 layers");
    group.bench_function("sections", |b| b.iter(|| part.sections()));
    group.bench_function("paths", |b| b.iter(|| part.paths(&cut)));
    group.bench_function("sections and paths", |b| b.iter(|| part.sections().and_then(|s| part.paths(&s))));
    group.finish();
    criterion.final_summary();
    Ok(())
}
