//! The program from outside, as scripts use it: words, answers, exit statuses, and what is left on the disk.
//!
//! - `table`: a folder to work in, and what the program said there
//! - `check_export`: a folder of exported files, as it was or not; `careful`: what is replaced and what is not; names that would steer a spreadsheet or a terminal
//! - `commands`: every command and its JSON; `words`: help, wrong words, no display
//! - `installed`: manual pages, completions, and what a report needs to know
//! - `gauge`: machine code, measured; `shifts`: plates in time; `study`: one part in several ways; `copies`: how many at once, and by when
//! - `bad_meshes`, `bad_jobs`, `bad_orders`: one sentence, exit status 2 or a finding, nothing overwritten

mod bad_jobs;
mod bad_meshes;
mod bad_orders;
mod careful;
mod check_export;
mod commands;
mod copies;
mod deal;
#[path = "../../src/formats/read/fixtures.rs"]
mod fixtures;
mod gauge;
mod installed;
mod shifts;
mod study;
mod table;
mod tally;
mod words;
