//! Nearest free places written down for a judge from outside: `tests/referees/test_nearest_places.py` works each out again.
//!
//! `UPDATE_GOLDEN=1` writes the file anew.

use serde_json::{Value, json};

use super::*;

const FILE: &str = "tests/referees/nearest_places.json";

fn any(rng: &mut Rng, shapes: usize, low: f64, high: f64) -> Item {
    let turn_rad = rng.between(0.0, std::f64::consts::TAU);
    Item { shape: rng.below(shapes), at: Placement::new(rng.between(low, high), rng.between(low, high), turn_rad) }
}

/// One or two copies let go on a bed of 110 × 100 with a keep-out, among up to 20 others that may overlap one another.
fn case(rng: &mut Rng, number: usize) -> (Problem, Vec<Item>) {
    let corner = [[0., 0.], [24., 0.], [24., 8.], [8., 8.], [8., 20.], [0., 20.]].map(Point::from).to_vec();
    let hook = [[0., 0.], [18., 0.], [18., 18.], [12., 18.], [12., 6.], [6., 6.], [6., 18.], [0., 18.]];
    let shapes = vec![
        shape(Polygon::simple(corner), Some(360.0)),
        shape(rectangle(12.0, 8.0), Some(360.0)),
        shape(Polygon::simple(hook.map(Point::from).to_vec()), Some(360.0)),
        shape(disc::regular(Point::new(2.0, 0.0), 9.0, 7), Some(360.0)),
    ];
    let kinds = shapes.len();
    let fixed = (0..8 + number % 13).map(|_| any(rng, kinds, 5.0, 95.0)).collect();
    let moved = (0..=number % 2).map(|_| any(rng, kinds, 20.0, 80.0)).collect();
    let clip = Polygon::rectangle(Bounds::new(Point::default(), Point::new(25.0, 12.0)));
    let bed = Bed { keep_outs: vec![clip.into()], fixed, ..bed(rectangle(110.0, 100.0)) };
    (pack(shapes, vec![bed], [0.0, 1.0, 2.5][number % 3], vec![]), moved)
}

fn copies(items: &[Item]) -> Value {
    items.iter().map(|i| json!({ "shape": i.shape, "x": i.at.x, "y": i.at.y, "turn_rad": i.at.turn_rad })).collect()
}

fn ring(region: &Region) -> Value {
    region.polygons[0].outer.iter().map(|p| json!([p.x, p.y])).collect()
}

#[test]
fn what_the_judge_is_told_is_what_is_found() {
    let mut rng = Rng::new(19);
    let told: Vec<Value> = (0..40)
        .map(|number| {
            let (problem, moved) = case(&mut rng, number);
            let by = nearest_place(&problem, &moved, &std::sync::Arc::default(), &Quiet);
            json!({
                "gap_mm": problem.gap_mm,
                "room": ring(&problem.beds[0].room),
                "keep_out": ring(&problem.beds[0].keep_outs[0]),
                "shapes": problem.shapes.iter().map(|s| ring(s.shadow.region())).collect::<Vec<_>>(),
                "fixed": copies(&problem.beds[0].fixed),
                "moved": copies(&moved),
                "by": by.map(|p| [p.x, p.y]),
            })
        })
        .collect();
    let file = std::path::Path::new(env!("CARGO_MANIFEST_DIR")).join(FILE);
    if std::env::var_os("UPDATE_GOLDEN").is_some() {
        let lines: Vec<String> = told.iter().map(Value::to_string).collect();
        std::fs::write(&file, format!("[\n{}\n]\n", lines.join(",\n"))).expect("the file can be written");
    }
    let kept: Vec<Value> = serde_json::from_slice(&std::fs::read(&file).expect("the file is there")).expect("JSON");
    assert_eq!(kept.len(), told.len());
    for (number, (kept, told)) in kept.iter().zip(&told).enumerate() {
        let ends = |case: &Value| case["by"].as_array().map(|by| [by[0].as_f64(), by[1].as_f64()]);
        match (ends(kept), ends(told)) {
            (Some([Some(a), Some(b)]), Some([Some(x), Some(y)])) => {
                assert!((a - x).hypot(b - y) < 1e-6, "case {number}: {x} {y}; the judge is told {a} {b}");
            }
            (kept, told) => assert_eq!(kept, told, "case {number}"),
        }
        for what in ["gap_mm", "room", "keep_out", "shapes", "fixed", "moved"] {
            assert_eq!(kept[what], told[what], "case {number}: {what}");
        }
    }
}
