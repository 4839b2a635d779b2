//! The timeline as a table: a line a plate, for a spreadsheet.

use jiff::{Timestamp, tz::TimeZone};

use super::{RunRecord, WriteError, values::cell};

const HEADS: [&str; 18] = [
    "machine",
    "plate",
    "copies",
    "parts",
    "part_names",
    "state",
    "preparing_from",
    "preparing_to",
    "print_from",
    "print_to",
    "print_end_earliest",
    "print_end_latest",
    "cool_from",
    "removal_from",
    "removal_to",
    "due",
    "late_s",
    "print_s",
];

/// A heading, then a line a plate in the order given; comma between fields, lines ended by CR LF (RFC 4180). Times are local times of `zone`
/// with their offset ("2026-11-30T16:30:00+00:00", RFC 3339); what does not apply is empty. No text begins as a formula does.
///
/// # Errors
/// None that bytes in memory can have; kept for the table's writer.
pub fn timeline_csv(runs: &[RunRecord], zone: &TimeZone) -> Result<Vec<u8>, WriteError> {
    let mut out = Vec::new();
    let mut table = csv::WriterBuilder::new().terminator(csv::Terminator::CRLF).from_writer(&mut out);
    table.write_record(HEADS)?;
    for run in runs {
        let at = |t: Timestamp| t.display_with_offset(zone.to_offset(t)).to_string();
        let from = |w: Option<(Timestamp, Timestamp)>| w.map_or_else(String::new, |w| at(w.0));
        let to = |w: Option<(Timestamp, Timestamp)>| w.map_or_else(String::new, |w| at(w.1));
        let (letters, names): (Vec<&str>, Vec<&str>) = run.parts.iter().map(|(l, n)| (l.as_str(), n.as_str())).unzip();
        let print_s = run.print.1.as_second() - run.print.0.as_second();
        table.write_record([
            cell(&run.machine),
            run.plate.to_string(),
            run.copies.to_string(),
            cell(&letters.join(", ")),
            cell(&names.join(", ")),
            run.state.to_owned(),
            from(run.preparing),
            to(run.preparing),
            at(run.print.0),
            at(run.print.1),
            from(run.end_range),
            to(run.end_range),
            run.cool.map_or_else(String::new, at),
            from(run.removal),
            to(run.removal),
            run.due.map_or_else(String::new, at),
            run.late_s.map_or_else(String::new, |s| s.to_string()),
            print_s.to_string(),
        ])?;
    }
    table.flush()?;
    drop(table);
    Ok(out)
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Lisbon has UTC in winter (IANA time zone database); RFC 4180 for the form.
    #[test]
    fn a_line_a_plate_and_no_formula() {
        let at = |text: &str| text.parse::<Timestamp>().expect("an instant");
        let run = RunRecord {
            id: 22,
            plate: 3,
            machine: "=Bench 1".into(),
            copies: 12,
            parts: vec![("A".into(), "frame spacer".into()), ("C".into(), "jar-lid, wide".into())],
            state: "planned",
            preparing: Some((at("2026-11-30T16:25:00Z"), at("2026-11-30T16:30:00Z"))),
            print: (at("2026-11-30T16:30:00Z"), at("2026-12-01T08:20:00Z")),
            end_range: None,
            cool: Some(at("2026-12-01T08:30:00Z")),
            removal: None,
            due: None,
            late_s: Some(3600),
        };
        let zone = TimeZone::get("Europe/Lisbon").expect("a zone");
        let text = String::from_utf8(timeline_csv(&[run], &zone).expect("a table")).expect("text");
        let lines: Vec<&str> = text.split("\r\n").collect();
        assert_eq!(lines.len(), 3);
        assert_eq!(lines[0], HEADS.join(","));
        assert_eq!(
            lines[1],
            "'=Bench 1,3,12,\"A, C\",\"frame spacer, jar-lid, wide\",planned,2026-11-30T16:25:00+00:00,2026-11-30T16:30:00+00:00,\
             2026-11-30T16:30:00+00:00,2026-12-01T08:20:00+00:00,,,2026-12-01T08:30:00+00:00,,,,3600,57000"
        );
    }
}
