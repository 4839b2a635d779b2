//! Bodies as files.

use std::{
    fmt::Write as _,
    io::{Cursor, Write as _},
};

use zip::{CompressionMethod, ZipWriter, write::SimpleFileOptions};

use super::{
    Failure,
    body::{Body, P3},
};

/// The unit normal of a triangle, from its corners.
fn normal([a, b, c]: &[P3; 3]) -> P3 {
    let (u, v) = ([0, 1, 2].map(|i| b[i] - a[i]), [0, 1, 2].map(|i| c[i] - a[i]));
    let n = [u[1] * v[2] - u[2] * v[1], u[2] * v[0] - u[0] * v[2], u[0] * v[1] - u[1] * v[0]];
    let length = (n[0] * n[0] + n[1] * n[1] + n[2] * n[2]).sqrt();
    n.map(|c| c / length)
}

/// Binary STL: 80 bytes of header, a count, 50 bytes a triangle.
pub(crate) fn binary_stl(name: &str, body: &Body) -> Vec<u8> {
    let mut bytes = format!("{:<80.80}", format!("Sample for Stonehand: {name}, mm")).into_bytes();
    bytes.extend((body.triangles.len() as u32).to_le_bytes());
    for t in &body.triangles {
        for v in std::iter::once(normal(t)).chain(*t).flatten() {
            bytes.extend((v as f32).to_le_bytes());
        }
        bytes.extend([0, 0]);
    }
    bytes
}

/// ASCII STL.
pub(crate) fn ascii_stl(name: &str, body: &Body) -> Vec<u8> {
    let mut text = format!("solid {name}\n");
    for t in &body.triangles {
        let [x, y, z] = normal(t);
        // Writing to a string cannot fail.
        let _ = writeln!(text, "  facet normal {x:.6} {y:.6} {z:.6}\n    outer loop");
        for [x, y, z] in t {
            let _ = writeln!(text, "      vertex {x} {y} {z}");
        }
        text.push_str("    endloop\n  endfacet\n");
    }
    let _ = writeln!(text, "endsolid {name}");
    text.into_bytes()
}

/// OBJ: vertices and faces, counted from 1.
pub(crate) fn obj(name: &str, body: &Body) -> Vec<u8> {
    let (vertices, triangles) = body.indexed();
    let mut text = format!("# Sample for Stonehand, mm\no {name}\n");
    for [x, y, z] in vertices {
        let _ = writeln!(text, "v {x} {y} {z}");
    }
    for [a, b, c] in triangles {
        let _ = writeln!(text, "f {} {} {}", a + 1, b + 1, c + 1);
    }
    text.into_bytes()
}

/// A 3MF Core package: an object a body, and a build item each, side by side. Stored, with no time stamps.
///
/// # Errors
/// Where zipping fails.
pub(crate) fn package(bodies: &[(&str, Body)]) -> Result<Vec<u8>, Failure> {
    const TYPES: &str = "<?xml version=\"1.0\" encoding=\"UTF-8\"?>\n\
        <Types xmlns=\"http://schemas.openxmlformats.org/package/2006/content-types\">\
        <Default Extension=\"rels\" ContentType=\"application/vnd.openxmlformats-package.relationships+xml\"/>\
        <Default Extension=\"model\" ContentType=\"application/vnd.ms-package.3dmanufacturing-3dmodel+xml\"/>\
        </Types>\n";
    const RELATIONS: &str = "<?xml version=\"1.0\" encoding=\"UTF-8\"?>\n\
        <Relationships xmlns=\"http://schemas.openxmlformats.org/package/2006/relationships\">\
        <Relationship Id=\"start\" Target=\"/3D/3dmodel.model\" \
        Type=\"http://schemas.microsoft.com/3dmanufacturing/2013/01/3dmodel\"/></Relationships>\n";
    let mut model = String::from(
        "<?xml version=\"1.0\" encoding=\"UTF-8\"?>\n<model unit=\"millimeter\" xml:lang=\"en\" \
         xmlns=\"http://schemas.microsoft.com/3dmanufacturing/core/2015/02\">\n<resources>\n",
    );
    for (i, (name, body)) in bodies.iter().enumerate() {
        let (vertices, triangles) = body.indexed();
        let _ = writeln!(model, "<object id=\"{}\" type=\"model\" name=\"{name}\"><mesh><vertices>", i + 1);
        for [x, y, z] in vertices {
            let _ = writeln!(model, "<vertex x=\"{x}\" y=\"{y}\" z=\"{z}\"/>");
        }
        model.push_str("</vertices><triangles>\n");
        for [a, b, c] in triangles {
            let _ = writeln!(model, "<triangle v1=\"{a}\" v2=\"{b}\" v3=\"{c}\"/>");
        }
        model.push_str("</triangles></mesh></object>\n");
    }
    model.push_str("</resources>\n<build>\n");
    for i in 0..bodies.len() {
        let _ = writeln!(model, "<item objectid=\"{}\" transform=\"1 0 0 0 1 0 0 0 1 {} 30 0\"/>", i + 1, 30 + 45 * i);
    }
    model.push_str("</build>\n</model>\n");

    let options = SimpleFileOptions::default()
        .compression_method(CompressionMethod::Stored)
        .last_modified_time(zip::DateTime::default())
        .unix_permissions(0o644);
    let mut zip = ZipWriter::new(Cursor::new(Vec::new()));
    for (name, text) in
        [("[Content_Types].xml", TYPES), ("_rels/.rels", RELATIONS), ("3D/3dmodel.model", model.as_str())]
    {
        zip.start_file(name, options)?;
        zip.write_all(text.as_bytes())?;
    }
    Ok(zip.finish()?.into_inner())
}
