//! `inspect`: a report a mesh.

use std::path::PathBuf;

use rayon::prelude::*;
use serde_json::{Value, json};

use super::{done::Done, fail::Fail, print};
use crate::{
    document::{Job, Pose, Recipe, RecipeId, Shop},
    drawing::words,
    estimate,
    geom::Region,
    mesh,
    session::{Disk, Loaded, World, read_file},
    stability::{self, Conditions, PoseChoice},
    watch::Quiet,
};

/// Ways to lie that are told in words.
const MOST_POSES: usize = 12;

/// What is told besides.
#[derive(Debug, Clone, Copy)]
pub(super) struct Also {
    pub(super) layers: bool,
    pub(super) poses: bool,
}

/// Reads and reports meshes. Of an unreadable one the others are reported all the same, and the command fails.
pub(super) fn inspect(paths: &[PathBuf], layer_height_mm: f64, also: Also, json: bool) -> Result<Done, Fail> {
    let disk = Disk::plain();
    let (mut all, mut failed) = (Vec::new(), Vec::new());
    for path in paths {
        let name = path.display().to_string();
        let read = disk.read(path).map_err(|e| Fail::new(format!("{name}: cannot be read: {e}")));
        match read.and_then(|bytes| read_file(&name, &bytes).map_err(Fail::new)) {
            Ok(file) => {
                let of = |loaded: &Loaded| report(&name, &file.sha256, loaded, layer_height_mm, also);
                all.par_extend(file.objects.par_iter().map(|(_, loaded)| of(loaded)));
            }
            Err(fail) => failed.push(fail),
        }
    }
    let last = failed.pop();
    if json && !all.is_empty() {
        print::json(&all)?;
    } else {
        for r in &all {
            print::line(&in_words(r))?;
        }
    }
    for fail in failed {
        print::error(&fail.0);
    }
    last.map_or(Ok(Done::Clear), Err)
}

fn report(name: &str, sha256: &str, loaded: &Loaded, layer_height_mm: f64, also: Also) -> Value {
    // As filed, in millimetres; outlines stay where the file has them, so that they can be laid over it.
    let unit = loaded.unit.mm();
    let (posed, shift) = loaded.mesh.posed(&Pose::default().linear(unit));
    let back = |r: &Region| r.map(|p| crate::geom::Point::new(p.x - shift[0], p.y - shift[1]));
    let r = &loaded.report;
    let height = posed.bounds().map_or(0.0, |b| b[1][2]);
    let plain = Recipe::plain(RecipeId(0));
    // Only the heights count here, and no recipe takes layers higher than its bead is wide.
    let bead_width_mm = plain.bead_width_mm.max(layer_height_mm);
    let recipe = Recipe { layer_height_mm, first_layer_mm: layer_height_mm, bead_width_mm, ..plain };
    let spans = estimate::layers(&recipe, height);
    let middles: Vec<f64> = spans.iter().map(|s| s.middle_mm).collect();
    let (shadow, sections) =
        rayon::join(|| mesh::shadow(&posed), || mesh::sections(&posed, &middles, &Quiet).unwrap_or_default());
    let contact = mesh::contact(&posed, layer_height_mm);
    // A sum of nothing is −0.0, and would be written so.
    let solid = 0.0 + sections.iter().zip(&spans).map(|(s, span)| s.area() * span.height_mm()).sum::<f64>();
    let layer_values: Vec<Value> = if also.layers {
        sections
            .iter()
            .zip(&spans)
            .map(|(s, span)| json!({"z_mm": span.middle_mm, "area_mm2": s.area(), "perimeter_mm": s.perimeter()}))
            .collect()
    } else {
        Vec::new()
    };
    let faults: Vec<Value> =
        r.faults.iter().map(|f| json!({"kind": f.kind.word(), "count": f.count, "text": f.text})).collect();
    let mends: Vec<Value> = loaded.would_help.iter().map(|m| json!({"mend": m, "text": m.label()})).collect();
    let mut told = json!({
        "file": name, "sha256": sha256, "object": loaded.object, "unit": loaded.unit.word(),
        "triangles": r.triangles, "shells": r.shells, "bodies": r.bodies, "open_edges": r.open_edges,
        "watertight": r.watertight,
        "volume_mm3": r.volume_mm3 * unit.powi(3),
        "solid_volume_mm3": solid,
        "bounds_mm": r.bounds.map(|b| b.map(|p| p.map(|v| v * unit))),
        "shadow": {"area_mm2": shadow.area(), "perimeter_mm": shadow.perimeter(), "polygons": polygons(&back(&shadow))},
        "contact": {"area_mm2": contact.area() + 0.0, "polygons": polygons(&back(&contact))},
        "layers": layer_values,
        "faults": faults,
        "mends": mends,
    });
    if also.poses
        && let Some(told) = told.as_object_mut()
    {
        let lying = Lying::of(&posed, shift, layer_height_mm);
        told.insert("centre_of_mass_mm".into(), json!(lying.centre_mm));
        told.insert("hull_faces".into(), Value::Array(lying.faces));
        told.insert("poses".into(), Value::Array(lying.poses));
    }
    told
}

/// Ways to lay a part down.
struct Lying {
    centre_mm: Option<[f64; 3]>,
    faces: Vec<Value>,
    poses: Vec<Value>,
}

impl Lying {
    /// Directions and places are those of the file; poses are judged in the starter shop's first material, on its first machine.
    fn of(posed: &mesh::TriMesh, shift: [f64; 3], layer_height_mm: f64) -> Self {
        let job = Job::with_shop("", &Shop::starter());
        let conditions = match (job.materials.first(), job.recipes.first(), job.machines.first()) {
            (Some(material), Some(recipe), Some(machine)) => {
                let recipe = Recipe { layer_height_mm, first_layer_mm: layer_height_mm, ..recipe.clone() };
                Some((
                    Conditions::of(&job, material, &recipe, machine),
                    recipe.support.unwrap_or_default().overhang_deg,
                ))
            }
            _ => None,
        };
        let ranked = conditions.and_then(|(c, overhang_deg)| stability::poses(posed, &[], &c, overhang_deg, &Quiet));
        let ranked = ranked.unwrap_or_default();
        let shown = stability::without_alike(ranked.clone());
        let pose = |p: PoseChoice| {
            json!({
                // Differs from two others only by a turn: the words leave it out.
                "alike": !shown.contains(&p),
                "down": p.normal, "face_mm2": p.face_mm2, "contact_mm2": p.contact_mm2, "modulus_mm3": p.modulus_mm3,
                "height_mm": p.height_mm, "layers": p.layers, "overhang_mm2": p.overhang_mm2, "size_mm": p.size_mm,
                "balanced": p.is_balanced, "margin": p.margin, "score": p.score, "text": p.words(),
            })
        };
        let face = |f: &mesh::HullFace| json!({"normal": f.normal, "area_mm2": f.area_mm2});
        Self {
            centre_mm: mesh::centre_of_mass(posed).map(|c| [0, 1, 2].map(|k: usize| c[k] - shift[k])),
            faces: mesh::hull_faces(posed).iter().map(face).collect(),
            poses: ranked.into_iter().map(pose).collect(),
        }
    }
}

fn polygons(r: &Region) -> Vec<Value> {
    r.polygons.iter().map(|p| json!({"outer": p.outer, "holes": p.holes})).collect()
}

/// A few lines for a person.
fn in_words(r: &Value) -> String {
    let n = |v: &Value| v.as_f64().unwrap_or(0.0);
    let b = |i: usize, k: usize| n(&r["bounds_mm"][i][k]);
    let text = |v: &Value| words::plain(v.as_str().unwrap_or_default()).into_owned();
    let mut lines = vec![
        format!("{}  {}", text(&r["file"]), text(&r["object"])),
        format!(
            "    {:.2} × {:.2} × {:.2} mm  {} triangles  {}  {}",
            b(1, 0) - b(0, 0),
            b(1, 1) - b(0, 1),
            b(1, 2) - b(0, 2),
            r["triangles"],
            crate::words::count(r["shells"].as_u64().unwrap_or(0) as usize, "shell"),
            if r["watertight"] == true { "watertight" } else { "not watertight" }
        ),
        format!(
            "    volume {:.1} mm³  shadow {:.1} mm²  contact {:.1} mm²",
            n(&r["solid_volume_mm3"]),
            n(&r["shadow"]["area_mm2"]),
            n(&r["contact"]["area_mm2"])
        ),
    ];
    for f in r["faults"].as_array().into_iter().flatten() {
        lines.push(format!("    {}: {}", text(&f["kind"]), text(&f["text"])));
    }
    let poses = r["poses"].as_array().map_or(&[][..], Vec::as_slice);
    let differ: Vec<&Value> = poses.iter().filter(|p| p["alike"] != true).collect();
    for p in differ.iter().take(MOST_POSES) {
        let [x, y, z] = [0, 1, 2].map(|k: usize| n(&p["down"][k]));
        lines.push(format!("    down {x:>6.3} {y:>6.3} {z:>6.3}: {}", text(&p["text"])));
    }
    let more = poses.len() - differ.len().min(MOST_POSES);
    if more > 0 {
        lines.push(format!("    and {more} more ways to lie, most of them alike; all with --json"));
    }
    for m in r["mends"].as_array().into_iter().flatten() {
        lines.push(format!("    would help: {}", text(&m["text"])));
    }
    for l in r["layers"].as_array().into_iter().flatten() {
        let (z, area, around) = (n(&l["z_mm"]), n(&l["area_mm2"]), n(&l["perimeter_mm"]));
        lines.push(format!("    {z:>9.3} mm  {area:>12.3} mm²  {around:>11.3} mm"));
    }
    lines.join("\n")
}
