//! 3MF Core packages. Source: 3MF Core specification 1.3 (public repository, BSD-2-Clause).

use std::io::{BufWriter, Cursor, Write};

use zip::{CompressionMethod, DateTime, ZipWriter, write::SimpleFileOptions};

use super::{
    ModelOptions, PlateModel, WriteError,
    assembly::Assembly,
    solid::{GRID_PER_MM, Solid},
    values::{number, xml},
};
use crate::geom::Placement;

const TYPES: &str = r#"<?xml version="1.0" encoding="UTF-8"?>
<Types xmlns="http://schemas.openxmlformats.org/package/2006/content-types">
  <Default Extension="rels" ContentType="application/vnd.openxmlformats-package.relationships+xml"/>
  <Default Extension="model" ContentType="application/vnd.ms-package.3dmanufacturing-3dmodel+xml"/>
</Types>
"#;

const RELATIONS: &str = r#"<?xml version="1.0" encoding="UTF-8"?>
<Relationships xmlns="http://schemas.openxmlformats.org/package/2006/relationships">
  <Relationship Id="rel0" Target="/3D/3dmodel.model" Type="http://schemas.microsoft.com/3dmanufacturing/2013/01/3dmodel"/>
</Relationships>
"#;

/// A plate as a 3MF Core package in millimetres. Each part's mesh is written once, as it stands; each copy is an object of
/// its own, named "E 14", made of that mesh (and of its footing, where asked for, so that the two stay together), and a
/// build item with a turn about Z and a move. Mesh coordinates are within 5e-8 mm, transforms exact. A mesh with faults is
/// written as type "surface". The same input gives the same bytes.
pub fn three_mf(model: &PlateModel<'_>, options: ModelOptions) -> Result<Vec<u8>, WriteError> {
    let assembly = model.assemble(options)?;
    let title = if model.job.title.is_empty() { "Untitled" } else { &model.job.title };
    package(weight(&assembly, options), |text| {
        write!(
            text,
            r#"<?xml version="1.0" encoding="UTF-8"?>
<model unit="millimeter" xml:lang="en-US" xmlns="http://schemas.microsoft.com/3dmanufacturing/core/2015/02">
  <metadata name="Title">{}, plate {}</metadata>
  <metadata name="Application">Stonehand {}</metadata>
  <resources>
"#,
            xml(title),
            assembly.number,
            env!("CARGO_PKG_VERSION"),
        )?;
        let items = if options.one_body { one_body(&assembly, text)? } else { separate(&assembly, text)? };
        text.write_all(b"  </resources>\n  <build>\n")?;
        text.write_all(items.as_bytes())?;
        text.write_all(b"  </build>\n</model>\n")?;
        Ok(())
    })
}

/// No fewer bytes than the model's text has: a vertex is written in less than 120, a triangle in less than 80.
fn weight(assembly: &Assembly, options: ModelOptions) -> u64 {
    let body = |i: usize| {
        let mesh = &assembly.bodies[i].mesh;
        120 * mesh.vertices.len() as u64 + 80 * mesh.triangles.len() as u64
    };
    if options.one_body {
        assembly.items.iter().flat_map(|item| &item.bodies).map(|&(i, _)| body(i)).sum()
    } else {
        (0..assembly.bodies.len()).map(body).sum()
    }
}

/// Everything in one object; returns its build item.
fn one_body(assembly: &Assembly, out: &mut dyn Write) -> Result<String, WriteError> {
    let mut solids = Vec::new();
    for item in &assembly.items {
        for (body, matrix) in item.matrices(&assembly.bodies) {
            let vertices = body.mesh.vertices.iter().map(|v| matrix.apply(*v));
            solids.push(Solid::new(&item.name, vertices, &body.mesh.triangles, matrix.determinant() < 0.0)?);
        }
    }
    if solids.is_empty() {
        return Ok(String::new());
    }
    let what = format!("plate {}", assembly.number);
    if solids.iter().map(|s| s.vertices.len() as u64).sum::<u64>() > u64::from(i32::MAX.unsigned_abs()) {
        return Err(WriteError::TooMany { what, limit: u64::from(i32::MAX.unsigned_abs()) });
    }
    write_mesh(out, 1, &what, &Solid::joined(solids))?;
    Ok(format!("    <item objectid=\"1\" partnumber=\"{what}\"/>\n"))
}

/// A mesh object a body, a component object an item; returns the build items.
fn separate(assembly: &Assembly, out: &mut dyn Write) -> Result<String, WriteError> {
    let mut sound = Vec::with_capacity(assembly.bodies.len());
    for (i, body) in assembly.bodies.iter().enumerate() {
        let vertices = body.mesh.vertices.iter().map(|v| body.posed.apply(*v));
        let solid = Solid::new(&body.name, vertices, &body.mesh.triangles, body.posed.determinant() < 0.0)?;
        sound.push(solid.sound);
        write_mesh(out, i + 1, &body.name, &solid)?;
    }
    let mut items = String::new();
    for (i, item) in assembly.items.iter().enumerate() {
        let id = assembly.bodies.len() + 1 + i;
        let kind = if item.bodies.iter().all(|b| sound[b.0]) { "model" } else { "surface" };
        let name = xml(&item.name);
        writeln!(
            out,
            "    <object id=\"{id}\" type=\"{kind}\" name=\"{name}\" partnumber=\"{name}\">\n      <components>"
        )?;
        for &(body, lift_mm) in &item.bodies {
            let raised = if lift_mm == 0.0 {
                String::new()
            } else {
                format!(" transform=\"1 0 0 0 1 0 0 0 1 0 0 {}\"", number(lift_mm))
            };
            writeln!(out, "        <component objectid=\"{}\"{raised}/>", body + 1)?;
        }
        out.write_all(b"      </components>\n    </object>\n")?;
        let transform = transform(item.at);
        // Writing to a string cannot fail.
        let _ = std::fmt::Write::write_fmt(
            &mut items,
            format_args!("    <item objectid=\"{id}\" partnumber=\"{name}\"{transform}/>\n"),
        );
    }
    Ok(items)
}

fn transform(at: Placement) -> String {
    if at == Placement::default() {
        return String::new();
    }
    let numbers = super::Matrix::placed(at).numbers().map(number);
    format!(" transform=\"{}\"", numbers.join(" "))
}

fn write_mesh(out: &mut dyn Write, id: usize, name: &str, solid: &Solid) -> Result<(), WriteError> {
    let kind = if solid.sound { "model" } else { "surface" };
    writeln!(out, "    <object id=\"{id}\" type=\"{kind}\" name=\"{}\">\n      <mesh>\n        <vertices>", xml(name))?;
    let mut line = Vec::new();
    for v in &solid.vertices {
        line.clear();
        line.extend_from_slice(b"          <vertex x=\"");
        push_grid(&mut line, v[0]);
        line.extend_from_slice(b"\" y=\"");
        push_grid(&mut line, v[1]);
        line.extend_from_slice(b"\" z=\"");
        push_grid(&mut line, v[2]);
        line.extend_from_slice(b"\"/>\n");
        out.write_all(&line)?;
    }
    out.write_all(b"        </vertices>\n        <triangles>\n")?;
    for [a, b, c] in &solid.triangles {
        writeln!(out, "          <triangle v1=\"{a}\" v2=\"{b}\" v3=\"{c}\"/>")?;
    }
    out.write_all(b"        </triangles>\n      </mesh>\n    </object>\n")?;
    Ok(())
}

/// A number of grid steps in millimetres, exactly, without trailing zeros.
fn push_grid(out: &mut Vec<u8>, steps: i64) {
    const PER_MM: u64 = GRID_PER_MM as u64;
    if steps < 0 {
        out.push(b'-');
    }
    let (whole, mut rest) = (steps.unsigned_abs() / PER_MM, steps.unsigned_abs() % PER_MM);
    let mut digits = [0_u8; 20];
    let (mut n, mut left) = (0, whole);
    loop {
        digits[n] = b'0' + (left % 10) as u8;
        n += 1;
        left /= 10;
        if left == 0 {
            break;
        }
    }
    out.extend(digits[..n].iter().rev());
    if rest > 0 {
        out.push(b'.');
        let mut unit = PER_MM / 10;
        while rest > 0 {
            out.push(b'0' + (rest / unit) as u8);
            rest %= unit;
            unit /= 10;
        }
    }
}

/// The three parts of the package, with a fixed date. Only what is packed is in memory: `model` writes its text, of at
/// most `weight` bytes, bit by bit.
fn package(weight: u64, model: impl FnOnce(&mut dyn Write) -> Result<(), WriteError>) -> Result<Vec<u8>, WriteError> {
    let options = SimpleFileOptions::default()
        .compression_method(CompressionMethod::Deflated)
        .last_modified_time(DateTime::DEFAULT)
        .large_file(weight > u64::from(u32::MAX / 2));
    let mut zip = ZipWriter::new(Cursor::new(Vec::new()));
    for (name, text) in [("[Content_Types].xml", TYPES), ("_rels/.rels", RELATIONS)] {
        zip.start_file(name, options)?;
        zip.write_all(text.as_bytes())?;
    }
    zip.start_file("3D/3dmodel.model", options)?;
    let mut text = BufWriter::with_capacity(1 << 16, &mut zip);
    model(&mut text)?;
    text.flush()?;
    drop(text);
    Ok(zip.finish()?.into_inner())
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn grid_numbers_are_exact() {
        for (steps, text) in [
            (0, "0"),
            (10_000_000, "1"),
            (-10_000_001, "-1.0000001"),
            (1_250_000, "0.125"),
            (-5, "-0.0000005"),
            (9_999_999_999_999_999, "999999999.9999999"),
        ] {
            let mut out = Vec::new();
            push_grid(&mut out, steps);
            assert_eq!(String::from_utf8_lossy(&out), text);
        }
    }
}
