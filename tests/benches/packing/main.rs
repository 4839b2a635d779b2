//! The arranger: how soon a first layout of 100 sample parts is there; and, with `STONEHAND_PACKING_DATA=folder`, a
//! table of how good layouts get in a time, instance by instance: equal parts, pieces cut from a filled rectangle, and, where the
//! folder has them, strips.json and fewest-beds.json.
//! `STONEHAND_PACKING_ONLY=name` keeps to the rows whose name holds that, `STONEHAND_PACKING_AT=level` to one length of
//! a strip, `STONEHAND_PACKING_OUT=folder` writes the layouts down for `tests/benches/judge_layouts.py`. A row ends before its time where all copies asked for lie as well as they can.

mod clock;
mod cut;
mod kept;
mod table;

use std::{error::Error, f64::consts::TAU, fs, hint::black_box, path::Path};

use criterion::Criterion;
use stonehand::{
    formats::read::mesh_file,
    geom::{Outline, offset},
    mesh::{contact, shadow},
    packing::{Aim, Problem, Shape, solve},
};

use clock::Clock;
use table::{bed, plain, problem, rectangle};

/// A hundred of the sample parts, with a gap and some with brims, on beds of 220 × 220.
fn samples() -> Result<Problem, Box<dyn Error>> {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("samples");
    let files = [
        "queen-cage-peg.stl",
        "corner-bracket.stl",
        "jar-lid-adapter.stl",
        "feeder-funnel.stl",
        "entrance-gate.stl",
        "frame-spacer.obj",
        "feeder-float.stl",
        "strap-hook.3mf",
    ];
    let mut shapes = Vec::new();
    for (i, name) in files.iter().enumerate() {
        let mesh = mesh_file(name, &fs::read(folder.join(name))?)?.objects.remove(0).mesh;
        let touching = contact(&mesh, 0.2);
        let footing = if i % 2 == 0 { offset::grow(&touching, 3.0, 0.01) } else { touching.clone() };
        shapes.push(Shape {
            contact: Outline::new(touching),
            footing: Outline::new(footing),
            ..plain(shadow(&mesh), if i % 3 == 0 { None } else { Some(TAU / 4.0) })
        });
    }
    let counts = vec![13, 13, 12, 12, 13, 13, 12, 12];
    Ok(Problem {
        gap_mm: 2.0,
        footing_gap_mm: 1.0,
        ..problem(shapes, vec![bed(rectangle(220.0, 220.0)); 20], Aim::Pack { counts })
    })
}

fn main() -> Result<(), Box<dyn Error>> {
    if let Some(folder) = std::env::var_os("STONEHAND_PACKING_DATA") {
        return table::table(Path::new(&folder), &std::env::var("STONEHAND_PACKING_ONLY").unwrap_or_default());
    }
    let hundred = samples()?;
    let mut criterion = Criterion::default().sample_size(10).configure_from_args();
    criterion.bench_function("first layout of 100 sample parts", |b| {
        b.iter(|| solve(black_box(&hundred), 1, None, &Clock::first()).count());
    });
    criterion.final_summary();
    Ok(())
}
