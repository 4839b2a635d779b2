//! The tally as a table, read: a line a run of a plate.

use thiserror::Error;

use crate::document::{Cause, limits};

/// A line of the table, as written.
#[derive(Debug, Clone, PartialEq)]
pub struct TallyRow {
    /// Its line in the file, from 1.
    pub line: u64,
    /// The plate's number, from 1.
    pub plate: usize,
    /// Which run of the plate, from 1; `None` for the next one.
    pub run: Option<u32>,
    /// When it ended, as written; empty where that is not said.
    pub date: String,
    /// Real time, h.
    pub hours: f64,
    /// Good copies.
    pub good: Option<usize>,
    /// Bad copies.
    pub bad: Option<usize>,
    /// Bad copies by name, each with its cause where it has one of its own.
    pub bad_copies: Vec<(String, Option<Cause>)>,
    /// Why the others are bad.
    pub cause: Option<Cause>,
    /// Filament used, g.
    pub grams: Option<f64>,
    /// Initials of who tallied it.
    pub initials: String,
    /// A note.
    pub note: String,
}

/// Why a table is no tally. Lines and columns are counted from 1.
#[derive(Debug, Clone, PartialEq, Eq, Error)]
pub enum TallyCsvError {
    /// Nothing in it.
    #[error("the file is empty: write a heading (plate,hours,good,bad) and a line a plate")]
    Empty,
    /// Too large.
    #[error("the file has more than {most} {what}: split it")]
    TooLarge {
        /// The limit.
        most: usize,
        /// "bytes" or "lines".
        what: &'static str,
    },
    /// Not text.
    #[error("line {line}: the bytes are no UTF-8 text: save the table as CSV in UTF-8")]
    NotText {
        /// From 1.
        line: u64,
    },
    /// A heading that a tally does not have.
    #[error("line 1, column {column}: {name:?} is no column of a tally; the columns are {}", known())]
    UnknownColumn {
        /// From 1.
        column: usize,
        /// As written, shortened.
        name: String,
    },
    /// A heading twice.
    #[error("line 1, column {column}: the column {name:?} is there twice: remove one")]
    TwiceColumn {
        /// From 1.
        column: usize,
        /// As written.
        name: String,
    },
    /// A heading that is needed.
    #[error("line 1: there is no column \"{name}\"; a tally needs plate, hours, and good or bad")]
    NoColumn {
        /// Which.
        name: &'static str,
    },
    /// A line of too few or too many fields.
    #[error(
        "line {line}: {found} of {wanted} columns are there: the file was cut short, or a comma is in a text without quotes"
    )]
    Fields {
        /// From 1.
        line: u64,
        /// Fields found.
        found: usize,
        /// Columns of the heading.
        wanted: usize,
    },
    /// A quote that never ends.
    #[error("line {line}: a quote opens and never closes: the file was cut short")]
    OpenQuote {
        /// From 1.
        line: u64,
    },
    /// A field that makes no sense.
    #[error("line {line}, column {column} ({name}): {text:?} {why}")]
    Value {
        /// From 1.
        line: u64,
        /// From 1.
        column: usize,
        /// The column's heading.
        name: &'static str,
        /// As written, shortened.
        text: String,
        /// "is no whole number from 1".
        why: &'static str,
    },
}

/// Columns that are read.
const COLUMNS: [&str; 11] =
    ["plate", "run", "date", "hours", "good", "bad", "bad_copies", "cause", "grams", "initials", "note"];
/// Columns that the program writes for people, and does not read.
const WRITTEN: [&str; 10] = [
    "machine",
    "material",
    "recipe",
    "parts",
    "copies",
    "estimated_hours",
    "estimated_grams",
    "time_factor",
    "plates_since_surface",
    "causes",
];
/// Most bytes of a table.
const MOST_BYTES: usize = 64 << 20;

fn known() -> String {
    COLUMNS.join(", ")
}

/// Lines of a table in the order written. Columns are told by their heading, in any order; `plate`, `hours`, and `good` or `bad` are needed. Fields are
/// separated by commas, or by semicolons with decimal commas, as spreadsheets write them.
pub fn tally_csv(bytes: &[u8]) -> Result<Vec<TallyRow>, TallyCsvError> {
    if bytes.len() > MOST_BYTES {
        return Err(TallyCsvError::TooLarge { most: MOST_BYTES, what: "bytes" });
    }
    let bytes = bytes.strip_prefix(b"\xEF\xBB\xBF").unwrap_or(bytes);
    let line_at = |end: usize| 1 + bytes[..end].split(|b| *b == b'\n').skip(1).count() as u64;
    let text = std::str::from_utf8(bytes).map_err(|e| TallyCsvError::NotText { line: line_at(e.valid_up_to()) })?;
    if text.trim().is_empty() {
        return Err(TallyCsvError::Empty);
    }
    if let Some(at) = open_quote(bytes) {
        return Err(TallyCsvError::OpenQuote { line: line_at(at) });
    }
    let head = text.lines().next().unwrap_or_default();
    let separator = if head.contains(';') && !head.contains(',') { b';' } else { b',' };
    let mut reader =
        csv::ReaderBuilder::new().has_headers(false).flexible(true).delimiter(separator).from_reader(text.as_bytes());
    let mut rows = Vec::new();
    let mut columns: Option<Columns> = None;
    let mut lines = Lines { bytes: text.as_bytes(), at: 0, line: 1 };
    for record in reader.records() {
        // Text that is UTF-8, in a flexible table: nothing else can be wrong with a record.
        let Ok(record) = record else { return Err(TallyCsvError::NotText { line: 1 }) };
        let line = lines.of(record.position().map_or(0, csv::Position::byte));
        match &columns {
            None => columns = Some(Columns::of(&record)?),
            Some(_) if record.iter().all(|f| f.trim().is_empty()) => {}
            Some(c) => {
                if record.len() != c.width {
                    return Err(TallyCsvError::Fields { line, found: record.len(), wanted: c.width });
                }
                if rows.len() >= limits::MOST_OUTCOMES {
                    return Err(TallyCsvError::TooLarge { most: limits::MOST_OUTCOMES, what: "lines" });
                }
                rows.push(row(&Fields { record: &record, columns: c, line, semicolons: separator == b';' })?);
            }
        }
    }
    Ok(rows)
}

/// Counts lines on the way through a table. The reader's own count is one too low where lines end in CR LF: it leaves the LF to the next record.
struct Lines<'a> {
    bytes: &'a [u8],
    at: usize,
    line: u64,
}

impl Lines<'_> {
    /// In which line the record is whose reading began here; each no earlier than the one before.
    fn of(&mut self, byte: u64) -> u64 {
        let from = usize::try_from(byte).unwrap_or(usize::MAX).min(self.bytes.len());
        let blank = self.bytes[from..].iter().take_while(|b| matches!(b, b'\r' | b'\n')).count();
        let to = (from + blank).max(self.at);
        self.line += self.bytes[self.at..to].split(|b| *b == b'\n').count() as u64 - 1;
        self.at = to;
        self.line
    }
}

/// Where a quote opens that never closes. A quote within an unquoted field is a letter.
fn open_quote(bytes: &[u8]) -> Option<usize> {
    let (mut open, mut start_of_field) = (None, true);
    let mut i = 0;
    while i < bytes.len() {
        let b = bytes[i];
        match (open, b) {
            (Some(_), b'"') if bytes.get(i + 1) == Some(&b'"') => i += 1,
            (Some(_), b'"') => open = None,
            (None, b'"') if start_of_field => open = Some(i),
            _ => {}
        }
        start_of_field = open.is_none() && matches!(b, b',' | b';' | b'\n' | b'\r');
        i += 1;
    }
    open
}

struct Columns {
    /// For each of [`COLUMNS`] its place in the table.
    places: [Option<usize>; COLUMNS.len()],
    width: usize,
}

impl Columns {
    fn of(head: &csv::StringRecord) -> Result<Self, TallyCsvError> {
        let mut places = [None; COLUMNS.len()];
        for (i, field) in head.iter().enumerate() {
            let name = field.trim().to_lowercase();
            if WRITTEN.contains(&name.as_str()) {
                continue;
            }
            match COLUMNS.iter().position(|c| *c == name) {
                None => return Err(TallyCsvError::UnknownColumn { column: i + 1, name: short(field) }),
                Some(c) if places[c].is_some() => return Err(TallyCsvError::TwiceColumn { column: i + 1, name }),
                Some(c) => places[c] = Some(i),
            }
        }
        let has = |name: &str| COLUMNS.iter().position(|c| *c == name).is_some_and(|c| places[c].is_some());
        for name in ["plate", "hours"] {
            if !has(name) {
                return Err(TallyCsvError::NoColumn { name });
            }
        }
        if !has("good") && !has("bad") {
            return Err(TallyCsvError::NoColumn { name: "good" });
        }
        Ok(Self { places, width: head.len() })
    }
}

struct Fields<'a> {
    record: &'a csv::StringRecord,
    columns: &'a Columns,
    line: u64,
    semicolons: bool,
}

impl Fields<'_> {
    /// A field without blanks round it, and its column.
    fn get(&self, name: &'static str) -> (&str, usize) {
        let place = COLUMNS.iter().position(|c| *c == name).and_then(|c| self.columns.places[c]);
        (place.and_then(|p| self.record.get(p)).unwrap_or_default().trim(), place.unwrap_or(0))
    }
    fn wrong(&self, name: &'static str, why: &'static str) -> TallyCsvError {
        let (text, place) = self.get(name);
        TallyCsvError::Value { line: self.line, column: place + 1, name, text: short(text), why }
    }
    fn whole(&self, name: &'static str, least: u32) -> Result<Option<u32>, TallyCsvError> {
        let why = if least == 0 { "is no whole number" } else { "is no whole number from 1" };
        let (text, _) = self.get(name);
        if text.is_empty() {
            return Ok(None);
        }
        text.parse::<u32>().ok().filter(|n| *n >= least).map(Some).ok_or_else(|| self.wrong(name, why))
    }
    fn number(&self, name: &'static str, why: &'static str) -> Result<Option<f64>, TallyCsvError> {
        let (text, _) = self.get(name);
        if text.is_empty() {
            return Ok(None);
        }
        let plain = if self.semicolons { text.replace(',', ".") } else { text.to_owned() };
        let value = plain.parse::<f64>().ok().filter(|v| v.is_finite() && *v >= 0.0);
        value.map(Some).ok_or_else(|| self.wrong(name, why))
    }
    /// A text; an apostrophe that kept a spreadsheet from taking it for a formula goes.
    fn text(&self, name: &'static str) -> String {
        let (text, _) = self.get(name);
        let formula = text.strip_prefix('\'').filter(|t| t.starts_with(['=', '+', '-', '@']));
        formula.unwrap_or(text).to_owned()
    }
}

fn row(f: &Fields<'_>) -> Result<TallyRow, TallyCsvError> {
    let plate =
        f.whole("plate", 1)?.ok_or_else(|| f.wrong("plate", "is no plate: write its number, as the docket has it"))?;
    let hours = f.number("hours", "is no number of hours, as in 4.5")?;
    let hours = hours.ok_or_else(|| f.wrong("hours", "is no number of hours, as in 4.5"))?;
    let (good, bad) = (f.whole("good", 0)?, f.whole("bad", 0)?);
    if good.is_none() && bad.is_none() {
        return Err(f.wrong("good", "says nothing: write how many copies are good"));
    }
    let cause = match f.get("cause").0 {
        "" => None,
        word => Some(Cause::of_word(word).ok_or_else(|| f.wrong("cause", CAUSES))?),
    };
    let bad_copies = named(f.get("bad_copies").0).map_err(|_| f.wrong("bad_copies", CAUSES))?;
    Ok(TallyRow {
        line: f.line,
        plate: plate as usize,
        run: f.whole("run", 1)?,
        date: f.get("date").0.to_owned(),
        hours,
        good: good.map(|n| n as usize),
        bad: bad.map(|n| n as usize),
        bad_copies,
        cause,
        grams: f.number("grams", "is no number of grams, as in 182.5")?,
        initials: f.text("initials"),
        note: f.text("note"),
    })
}

const CAUSES: &str =
    "names no cause: write came-loose, tipped-over, warped, blocked-nozzle, ran-out, power, quality, broken or other";

/// Copies as people list them: "E 14, E 15:warped". The error is the word that is no cause.
pub fn named(text: &str) -> Result<Vec<(String, Option<Cause>)>, String> {
    let mut all = Vec::new();
    for entry in text.split([',', ';']).map(str::trim).filter(|t| !t.is_empty()) {
        let (name, cause) = match entry.split_once(':') {
            None => (entry, None),
            Some((name, word)) => (name.trim(), Some(Cause::of_word(word).ok_or_else(|| short(word.trim()))?)),
        };
        all.push((name.to_owned(), cause));
    }
    Ok(all)
}

fn short(text: &str) -> String {
    const MOST: usize = 40;
    let mut out: String = text.chars().take(MOST).collect();
    if text.chars().count() > MOST {
        out.push('…');
    }
    out
}

#[cfg(test)]
mod tests {
    use super::*;

    fn read(text: &str) -> Result<Vec<TallyRow>, String> {
        tally_csv(text.as_bytes()).map_err(|e| e.to_string())
    }

    #[test]
    fn lines_as_people_write_them() {
        let text = "plate,run,date,hours,good,bad,bad_copies,cause,grams,initials,note\r\n1,2,2026-11-30,4.5,11,1,\"E 14:warped\",,182.5,JK,'=odd\r\n\r\n2,,,3,4,0,,,,,\r\n";
        let rows = read(text).expect("sound");
        // An empty line counts.
        assert_eq!(rows.iter().map(|r| r.line).collect::<Vec<_>>(), [2, 4]);
        let a = &rows[0];
        assert_eq!((a.line, a.plate, a.run, a.hours, a.good, a.bad), (2, 1, Some(2), 4.5, Some(11), Some(1)));
        assert_eq!((a.bad_copies.clone(), a.grams), (vec![("E 14".into(), Some(Cause::Warped))], Some(182.5)));
        assert_eq!((a.initials.as_str(), a.note.as_str(), rows[1].plate), ("JK", "=odd", 2));
        let german = read("\u{feff}Plate;Hours;Good;Bad\n1;4,5;11;1\n").expect("semicolons");
        assert_eq!((german[0].hours, german[0].good), (4.5, Some(11)));
        assert_eq!(read("hours,bad,plate\n2,0,3").expect("any order")[0].plate, 3);
    }

    #[test]
    fn every_fault_says_where_and_what_to_do() {
        for (text, said) in [
            ("", "the file is empty"),
            (
                "Filename,Result\na,b\n",
                "line 1, column 1: \"Filename\" is no column of a tally; the columns are plate, run",
            ),
            ("plate,good\n1,2\n", "line 1: there is no column \"hours\""),
            ("plate,hours\n1,2\n", "line 1: there is no column \"good\""),
            ("plate,plate,hours,good\n", "line 1, column 2: the column \"plate\" is there twice"),
            ("plate,hours,good\n1,2,3\n2,4\n", "line 3: 2 of 3 columns are there"),
            ("plate,hours,good\n1,2,\"3\n2,4,5\n", "line 2: a quote opens and never closes"),
            ("plate,hours,good\n0,2,3\n", "line 2, column 1 (plate): \"0\" is no whole number from 1"),
            ("plate,hours,good\n1,NaN,3\n", "line 2, column 2 (hours): \"NaN\" is no number of hours"),
            ("plate,hours,good\n1,-2,3\n", "line 2, column 2 (hours): \"-2\" is no number"),
            ("plate,hours,good\n1,,3\n", "line 2, column 2 (hours): \"\" is no number"),
            ("plate,hours,good\n1,2,-3\n", "line 2, column 3 (good): \"-3\" is no whole number"),
            ("plate,hours,good,cause\n1,2,3,gremlins\n", "column 4 (cause): \"gremlins\" names no cause"),
        ] {
            let told = read(text).expect_err("must be refused");
            assert!(told.starts_with(said) || told.contains(said), "{text:?}: {told}");
        }
        let latin = b"plate,hours,good,note\n1,2,3,k\xfchl\n";
        assert_eq!(tally_csv(latin), Err(TallyCsvError::NotText { line: 2 }));
        let long = format!("plate,hours,good\n{},2,3\n", "9".repeat(100_000));
        assert!(read(&long).expect_err("a slip").len() < 200);
    }
}
