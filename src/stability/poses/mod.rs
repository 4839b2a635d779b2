//! Which way up: faces a part could be laid on, ranked.
//!
//! - [`poses()`], [`PoseChoice`]: the ranking, each with its reasons as numbers
//! - [`SCORE_WEIGHTS`]: what the score is made of
//! - `measure`: one candidate measured; `vector`: scalar products

mod choice;
mod measure;
mod rank;
mod score;
mod vector;

pub use choice::PoseChoice;
pub use rank::poses;
pub use score::SCORE_WEIGHTS;
