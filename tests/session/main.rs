//! The application without a window, on files in memory: what a person asks for, and what becomes of it.
//!
//! - `desk`: a session, its files, and jobs to begin with
//! - `copies`: how many at once, and as many as end by a time
//! - `dealing`: the order dealt out
//! - `cooling`: what is found, and what would help
//! - `keeping`: new, open, save, recent, recovery; `saving`: what is asked before a file is replaced; `handing_over`: exports; `run_sheets`: sheets to print, and exports of one plate;
//!   `meshes`: moved, changed, replaced, split; `mends`: put right; `packing`: one undo step;
//!   `gauging`: machine code beside a plate; `landing`: what a drop does
//!   `profiles`: kept between runs; `spools`: the shelf, and plates that take from it;
//!   `shifts`: plates in time; `shifts_bad_input`: hours, dates, counts and states that make no sense; `standing`: what could fall over; `studies`: footings compared, and rows taken over;
//!   `twins`: plates printed twice at once

mod cooling;
mod copies;
mod dealing;
mod desk;
mod gauging;
mod handing_over;
mod keeping;
mod landing;
mod limits;
mod mends;
mod meshes;
mod packing;
mod profiles;
mod run_sheets;
mod saving;
mod sheet;
mod shifts;
mod shifts_bad_input;
mod spools;
mod standing;
mod studies;
mod tally;
mod twins;
#[path = "../gui/world.rs"]
mod world;
