//! Layouts written down, so that a library that is not ours can judge them: see `tests/benches/judge_layouts.py`.

use std::{env, error::Error, fs, path::PathBuf};

use serde_json::{Value, json};
use stonehand::{
    geom::Region,
    packing::{Item, Layout, Problem},
};

/// Writes the layout and what was asked into `STONEHAND_PACKING_OUT`, where that names a folder.
pub(crate) fn keep(name: &str, problem: &Problem, layout: &Layout) -> Result<(), Box<dyn Error>> {
    let Some(folder) = env::var_os("STONEHAND_PACKING_OUT").map(PathBuf::from) else { return Ok(()) };
    fs::create_dir_all(&folder)?;
    let shapes: Vec<Value> = problem
        .shapes
        .iter()
        .map(|s| json!({ "shadow": area(s.shadow.region()), "contact": area(s.contact.region()), "footing": area(s.footing.region()) }))
        .collect();
    let beds: Vec<Value> = problem
        .beds
        .iter()
        .zip(&layout.beds)
        .map(|(bed, free)| {
            json!({
                "room": area(&bed.room),
                "keep_outs": bed.keep_outs.iter().map(area).collect::<Vec<_>>(),
                "copies": bed.fixed.iter().chain(free).map(copy).collect::<Vec<_>>(),
            })
        })
        .collect();
    let told = json!({
        "name": name,
        "gap_mm": problem.gap_mm,
        "footing_gap_mm": problem.footing_gap_mm,
        "footings_may_merge": problem.footings_may_merge,
        "shapes": shapes,
        "beds": beds,
    });
    let file: String = name.chars().map(|c| if c.is_alphanumeric() { c } else { '-' }).collect();
    Ok(fs::write(folder.join(file + ".json"), serde_json::to_vec(&told)?)?)
}

fn area(region: &Region) -> Value {
    region
        .polygons
        .iter()
        .map(|p| json!({ "outer": ring(&p.outer), "holes": p.holes.iter().map(|h| ring(h)).collect::<Vec<_>>() }))
        .collect()
}

fn ring(points: &[stonehand::geom::Point]) -> Value {
    points.iter().map(|p| json!([p.x, p.y])).collect()
}

fn copy(item: &Item) -> Value {
    json!({ "shape": item.shape, "x": item.at.x, "y": item.at.y, "turn_rad": item.at.turn_rad })
}
