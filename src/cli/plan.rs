//! What is meant by the words typed.

use std::path::PathBuf;
use std::time::Duration;

use jiff::civil::DateTime;

use super::{
    args::{
        Command, CopiesStudyArgs, DealArgs, EndByArgs, FootingStudyArgs, InspectArgs, LimitArgs, NewArgs, PaperArg,
        ShellArg, ShiftsArgs, SpoilsArg, StudyArgs, StudyLimitArgs, StudyWhat, TallyArgs, TurnsArg,
    },
    fail::Fail,
    shifts_plan::ShiftsPlan,
    tally_plan::{SaidOfPlate, TallyPlan},
};
use crate::{
    batch::Spoils,
    document::{
        BedShape, Cause, Footing, Machine, MachineId, Margins, PlateSpread, Turns,
        limits::{self, Allowed},
    },
    drawing::run_sheet::PrintPaper,
    formats::{read::named_copies, write::ModelOptions},
    session::{ArrangeLimits, EndBy, SpoolCount, When},
};

/// Seconds that dealing out searches where none are asked for.
const DEAL_S: f64 = 10.0;
/// Rounds of a search for a better sequence, where none are asked for.
const ROUNDS: u64 = 40;

/// What a command does.
#[derive(Debug, Clone)]
pub(super) enum Plan {
    New {
        output: PathBuf,
        title: Option<String>,
        machines: Vec<Machine>,
        margins: Margins,
        footing: Footing,
        turns: Turns,
        parts: Vec<(PathBuf, u32)>,
        limit: Duration,
        json: bool,
    },
    Inspect {
        meshes: Vec<PathBuf>,
        layer_height_mm: f64,
        layers: bool,
        poses: bool,
        json: bool,
    },
    Pack {
        job: PathBuf,
        output: PathBuf,
        /// Where it is to change.
        spread: Option<PlateSpread>,
        together: Vec<String>,
        more_plates: bool,
        end_by: Option<EndBy>,
        limits: Limits,
        json: bool,
    },
    TopUp {
        job: PathBuf,
        output: PathBuf,
        part: Option<String>,
        keep: bool,
        end_by: Option<EndBy>,
        limits: Limits,
        json: bool,
    },
    Deal {
        job: PathBuf,
        output: PathBuf,
        start: Option<DateTime>,
        limits: ArrangeLimits,
        turns: Option<Turns>,
        json: bool,
    },
    Estimate {
        job: PathBuf,
        json: bool,
    },
    Check {
        job: PathBuf,
        json: bool,
    },
    Export {
        job: PathBuf,
        output: PathBuf,
        /// Counted from 1.
        plate: Option<usize>,
        paper: PrintPaper,
        model: ModelOptions,
        json: bool,
    },
    CheckExport {
        folder: PathBuf,
        json: bool,
    },
    Gauge(GaugePlan),
    StudyCopies {
        job: PathBuf,
        part: String,
        spoils: Spoils,
        /// 0 to 1.
        confidence: f64,
        limits: ArrangeLimits,
        json: bool,
    },
    Shifts(ShiftsPlan),
    Tally(Box<TallyPlan>),
    StudyFooting {
        job: PathBuf,
        part: String,
        /// `None`: the usual ones.
        footings: Option<Vec<Footing>>,
        limits: ArrangeLimits,
        json: bool,
    },
    Completions(ShellArg),
    Manual {
        output: PathBuf,
    },
}

/// What to measure, and what to hold it against.
#[derive(Debug, Clone)]
pub(super) struct GaugePlan {
    pub(super) files: Vec<PathBuf>,
    pub(super) job: Option<PathBuf>,
    /// Counted from 1.
    pub(super) plate: Option<usize>,
    pub(super) recipe: Option<String>,
    pub(super) dwell_seconds: bool,
    /// The job to write with the time factor measured.
    pub(super) factor_into: Option<PathBuf>,
    pub(super) json: bool,
}

/// How long to search, and where.
#[derive(Debug, Clone, Copy)]
pub(super) struct Limits {
    pub(super) arrange: ArrangeLimits,
    /// Seconds were asked for: then all has to end soon after them.
    pub(super) in_time: bool,
    pub(super) turns: Option<Turns>,
    /// Counted from 1.
    pub(super) plate: Option<usize>,
}

/// Makes a plan, or says which word is wrong.
pub(super) fn plan(command: Command) -> Result<Plan, Fail> {
    Ok(match command {
        Command::New(a) => new(a)?,
        Command::Inspect(InspectArgs { meshes, layer_height, layers, poses, json }) => {
            let layer_height_mm = allowed("--layer-height", layer_height, limits::LAYER_HEIGHT)?;
            Plan::Inspect { meshes, layer_height_mm, layers, poses, json }
        }
        Command::Pack(a) => Plan::Pack {
            job: a.job,
            output: a.output,
            spread: match (a.even, a.full) {
                (true, _) => Some(PlateSpread::Even),
                (_, true) => Some(PlateSpread::FullThenRest),
                _ => None,
            },
            together: a.together,
            more_plates: a.more_plates,
            end_by: end_by(&a.end_by, a.more_plates)?,
            limits: search_limits(&a.limits)?,
            json: a.json,
        },
        Command::TopUp(a) => {
            let limits = search_limits(&a.limits)?;
            let end_by = end_by(&a.end_by, false)?;
            Plan::TopUp { job: a.job, output: a.output, part: a.part, keep: a.keep, end_by, limits, json: a.json }
        }
        Command::Deal(a) => deal(a)?,
        Command::Estimate(a) => Plan::Estimate { job: a.job, json: a.json },
        Command::Check(a) => Plan::Check { job: a.job, json: a.json },
        Command::Gauge(a) => {
            counted_from_1(a.plate)?;
            Plan::Gauge(GaugePlan {
                files: a.files,
                job: a.job,
                plate: a.plate,
                recipe: a.recipe,
                dwell_seconds: a.dwell_seconds,
                factor_into: a.output.filter(|_| a.set_factor),
                json: a.json,
            })
        }
        Command::Study(StudyArgs { what: StudyWhat::Footing(a) }) => study_footing(a)?,
        Command::Study(StudyArgs { what: StudyWhat::Copies(a) }) => study_copies(a)?,
        Command::Shifts(a) => Plan::Shifts(shifts(a)?),
        Command::Tally(a) => Plan::Tally(Box::new(tally(a)?)),
        Command::CheckExport(a) => Plan::CheckExport { folder: a.folder, json: a.json },
        Command::Export(a) => Plan::Export {
            job: a.job,
            output: a.output,
            plate: {
                counted_from_1(a.plate)?;
                a.plate
            },
            paper: match a.paper {
                PaperArg::A4 => PrintPaper::A4,
                PaperArg::Letter => PrintPaper::Letter,
            },
            model: ModelOptions {
                one_body: a.one_body,
                footings: a.footings,
                corner_marks: a.corner_marks,
                both_halves: a.both_halves,
            },
            json: a.json,
        },
        Command::Completions(a) => Plan::Completions(a.shell),
        Command::Manual(a) => Plan::Manual { output: a.output },
    })
}

fn new(a: NewArgs) -> Result<Plan, Fail> {
    let mut machines = Vec::new();
    for text in &a.bed {
        let [w, d, h] = sizes::<3>("--bed", text, "240x200x190")?;
        machines.push(Machine::rectangular(MachineId(0), "", w, d, h));
    }
    for text in &a.round {
        let [diameter_mm, h] = sizes::<2>("--round", text, "200x180")?;
        let mut m = Machine::rectangular(MachineId(0), "", diameter_mm, diameter_mm, h);
        m.bed = BedShape::Round { diameter_mm };
        machines.push(m);
    }
    for (i, m) in machines.iter_mut().enumerate() {
        m.name = format!("Bench {}", i + 1);
    }
    let margins = Margins {
        gap_mm: allowed("--gap", a.gap, limits::GAP)?,
        edge_mm: allowed("--edge", a.edge, limits::EDGE)?,
        footing_gap_mm: allowed("--footing-gap", a.footing_gap, limits::FOOTING_GAP)?,
        ..Margins::default()
    };
    let parts = a.parts.iter().map(|t| part(t)).collect::<Result<_, _>>()?;
    Ok(Plan::New {
        output: a.output,
        title: a.title,
        machines,
        margins,
        footing: footing(&a.footing)?,
        turns: turns(a.turns),
        parts,
        limit: Duration::from_secs_f64(number("--seconds", a.seconds, 0.0, 86_400.0)?),
        json: a.json,
    })
}

fn search_limits(a: &LimitArgs) -> Result<Limits, Fail> {
    let time = match (a.seconds, a.rounds) {
        (Some(s), _) => Some(Duration::from_secs_f64(number("--seconds", s, 0.0, 86_400.0)?)),
        (None, Some(_)) => None,
        (None, None) => Some(Duration::from_secs(5)),
    };
    counted_from_1(a.plate)?;
    Ok(Limits {
        arrange: ArrangeLimits { seed: a.seed, rounds: a.rounds, time },
        in_time: a.seconds.is_some(),
        turns: a.turns.map(turns),
        plate: a.plate,
    })
}

/// By when a plate has to end, if that was asked for.
fn end_by(a: &EndByArgs, further_plate: bool) -> Result<Option<EndBy>, Fail> {
    let Some(end) = &a.end_by else { return Ok(None) };
    let when = |word: &str, text: &str| text.parse::<When>().map_err(|why| Fail::new(format!("{word} {why}")));
    let start = a.start.as_deref().map(|t| when("--start", t)).transpose()?;
    let chance = between_0_and_1("--chance", a.chance)?;
    Ok(Some(EndBy { start, end: when("--end-by", end)?, chance, further_plate }))
}

/// The limits of a study: one round where nothing is typed.
fn study_limits(a: &StudyLimitArgs) -> Result<ArrangeLimits, Fail> {
    let StudyLimitArgs { seconds, rounds, seed } = *a;
    let seconds = seconds.map(|s| number("--seconds", s, 0.0, 86_400.0)).transpose()?;
    let rounds = rounds.or(if seconds.is_none() { Some(1) } else { None });
    Ok(ArrangeLimits { seed, rounds, time: seconds.map(Duration::from_secs_f64) })
}

fn study_copies(a: CopiesStudyArgs) -> Result<Plan, Fail> {
    let spoils = match a.spoils {
        SpoilsArg::Copy => Spoils::Copy,
        SpoilsArg::Reach => Spoils::Reach,
        SpoilsArg::Plate => Spoils::Plate,
    };
    let confidence = between_0_and_1("--confidence", a.confidence)?;
    let limits = study_limits(&a.limits)?;
    Ok(Plan::StudyCopies { job: a.job, part: a.part, spoils, confidence, limits, json: a.json })
}

/// A chance that is neither 0 nor 1.
fn between_0_and_1(word: &str, v: f64) -> Result<f64, Fail> {
    let wrong = || Fail::new(format!("{word} {v}: must be more than 0 and less than 1, as in 0.9"));
    if v > 0.0 && v < 1.0 { Ok(v) } else { Err(wrong()) }
}

fn deal(a: DealArgs) -> Result<Plan, Fail> {
    let seconds = a.seconds.map(|s| number("--seconds", s, 0.0, 86_400.0)).transpose()?;
    let seconds = seconds.or(if a.rounds.is_none() { Some(DEAL_S) } else { None });
    let limits = ArrangeLimits { seed: a.seed, rounds: a.rounds, time: seconds.map(Duration::from_secs_f64) };
    let start = a.start.as_deref().map(|text| {
        let wrong = || Fail::new(format!("--start {text}: write a local date and time, as in 2026-12-01T08:00"));
        text.trim().parse::<DateTime>().map_err(|_| wrong())
    });
    let (start, turns) = (start.transpose()?, a.turns.map(turns));
    Ok(Plan::Deal { job: a.job, output: a.output, start, limits, turns, json: a.json })
}

fn study_footing(a: FootingStudyArgs) -> Result<Plan, Fail> {
    let limits = study_limits(&a.limits)?;
    let footings: Vec<Footing> = a.footing.iter().map(|f| footing(f)).collect::<Result<_, _>>()?;
    let footings = Some(footings).filter(|f| !f.is_empty());
    Ok(Plan::StudyFooting { job: a.job, part: a.part, footings, limits, json: a.json })
}

fn shifts(a: ShiftsArgs) -> Result<ShiftsPlan, Fail> {
    let seconds = a.seconds.map(|s| number("--seconds", s, 0.0, 86_400.0)).transpose()?;
    let rounds = a.rounds.or(if seconds.is_none() { Some(ROUNDS) } else { None });
    let limits = ArrangeLimits { seed: a.seed, rounds, time: seconds.map(Duration::from_secs_f64) };
    Ok(ShiftsPlan {
        job: a.job,
        start: a.start,
        now: a.now,
        calendar: a.calendar,
        csv: a.csv,
        improve: a.improve.then_some(limits),
        output: a.output,
        json: a.json,
    })
}

fn tally(a: TallyArgs) -> Result<TallyPlan, Fail> {
    counted_from_1(a.plate)?;
    if a.run == Some(0) {
        return Err(Fail::new("--run 0: runs are counted from 1"));
    }
    let of_word = |w: &str| {
        Cause::of_word(w).ok_or_else(|| {
            let all = Cause::ALL.map(Cause::word).join(", ");
            let shown: String = w.chars().take(40).collect();
            Fail::new(format!("--cause {shown}: no such cause; write one of {all}"))
        })
    };
    let cause = a.cause.as_deref().map(of_word).transpose()?;
    let bad_copies = named_copies(a.bad_copies.as_deref().unwrap_or_default()).map_err(|word| {
        let all = Cause::ALL.map(Cause::word).join(", ");
        Fail::new(format!("--bad-copies: {word} is no cause; write one of {all}"))
    })?;
    let grams = a.grams.map(|g| allowed("--grams", g, limits::ACTUAL_G)).transpose()?;
    let said = match (a.plate, a.hours) {
        (Some(plate), Some(hours)) => Some(SaidOfPlate {
            plate,
            run: a.run,
            good: a.good,
            bad: a.bad,
            bad_copies,
            cause,
            hours: number("--hours", hours, limits::ACTUAL.least / 3600.0, limits::ACTUAL.most / 3600.0)?,
            grams,
            spool: match a.spool_left {
                Some(g) => SpoolCount::Left(allowed("--spool-left", g, limits::GRAMS_LEFT)?),
                None if a.count_spool => SpoolCount::TakeOff,
                None => SpoolCount::Leave,
            },
            initials: a.initials.unwrap_or_default(),
            note: a.note.unwrap_or_default(),
            date: a.date,
        }),
        _ => None,
    };
    if a.output.is_some() && said.is_none() && a.csv_in.is_none() && a.take.is_empty() {
        return Err(Fail::new(
            "tally: say what to write down: --plate with --good, --bad and --hours, or --csv-in, or --use",
        ));
    }
    let (csv_in, csv_out) = (a.csv_in, a.csv_out);
    Ok(TallyPlan {
        job: a.job,
        output: a.output,
        said,
        replace: a.replace,
        csv_in,
        csv_out,
        take: a.take,
        report: a.report,
        json: a.json,
    })
}

fn counted_from_1(plate: Option<usize>) -> Result<(), Fail> {
    if plate == Some(0) { Err(Fail::new("--plate 0: plates are counted from 1")) } else { Ok(()) }
}

fn allowed(word: &str, v: f64, allowed: Allowed) -> Result<f64, Fail> {
    number(word, v, allowed.least, allowed.most)
}

fn number(word: &str, v: f64, least: f64, most: f64) -> Result<f64, Fail> {
    if v >= least && v <= most {
        Ok(v)
    } else {
        Err(Fail::new(format!("{word} {v}: must be between {least} and {most}")))
    }
}

/// "240x200x190" as N sizes in mm.
fn sizes<const N: usize>(word: &str, text: &str, like: &str) -> Result<[f64; N], Fail> {
    let (least, most) = (limits::BED_WIDTH.least, limits::BED_WIDTH.most);
    let wrong = || Fail::new(format!("{word} {text}: write sizes in mm like {like}, each from {least} to {most}"));
    let v: Vec<f64> = text.split(['x', 'X', '×']).map(|t| t.trim().parse::<f64>().unwrap_or(f64::NAN)).collect();
    let v: [f64; N] = v.try_into().map_err(|_| wrong())?;
    if v.iter().all(|s| limits::BED_WIDTH.holds(*s)) { Ok(v) } else { Err(wrong()) }
}

/// "gate.stl:12".
fn part(text: &str) -> Result<(PathBuf, u32), Fail> {
    let wrong = |why: &str| Fail::new(format!("--part {text}: {why}; write FILE:COUNT, as in gate.stl:12"));
    let (file, count) = text.rsplit_once(':').ok_or_else(|| wrong("the count is missing"))?;
    if file.is_empty() {
        return Err(wrong("the file is missing"));
    }
    let count: u32 = count.trim().parse().map_err(|_| wrong("the count is not a whole number"))?;
    if count as usize > limits::MOST_COPIES {
        return Err(wrong(&format!("the count is over {}", limits::MOST_COPIES)));
    }
    Ok((file.into(), count))
}

/// "bare", "brim:5", "raft:4".
fn footing(text: &str) -> Result<Footing, Fail> {
    let wrong = || {
        let width = limits::FOOTING_WIDTH.words();
        Fail::new(format!("--footing {text}: write bare, brim:WIDTH or raft:WIDTH, a width of {width}"))
    };
    let width = |t: &str| t.trim().parse::<f64>().ok().filter(|w| limits::FOOTING_WIDTH.holds(*w)).ok_or_else(wrong);
    match text.split_once(':') {
        None if text == "bare" => Ok(Footing::Bare),
        Some(("brim", w)) => Ok(Footing::Brim { width_mm: width(w)? }),
        Some(("raft", w)) => Ok(Footing::Raft { width_mm: width(w)? }),
        _ => Err(wrong()),
    }
}

fn turns(t: TurnsArg) -> Turns {
    match t {
        TurnsArg::Free => Turns::Free,
        TurnsArg::Eighths => Turns::Eighths,
        TurnsArg::Quarters => Turns::Quarters,
        TurnsArg::Halves => Turns::Halves,
        TurnsArg::None => Turns::None,
    }
}

#[cfg(test)]
mod tests {
    use clap::Parser as _;

    use super::*;

    #[test]
    fn words_are_read_or_refused_with_what_to_write() {
        assert_eq!(sizes::<3>("--bed", "240x200x190", "").ok(), Some([240.0, 200.0, 190.0]));
        assert!(sizes::<3>("--bed", "240x200", "1x1x1").is_err());
        assert!(sizes::<2>("--round", "NaNx3", "1x1").is_err());
        assert_eq!(footing("brim:5").ok(), Some(Footing::Brim { width_mm: 5.0 }));
        assert!(footing("brim").is_err() && footing("raft:-1").is_err());
        assert_eq!(part("a:b/c.stl:3").ok(), Some(("a:b/c.stl".into(), 3)));
        assert!(part("gate.stl").is_err_and(|f| f.0.contains("FILE:COUNT")));
        let gap = |gap: f64| {
            let words = ["stonehand", "new", "-o", "x.stonehand", "--bed", "9x9x9", "--part", "a.stl:1", "--gap"];
            let typed = words.into_iter().map(str::to_owned).chain([gap.to_string()]);
            plan(super::super::args::Cli::try_parse_from(typed).ok().and_then(|c| c.command).expect("words"))
        };
        assert!(gap(limits::GAP.most).is_ok() && gap(limits::GAP.most + 0.5).is_err());
        let height = |layer_height| {
            let inspect = InspectArgs { meshes: Vec::new(), layer_height, layers: false, poses: false, json: false };
            plan(Command::Inspect(inspect))
        };
        let (least, most) = (limits::LAYER_HEIGHT.least, limits::LAYER_HEIGHT.most);
        assert!(height(least).is_ok() && height(most).is_ok());
        assert!(height(least * 0.9).is_err() && height(most * 1.1).is_err());
        assert!(footing("raft:100").is_ok() && footing("raft:100.5").is_err_and(|f| f.0.contains("0 to 100 mm")));
        assert!(number("--gap", -1.0, 0.0, 10.0).is_err_and(|f| f.0.contains("--gap -1")));
    }
}
