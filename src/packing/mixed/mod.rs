//! Mixed shapes: the constructive moves and the separating move.
//!
//! - `plan`: a layout in the making and its score
//! - `place`, `fit`: copies placed one after another in contact; exact fits by flush borders
//! - `separate`: overlapping copies parted under growing weights; `improve`: what that is tried on

pub(super) mod fit;
pub(super) mod improve;
pub(super) mod place;
pub(super) mod plan;
pub(super) mod separate;
