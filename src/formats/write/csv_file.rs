//! `placements.csv`: a line a copy, for a spreadsheet.

use std::{borrow::Borrow, io::Write};

use super::{
    CopyRecord, Placements, PlacementsBounds, PlateRecord, WriteError,
    json::plate_records,
    values::{cell, places},
};
use crate::{
    document::{Job, Twin},
    plate::Shapes,
};

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

/// Columns of a copy's twin, before those of its matrix.
const TWIN: [&str; 5] = ["twin", "twin_mirrored", "twin_x_mm", "twin_y_mm", "twin_rotation_deg"];

/// Decimal places of lengths, angles and scales.
const PLACES: usize = 6;
/// Decimal places of the pose and of the matrix's turn: with them a point a metre from the origin keeps its millionth of
/// a millimetre.
const TURN_PLACES: usize = 9;

/// A heading, then a line for every copy, fields as in `placements.json` (outlines left out), comma between fields,
/// decimal point, lines ended by CR LF (RFC 4180). Lengths and angles to 1e-6, the numbers of a turn to 1e-9. `pose_11` …
/// are the pose row by row, `m00` … the matrix. Where a plate is printed twice at once, further columns at the end tell each copy's twin. No text begins as a formula does.
pub fn placements_csv(placements: &Placements) -> Result<Vec<u8>, WriteError> {
    let mut out = Vec::new();
    let twins = placements.plates.iter().any(|p| p.twin.is_some());
    write_table(placements.plates.iter(), twins, &mut out)?;
    Ok(out)
}

/// The table of a whole job, written plate by plate: no more than one of them is in memory.
pub fn write_placements_csv(
    job: &Job,
    shapes: &Shapes,
    bounds: &PlacementsBounds,
    out: &mut dyn Write,
) -> Result<(), WriteError> {
    let twins = job.plates.iter().any(|p| job.twin(p).is_some());
    write_table(plate_records(job, shapes, bounds, |_| true), twins, out)
}

/// With `twins`, the columns of twins, empty for copies on plates that are printed once.
fn write_table<P: Borrow<PlateRecord>>(
    plates: impl Iterator<Item = P>,
    twins: bool,
    out: &mut dyn Write,
) -> Result<(), WriteError> {
    let mut table = csv::WriterBuilder::new().terminator(csv::Terminator::CRLF).from_writer(out);
    let pose = (0..9).map(|i| format!("pose_{}{}", i / 3 + 1, i % 3 + 1));
    let matrix = (0..12).map(|i| format!("m{}{}", i / 3, i % 3));
    let last = std::iter::once("file_from_here".to_owned());
    let twin = (0..12).map(|i| format!("twin_m{}{}", i / 3, i % 3));
    let twin = TWIN.iter().map(|s| (*s).to_owned()).chain(twin).filter(|_| twins);
    table.write_record(FIXED.iter().map(|s| (*s).to_owned()).chain(pose).chain(matrix).chain(last).chain(twin))?;
    for plate in plates {
        let plate = plate.borrow();
        for copy in &plate.copies {
            let twin = if twins { twin_cells(copy) } else { Vec::new() };
            table.write_record(line(plate, copy).into_iter().chain(twin))?;
        }
    }
    table.flush()?;
    Ok(())
}

fn twin_cells(copy: &CopyRecord) -> Vec<String> {
    let Some(t) = &copy.twin else { return vec![String::new(); TWIN.len() + 12] };
    let number = |v: f64| places(v, PLACES);
    let kind = match t.kind {
        Twin::Shifted => "shifted",
        Twin::Handed => "handed",
    };
    let yes = if t.mirrored { "yes" } else { "no" };
    let mut cells = vec![kind.to_owned(), yes.to_owned(), number(t.x_mm), number(t.y_mm), number(t.rotation_deg)];
    cells.extend(matrix_cells(t.matrix));
    cells
}

fn matrix_cells(matrix: Option<[f64; 12]>) -> Vec<String> {
    let cell = |i: usize, v: f64| places(v, if i < 9 { TURN_PLACES } else { PLACES });
    matrix.map_or_else(|| vec![String::new(); 12], |m| m.iter().enumerate().map(|(i, v)| cell(i, *v)).collect())
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
    fields.extend(matrix_cells(copy.matrix));
    fields.push(cell(copy.file_from_here.as_deref().unwrap_or_default()));
    fields
}
