//! Mixed shapes: the constructive moves and the separating move.
//!
//! - `plan`: a layout in the making and its score
//! - `place`, `fit`: copies placed one after another in contact; exact fits by flush borders
//! - `separate`: overlapping copies parted under growing weights, over `heap` (how deep they overlap) and `around` (what a place costs
//!   and the ways out); `improve`: what that is tried on

mod around;
pub(super) mod fit;
pub(super) mod heap;
pub(super) mod improve;
pub(super) mod place;
pub(super) mod plan;
pub(super) mod separate;
