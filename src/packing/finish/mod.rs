//! What is done to a layout that is good already, and small changes of one.
//!
//! - [`prefer`]: the nicer of equally good layouts, by [`Wishes`]; `reach`: what falls would strike; `straighten`: rows made straight
//! - [`make_room`]: small moves that part copies from what was laid on them
//! - [`deal`]: copies dealt over several beds as wished ([`Dealing`]), at no cost of a bed

mod deal;
mod make_room;
mod nearest;
mod prefer;
mod reach;
pub(super) mod straighten;

pub use deal::{Dealing, Spread, deal};
pub use make_room::{A_COPY_MM, PASSING, make_room};
pub use nearest::nearest_place;
pub use prefer::{Wishes, prefer};
