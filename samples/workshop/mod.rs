//! The invented beekeepers' fittings workshop that all samples come from.
//!
//! - [`files`]: every sample file, name and bytes
//! - `body`: triangles and small moves; `triangulate`: flat faces with holes
//! - `terrace`: bodies of steps and pockets; `revolve`: bodies of revolution; `outlines`: plane loops
//! - `parts`: the fittings; `write`: STL, OBJ, 3MF
//! - `order`: the order as a job; `rows`: where its copies lie before anybody arranges them

mod body;
mod order;
mod outlines;
mod parts;
mod revolve;
mod rows;
mod terrace;
mod triangulate;
mod write;

use body::Body;

/// An error of making samples: a sentence.
pub(crate) type Failure = Box<dyn std::error::Error>;

/// A mesh file.
struct MeshFile {
    name: &'static str,
    /// Its objects, named as a reader names them.
    objects: Vec<(&'static str, Body)>,
    bytes: Vec<u8>,
}

/// A file with one body; `object` is what a reader calls it: a binary STL has no name of its own but the file's stem.
fn one(name: &'static str, object: &'static str, body: Body, write: fn(&str, &Body) -> Vec<u8>) -> MeshFile {
    MeshFile { name, bytes: write(object, &body), objects: vec![(object, body)] }
}

fn meshes() -> Result<Vec<MeshFile>, Failure> {
    let pair = vec![("strap hook", parts::strap_hook()), ("strap keeper", parts::strap_keeper())];
    Ok(vec![
        one("queen-cage-peg.stl", "queen-cage-peg", parts::queen_cage_peg(), write::binary_stl),
        one("corner-bracket.stl", "corner bracket", parts::corner_bracket(), write::ascii_stl),
        one("jar-lid-adapter.stl", "jar-lid-adapter", parts::jar_lid_adapter(), write::binary_stl),
        one("feeder-funnel.stl", "feeder-funnel", parts::feeder_funnel(), write::binary_stl),
        one("entrance-gate.stl", "entrance-gate", parts::entrance_gate(), write::binary_stl),
        one("frame-spacer.obj", "frame spacer", parts::frame_spacer(), write::obj),
        one("feeder-float.stl", "feeder-float", parts::feeder_float(), write::binary_stl),
        MeshFile { name: "strap-hook.3mf", bytes: write::package(&pair)?, objects: pair },
        one("faulty-clip.stl", "faulty-clip", parts::faulty_clip(), write::binary_stl),
    ])
}

/// Every sample file: its name and its bytes, the same on every run.
pub(crate) fn files() -> Result<Vec<(&'static str, Vec<u8>)>, Failure> {
    let meshes = meshes()?;
    let job = stonehand::document::file::write(&order::job(&meshes)?)?;
    let mut files: Vec<_> = meshes.into_iter().map(|m| (m.name, m.bytes)).collect();
    files.push(("hive-fittings.stonehand", job));
    Ok(files)
}
