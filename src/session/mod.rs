//! The application without a window: history, selection, meshes, caches, findings.
//!
//! - [`Session`]: all of it; [`Action`]: all that a person can ask, with name, tooltip, shortcut, enabled?
//! - [`Library`]: meshes read so far; [`MeshState`]; [`Search`], [`Found`]: looking for their files
//! - [`PlateView`]: what is derived of a plate; [`Arranging`]: Pack or Top up under way
//! - `duplicate_plate`, `to_plate`, `all_apart`, [`GridOf`] → [`GridSpot`], `keep_out`: what is asked of plates and beds; `on_sheet`: no
//!   copy out of sight
//! - [`World`], [`CachedFile`], [`OutFile`], [`Held`]: files, locks and calendar; [`Disk`]: the real ones; `profile_store`: profiles
//!   kept between runs
//! - [`Replacing`], [`SaveDoubt`]: what is asked before a file is replaced; [`Unsaved`]: work that a run left behind
//! - [`Gauging`]: a machine-code file beside the plate it was made from; [`is_code`], [`refusal`]; [`GaugedFolder`], [`GaugedFile`]:
//!   a folder of them by their time; [`code_files`], [`no_code_in`]
//! - [`HandOver`]: what goes into the hand-over files; [`HandingOver`]: they are on their way; [`HandOverDoubt`]: asked first; [`Start`]: a job from meshes and counts

mod act;
mod action;
mod all_apart;
mod arranging;
mod beyond_beds;
mod bounded;
mod derived;
mod disk;
mod duplicate_plate;
mod error;
mod files;
mod fingerprint;
mod gauged_folder;
mod gauging;
mod grid;
mod hand_over;
mod keep_out;
mod keeping;
mod library;
mod missing;
mod mixed_heights;
mod on_sheet;
mod overfull;
mod own_files;
mod profile_store;
mod saving;
mod spools;
mod staging;
mod start;
mod state;
mod to_plate;
mod world;

pub use crate::work::{Loaded, ReadFile, read_file, sha256_hex};
pub use action::{Action, Ask, Landing, Scope, Side, TopUp};
pub use arranging::{ArrangeLimits, Arranging, Standing};
pub use derived::PlateView;
pub use disk::Disk;
pub use error::SessionError;
pub use gauged_folder::{GaugedFile, GaugedFolder, code_files, no_code_in};
pub use gauging::{CODE_ENDINGS, Gauging, is_code, refusal};
pub use grid::{GridOf, GridSpot};
pub use hand_over::{HandOver, HandOverDoubt, HandingOver};
pub use keeping::Unsaved;
pub use library::{Found, Library, MeshState, Search};
pub use own_files::settings_in;
pub use saving::{Replacing, SaveDoubt};
pub use start::Start;
pub use state::{Notice, Session};
pub use world::{CachedFile, Held, OutFile, World};
