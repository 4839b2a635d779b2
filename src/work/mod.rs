//! Long work, off the window's thread.
//!
//! - [`Request`] and [`Answer`]: what is asked, what comes back
//! - [`Event`]: begin, progress, improved, end; [`Ticket`]: which work, its cancel flag, what problem it solved
//! - [`Runner`]: on threads, or inline
//! - [`read_file`], [`ReadFile`], [`Loaded`]: mesh files read and checked, [`Mended`]: put right; [`part_shape`], [`part_profile`],
//!   [`part_mass`] with [`StandingMass`]; [`Judged`]: how firmly a part stands
//! - [`HandOverTask`], [`OutFolder`], [`Fill`], [`HandedOver`]: hand-over files; [`ToPrint`], [`PlanFiles`]: those on paper and of the plan
//! - [`KeptProfiles`], [`profile_bytes`], [`kept_profile`], [`outline_bytes`], [`kept_outline`], [`ProfileHash`]:
//!   profiles and outlines kept between runs

mod arrange;
mod arrange_in_time;
mod deadline;
mod docket_order;
mod event;
mod hand_over;
mod hand_over_print;
mod judged;
mod kept_profiles;
mod loaded;
mod mass;
mod mended;
mod mending;
mod request;
mod runner;
mod sections;
mod standing_mass;
mod ticket;

pub use deadline::Deadline;
pub use event::{Answer, Event};
pub use hand_over::{Fill, HandOverTask, HandedOver, OutFolder, PlanFiles};
pub use hand_over_print::ToPrint;
pub use judged::Judged;
pub use kept_profiles::{KeptProfiles, ProfileHash, kept_outline, kept_profile, outline_bytes, profile_bytes};
pub use loaded::{Loaded, ReadFile, hex, read_file, sha256_hex};
pub use mass::part_mass;
pub use mended::Mended;
pub use request::{Lane, Look, Request, Source, part_profile, part_shape};
pub use runner::{Heard, Runner, Wake};
pub use standing_mass::StandingMass;
pub use ticket::{Ticket, TicketId};
