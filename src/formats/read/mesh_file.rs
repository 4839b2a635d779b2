//! Which format a file is, and the objects in it.

use super::{
    ReadError,
    found::Found,
    most::{MOST_OBJECTS, too_many},
    obj,
    read_error::{EXPORT_AGAIN, Trouble},
    stl_ascii, stl_binary, threemf,
};
use crate::{
    document::FileUnit,
    mesh::{Fault, TriMesh},
};

/// What a mesh file holds.
#[derive(Debug, Clone, PartialEq)]
pub struct MeshFile {
    /// The unit of the coordinates; millimetres where the format names none.
    pub unit: FileUnit,
    /// The objects, at least one, each with at least one triangle.
    pub objects: Vec<MeshObject>,
}

/// One object of a file.
#[derive(Debug, Clone, PartialEq)]
pub struct MeshObject {
    /// Its name in the file, or the file's stem (with a number where several objects have none).
    pub name: String,
    /// The welded mesh, in the file's unit; a 3MF item's transform is applied.
    pub mesh: TriMesh,
    /// What was wrong with the file or its triangles; the mesh itself is examined by [`crate::mesh::report`].
    pub faults: Vec<Fault>,
}

/// Reads a mesh file. The content decides which format it is; the extension of `name` only where the content leaves it open.
///
/// - A zip package is 3MF.
/// - An STL whose size is 84 + 50 n is binary, whatever its header says.
/// - Text that begins with `solid` is ASCII STL; other text is OBJ where it looks like it or is named so.
/// - What is then left and named `.stl` is a binary STL of the wrong size: read with a fault where whole facets are there,
///   refused where the last one is cut.
///
/// Memory stays within a small multiple of the file's size (of the unpacked model for 3MF, which is limited).
pub fn mesh_file(name: &str, bytes: &[u8]) -> Result<MeshFile, ReadError> {
    read(name, bytes).map_err(|t| t.named(name))
}

fn read(name: &str, bytes: &[u8]) -> Result<MeshFile, Trouble> {
    let path = std::path::Path::new(name);
    let has_extension = |e: &str| path.extension().is_some_and(|x| x.eq_ignore_ascii_case(e));
    if bytes.is_empty() {
        return Err(Trouble::new("the file is empty", EXPORT_AGAIN));
    }
    let (unit, found) = if bytes.starts_with(b"PK\x03\x04") || bytes.starts_with(b"PK\x05\x06") {
        threemf::read(bytes)?
    } else if stl_binary::size_fits(bytes) {
        (FileUnit::Millimeter, stl_binary::read(bytes)?)
    } else if is_text(bytes) {
        (FileUnit::Millimeter, read_text(bytes, &has_extension)?)
    } else if has_extension("stl") {
        (FileUnit::Millimeter, stl_binary::read(bytes)?)
    } else if has_extension("3mf") {
        return Err(no_package());
    } else if has_extension("obj") {
        return Err(Trouble::new("it is named OBJ but is not text", EXPORT_AGAIN));
    } else {
        return Err(unknown());
    };
    if found.len() > MOST_OBJECTS {
        return Err(too_many(MOST_OBJECTS, "objects"));
    }
    let stem = path.file_stem().map_or_else(|| name.to_owned(), |s| s.to_string_lossy().into_owned());
    let alone = found.len() == 1;
    let objects: Vec<MeshObject> = found
        .into_iter()
        .enumerate()
        .filter(|(_, f)| !f.mesh.triangles.is_empty())
        .map(|(i, f)| {
            let unnamed = || if alone { stem.clone() } else { format!("{stem} {}", i + 1) };
            let name = f.name.filter(|n| !n.trim().is_empty()).map_or_else(unnamed, |n| n.trim().to_owned());
            MeshObject { name, mesh: f.mesh, faults: f.faults }
        })
        .collect();
    if objects.is_empty() {
        return Err(Trouble::new("it has no triangle with an area and finite coordinates", EXPORT_AGAIN));
    }
    Ok(MeshFile { unit, objects })
}

fn read_text(bytes: &[u8], named: &dyn Fn(&str) -> bool) -> Result<Vec<Found>, Trouble> {
    let start = bytes.strip_prefix(b"\xef\xbb\xbf").unwrap_or(bytes);
    let first = start.split(u8::is_ascii_whitespace).find(|w| !w.is_empty()).unwrap_or_default();
    if first.eq_ignore_ascii_case(b"solid") {
        return stl_ascii::read(start);
    }
    if named("stl") {
        return Err(Trouble::new(
            format!(
                "it is named STL but is neither a binary nor a text STL: a binary one has 84 + 50 × triangles bytes, not {}, \
                 and a text one begins with “solid”, not {}",
                bytes.len(),
                super::read_error::quoted(first)
            ),
            EXPORT_AGAIN,
        ));
    }
    if first.starts_with(b"<") {
        return Err(Trouble::new("it is bare XML; a 3MF is a zip package with the XML inside", EXPORT_AGAIN));
    }
    if named("obj") || obj::looks_like(start) {
        return obj::read(start);
    }
    Err(if named("3mf") { no_package() } else { unknown() })
}

fn no_package() -> Trouble {
    Trouble::new("it is named 3MF but is not a zip package", EXPORT_AGAIN)
}

fn unknown() -> Trouble {
    Trouble::new("it is not in a mesh format that can be read", "use STL, OBJ or 3MF")
}

/// Text as far as the first kilobyte shows: no control characters but white space.
fn is_text(bytes: &[u8]) -> bool {
    bytes[..bytes.len().min(1024)].iter().all(|&b| b >= 0x20 && b != 0x7f || matches!(b, b'\t' | b'\n' | b'\r' | 0x0c))
}
