//! Kept files.

use std::{
    fmt::Write as _,
    io::{Cursor, Read},
    sync::Arc,
};

use resvg::tiny_skia::Pixmap;
use stonehand::{
    drawing::{DrawnConflict, DrawnCopy, Palette, Paper, SheetFacts, SheetInput, StripLayer, height_strip, sheet},
    formats::write::{
        ModelOptions, PlacementsBounds, placements, placements_csv, placements_json, png, stl, svg, three_mf,
    },
    geom::{Point, Region, boolean},
    packing::{Bound, BoundKind},
    plate::Prepared,
};

use crate::{
    accept::{kept, path, same_text},
    fixture::{Fixture, PLATE},
};

/// The sheet of the fixture's plate.
pub(crate) fn sheet_input(f: &Fixture) -> SheetInput {
    let time = Fixture::time();
    let facts = SheetFacts {
        date: "2026-11-25".into(),
        time_s: Some(time.time_s),
        mass_g: Some(time.mass_g),
        items: Some(time.items),
        paper: Paper::A4,
    };
    SheetInput::of_plate(&f.job, PLATE, &f.shapes, &Prepared::new(), &facts).expect("the plate is there")
}

/// The model part of a package, as text.
pub(crate) fn model_text(package: &[u8]) -> String {
    let mut zip = zip::ZipArchive::new(Cursor::new(package)).expect("a zip");
    let mut text = String::new();
    zip.by_name("3D/3dmodel.model").expect("the model part").read_to_string(&mut text).expect("UTF-8");
    text
}

#[test]
fn csv_and_json() {
    let f = Fixture::new();
    let bounds = PlacementsBounds {
        plates: Some(Bound { kind: BoundKind::ByBinArea, value: 1 }),
        by_plate: [(PLATE, (Some(f.job.parts[0].id), Bound { kind: BoundKind::ByArea, value: 60 }))].into(),
        ..PlacementsBounds::default()
    };
    let p = placements(&f.job, &f.shapes, None, &bounds).with_times(|number| (number == 1).then(Fixture::time));
    let time = Fixture::time();
    assert_eq!(time.items.total_s(), time.time_s);
    same_text("placements.csv", &placements_csv(&p).expect("writable"));
    same_text("placements.json", &placements_json(&p).expect("writable"));
    assert!(placements(&f.job, &f.shapes, Some(stonehand::document::PlateId(77)), &bounds).plates.is_empty());
}

#[test]
fn packages() {
    let f = Fixture::new();
    let all = ModelOptions { one_body: false, footings: true, corner_marks: true, both_halves: false };
    for (name, options) in [
        ("plate.model.xml", ModelOptions::default()),
        ("plate-with-footings-and-marks.model.xml", all),
        ("plate-one-body.model.xml", ModelOptions { one_body: true, ..all }),
    ] {
        let package = f.with_model(|m| three_mf(m, options)).expect("writable");
        let again = f.with_model(|m| three_mf(m, options)).expect("writable");
        assert_eq!(package, again, "the same input gives the same bytes");
        same_text(name, model_text(&package).as_bytes());
        let mut zip = zip::ZipArchive::new(Cursor::new(&package[..])).expect("a zip");
        let names: Vec<String> = zip.file_names().map(|n| n.expect("a name").into_owned()).collect();
        assert_eq!(names, ["[Content_Types].xml", "_rels/.rels", "3D/3dmodel.model"]);
        let mut relations = String::new();
        zip.by_name("_rels/.rels").expect("relations").read_to_string(&mut relations).expect("UTF-8");
        assert!(relations.contains("Target=\"/3D/3dmodel.model\""), "with the leading slash");
    }
}

#[test]
fn binary_stl() {
    let f = Fixture::new();
    let bytes = f.with_model(|m| stl(m, ModelOptions::default())).expect("writable");
    let count = u32::from_le_bytes(bytes[80..84].try_into().expect("four bytes"));
    assert_eq!(bytes.len(), 84 + 50 * count as usize);
    assert!(!bytes.starts_with(b"solid"));
    // Kept as text, so that a difference can be read.
    let mut text = format!("{}\n", String::from_utf8_lossy(&bytes[..80]).trim_end());
    for facet in bytes[84..].chunks_exact(50) {
        for v in facet[..48].chunks_exact(4) {
            write!(text, "{} ", f32::from_le_bytes(v.try_into().expect("four bytes"))).expect("a string takes all");
        }
        text.push('\n');
    }
    same_text("plate.stl.txt", text.as_bytes());
}

#[test]
fn drawings() {
    let f = Fixture::new();
    let mut input = sheet_input(&f);
    // A conflict, a section short of cooling and a selection, so that the kept picture has every pattern.
    let moved = |r: &Region, x: f64, y: f64| Arc::new(r.map(|p| p + Point::new(x, y)));
    let extra = DrawnCopy {
        name: "A 3".into(),
        shadow: moved(&input.copies[0].shadow, 14.0, 6.0),
        gap_ring: None,
        label: None,
        selected: true,
        ..input.copies[0].clone()
    };
    let overlap = boolean::intersection(&input.copies[0].shadow, &extra.shadow);
    assert!(input.conflicts.is_empty(), "the fixture's plate is clear");
    input.conflicts.push(DrawnConflict {
        region: Arc::new(overlap),
        between: None,
        at: None,
        text: "overlap 4.0".into(),
    });
    let cut = DrawnCopy {
        name: "A 4".into(),
        shadow: moved(&input.copies[0].shadow, 60.0, -20.0),
        section: Some(moved(&input.copies[0].shadow, 60.0, -20.0)),
        short_of_cooling: true,
        gap_ring: None,
        label: None,
        ..input.copies[0].clone()
    };
    input.copies.extend([extra, cut]);
    let scene = sheet(&input);
    for (name, palette) in [("sheet-light", Palette::light()), ("sheet-dark", Palette::dark())] {
        same_text(&format!("{name}.svg"), svg(&scene, &palette).as_bytes());
        picture(&format!("{name}.png"), &png(&scene, &palette, 4.0).expect("a picture"));
    }
    let layers: Vec<StripLayer> = (1..=310)
        .map(|i| StripLayer {
            z_mm: f64::from(i) * 0.2,
            natural_s: if i > 170 { 6.1 } else { 110.0 - f64::from(i) * 0.4 },
            minimum_s: Some(14.9),
            copies: if i > 170 { 1 } else { 6 },
        })
        .collect();
    let strip = height_strip(&layers, Some(34.2), 257.0, 60.0);
    picture("height-strip.png", &png(&strip, &Palette::light(), 4.0).expect("a picture"));
}

/// The picture must be the kept one but for rounding in the rasteriser: 2 of 255 on average over the pixels that differ,
/// and no more than 1 pixel in 1000 off by more than 32.
fn picture(name: &str, now: &[u8]) {
    let kept = kept(name, now);
    let a = Pixmap::decode_png(&kept).unwrap_or_else(|e| panic!("{}: {e}", path(name).display()));
    let b = Pixmap::decode_png(now).expect("a PNG");
    assert_eq!((a.width(), a.height()), (b.width(), b.height()), "{name}");
    let worst = |(p, q): (&[u8], &[u8])| p.iter().zip(q).map(|(x, y)| x.abs_diff(*y)).max().unwrap_or(0);
    let far = a.data().chunks_exact(4).zip(b.data().chunks_exact(4)).map(worst).filter(|d| *d > 32).count();
    assert!(far * 1000 <= a.pixels().len(), "{name}: {far} pixels differ");
}

#[test]
fn a_picture_that_would_fill_the_memory_is_refused() {
    let scene = sheet(&sheet_input(&Fixture::new()));
    assert!(png(&scene, &Palette::light(), 1e4).is_err());
    assert!(png(&scene, &Palette::light(), f64::NAN).is_err());
}

#[test]
fn a_missing_mesh_is_named() {
    let mut f = Fixture::new();
    f.meshes.clear();
    let said = f.with_model(|m| three_mf(m, ModelOptions::default())).expect_err("no mesh").to_string();
    assert_eq!(said, "A 1 cannot be written: the mesh of part “frame spacer” is missing");
    assert!(f.with_model(|m| stl(m, ModelOptions::default())).is_err());
}
