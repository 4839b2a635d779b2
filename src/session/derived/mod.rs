//! What is derived of the job: never document state.
//!
//! - `keys`: what makes each thing; `caches`, `bounded`: kept by content, with eviction; `pending`, `asking`: work under way
//! - `refresh`: all of it, in order: `shapes`, `supports`, `profiles`, `footings`, `estimates`, `stability`, `views`, `spools`
//! - [`PlateView`]: of a plate; [`PartStanding`], [`Judged`]: how firmly copies stand; `boxes`, `hull_faces`, `sheet`: worked out when
//!   asked; `poses`: ranked when asked

mod asking;
mod bounded;
mod boxes;
pub(super) mod caches;
mod compared_footings;
mod estimates;
mod footing_cost;
mod footings;
mod hull_faces;
pub(super) mod keys;
pub(super) mod pending;
mod plate_view;
mod pose_views;
mod poses;
mod profiles;
mod refresh;
mod shapes;
mod sheet;
mod solids;
mod spools;
mod stability;
pub(super) mod standing;
mod supports;
mod views;

pub use crate::work::Judged;
pub use footing_cost::FootingCost;
pub use plate_view::PlateView;
pub use standing::{FallOf, PartStanding};
