//! `placements.csv`: a line a copy, for a spreadsheet.

use super::{CopyRecord, Placements, PlateRecord, WriteError, values::number};

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

/// A heading, then a line for every copy, fields as in `placements.json` (outlines left out), comma between fields,
/// decimal point, lines ended by CR LF (RFC 4180). `pose_11` … are the pose row by row, `m00` … the matrix.
pub fn placements_csv(placements: &Placements) -> Result<Vec<u8>, WriteError> {
    let mut table = csv::WriterBuilder::new().terminator(csv::Terminator::CRLF).from_writer(Vec::new());
    let pose = (0..9).map(|i| format!("pose_{}{}", i / 3 + 1, i % 3 + 1));
    let matrix = (0..12).map(|i| format!("m{}{}", i / 3, i % 3));
    table.write_record(FIXED.iter().map(|s| (*s).to_owned()).chain(pose).chain(matrix))?;
    for plate in &placements.plates {
        for copy in &plate.copies {
            table.write_record(line(plate, copy))?;
        }
    }
    table.into_inner().map_err(|e| WriteError::Bytes(e.into_error()))
}

fn line(plate: &PlateRecord, copy: &CopyRecord) -> Vec<String> {
    let yes = |b: bool| if b { "yes" } else { "no" }.to_owned();
    let mut fields = vec![
        plate.plate.to_string(),
        plate.machine.clone(),
        copy.copy.clone(),
        copy.part.clone(),
        copy.file.clone(),
        copy.object.clone(),
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
    fields.extend(copy.pose.map(number));
    match copy.matrix {
        Some(m) => fields.extend(m.map(number)),
        None => fields.extend(std::iter::repeat_n(String::new(), 12)),
    }
    fields
}
