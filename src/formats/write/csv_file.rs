//! `placements.csv`: a line a copy, for a spreadsheet.

use std::{borrow::Borrow, io::Write};

use super::{
    CopyRecord, Placements, PlacementsBounds, PlateRecord, WriteError,
    json::plate_records,
    values::{cell, places},
};
use crate::{document::Job, plate::Shapes};

const FIXED: [&str; 17] = [
    "plate",
    "machine",
    "copy",
    "part",
    "file",
    "object",
    "body",
    "sha256",
    "file_unit",
    "x_mm",
    "y_mm",
    "rotation_deg",
    "mirrored",
    "scale",
    "locked",
    "footing",
    "footing_width_mm",
];

/// Decimal places of lengths, angles and scales.
const PLACES: usize = 6;
/// Decimal places of the pose and of the matrix's turn: with them a point a metre from the origin keeps its millionth of
/// a millimetre.
const TURN_PLACES: usize = 9;

/// A heading, then a line for every copy, fields as in `placements.json` (outlines left out), comma between fields,
/// decimal point, lines ended by CR LF (RFC 4180). Lengths and angles to 1e-6, the numbers of a turn to 1e-9. `pose_11` …
/// are the pose row by row, `m00` … the matrix. No text begins as a formula does.
pub fn placements_csv(placements: &Placements) -> Result<Vec<u8>, WriteError> {
    let mut out = Vec::new();
    write_table(placements.plates.iter(), &mut out)?;
    Ok(out)
}

/// The table of a whole job, written plate by plate: no more than one of them is in memory.
pub fn write_placements_csv(
    job: &Job,
    shapes: &Shapes,
    bounds: &PlacementsBounds,
    out: &mut dyn Write,
) -> Result<(), WriteError> {
    write_table(plate_records(job, shapes, bounds, |_| true), out)
}

fn write_table<P: Borrow<PlateRecord>>(plates: impl Iterator<Item = P>, out: &mut dyn Write) -> Result<(), WriteError> {
    let mut table = csv::WriterBuilder::new().terminator(csv::Terminator::CRLF).from_writer(out);
    let pose = (0..9).map(|i| format!("pose_{}{}", i / 3 + 1, i % 3 + 1));
    let matrix = (0..12).map(|i| format!("m{}{}", i / 3, i % 3));
    let last = std::iter::once("file_from_here".to_owned());
    table.write_record(FIXED.iter().map(|s| (*s).to_owned()).chain(pose).chain(matrix).chain(last))?;
    for plate in plates {
        let plate = plate.borrow();
        for copy in &plate.copies {
            table.write_record(line(plate, copy))?;
        }
    }
    table.flush()?;
    Ok(())
}

fn line(plate: &PlateRecord, copy: &CopyRecord) -> Vec<String> {
    let yes = |b: bool| if b { "yes" } else { "no" }.to_owned();
    let number = |v: f64| places(v, PLACES);
    let turn = |v: f64| places(v, TURN_PLACES);
    let mut fields = vec![
        plate.plate.to_string(),
        cell(&plate.machine),
        cell(&copy.copy),
        cell(&copy.part),
        cell(&copy.file),
        cell(&copy.object),
        copy.body.map(|b| b.to_string()).unwrap_or_default(),
        copy.sha256.clone(),
        copy.file_unit.word().to_owned(),
        number(copy.x_mm),
        number(copy.y_mm),
        number(copy.rotation_deg),
        yes(copy.mirrored),
        number(copy.scale),
        yes(copy.locked),
        copy.footing.kind.to_owned(),
        number(copy.footing.width_mm),
    ];
    fields.extend(copy.pose.map(turn));
    match copy.matrix {
        Some(m) => fields.extend(m.iter().enumerate().map(|(i, v)| if i < 9 { turn(*v) } else { number(*v) })),
        None => fields.extend(std::iter::repeat_n(String::new(), 12)),
    }
    fields.push(cell(copy.file_from_here.as_deref().unwrap_or_default()));
    fields
}
