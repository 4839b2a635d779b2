//! Meshes and tables from bytes.
//!
//! - [`tally_csv`], [`TallyRow`], [`TallyCsvError`]: the tally as a table; [`named_copies`]: copies as people list them
//! - [`mesh_file`]: which format it is, and the objects in it
//! - `stl_binary`, `stl_ascii`, `obj`, `threemf`: one format each; `found`: what each hands over; `most`, `package` and `polygon` help
//! - [`ReadError`]: one sentence that names the file, what is wrong, where, and what to do

#[cfg(test)]
mod bad_input;
#[cfg(test)]
mod fixtures;
mod found;
mod mesh_file;
mod most;
mod obj;
mod package;
mod polygon;
mod read_error;
mod stl_ascii;
mod stl_binary;
mod tally_csv;
mod threemf;

pub use mesh_file::{MeshFile, MeshObject, mesh_file};
pub use read_error::{Place, ReadError};
pub use tally_csv::{TallyCsvError, TallyRow, named as named_copies, tally_csv};
