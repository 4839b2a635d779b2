//! What could fall over, and what holds it: plain values in and out, a ranking and never a promise.
//!
//! - [`Conditions`]: forces, adhesion, material and layers that a part is judged under
//! - [`MassProfile`]: mass over height from a part's sections; to be kept, for it depends on mesh, pose and layers alone
//! - [`Stance`]: contact widened by footing; [`judge`], [`Judgement`]: margins at every height, from prefix sums
//! - [`looks()`], [`looks_on`], [`Look`]: thin starts and necks, slenderness, wobble, contact, warp, what starts in mid-air
//! - [`suggest_footing`], [`Suggestion`], [`brim_reaching_mm`]: the least footing that is enough
//! - [`poses()`], [`PoseChoice`]: faces a part could be laid on, ranked
//! - [`fall`], [`Fall`], [`Standing`]: what a copy would strike
//! - [`SideView`], [`telling_side_rad`]: the part from the side, with the way of its centre of mass
//! - [`findings`], [`JudgedCopies`], [`margin_words`]: all of it in words

mod conditions;
mod fall;
mod findings;
mod footing;
mod judge;
pub mod looks;
mod margin_words;
mod mass;
mod mid_air;
mod pose_view;
pub mod poses;
#[cfg(test)]
mod samples;
mod side;
mod stance;

pub use conditions::Conditions;
pub use fall::{Fall, Standing, fall};
pub use findings::{JudgedCopies, findings};
pub use footing::{Suggestion, USUAL_BRIM_MM, WIDEST_MM, brim_reaching_mm, suggest_footing};
pub use judge::{Cause, Judgement, Least, MOST_MARGIN, Margin, judge};
pub use looks::{Look, LookKind, looks, looks_on};
pub use margin_words::margin_words;
pub use mass::{MassLayer, MassProfile};
pub use mid_air::MidAirStart;
pub use pose_view::PoseView;
pub use poses::{PoseChoice, poses, without_alike};
pub use side::{SideView, telling_side_rad};
pub use stance::{Stance, effective_width_mm};
