//! Pure search: Problem + seed + Watch → Layout. Knows polygons, not parts.
//!
//! - [`Problem`]: [`Shape`]s, [`Bed`]s, clearances and the [`Aim`]
//! - [`Twin`]: a copy that implies another
//! - [`Layout`]: where each free copy lies; [`Item`]
//! - [`solve`], [`solve_from`]: the engine; [`prefer`]: the nicer of equally good layouts, by [`Wishes`]
//! - [`make_room`]: small moves that part copies from what was laid on them; [`ZoneCache`]: what it need not work out twice
//! - [`deal`]: copies dealt over several beds as wished ([`Dealing`]), at no cost of a bed
//! - [`verify`]: is a layout valid? [`Breach`]es where not; independent of the search
//! - [`Bound`]: what no layout can beat; [`copies_bound`], [`top_up_bound`], [`beds_bound`]
//!
//! Inside: `table` (shapes at their turns, zones of pairs), `body` (search outlines), `convex` and `zone` (sums of
//! shapes), `home` (where a shape may lie on a bed), `field` (positions in contact), `place` and `fit` (the constructive moves),
//! `pattern` (the lattice move), `boxes` over `rects` (equal rectangles), `grid` over `cells` (parts made of squares) and
//! `repeat` (what they are used for), `block` (a few copies that stand for one), `separate` (the separating move) and `improve`
//! (what it is tried on), `plan` (a layout in the making and its score), `tidy` (rows made straight), `sound` (quick check before a layout is
//! shown).

mod aside;
mod block;
mod body;
mod bound;
mod bounds;
mod boxes;
mod cells;
mod convex;
mod deal;
mod field;
mod fit;
mod grid;
mod home;
mod improve;
mod layout;
mod pattern;
mod place;
mod plan;
mod prefer;
mod problem;
mod rects;
mod repeat;
mod rng;
mod separate;
mod solve;
mod sound;
mod table;
mod tidy;
mod twin;
mod verify;
mod zone;
mod zone_cache;

pub use aside::make_room;
pub use bound::{Bound, BoundKind};
pub use bounds::{beds_bound, copies_bound, top_up_bound};
pub use deal::{Dealing, Spread, deal};
pub use layout::{Item, Layout};
pub use prefer::{Wishes, prefer};
pub use problem::{Aim, Bed, Problem, Shape};
pub use solve::{solve, solve_from};
pub use twin::Twin;
pub use verify::{Breach, TOLERANCE_MM, verify};
pub use zone_cache::ZoneCache;

/// Convex pieces are shrunk by this in sums, mm, so that exact fits keep a position; far below every tolerance.
const HAIR_MM: f64 = 2.5e-10;

#[cfg(test)]
mod tests;
