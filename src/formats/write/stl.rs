//! Binary STL: 80 bytes of header, a count, 50 bytes a facet, little-endian.

use std::io::Write;

use super::{
    Matrix, ModelOptions, PlateModel, WriteError,
    assembly::{Assembly, Body, Item},
};

/// [`write_stl`] into memory.
pub fn stl(model: &PlateModel<'_>, options: ModelOptions) -> Result<Vec<u8>, WriteError> {
    let mut out = Vec::new();
    write_stl(model, options, &mut out)?;
    Ok(out)
}

/// A plate as one binary STL in bed millimetres, each coordinate the nearest f32. [`ModelOptions::one_body`] changes
/// nothing: an STL is one body already. Facets that vanish in f32 are left out. No more than one copy is in memory.
pub fn write_stl(model: &PlateModel<'_>, options: ModelOptions, out: &mut dyn Write) -> Result<(), WriteError> {
    let assembly = model.assemble(options)?;
    // Never "solid": that is how the text form begins.
    let mut header = [b' '; 80];
    let words = format!("Stonehand, plate {}, millimetres, origin front left", assembly.number);
    for (h, b) in header.iter_mut().zip(words.bytes()) {
        *h = b;
    }
    out.write_all(&header)?;
    // The count comes first, and which facets vanish is known once they are placed: so they are placed twice.
    let mut count = 0_u64;
    for (item, body, matrix) in bodies(&assembly) {
        count += facets(item, body, &matrix)?.count() as u64;
    }
    let limit = u64::from(u32::MAX);
    let what = || format!("plate {}", assembly.number);
    let count = u32::try_from(count).map_err(|_| WriteError::TooMany { what: what(), limit })?;
    out.write_all(&count.to_le_bytes())?;
    let mut bytes = [0; 50];
    for (item, body, matrix) in bodies(&assembly) {
        for [a, b, c] in facets(item, body, &matrix)? {
            for (to, k) in bytes.chunks_exact_mut(4).zip([normal(a, b, c), a, b, c].as_flattened()) {
                to.copy_from_slice(&k.to_le_bytes());
            }
            out.write_all(&bytes)?;
        }
    }
    Ok(())
}

fn bodies(assembly: &Assembly) -> impl Iterator<Item = (&Item, &Body, Matrix)> {
    assembly
        .items
        .iter()
        .flat_map(|item| item.matrices(&assembly.bodies).map(move |(body, matrix)| (item, body, matrix)))
}

/// The facets of a body where it lies that are still facets in f32.
fn facets<'a>(
    item: &Item,
    body: &'a Body,
    matrix: &Matrix,
) -> Result<impl Iterator<Item = [[f32; 3]; 3]> + 'a, WriteError> {
    let flip = matrix.determinant() < 0.0;
    let placed: Vec<[f32; 3]> = body.mesh.vertices.iter().map(|v| matrix.apply(*v).map(|c| c as f32 + 0.0)).collect();
    if placed.iter().flatten().any(|c| !c.is_finite()) {
        return Err(WriteError::TooFar { what: item.name.clone(), limit_mm: f64::from(f32::MAX) });
    }
    Ok(body.mesh.triangles.iter().filter_map(move |t| {
        let [a, b, c] = t.map(|i| placed[i as usize]);
        let [a, b, c] = if flip { [a, c, b] } else { [a, b, c] };
        (a != b && b != c && c != a).then_some([a, b, c])
    }))
}

/// Unit normal by the right-hand rule; zero for a sliver.
fn normal(a: [f32; 3], b: [f32; 3], c: [f32; 3]) -> [f32; 3] {
    let sub = |p: [f32; 3], q: [f32; 3]| -> [f64; 3] { std::array::from_fn(|i| f64::from(p[i]) - f64::from(q[i])) };
    let (u, v) = (sub(b, a), sub(c, a));
    let n = [u[1] * v[2] - u[2] * v[1], u[2] * v[0] - u[0] * v[2], u[0] * v[1] - u[1] * v[0]];
    let length = (n[0] * n[0] + n[1] * n[1] + n[2] * n[2]).sqrt();
    if length > 0.0 { n.map(|k| (k / length) as f32 + 0.0) } else { [0.0; 3] }
}
