//! A million triangles: read, weld, report, shadow, sections. `STONEHAND_ONCE=1` runs the first four once, without the
//! harness, so that `/usr/bin/time -v` shows the peak memory.

use std::{error::Error, hint::black_box, time::Instant};

use criterion::Criterion;
use stonehand::{
    formats::read::mesh_file,
    mesh::{Edges, report_in, sections, shadow, shadow_with},
    watch::Quiet,
};

#[path = "ring.rs"]
mod ring;

/// Read, weld, report and shadow; answers triangles and shadow area.
fn whole(bytes: &[u8]) -> Result<(usize, f64), Box<dyn Error>> {
    let file = mesh_file("ring.stl", bytes)?;
    let mesh = &file.objects[0].mesh;
    let edges = Edges::of(mesh);
    let report = report_in(mesh, &edges, 1.0, None);
    Ok((report.triangles, shadow_with(mesh, &edges).area()))
}

fn main() -> Result<(), Box<dyn Error>> {
    let bytes = ring::stl();
    if std::env::var_os("STONEHAND_ONCE").is_some() {
        let start = Instant::now();
        let answer = whole(&bytes)?;
        eprintln!("{answer:?} in {:.3} s", start.elapsed().as_secs_f64());
        return Ok(());
    }
    let mut criterion = Criterion::default().sample_size(10).configure_from_args();
    let mut group = criterion.benchmark_group("million");
    group.bench_function("read, weld, report, shadow", |b| b.iter(|| whole(black_box(&bytes)).ok()));
    group.bench_function("read, weld", |b| b.iter(|| mesh_file("ring.stl", black_box(&bytes)).ok()));
    let mesh = mesh_file("ring.stl", &bytes)?.objects.remove(0).mesh;
    group.bench_function("edge table", |b| b.iter(|| Edges::of(black_box(&mesh))));
    let edges = Edges::of(&mesh);
    group.bench_function("report", |b| b.iter(|| report_in(black_box(&mesh), &edges, 1.0, None)));
    group.bench_function("shadow, table included", |b| b.iter(|| shadow(black_box(&mesh))));
    let heights: Vec<f64> = (0..100).map(|i| f64::from(i) * 0.2 - 9.9).collect();
    group.bench_function("100 sections", |b| b.iter(|| sections(black_box(&mesh), &heights, &Quiet)));
    group.finish();
    criterion.final_summary();
    Ok(())
}
