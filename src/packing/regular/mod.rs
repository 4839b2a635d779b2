//! Regular arrangements: lattices, blocks, rectangles, parts made of squares.
//!
//! - `lattice_search`: many copies of one shape in rows, single or double, over `lattice` (the rows themselves), `lattice_family`
//!   (those with one direction and turn), `row_pairs` and `row_border` (how close rows lie)
//! - `boxes` over `rects`: equal rectangles; `grid` over `cells`: parts made of squares
//! - `block`: a few copies that stand for one
//! - `repeat`: what all of them are used for

pub(super) mod block;
mod boxes;
mod cells;
mod grid;
mod lattice;
pub(super) mod lattice_family;
mod lattice_search;
mod rects;
pub(super) mod repeat;
mod row_border;
mod row_pairs;
pub(super) mod shelves;
