//! Plane geometry in f64. Millimetres and radians unless a name says otherwise.
//!
//! Wraps `i_overlay` (booleans, offsets), `parry2d` (the broad phase) and `spade` (triangles); nobody else names them.
//!
//! - [`Point`], [`Bounds`], [`Placement`]: points, boxes, rigid moves
//! - [`Polygon`], [`Region`]: polygons with holes; outer loops counter-clockwise, holes clockwise
//! - [`boolean`], [`offset`], [`simplify`], [`hull`], [`disc`]: new regions from old
//! - [`moments`], [`modulus`]: area, centroid, second moments, section modulus; [`inner_circle`]: the widest spot
//! - [`Outline`]: a region prepared for many distance questions; [`depth`]: how far two regions overlap
//! - [`triangulate`]: a region in triangles over its own vertices
//! - [`BoxTree`]: broad phase over many boxes

#[cfg(test)]
mod absurd;
pub mod boolean;
mod bounds;
mod box_tree;
pub mod depth;
pub mod disc;
mod edge_tree;
pub mod hull;
mod inner_circle;
mod mitre;
pub mod modulus;
pub mod moments;
pub mod offset;
mod outline;
mod placement;
mod point;
mod region;
#[cfg(test)]
pub(crate) mod samples;
pub mod simplify;
mod triangulate;

pub use bounds::Bounds;
pub use box_tree::BoxTree;
pub use inner_circle::{InnerCircle, inner_circle};
pub use moments::Moments;
pub use outline::Outline;
pub use placement::Placement;
pub use point::Point;
pub use region::{Polygon, Region};
pub use triangulate::{Triangles, triangulate};
