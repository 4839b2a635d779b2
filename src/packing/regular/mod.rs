//! Regular arrangements: lattices, blocks, rectangles, parts made of squares.
//!
//! - `lattice`: rows of one shape in any direction, single or double
//! - `boxes` over `rects`: equal rectangles; `grid` over `cells`: parts made of squares
//! - `block`: a few copies that stand for one
//! - `repeat`: what all of them are used for

pub(super) mod block;
mod boxes;
mod cells;
mod grid;
pub(super) mod lattice;
mod rects;
pub(super) mod repeat;
