//! How fast machine code is measured: MB a second on one core, for a file of short strides, one of arcs and one of comments.

use std::{fmt::Write as _, hint::black_box};

use criterion::{Criterion, Throughput, criterion_group, criterion_main};
use stonehand::{
    document::{Recipe, RecipeId},
    estimate::gauge::{Basis, DwellUnit, measure},
    watch::Quiet,
};

/// Wavy loops of 0.5 mm strides with E, retractions and travel between them: `megabytes` of it.
fn loops(megabytes: usize, arcs: bool) -> String {
    let mut code = String::from("G21\nG90\nM83\nM204 P1500 T2000\n");
    let mut layer = 0;
    while code.len() < megabytes << 20 {
        layer += 1;
        let _ = writeln!(code, "G1 Z{:.3} F600\n; a layer\nM106 S255", 0.2 * f64::from(layer));
        for copy in 0..12 {
            let (x0, y0) = (30.0 * f64::from(copy % 4), 30.0 * f64::from(copy / 4));
            let _ = writeln!(code, "G1 E-0.8 F2100\nG0 X{:.3} Y{:.3} F9000\nG1 E0.8 F2100\nG1 F3600", x0 + 12.0, y0);
            for i in 1..=150 {
                let t = std::f64::consts::TAU * f64::from(i) / 150.0;
                let r = 12.0 + (9.0 * t).sin();
                let (x, y) = (x0 + r * t.cos(), y0 + r * t.sin());
                let _ = if arcs && i % 3 == 0 {
                    writeln!(code, "G3 X{x:.3} Y{y:.3} R{r:.3} E0.0166")
                } else {
                    writeln!(code, "G1 X{x:.3} Y{y:.3} E0.0166")
                };
            }
        }
    }
    code
}

fn gauge(c: &mut Criterion) {
    let Ok(basis) = Basis::of(&Recipe::plain(RecipeId(1)), DwellUnit::Milliseconds) else { return };
    let comments = "; what a program may write for people to read, line after line\n".repeat(1 << 18);
    let mut group = c.benchmark_group("gauge");
    group.sample_size(10);
    for (name, code) in
        [("strides", loops(32, false)), ("strides and arcs", loops(32, true)), ("comments", comments + "G1 X1 F60")]
    {
        group.throughput(Throughput::BytesDecimal(code.len() as u64));
        group.bench_function(name, |b| b.iter(|| measure(&mut black_box(code.as_bytes()), 0, &basis, &Quiet)));
    }
    group.finish();
}

criterion_group!(benches, gauge);
criterion_main!(benches);
