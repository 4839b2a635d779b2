//! The application without a window: history, selection, meshes, caches, findings.
//!
//! - [`Session`]: all of it, as plain fields; `reading`, `telling`, `tick`, `change`: what is asked of it and told; `time_limit`, `within_time`: until when
//! - `action`: all that a person can ask ([`Action`]), and what becomes of it
//! - `search`: Pack and Top up under way ([`Arranging`])
//! - `derived`: outlines, profiles, conflicts and estimates, kept by content ([`PlateView`], [`PartStanding`])
//! - `findings`: what is noticed, one file each
//! - `deal`: the order dealt out: under way and done ([`Dealing`], [`DealRecord`])
//! - `study`: studies under way, and what their rows become ([`StudyRun`])
//! - `shifts`: when plates run, and who is there ([`Timeline`])
//! - `run_sheet`: what stands on the page that goes to the machine
//! - `files`: jobs, meshes and the hand-over on the disk ([`World`], [`Disk`])
//! - `tally`: what came out of plates: written down ([`TallyEntry`]), read and written as a table, and what it teaches, offered ([`Offered`])
//! - `readiness`: the checklist of a plate
//! - `gauge`: machine-code files beside the plate they were made from ([`Gauging`])

mod action;
mod change;
mod deal;
mod derived;
mod error;
mod files;
mod findings;
mod gauge;
mod notice;
mod readiness;
mod reading;
mod run_sheet;
mod search;
mod shifts;
mod state;
mod study;
mod tally;
mod telling;
mod tick;
mod time_limit;
mod within_time;

pub use crate::work::{HandedOver, Loaded, ReadFile, read_file, sha256_hex};
pub use action::{Action, Ask, GridOf, GridSpot, Landing, Scope, Side, TopUp};
pub use deal::{DealRecord, DealRow, Dealing, LateLine};
pub use derived::{FallOf, FootingCost, Judged, PartStanding, PlateView};
pub use error::SessionError;
pub use files::{
    CachedFile, CheckedExport, Disk, Found, HandOver, HandOverDoubt, HandingOver, Held, Library, MeshState, OutFile,
    Replacing, SaveDoubt, Search, Start, Unsaved, World, check_export, settings_in,
};
pub use gauge::{CODE_ENDINGS, GaugedFile, GaugedFolder, Gauging, code_files, is_code, no_code_in, refusal};
pub use notice::Notice;
pub use search::{ArrangeLimits, Arranging, Between, EndBy, InTimeTold, Standing, When};
pub use shifts::{
    AboutRun, EndedRun, Improving, OneAtATime, RunMark, SpoolOut, StartNow, Timeline, TimelineFile, WhatNow,
};
pub use state::Session;
pub use study::{StudyRun, StudyState, StudyWish};
pub use tally::{Offer, Offered, SpoolCount, TallyEntry, not_offered, offers};
