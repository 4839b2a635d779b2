//! Pure search: Problem + seed + Watch → Layout. Knows polygons, not parts.
//!
//! - [`Problem`]: [`Shape`]s, [`Bed`]s, clearances and the [`Aim`]
//! - [`Twin`]: a copy that implies another
//! - [`Layout`]: where each free copy lies; [`Item`]
//! - [`solve`], [`solve_from`]: the engine; [`prefer`]: the nicer of equally good layouts, by [`Wishes`]
//! - [`kept`]: a Top up that moves nothing, [`laid_on`] and [`gain`] what comes of it
//! - [`make_room`]: small moves that part copies from what was laid on them; [`ZoneCache`]: what it need not work out twice
//! - [`nearest_place`]: the shortest move to a place that is free
//! - [`deal`]: copies dealt over several beds as wished ([`Dealing`]), at no cost of a bed
//! - [`verify`]: is a layout valid? [`Breach`]es where not; independent of the search
//! - [`Bound`]: what no layout can beat; [`copies_bound`], [`top_up_bound`], [`beds_bound`]
//!
//! In rooms: `asked` (what is asked and answered), `bodies` (shapes at their turns, zones), `regular` (lattices, blocks, rectangles),
//! `mixed` (placing and separating), `finish` (preferences, straight rows, making room, dealing over beds), `bounds`, `judge` (is it
//! valid?). `solve` decides which move when.

mod asked;
mod bodies;
mod bounds;
mod finish;
mod judge;
mod mixed;
mod regular;
mod solve;

pub use asked::{Aim, Bed, Bound, BoundKind, Item, Layout, Problem, Shape, Twin, gain, kept, laid_on};
pub use bodies::ZoneCache;
pub use bounds::{beds_bound, copies_bound, top_up_bound};
pub use finish::{A_COPY_MM, Dealing, PASSING, Spread, Wishes, deal, make_room, nearest_place, prefer};
pub use judge::{Breach, TOLERANCE_MM, verify};
pub use solve::{solve, solve_from};

#[cfg(test)]
mod tests;
