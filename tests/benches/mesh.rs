//! A million triangles: read, weld, report, shadow, sections. `STONEHAND_ONCE=1` runs the first four once, without the
//! harness, so that `/usr/bin/time -v` shows the peak memory; `STONEHAND_ONCE=packages` reads packages of very many objects and items.

use std::{error::Error, fmt::Write as _, hint::black_box, io::Write as _, time::Instant};

use criterion::Criterion;
use stonehand::{
    formats::read::mesh_file,
    mesh::{Edges, report_in, sections, shadow, shadow_with},
    watch::Quiet,
    work::read_file,
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

/// A package of so many tetrahedra, and items that name them in turn.
fn package(objects: usize, items: usize) -> Result<Vec<u8>, Box<dyn Error>> {
    let (mut corners, mut faces) = (String::new(), String::new());
    for [x, y, z] in [[0, 0, 0], [9, 0, 0], [0, 9, 0], [0, 0, 9]] {
        write!(corners, "<vertex x=\"{x}\" y=\"{y}\" z=\"{z}\"/>")?;
    }
    for [a, b, c] in [[0, 2, 1], [0, 1, 3], [1, 2, 3], [0, 3, 2]] {
        write!(faces, "<triangle v1=\"{a}\" v2=\"{b}\" v3=\"{c}\"/>")?;
    }
    let mut zip = zip::ZipWriter::new(std::io::Cursor::new(Vec::new()));
    zip.start_file("3D/3dmodel.model", zip::write::SimpleFileOptions::default())?;
    write!(zip, "<model unit=\"millimeter\"><resources>")?;
    for i in 1..=objects {
        let mesh = format!("<mesh><vertices>{corners}</vertices><triangles>{faces}</triangles></mesh>");
        write!(zip, "<object id=\"{i}\">{mesh}</object>")?;
    }
    write!(zip, "</resources><build>")?;
    for i in 0..items {
        write!(zip, "<item objectid=\"{}\"/>", i % objects + 1)?;
    }
    write!(zip, "</build></model>")?;
    Ok(zip.finish()?.into_inner())
}

/// Packages of very many objects and items, read and checked.
fn packages() -> Result<(), Box<dyn Error>> {
    for (objects, items) in [(100_000, 100_000), (100_000, 1_000_000), (1, 1_000_000)] {
        let bytes = package(objects, items)?;
        let start = Instant::now();
        let count = read_file("many.3mf", &bytes)?.objects.len();
        eprintln!("{objects} objects, {items} items: {count} read in {:.2} s", start.elapsed().as_secs_f64());
    }
    Ok(())
}

fn main() -> Result<(), Box<dyn Error>> {
    let once = std::env::var_os("STONEHAND_ONCE");
    if once.as_deref().is_some_and(|o| o == "packages") {
        return packages();
    }
    let bytes = ring::stl();
    if once.is_some() {
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
