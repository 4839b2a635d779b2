//! A placed copy lands in every file at the same place: CSV, JSON and 3MF to 1e-6 mm, STL at the nearest f32, the
//! picture to half a pixel.

use resvg::tiny_skia::Pixmap;
use serde_json::Value;
use stonehand::{
    drawing::{Ink, Mark, Palette, sheet},
    formats::write::{ModelOptions, PlacementsBounds, placements, placements_csv, placements_json, png, stl, three_mf},
    geom::{Bounds, Point},
};

use crate::{
    fixture::Fixture,
    written::{model_text, sheet_input},
};

/// Twelve numbers, written apart from the library's own matrix type.
type Twelve = [f64; 12];

fn apply(m: &Twelve, p: [f64; 3]) -> [f64; 3] {
    std::array::from_fn(|j| p[0] * m[j] + p[1] * m[3 + j] + p[2] * m[6 + j] + m[9 + j])
}

/// Worked out here from the definitions alone: file coordinates × unit × scale, mirrored in x, turned by the pose (none
/// in this job), moved so that the box's middle in plan is the origin, turned about Z, moved to (x, y).
fn by_hand(f: &Fixture) -> Vec<(String, Vec<[f64; 3]>)> {
    let plate = &f.job.plates[0];
    plate
        .copies
        .iter()
        .map(|c| {
            let part = f.job.part(c.part).expect("the part");
            let unit = f.job.mesh(&part.mesh).expect("the mesh").unit.mm();
            let k = unit * part.pose.scale_percent / 100.0;
            let flip = if part.pose.mirrored { -1.0 } else { 1.0 };
            let posed: Vec<[f64; 3]> =
                f.meshes[&part.id].vertices.iter().map(|v| [v[0] * k * flip, v[1] * k, v[2] * k]).collect();
            let b = Bounds::of(posed.iter().map(|v| Point::new(v[0], v[1]))).centre();
            let (s, co) = c.turn_deg.to_radians().sin_cos();
            let placed = posed
                .iter()
                .map(|v| {
                    let (x, y) = (v[0] - b.x, v[1] - b.y);
                    [x * co - y * s + c.x_mm, x * s + y * co + c.y_mm, v[2]]
                })
                .collect();
            (f.job.copy_name(c), placed)
        })
        .collect()
}

fn near(a: [f64; 3], b: [f64; 3], what: &str) {
    for k in 0..3 {
        assert!((a[k] - b[k]).abs() <= 1e-6, "{what}: {a:?} against {b:?}");
    }
}

fn matrices_in_json(f: &Fixture) -> Vec<(String, Twelve)> {
    let p = placements(&f.job, &f.shapes, None, &PlacementsBounds::default());
    let v: Value = serde_json::from_slice(&placements_json(&p).expect("writable")).expect("JSON");
    v["plates"][0]["copies"]
        .as_array()
        .expect("copies")
        .iter()
        .map(|c| {
            let m = c["matrix"].as_array().expect("a matrix");
            (c["copy"].as_str().expect("a name").to_owned(), std::array::from_fn(|i| m[i].as_f64().expect("a number")))
        })
        .collect()
}

#[test]
fn json_and_csv_agree_with_the_definitions() {
    let f = Fixture::new();
    let json = matrices_in_json(&f);
    let p = placements(&f.job, &f.shapes, None, &PlacementsBounds::default());
    let bytes = placements_csv(&p).expect("writable");
    let mut table = csv::Reader::from_reader(&bytes[..]);
    let heading = table.headers().expect("a heading").clone();
    let m00 = heading.iter().position(|h| h == "m00").expect("m00");
    let copies = f.job.plates[0].copies.iter();
    let rows: Vec<_> = table.records().map(|row| row.expect("a line")).collect();
    assert_eq!((rows.len(), json.len(), by_hand(&f).len(), copies.len()), (3, 3, 3, 3));
    for (((row, (name, matrix)), (hand_name, hand)), copy) in rows.iter().zip(&json).zip(by_hand(&f)).zip(copies) {
        assert_eq!((row.get(2), name), (Some(hand_name.as_str()), &hand_name));
        let in_csv: Twelve = std::array::from_fn(|i| row[m00 + i].parse().expect("a number"));
        // The table's turn to 1e-9, its move to 1e-6 mm.
        for (i, (a, b)) in in_csv.iter().zip(matrix).enumerate() {
            assert!((a - b).abs() <= if i < 9 { 5.1e-10 } else { 5.1e-7 }, "{name}: {in_csv:?} {matrix:?}");
        }
        for (v, want) in f.meshes[&copy.part].vertices.iter().zip(&hand) {
            near(apply(matrix, *v), *want, name);
        }
    }
}

/// Vertices of the build items in a package, by a small reader of our own form.
fn items_in_package(text: &str) -> Vec<(String, Vec<[f64; 3]>)> {
    fn attribute<'a>(tag: &'a str, name: &str) -> Option<&'a str> {
        let from = tag.find(&format!(" {name}=\""))? + name.len() + 3;
        tag[from..].split('"').next()
    }
    let twelve = |tag: &str| -> Twelve {
        attribute(tag, "transform").map_or([1.0, 0.0, 0.0, 0.0, 1.0, 0.0, 0.0, 0.0, 1.0, 0.0, 0.0, 0.0], |t| {
            let n: Vec<f64> = t.split(' ').map(|v| v.parse().expect("a number")).collect();
            n.try_into().expect("twelve numbers")
        })
    };
    let mut objects: std::collections::BTreeMap<String, Vec<[f64; 3]>> = std::collections::BTreeMap::new();
    let (mut id, mut items) = (String::new(), Vec::new());
    for tag in text.split('<') {
        if tag.starts_with("object ") {
            attribute(tag, "id").expect("an id").clone_into(&mut id);
        } else if tag.starts_with("vertex ") {
            let v = ["x", "y", "z"].map(|k| attribute(tag, k).expect("a coordinate").parse().expect("a number"));
            objects.entry(id.clone()).or_default().push(v);
        } else if tag.starts_with("component ") {
            let (m, from) = (twelve(tag), attribute(tag, "objectid").expect("an id"));
            let moved: Vec<[f64; 3]> = objects[from].iter().map(|v| apply(&m, *v)).collect();
            objects.entry(id.clone()).or_default().extend(moved);
        } else if tag.starts_with("item ") {
            let m = twelve(tag);
            let of = &objects[attribute(tag, "objectid").expect("an id")];
            let name = attribute(tag, "partnumber").expect("a part number").to_owned();
            items.push((name, of.iter().map(|v| apply(&m, *v)).collect()));
        }
    }
    items
}

#[test]
fn package_agrees_to_a_millionth() {
    let f = Fixture::new();
    let package = f.with_model(|m| three_mf(m, ModelOptions::default())).expect("writable");
    let items = items_in_package(&model_text(&package));
    let hand = by_hand(&f);
    assert_eq!(items.len(), hand.len());
    for ((name, vertices), (hand_name, hand)) in items.iter().zip(&hand) {
        assert_eq!((name, vertices.len()), (hand_name, hand.len()));
        for (a, b) in vertices.iter().zip(hand) {
            near(*a, *b, name);
        }
    }
    // The plate as one body: the same vertices in the same order.
    let options = ModelOptions { one_body: true, ..ModelOptions::default() };
    let package = f.with_model(|m| three_mf(m, options)).expect("writable");
    let one = items_in_package(&model_text(&package));
    let all: Vec<[f64; 3]> = hand.iter().flat_map(|h| h.1.iter().copied()).collect();
    assert_eq!((one.len(), one[0].1.len()), (1, all.len()));
    for (a, b) in one[0].1.iter().zip(&all) {
        near(*a, *b, "one body");
    }
}

#[test]
fn a_raft_raises_its_part_and_nothing_else() {
    let f = Fixture::new();
    let options = ModelOptions { footings: true, ..ModelOptions::default() };
    let package = f.with_model(|m| three_mf(m, options)).expect("writable");
    let (items, hand) = (items_in_package(&model_text(&package)), by_hand(&f));
    // Each part, and beside it footings where it has some.
    assert_eq!(items.iter().filter(|(name, _)| name == "A 2").count(), 1);
    assert!(items.len() >= hand.len());
    for ((name, vertices), (_, hand)) in items.iter().zip(&hand) {
        assert!(vertices.len() >= hand.len(), "{name}");
        // 4 raft layers of 0.2 mm under A 2 alone.
        let lift = if name == "A 2" { 0.8 } else { 0.0 };
        for (a, b) in vertices.iter().zip(hand) {
            near(*a, [b[0], b[1], b[2] + lift], name);
        }
        assert!(vertices.iter().all(|v| v[2] >= 0.0));
    }
}

#[test]
fn stl_has_the_nearest_f32() {
    let f = Fixture::new();
    let bytes = f.with_model(|m| stl(m, ModelOptions::default())).expect("writable");
    let mut facets = bytes[84..].chunks_exact(50).map(|facet| -> [[f32; 3]; 4] {
        std::array::from_fn(|i| {
            std::array::from_fn(|k| {
                let at = (i * 3 + k) * 4;
                f32::from_le_bytes(facet[at..at + 4].try_into().expect("four bytes"))
            })
        })
    });
    let mut level = 0;
    for ((_, matrix), copy) in matrices_in_json(&f).iter().zip(&f.job.plates[0].copies) {
        let mesh = &f.meshes[&copy.part];
        let mirrored = f.job.part(copy.part).expect("the part").pose.mirrored;
        for t in &mesh.triangles {
            let [normal, a, b, c] = facets.next().expect("a facet");
            let [x, mut y, mut z] = t.map(|i| apply(matrix, mesh.vertices[i as usize]).map(|v| v as f32 + 0.0));
            if mirrored {
                (y, z) = (z, y);
            }
            assert_eq!([a, b, c], [x, y, z]);
            // Outward: the normal looks away from the copy's middle, which lies inside these convex-ended bodies in z.
            if normal[2].abs() > 0.99 {
                level += 1;
                assert_eq!(normal[2] > 0.0, a[2] > 1.0, "top faces look up, bottom faces down");
            }
        }
    }
    assert!(facets.next().is_none());
    // Two faces of two triangles on each of two blocks, and two of four on the bracket.
    assert_eq!(level, 2 * 4 + 8);
}

/// The middle of the dark line that crosses the row (or column) of pixels near `at`, in pixels.
fn line_near(map: &Pixmap, at: f64, other: u32, across: bool, ground: [u8; 3]) -> f64 {
    let (mut weight, mut sum) = (0.0, 0.0);
    for i in (at as u32).saturating_sub(5)..=(at as u32 + 5) {
        let (x, y) = if across { (i, other) } else { (other, i) };
        let p = map.pixel(x, y).expect("inside the picture");
        let dark = f64::from(ground[0]) + f64::from(ground[1]) + f64::from(ground[2])
            - f64::from(p.red())
            - f64::from(p.green())
            - f64::from(p.blue());
        // The part's own fill is lighter than half the line.
        let dark = (dark - 220.0).max(0.0);
        weight += dark;
        sum += dark * (f64::from(i) + 0.5);
    }
    assert!(weight > 0.0, "no line near {at}");
    sum / weight
}

#[test]
fn picture_agrees_to_half_a_pixel() {
    const PX_PER_MM: f64 = 8.0;
    let f = Fixture::new();
    let input = sheet_input(&f);
    let layout = input.layout();
    let (palette, scene) = (Palette::light(), sheet(&input));
    let map = Pixmap::decode_png(&png(&scene, &palette, PX_PER_MM).expect("a picture")).expect("a PNG");
    assert_eq!((map.width(), map.height()), (297 * 8, 210 * 8));
    let to_px = |bed: Point| {
        let p = layout.on_paper(bed);
        (p.x * PX_PER_MM, (layout.page.max.y - p.y) * PX_PER_MM)
    };
    // The two spacers lie square to the page; their edges come from the definitions alone.
    for (_, vertices) in &by_hand(&f)[..2] {
        let b = Bounds::of(vertices.iter().map(|v| Point::new(v[0], v[1])));
        let ((left, bottom), (right, top)) = (to_px(b.min), to_px(b.max));
        // Off the middle, where the label is.
        let (row, column) = ((top + (bottom - top) * 0.2) as u32, (left + (right - left) * 0.1) as u32);
        for (want, other, across) in
            [(left, row, true), (right, row, true), (top, column, false), (bottom, column, false)]
        {
            let got = line_near(&map, want, other, across, palette.bed);
            assert!((got - want).abs() <= 0.5, "line at {got:.3} px instead of {want:.3}");
        }
    }
    // And the drawing holds every copy's outline where it is, the turned one too.
    let hand = by_hand(&f);
    let drawn: Vec<Bounds> = scene
        .marks
        .iter()
        .filter_map(|m| match m {
            Mark::Fill { region, ink: Ink::Part(_), opacity } if *opacity > 0.2 => Some(region.bounds()),
            _ => None,
        })
        .collect();
    // The parts list comes after, a patch for each part.
    assert_eq!(drawn.len(), hand.len() + input.parts.len());
    for (b, (_, vertices)) in drawn.iter().zip(&hand) {
        let want = Bounds::of(vertices.iter().map(|v| layout.on_paper(Point::new(v[0], v[1]))));
        assert!(b.min.distance(want.min) < 1e-9 && b.max.distance(want.max) < 1e-9);
    }
}
