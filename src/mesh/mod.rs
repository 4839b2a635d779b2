//! Triangle bodies.
//!
//! - [`TriMesh`]: welded triangles; bounds, volume, poses. [`Coordinate`]: what can be welded
//! - [`Edges`]: who shares which edge, the table behind report and shadow
//! - [`report`], [`Report`], [`Fault`], [`FaultKind`]: what is wrong with a mesh, one file a check in `checks`
//! - [`shadow`]: outline of all heights from above; [`section`], [`sections`], [`contact`]: outlines at heights
//! - [`hull()`], [`Hull`], [`hull_faces`]: the convex hull and its flat faces, on which the part could stand
//! - [`centre_of_mass`]: where its weight acts
//! - [`is_own_mirror_image`]: has it a hand?
//! - [`split_bodies`]: connected bodies as meshes of their own
//! - [`mends`]: what puts a mesh right, one file a mend

mod bodies;
mod centre;
mod chains;
mod checks;
mod column;
mod contact;
mod edges;
mod fault;
mod hull_faces;
pub mod mends;
mod own_mirror;
mod quickhull;
mod report;
mod sections;
mod shadow;
#[cfg(test)]
pub(crate) mod shapes;
mod shells;
mod trimesh;
mod weld;

pub use bodies::split_bodies;
pub use centre::centre_of_mass;
pub use checks::suspicious_size;
pub use contact::contact;
pub use edges::Edges;
pub use fault::{Fault, FaultKind};
pub use hull_faces::{Hull, HullFace, hull, hull_faces};
pub use own_mirror::is_own_mirror_image;
pub use report::{Report, report, report_in};
pub use sections::{section, sections};
pub use shadow::{shadow, shadow_with};
pub use trimesh::TriMesh;
pub use weld::Coordinate;
