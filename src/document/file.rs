//! The file form of jobs and shops: JSON with a version in front, and the way up from older versions.

use serde::{Serialize, de::DeserializeOwned};
use serde_json::{Value, error::Category};
use thiserror::Error;

use super::{
    Job, Shop,
    check::{self, Fault},
};

/// The version this program writes.
pub const VERSION: u64 = 1;
/// Ending of job files.
pub const JOB_ENDING: &str = "stonehand";
/// Ending of shop files.
pub const SHOP_ENDING: &str = "stonehand-shop";

/// Why a file could not be read or written. Each reads as one sentence that names the file, the fault and what to do.
#[derive(Debug, Clone, PartialEq, Eq, Error)]
pub enum FileError {
    /// No bytes at all.
    #[error("{file} is empty: open another copy of it")]
    Empty {
        /// As typed.
        file: String,
    },
    /// Cut short.
    #[error(
        "{file} ends too early, at line {line}, column {column}: it was cut short; open another copy or the autosave"
    )]
    CutShort {
        /// As typed.
        file: String,
        /// From 1.
        line: usize,
        /// From 1.
        column: usize,
    },
    /// Not JSON.
    #[error(
        "{file} is not JSON at line {line}, column {column} ({what}): it is not a file of this program, or was edited wrongly"
    )]
    Syntax {
        /// As typed.
        file: String,
        /// From 1.
        line: usize,
        /// From 1.
        column: usize,
        /// In the parser's words.
        what: String,
    },
    /// JSON, but of something else.
    #[error("{file} is JSON, but not of a {kind}: it has no \"{key}\" version; choose a file ending in .{ending}")]
    Other {
        /// As typed.
        file: String,
        /// "job" or "shop".
        kind: &'static str,
        /// The version's key.
        key: &'static str,
        /// The ending it should have.
        ending: &'static str,
    },
    /// Of a later program.
    #[error("{file} is of version {version}, and this program knows up to {VERSION}: open it with a newer stonehand")]
    Future {
        /// As typed.
        file: String,
        /// What the file says.
        version: String,
    },
    /// A value of the wrong kind, or one that is missing.
    #[error("{file} at line {line}, column {column}: {what}; correct the value, or open another copy")]
    Form {
        /// As typed.
        file: String,
        /// From 1.
        line: usize,
        /// From 1.
        column: usize,
        /// In the parser's words.
        what: String,
    },
    /// Values that break a rule.
    #[error("{file} at {}: {}{}", .faults[0].place, .faults[0].text, more(.faults.len()))]
    Faulty {
        /// As typed.
        file: String,
        /// At least one.
        faults: Vec<Fault>,
    },
    /// A number in memory that no file can hold.
    #[error("the {kind} holds a value that cannot be written ({what}): undo the last change and save again")]
    Unwritable {
        /// "job" or "shop".
        kind: &'static str,
        /// In the writer's words.
        what: String,
    },
}

fn more(count: usize) -> String {
    match count {
        0 | 1 => String::new(),
        2 => " (and 1 more fault)".into(),
        n => format!(" (and {} more faults)", n - 1),
    }
}

/// A step up from one version to the next, on the raw JSON. The error says what it could not make sense of.
type Step = fn(&mut Value) -> Result<(), String>;
/// `STEPS[i]` leads from version i + 1 to i + 2. Version 1 is the first, so there is none yet.
const STEPS: &[Step] = &[];

/// What a file is of.
struct Kind {
    word: &'static str,
    key: &'static str,
    ending: &'static str,
    steps: &'static [Step],
}

const JOB: Kind = Kind { word: "job", key: "stonehand", ending: JOB_ENDING, steps: STEPS };
const SHOP: Kind = Kind { word: "shop", key: "stonehand_shop", ending: SHOP_ENDING, steps: STEPS };

/// A job from the bytes of a file; `file` is its name in messages. Every rule of [`check`] holds of what comes back.
pub fn read(bytes: &[u8], file: &str) -> Result<Job, FileError> {
    let job: Job = parse(bytes, file, &JOB)?;
    match check::all(&job) {
        faults if faults.is_empty() => Ok(job),
        faults => Err(FileError::Faulty { file: file.into(), faults }),
    }
}

/// The bytes of a job's file: the same job gives the same bytes. Fails only where a number is infinite or none.
pub fn write(job: &Job) -> Result<Vec<u8>, FileError> {
    #[derive(Serialize)]
    struct Out<'a> {
        stonehand: u64,
        #[serde(flatten)]
        job: &'a Job,
    }
    let bytes = pretty(&Out { stonehand: VERSION, job }, &JOB)?;
    readable::<Job>(&bytes, &JOB)?;
    Ok(bytes)
}

/// A shop from the bytes of a file.
pub fn read_shop(bytes: &[u8], file: &str) -> Result<Shop, FileError> {
    let shop: Shop = parse(bytes, file, &SHOP)?;
    match check::all(&Job::with_shop("", &shop)) {
        faults if faults.is_empty() => Ok(shop),
        faults => Err(FileError::Faulty { file: file.into(), faults }),
    }
}

/// The bytes of a shop's file.
pub fn write_shop(shop: &Shop) -> Result<Vec<u8>, FileError> {
    #[derive(Serialize)]
    struct Out<'a> {
        stonehand_shop: u64,
        #[serde(flatten)]
        shop: &'a Shop,
    }
    let bytes = pretty(&Out { stonehand_shop: VERSION, shop }, &SHOP)?;
    readable::<Shop>(&bytes, &SHOP)?;
    Ok(bytes)
}

fn pretty(value: &impl Serialize, kind: &Kind) -> Result<Vec<u8>, FileError> {
    let mut bytes =
        serde_json::to_vec_pretty(value).map_err(|e| FileError::Unwritable { kind: kind.word, what: e.to_string() })?;
    bytes.push(b'\n');
    Ok(bytes)
}

/// Numbers that are none are written as null, which cannot be read again: better found now than on the next opening.
fn readable<T: DeserializeOwned>(bytes: &[u8], kind: &Kind) -> Result<(), FileError> {
    serde_json::from_slice::<T>(bytes)
        .map(drop)
        .map_err(|e| FileError::Unwritable { kind: kind.word, what: e.to_string() })
}

fn parse<T: DeserializeOwned>(bytes: &[u8], file: &str, kind: &Kind) -> Result<T, FileError> {
    let bytes = bytes.strip_prefix(b"\xEF\xBB\xBF").unwrap_or(bytes);
    if bytes.iter().all(u8::is_ascii_whitespace) {
        return Err(FileError::Empty { file: file.into() });
    }
    let value: Value = serde_json::from_slice(bytes).map_err(|e| json_error(&e, file))?;
    let other = || FileError::Other { file: file.into(), kind: kind.word, key: kind.key, ending: kind.ending };
    let version = value.as_object().and_then(|o| o.get(kind.key)).ok_or_else(other)?;
    let number = version.as_u64().filter(|&v| v >= 1);
    let Some(number) = number.filter(|&v| v <= VERSION) else {
        return match version {
            Value::Number(n) if number.is_some() || n.as_f64().is_some_and(|f| f > VERSION as f64) => {
                Err(FileError::Future { file: file.into(), version: n.to_string() })
            }
            _ => Err(other()),
        };
    };
    if number == VERSION {
        // From the text again, so that an error knows its line.
        return serde_json::from_slice(bytes).map_err(|e| json_error(&e, file));
    }
    let value = migrate(value, number, kind.steps).map_err(|what| FileError::Form {
        file: file.into(),
        line: 1,
        column: 1,
        what,
    })?;
    T::deserialize(value).map_err(|e| FileError::Form { file: file.into(), line: 1, column: 1, what: e.to_string() })
}

/// Takes a file up from `version`, step by step.
fn migrate(mut value: Value, version: u64, steps: &[Step]) -> Result<Value, String> {
    let first = usize::try_from(version.saturating_sub(1)).unwrap_or(usize::MAX);
    for step in steps.iter().skip(first) {
        step(&mut value)?;
    }
    Ok(value)
}

fn json_error(e: &serde_json::Error, file: &str) -> FileError {
    let (file, line, column) = (file.to_owned(), e.line(), e.column());
    let mut what = e.to_string();
    if let Some(i) = what.rfind(" at line ") {
        what.truncate(i);
    }
    // The parser's kinds of number, in plain words.
    for (kind, plain) in [("u16", "a whole number from 0 up"), ("u32", "a whole number from 0 up"), ("f64", "a number")]
    {
        if let Some(front) = what.strip_suffix(kind) {
            what = format!("{front}{plain}");
        }
    }
    match e.classify() {
        Category::Eof => FileError::CutShort { file, line, column },
        Category::Data => FileError::Form { file, line, column, what },
        Category::Syntax | Category::Io => FileError::Syntax { file, line, column, what },
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::document::check::sample::{job, with_spool};

    fn text() -> String {
        String::from_utf8(write(&job()).expect("sound")).expect("JSON is UTF-8")
    }

    /// Reads the sample with one replacement made and gives the sentence.
    fn sentence(from: &str, to: &str) -> String {
        let text = text();
        assert!(text.contains(from), "{from:?} is not in the file");
        read(text.replacen(from, to, 1).as_bytes(), "hive.stonehand").expect_err("must be refused").to_string()
    }

    #[test]
    fn a_job_comes_back_and_its_bytes_are_stable() {
        let bytes = write(&job()).expect("sound");
        let back = read(&bytes, "hive.stonehand").expect("sound");
        assert_eq!(back, job());
        assert_eq!(write(&back).expect("sound"), bytes);
        assert!(bytes.starts_with(b"{\n  \"stonehand\": 1,\n"));
    }

    /// The sample job, kept in this tree: a change of the file form must not lock people out of it.
    #[test]
    fn the_sample_job_comes_back() {
        let bytes = include_bytes!("../../samples/hive-fittings.stonehand");
        let job = read(bytes, "hive-fittings.stonehand").expect("the sample is sound");
        assert!(job.parts.len() >= 8 && job.plates.len() >= 2);
        let again = write(&job).expect("finite");
        assert_eq!(read(&again, "again").expect("sound"), job);
    }

    #[test]
    fn odd_numbers_come_back_to_the_bit() {
        let mut j = job();
        for (k, v) in [0.1 + 0.2, 1e-300, -0.0, 123_456.789_012_345_68].into_iter().enumerate().take(3) {
            j.plates[0].copies[k].x_mm = v;
        }
        let back = read(&write(&j).expect("finite"), "x").expect("sound");
        for (a, b) in j.plates[0].copies.iter().zip(&back.plates[0].copies) {
            assert_eq!(a.x_mm.to_bits(), b.x_mm.to_bits());
        }
    }

    #[test]
    fn every_cut_is_told() {
        let text = text();
        for n in (1..text.len() - 2).step_by(97) {
            let e = read(&text.as_bytes()[..n], "hive.stonehand").expect_err("cut short");
            assert!(matches!(e, FileError::CutShort { .. }), "{n}: {e}");
            assert!(e.to_string().starts_with("hive.stonehand ends too early, at line "), "{e}");
        }
        assert_eq!(read(b" \n", "a.stonehand"), Err(FileError::Empty { file: "a.stonehand".into() }));
    }

    #[test]
    fn a_later_version_is_refused() {
        assert_eq!(
            sentence("\"stonehand\": 1", "\"stonehand\": 2"),
            "hive.stonehand is of version 2, and this program knows up to 1: open it with a newer stonehand"
        );
        assert!(sentence("\"stonehand\": 1", "\"stonehand\": 1e30").contains("of version 1e"));
    }

    #[test]
    fn json_of_something_else() {
        for bytes in [&b"[1, 2]"[..], b"{}", b"{\"stonehand\": \"one\"}", b"{\"stonehand\": -1}", b"7", b"null"] {
            let e = read(bytes, "notes.json").expect_err("no job");
            assert!(matches!(e, FileError::Other { .. }), "{e}");
            assert!(e.to_string().starts_with("notes.json is JSON, but not of a job"), "{e}");
        }
        assert!(matches!(read(b"solid peg", "peg.stl"), Err(FileError::Syntax { line: 1, .. })));
        assert!(matches!(read(b"\xff\xfe{", "peg.stl"), Err(FileError::Syntax { .. })));
    }

    #[test]
    fn nested_a_million_deep() {
        let deep = [b'['].repeat(1_000_000);
        assert!(matches!(read(&deep, "deep"), Err(FileError::Syntax { .. })));
    }

    #[test]
    fn sentences_name_file_place_and_what_to_do() {
        assert_eq!(
            sentence("\"gap_mm\": 3.0", "\"gap_mm\": -3.0"),
            "hive.stonehand at margins.gap_mm: -3 is out of range; write a number from 0 to 1000"
        );
        let e = sentence("\"wanted\": 12", "\"wanted\": \"a dozen\"");
        assert!(e.starts_with("hive.stonehand at line ") && e.contains("a dozen"), "{e}");
        let e = sentence("\"gap_mm\": 3.0", "\"gap_mm\": NaN");
        assert!(e.starts_with("hive.stonehand is not JSON at line "), "{e}");
        let e = sentence("\"gap_mm\": 3.0", "\"gap_mm\": 1e999");
        assert!(e.contains("at line "), "{e}");
        let e = sentence("    \"gap_mm\": 3.0,\n", "");
        assert!(e.contains("missing field `gap_mm`"), "{e}");
        let e = sentence("\"part\": ", "\"part\": 9");
        assert!(e.starts_with("hive.stonehand at plates[0].copies[0].part: there is no part 9"), "{e}");
    }

    #[test]
    fn the_first_fault_is_told_and_the_others_counted() {
        let mut j = job();
        j.margins.gap_mm = -1.0;
        j.margins.edge_mm = -1.0;
        let e = read(&write(&j).expect("finite"), "h").expect_err("two faults");
        assert!(e.to_string().ends_with("(and 1 more fault)"), "{e}");
    }

    #[test]
    fn a_number_that_is_none_is_never_written() {
        for bad in [f64::NAN, f64::INFINITY, f64::NEG_INFINITY] {
            let mut j = job();
            j.plates[0].copies[0].x_mm = bad;
            assert!(matches!(write(&j), Err(FileError::Unwritable { kind: "job", .. })));
        }
    }

    #[test]
    fn a_shop_comes_back_and_is_no_job() {
        let shop = Shop::starter();
        let bytes = write_shop(&shop).expect("sound");
        assert_eq!(read_shop(&bytes, "bench.stonehand-shop").expect("sound"), shop);
        assert!(matches!(read(&bytes, "bench.stonehand-shop"), Err(FileError::Other { .. })));
    }

    /// Files from before there were spools hold none of their words, and a job without spools writes none.
    #[test]
    fn a_file_without_spools_opens_and_one_with_them_comes_back() {
        assert!(!text().contains("spool"));
        let mut j = job();
        let id = with_spool(&mut j).id;
        j.plates[0].spool = Some(id);
        let bytes = write(&j).expect("sound");
        assert_eq!(read(&bytes, "hive.stonehand").expect("sound"), j);
        let text =
            String::from_utf8(bytes).expect("JSON is UTF-8").replace("\"sensor\": \"none\"", "\"sensor\": \"nose\"");
        let told = read(text.as_bytes(), "hive.stonehand").expect_err("no such sensor").to_string();
        assert!(told.contains("nose") && told.contains("at line"), "{told}");
    }

    #[test]
    fn steps_lead_up_from_the_version_of_the_file() {
        fn rename(v: &mut Value) -> Result<(), String> {
            let o = v.as_object_mut().ok_or("no object")?;
            let title = o.remove("name").ok_or("no name")?;
            o.insert("title".into(), title);
            Ok(())
        }
        fn shout(v: &mut Value) -> Result<(), String> {
            let t = v["title"].as_str().ok_or("no title")?.to_uppercase();
            v["title"] = t.into();
            Ok(())
        }
        let steps: [Step; 2] = [rename, shout];
        let old = serde_json::json!({"name": "hive"});
        assert_eq!(migrate(old, 1, &steps), Ok(serde_json::json!({"title": "HIVE"})));
        let newer = serde_json::json!({"title": "hive"});
        assert_eq!(migrate(newer.clone(), 2, &steps), Ok(serde_json::json!({"title": "HIVE"})));
        assert_eq!(migrate(newer.clone(), 3, &steps), Ok(newer.clone()));
        assert_eq!(migrate(newer, 1, &steps), Err("no name".into()));
    }

    #[test]
    fn there_is_a_step_from_every_older_version() {
        assert_eq!(STEPS.len() as u64, VERSION - 1);
    }
}
