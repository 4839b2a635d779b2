//! Sections + recipe + plate → seconds, layer by layer, itemised.
//!
//! What a copy costs, once per mesh, pose and recipe:
//! - [`layers`], [`LayerSpan`]: a height cut into layers
//! - [`Profile`]: real paths of every layer (`paths`), timed by a planner ([`motion`]); [`LayerWork`], [`Run`];
//!   [`profile_recipe`]: what of a recipe it depends on
//! - [`FootingProfile`]: brim loops or raft layers; [`lift_layers`]: how many of them raise the part
//!
//! What a plate costs, on every pointer move:
//! - [`plate()`], [`PlateInput`], [`PlateCopy`] → [`PlateEstimate`], [`Items`], [`LayerEstimate`]; [`Limit`]: what a layer's time comes from
//! - [`Tour`], [`TourPlan`]: the way from copy to copy
//!
//! What it means:
//! - [`minimum_s`], [`cooling_time_s`], [`fin_time_s`]: how long a layer needs to cool; [`floor_words`]: what that assumes;
//!   [`film_w_m2_k`]: heat transfer, typed or by a choice of fan; [`minimum_tried`]: a plate with another minimum layer time
//! - [`cooling_summary`], [`last_copy`]: what a person must know; [`copies_until_slowing_ends`], [`CopiesUntil`]: how many copies help
//! - [`Filament`], [`mass_interval_g`], [`spool_left_g`]: length, mass, price, what a spool has left
//! - [`RunsOut`], [`runs_out`]: where in the build a spool ends; [`draw`], [`SpoolUse`], [`SpoolLevel`]: plates one after another
//! - [`gauge`]: the same questions asked of a machine-code file
//! - [`RecipeFault`], [`check_recipe`], [`check_material`], [`check_machine`]: numbers that no estimate can be made from

mod cooling;
mod copies_until;
mod fault;
mod filament;
mod film;
#[cfg(test)]
pub(crate) mod fixtures;
mod floor_words;
mod footing_profile;
pub mod gauge;
mod headroom;
mod limit;
mod minimum_tried;
pub mod motion;
mod neighbours;
mod pace;
mod paths;
mod plate;
mod plate_estimate;
mod plate_input;
mod plate_layers;
mod profile;
mod runs_out;
mod skirt;
mod spans;
mod spool_use;
mod sums;
mod support;
#[cfg(test)]
mod thin_cases;
mod tour;
#[cfg(test)]
mod worked_cases;

pub use cooling::{FIN_SHARE, cooling_time_s, fin_time_s, minimum_s, single_bead_thickness_mm};
pub use copies_until::{CopiesUntil, copies_until_slowing_ends};
pub use fault::{MOST_LAYERS, RecipeFault, check_machine, check_material, check_recipe};
pub use filament::{
    Filament, Interval, cross_section_mm2, filament, mass_interval_g, metres_per_kilogram, spool_left_g,
};
pub use film::{PART_DIAMETER_MM, film_w_m2_k};
pub use floor_words::{FloorWords, film_words, floor_words};
pub use footing_profile::{FootingProfile, lift_layers};
pub use headroom::{CoolingSummary, LastCopy, cooling_summary, last_copy};
pub use limit::Limit;
pub use minimum_tried::{MinimumTried, TRIED_S, minimum_tried};
pub use pace::Kind;
pub use paths::{LayerWork, Run};
pub use plate::plate;
pub use plate_estimate::{Items, LayerEstimate, PathLength, PlateEstimate};
pub use plate_input::{PlateCopy, PlateInput};
pub use profile::{Profile, ProfileError, SECTION_TOLERANCE_MM, profile_recipe, support_columns};
pub use runs_out::{RunsOut, runs_out};
pub use spans::{LayerSpan, layer_span, layers};
pub use spool_use::{SpoolLevel, SpoolUse, draw};
pub use tour::{Tour, TourPlan};
