//! Binary STL: 80 bytes of header, a count, 50 bytes a facet (normal, three corners, two spare bytes; little-endian f32).

use super::{
    found::Found,
    most::MOST_TRIANGLES,
    read_error::{EXPORT_AGAIN, Place, Trouble},
};
use crate::mesh::{Fault, FaultKind, TriMesh};

const HEADER: usize = 84;
const FACET: usize = 50;

/// The count field, where the file is long enough to have one.
fn promised(bytes: &[u8]) -> Option<u64> {
    let field = bytes.get(80..HEADER)?;
    Some(u64::from(u32::from_le_bytes(field.try_into().ok()?)))
}

/// The size rule: the file is exactly as long as its count says.
pub(super) fn size_fits(bytes: &[u8]) -> bool {
    promised(bytes).is_some_and(|n| bytes.len() as u64 == HEADER as u64 + FACET as u64 * n)
}

/// Reads a binary STL. Where the count field is wrong but only whole facets follow, all of them are read and a
/// count-mismatch reported; bytes after the promised facets are reported as trailing; a cut facet is refused.
pub(super) fn read(bytes: &[u8]) -> Result<Vec<Found>, Trouble> {
    let Some(promised) = promised(bytes) else {
        let what = format!("it has {} bytes, too few for an STL, whose header alone has 84", bytes.len());
        return Err(Trouble::at(what, Place::Byte(bytes.len() as u64)));
    };
    let body = &bytes[HEADER..];
    let held = body.len() / FACET;
    let spare = body.len() % FACET;
    let mut faults = Vec::new();
    let count = if spare == 0 {
        if promised != held as u64 {
            let text = format!("The file states {promised} triangles but has {held}; all {held} were read.");
            faults.push(Fault::new(FaultKind::CountMismatch, held.abs_diff(promised as usize), text));
        }
        held
    } else if promised > held as u64 {
        let what = format!("it is cut short: it states {promised} triangles and ends inside triangle {}", held + 1);
        return Err(Trouble::at(what, Place::Byte(bytes.len() as u64)));
    } else {
        let extra = body.len() - promised as usize * FACET;
        let text = format!("{extra} extra bytes after the last of {promised} triangles were ignored.");
        faults.push(Fault::new(FaultKind::TrailingBytes, extra, text));
        promised as usize
    };
    if count == 0 {
        return Err(Trouble::at("it has no triangles", Place::Byte(80)));
    }
    if count > MOST_TRIANGLES {
        return Err(Trouble::new(
            format!("it has {count} triangles; at most {MOST_TRIANGLES} can be read"),
            "simplify it",
        ));
    }
    let facets = &body[..count * FACET];
    let (mesh, weld_faults) = TriMesh::weld_from(count, |i| {
        let corners = &facets[i * FACET + 12..i * FACET + 48];
        let at = |k: usize| {
            let b = &corners[k * 4..k * 4 + 4];
            f32::from_le_bytes([b[0], b[1], b[2], b[3]])
        };
        [[at(0), at(1), at(2)], [at(3), at(4), at(5)], [at(6), at(7), at(8)]]
    });
    faults.extend(weld_faults);
    if mesh.triangles.is_empty() && !size_fits(bytes) {
        return Err(Trouble::new(
            "it is neither a binary STL (its size does not fit its count) nor text",
            EXPORT_AGAIN,
        ));
    }
    Ok(vec![Found { name: None, mesh, faults }])
}
