//! The invented beekeepers' fittings workshop that all samples come from.
//!
//! - [`files`]: every sample file, name and bytes
//! - `body`: triangles and small moves; `triangulate`: flat faces with holes
//! - `terrace`: bodies of steps and pockets; `revolve`: bodies of revolution; `outlines`: plane loops
//! - `parts`: the fittings; `write`: STL, OBJ, 3MF

mod body;
mod outlines;
mod parts;
mod revolve;
mod terrace;
mod triangulate;
mod write;

/// An error of making samples: a sentence.
pub(crate) type Failure = Box<dyn std::error::Error>;

/// Every sample file: its name and its bytes, the same on every run.
///
/// # Errors
/// Where a package cannot be zipped.
pub(crate) fn files() -> Result<Vec<(&'static str, Vec<u8>)>, Failure> {
    let hook = ("strap hook", parts::strap_hook());
    let keeper = ("strap keeper", parts::strap_keeper());
    Ok(vec![
        ("queen-cage-peg.stl", write::binary_stl("queen-cage peg", &parts::queen_cage_peg())),
        ("corner-bracket.stl", write::ascii_stl("corner bracket", &parts::corner_bracket())),
        ("jar-lid-adapter.stl", write::binary_stl("jar-lid adapter", &parts::jar_lid_adapter())),
        ("feeder-funnel.stl", write::binary_stl("feeder funnel", &parts::feeder_funnel())),
        ("entrance-gate.stl", write::binary_stl("entrance gate", &parts::entrance_gate())),
        ("frame-spacer.obj", write::obj("frame spacer", &parts::frame_spacer())),
        ("feeder-float.stl", write::binary_stl("feeder float", &parts::feeder_float())),
        ("strap-hook.3mf", write::package(&[hook, keeper])?),
        ("faulty-clip.stl", write::binary_stl("faulty clip", &parts::faulty_clip())),
    ])
}
