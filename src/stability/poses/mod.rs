//! Which way up: faces a part could be laid on, ranked.
//!
//! - [`poses()`], [`PoseChoice`]: the ranking, each with its reasons as numbers
//! - [`without_alike`]: those that differ in more than a turn
//! - [`SCORE_WEIGHTS`]: what the score is made of
//! - `measure`: candidates measured; `run`: triangles in runs; `vector`: scalar products

mod alike;
mod choice;
mod measure;
mod rank;
mod run;
mod score;
mod vector;

pub use alike::without_alike;
pub use choice::PoseChoice;
pub use rank::poses;
pub use score::SCORE_WEIGHTS;
