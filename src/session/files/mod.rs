//! Files: jobs opened, kept and saved, meshes coming in, the hand-over, small files of the program's own.
//!
//! - [`World`], [`CachedFile`], [`OutFile`], [`Held`]: files, locks and calendar; [`Disk`]: the real ones; `paths`
//! - `open`, `saving`, [`Replacing`], [`SaveDoubt`], `on_disk`: the job's file; [`Start`]: a job made at once
//! - [`Library`], [`MeshState`]: meshes read so far; [`Search`], [`Found`], `find_meshes`, `meshes_in`, `watch_meshes`: their files
//! - [`Unsaved`], `keeping`, `kept_job`, `recovery`: work that a run left behind
//! - [`HandOver`], [`HandingOver`], [`HandOverDoubt`], `staging`, `hashing`, `manifest`: the hand-over; [`check_export`], [`CheckedExport`]: is it as it was
//! - `profile_store`: kept between runs; `own_folder`, `settings`, `recent`: small files of the program's own

mod check_export;
mod disk;
mod find_meshes;
mod hand_over;
mod hand_over_doubt;
pub(super) mod handing_over;
mod hashing;
pub(super) mod keeping;
mod kept_job;
mod library;
mod manifest;
mod mesh_search;
mod meshes_in;
pub(super) mod on_disk;
mod open;
mod own_folder;
pub(super) mod paths;
pub(super) mod profile_store;
mod recent;
mod recovery;
mod save_doubt;
mod saving;
mod settings;
mod staging;
mod start;
mod unsaved;
mod watch_meshes;
mod world;

pub use check_export::{CheckedExport, check_export};
pub use disk::Disk;
pub use hand_over_doubt::HandOverDoubt;
pub use handing_over::{HandOver, HandingOver};
pub use library::{Library, MeshState};
pub use mesh_search::{Found, Search};
pub use save_doubt::{Replacing, SaveDoubt};
pub use settings::settings_in;
pub use start::Start;
pub use unsaved::Unsaved;
pub use world::{CachedFile, Held, OutFile, World};
