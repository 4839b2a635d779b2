//! Writers: values in, bytes out.
//!
//! - [`Placements`]: the contract of `placements.json`; [`placements`] builds it from a job, [`placements_json`] and
//!   [`placements_csv`] write it; [`write_placements_json`] and [`write_placements_csv`] do both plate by plate;
//!   [`file_to_bed`] is the matrix in it
//! - [`PlateModel`], [`ModelOptions`]: the solids of a plate; [`three_mf`] and [`stl`] ([`write_stl`]) write them
//! - [`timeline_csv`], [`calendar`]: when plates run, from [`RunRecord`]s
//! - [`tally_csv`]: what came out of plates
//! - [`svg`], [`png`]: a drawing; [`pdf`]: pages to print
//! - [`export_name`]: names of files, which sort by plate time
//! - [`WriteError`]: what can go wrong

mod assembly;
mod calendar;
mod corner_marks;
mod csv_file;
mod error;
mod footing_solid;
mod json;
mod matrix;
mod names;
mod pdf;
mod pdf_marks;
mod pdf_text;
mod png;
mod prism;
mod run_record;
mod solid;
mod stl;
mod svg;
mod tally_csv;
mod three_mf;
mod timeline_csv;
mod values;

pub use assembly::{ModelOptions, PlateModel};
pub use calendar::calendar;
pub use csv_file::{placements_csv, write_placements_csv};
pub use error::WriteError;
pub use json::{
    BedRecord, CopyRecord, FootingRecord, ItemsRecord, MarginsRecord, Placements, PlacementsBounds, PlateBound,
    PlateRecord, PlateTime, PlateTwinRecord, PolygonRecord, TwinRecord, UnplacedRecord, placements, placements_json,
    write_placements_json,
};
pub use matrix::{Matrix, file_to_bed};
pub use names::export_name;
pub use pdf::pdf;
pub use png::png;
pub use run_record::RunRecord;
pub use stl::{stl, write_stl};
pub use svg::svg;
pub use tally_csv::tally_csv;
pub use three_mf::three_mf;
pub use timeline_csv::timeline_csv;
