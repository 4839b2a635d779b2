//! Files for tests.

use std::{
    fmt::Write as _,
    io::{Cursor, Write},
};

use zip::{ZipWriter, write::SimpleFileOptions};

/// A box of 20 × 10 × 5 as corners of triangles.
pub(super) fn block() -> Vec<[[f32; 3]; 3]> {
    let v = |i: usize| [(i & 1) as f32 * 20.0, (i >> 1 & 1) as f32 * 10.0, (i >> 2 & 1) as f32 * 5.0];
    let quads = [[0, 2, 3, 1], [4, 5, 7, 6], [0, 1, 5, 4], [2, 6, 7, 3], [0, 4, 6, 2], [1, 3, 7, 5]];
    quads.iter().flat_map(|q: &[usize; 4]| [[v(q[0]), v(q[1]), v(q[2])], [v(q[0]), v(q[2]), v(q[3])]]).collect()
}

/// A binary STL with a count of one's choice.
pub(super) fn binary(triangles: &[[[f32; 3]; 3]], count: u32) -> Vec<u8> {
    let mut bytes = vec![b' '; 80];
    bytes[..5].copy_from_slice(b"solid");
    bytes.extend(count.to_le_bytes());
    for t in triangles {
        bytes.extend([0; 12]);
        t.iter().flatten().for_each(|c| bytes.extend(c.to_le_bytes()));
        bytes.extend([0; 2]);
    }
    bytes
}

/// An ASCII STL.
pub(super) fn ascii(name: &str, triangles: &[[[f32; 3]; 3]]) -> String {
    let mut text = format!("solid {name}\n");
    for t in triangles {
        text += "facet normal 0 0 0\n outer loop\n";
        for [x, y, z] in t {
            let _ = writeln!(text, "  vertex {x} {y} {z}");
        }
        text += " endloop\nendfacet\n";
    }
    text + &format!("endsolid {name}\n")
}

/// The mesh element of a box of 20 × 10 × 5.
pub(super) fn xml_block() -> String {
    let mut text = "<mesh><vertices>".to_owned();
    for i in 0..8 {
        let _ = write!(text, "<vertex x=\"{}\" y=\"{}\" z=\"{}\"/>", (i & 1) * 20, (i >> 1 & 1) * 10, (i >> 2) * 5);
    }
    text += "</vertices><triangles>";
    for [a, b, c, d] in [[0, 2, 3, 1], [4, 5, 7, 6], [0, 1, 5, 4], [2, 6, 7, 3], [0, 4, 6, 2], [1, 3, 7, 5]] {
        let _ =
            write!(text, "<triangle v1=\"{a}\" v2=\"{b}\" v3=\"{c}\"/><triangle v1=\"{a}\" v2=\"{c}\" v3=\"{d}\"/>");
    }
    text + "</triangles></mesh>"
}

/// A model with these resources and items.
pub(super) fn model(resources: &str, items: &str) -> String {
    format!(
        "<?xml version=\"1.0\" encoding=\"UTF-8\"?>\n<model unit=\"millimeter\" \
         xmlns=\"http://schemas.microsoft.com/3dmanufacturing/core/2015/02\"><resources>{resources}</resources>\
         <build>{items}</build></model>"
    )
}

/// A package with parts.
pub(super) fn package(parts: &[(&str, &[u8])]) -> Vec<u8> {
    let mut zip = ZipWriter::new(Cursor::new(Vec::new()));
    for (name, bytes) in parts {
        zip.start_file(*name, SimpleFileOptions::default()).expect("a name in memory");
        zip.write_all(bytes).expect("memory takes all");
    }
    zip.finish().expect("memory takes all").into_inner()
}

/// A package with this model only.
pub(super) fn packed(model: &str) -> Vec<u8> {
    package(&[("3D/3dmodel.model", model.as_bytes())])
}
