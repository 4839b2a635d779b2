//! Binary STL: 80 bytes of header, a count, 50 bytes a facet, little-endian.

use super::{ModelOptions, PlateModel, WriteError};

/// A plate as one binary STL in bed millimetres, each coordinate the nearest f32. [`ModelOptions::one_body`] changes
/// nothing: an STL is one body already. Facets that vanish in f32 are left out.
pub fn stl(model: &PlateModel<'_>, options: ModelOptions) -> Result<Vec<u8>, WriteError> {
    let assembly = model.assemble(options)?;
    let what = format!("plate {}", assembly.number);
    let most: usize =
        assembly.items.iter().flat_map(|i| &i.bodies).map(|(b, _)| assembly.bodies[*b].mesh.triangles.len()).sum();
    if u32::try_from(most).is_err() {
        return Err(WriteError::TooMany { what, limit: u64::from(u32::MAX) });
    }
    let mut out = Vec::with_capacity(84 + 50 * most);
    // Never "solid": that is how the text form begins.
    let mut header = [b' '; 80];
    let words = format!("Stonehand, plate {}, millimetres, origin front left", assembly.number);
    for (h, b) in header.iter_mut().zip(words.bytes()) {
        *h = b;
    }
    out.extend_from_slice(&header);
    out.extend_from_slice(&[0; 4]);
    let mut count = 0_u32;
    for item in &assembly.items {
        for (body, matrix) in item.matrices(&assembly.bodies) {
            let flip = matrix.determinant() < 0.0;
            let placed: Vec<[f32; 3]> =
                body.mesh.vertices.iter().map(|v| matrix.apply(*v).map(|c| c as f32 + 0.0)).collect();
            if placed.iter().flatten().any(|c| !c.is_finite()) {
                return Err(WriteError::TooFar { what: item.name.clone(), limit_mm: f64::from(f32::MAX) });
            }
            for t in &body.mesh.triangles {
                let [a, mut b, mut c] = t.map(|i| placed[i as usize]);
                if flip {
                    (b, c) = (c, b);
                }
                if a == b || b == c || c == a {
                    continue;
                }
                for k in [normal(a, b, c), a, b, c].as_flattened() {
                    out.extend_from_slice(&k.to_le_bytes());
                }
                out.extend_from_slice(&[0; 2]);
                count += 1;
            }
        }
    }
    out[80..84].copy_from_slice(&count.to_le_bytes());
    Ok(out)
}

/// Unit normal by the right-hand rule; zero for a sliver.
fn normal(a: [f32; 3], b: [f32; 3], c: [f32; 3]) -> [f32; 3] {
    let sub = |p: [f32; 3], q: [f32; 3]| -> [f64; 3] { std::array::from_fn(|i| f64::from(p[i]) - f64::from(q[i])) };
    let (u, v) = (sub(b, a), sub(c, a));
    let n = [u[1] * v[2] - u[2] * v[1], u[2] * v[0] - u[0] * v[2], u[0] * v[1] - u[1] * v[0]];
    let length = (n[0] * n[0] + n[1] * n[1] + n[2] * n[2]).sqrt();
    if length > 0.0 { n.map(|k| (k / length) as f32 + 0.0) } else { [0.0; 3] }
}
