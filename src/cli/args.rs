//! The words as typed.

use std::{path::PathBuf, str::FromStr};

use clap::{Args, Parser, Subcommand, ValueEnum};

/// Plate layout editor for small batches on filament 3D printers.
#[derive(Debug, Parser)]
#[command(
    name = "stonehand",
    version,
    about = "Arrange copies on a bed; see time, cooling, filament and clearance; hand placements on.",
    long_about = "Arrange copies on a bed; see time, cooling, filament and clearance; hand placements on.\n\n\
        With no command it opens the window, on JOB if given.\n\n\
        Exit status: 0 done; 1 done, and at least one stop finding; 2 wrong arguments or an unreadable input.\n\
        Data goes to standard output, everything else to standard error. Lengths are mm, angles degrees, times seconds.",
    subcommand_negates_reqs = true,
    args_conflicts_with_subcommands = true,
    // Ours also takes --verbose.
    disable_version_flag = true
)]
pub(crate) struct Cli {
    /// A job to open in the window.
    #[arg(value_name = "JOB")]
    pub(crate) job: Option<PathBuf>,
    /// Print the version.
    #[arg(short = 'V', long)]
    pub(crate) version: bool,
    /// With --version: also the commit, the system, the graphics adapters, the time zones and the program's folders, as a report of a fault
    /// needs them. Your home folder is written as ~.
    #[arg(long, requires = "version")]
    pub(crate) verbose: bool,
    #[command(subcommand)]
    pub(crate) command: Option<Command>,
}

/// The commands.
#[derive(Debug, Subcommand)]
pub(crate) enum Command {
    /// Makes a job from meshes and counts; every ordered copy is put on plates.
    New(NewArgs),
    /// Reports on meshes: faults, volume, outline from above, contact, sections.
    #[command(after_help = INSPECT_HELP)]
    Inspect(InspectArgs),
    /// Packs tighter: fewest plates, then the emptiest last plate, then the smallest box on each.
    Pack(PackArgs),
    /// Adds as many more copies as fit, or as end by a time.
    TopUp(TopUpArgs),
    /// Deals the whole order out over plates, machines and days: on time first, then the earliest finish.
    #[command(after_help = DEAL_HELP)]
    Deal(DealArgs),
    /// Time, cooling and filament, plate by plate and layer by layer.
    Estimate(JobArgs),
    /// Findings: conflicts, cooling, keep-outs, mesh faults.
    #[command(after_help = CHECK_HELP)]
    Check(JobArgs),
    /// Times machine-code files from a toolpath program, and compares them with a plate's estimate.
    #[command(after_help = GAUGE_HELP)]
    Gauge(GaugeArgs),
    /// Compares one part in several ways: its footings, and how many copies at once.
    Study(StudyArgs),
    /// When the plates run, on which machine, and who is there: the timeline, what to start now, figures, findings.
    #[command(after_help = SHIFTS_HELP)]
    Shifts(ShiftsArgs),
    /// Writes down what came out of a plate, and says what all plates teach: failure rates, time factors, places.
    #[command(after_help = TALLY_HELP)]
    Tally(TallyArgs),
    /// Writes placements, 3MF, STL, the drawing and the run sheet of every plate into a folder.
    #[command(after_help = EXPORT_HELP)]
    Export(ExportArgs),
    /// Compares a folder of exported files with its manifest.
    #[command(after_help = CHECK_EXPORT_HELP)]
    CheckExport(CheckExportArgs),
    /// Prints the completion script of a shell: then Tab completes commands and options.
    #[command(after_help = COMPLETIONS_HELP)]
    Completions(CompletionsArgs),
    /// Writes the manual pages into a folder, one for each command.
    #[command(after_help = MANUAL_HELP)]
    Manual(ManualArgs),
}

const EXPORT_HELP: &str = "Files of a plate begin with its print time and the order's title, so that a folder sorted by name is sorted by time:
  .build.3mf, .stl   its meshes in their places; nobody has to arrange anything again
  .svg, .png         its drawing
  .run-sheet.pdf     the page that goes to the machine

Files of the whole job: placements.json, placements.csv, run-sheets.pdf, bin-labels.pdf, timeline.pdf, timeline.csv, timeline.ics,
contents.txt (what is what, and which machines the same files serve) and manifest.sha256 (a hash of each file).

Files of an earlier export of the same job are replaced, those that have not changed stay untouched, others are left. With --plate only that plate's
files are written, its placements and labels among them; those of other plates stay as they are.";

const CHECK_EXPORT_HELP: &str = "Exit status: 0 all files are there and unchanged; 1 something differs, a line each; 2 there is no manifest, or it cannot be read.
Nothing outside the folder is read.";

const COMPLETIONS_HELP: &str = "For you alone:
  bash   stonehand completions bash > ~/.local/share/bash-completion/completions/stonehand
  zsh    stonehand completions zsh > FOLDER/_stonehand, with FOLDER in the shell's fpath
  fish   stonehand completions fish > ~/.config/fish/completions/stonehand.fish";

const MANUAL_HELP: &str = "To read one without installing it: man -l DIR/stonehand-pack.1";

const INSPECT_HELP: &str = "Kinds of faults:
  open-edge           an edge of one triangle only: the surface has a hole there
  non-manifold-edge   an edge of more than two triangles
  flipped-shell       a shell that is inside out, or some of whose triangles are
  zero-area           triangles without area
  non-finite          triangles with a coordinate that is not a finite number
  duplicate-triangle  triangles that occur more than once
  overlapping-shells  bodies that overlap
  floating-shell      a shell that starts above the lowest point and touches nothing
  suspicious-size     so small or large that the unit may be wrong; or flat
  trailing-bytes      bytes after the end of the data
  count-mismatch      a file that holds more or fewer triangles than it says
  crossing-face       a face of four or more corners that crosses itself

Mends that would help are named after the faults; the window carries them out on its own copy of the mesh, the file stays as it is.";

const CHECK_HELP: &str = "Kinds of findings:
  overlap       two copies overlap, or a footing enters another part's contact
  clearance     two copies are closer than the gap or the footing gap
  off-bed       a copy or its footing reaches beyond the bed's edge margin
  keep-out      a copy or its footing covers a keep-out
  skirt         the skirt round a copy would leave the bed or cover a keep-out
  too-tall      a copy is higher than the machine's usable height
  unplaced      copies that are ordered and lie on no plate
  surplus       more copies on plates than are wanted
  no-room       copies that pack found no room for on their plate; nothing was moved (only after pack)
  parted        copies that are to lie on one plate and lie on several
  twin          a plate printed twice at once: a copy beyond its half, a machine with one carriage, mirrored twins that nobody ordered
  mixed-recipe  a copy whose material, colour or recipe is not its plate's
  mesh-fault    a mesh with holes, inside-out shells and the like
  missing-mesh  a mesh file that is not there
  changed-mesh  a mesh file whose content is another now
  cooling       layers that are too quick to cool
  spool         a spool that will not last, or is of another material or colour
  tip-over      copies that could fall over while they grow, under assumed forces
  shape         a thin start or neck, a slender or wobbly part, little contact
  warp          a long part whose corners may lift
  mid-air       a part or region that starts with nothing under it

Of hours and the plan, once hours, a start, a due date, a downtime or a plate's state is set (`shifts` says them in any case):
  unattended    machines print with nobody there
  after-hours   a plate ends after the last person has left
  late          parts are on the table after they are due
  due-date      a due date that cannot be read, or is past
  no-hours      nobody is ever there, or the hours are still the example
  hours         two exceptions that share a day
  no-time       no attended time is long enough to prepare a plate or to take its parts off
  downtime      a machine is down with plates on it
  overdue       a plate that should have ended, and nobody said so
  hot-bed       parts come off a bed that may still burn skin

Of the tally and the checklist, once anything is tallied or ticked:
  readiness     items of the checklist are open on a plate that is next on its machine
  tally         bad copies of a plate of several parts that nobody has named";

const GAUGE_HELP: &str = "Several files, or a folder of them, are listed by their time, the shortest first.

Understood: G0 G1 G2 G3 G4 G17 G18 G19 G20 G21 G28 G80 G90 G91 G92, as in RS-274 and ISO 6983; E, M82 and M83 for filament;
M200 M201 M203 M204 M205 M220 M221 for volume, limits, acceleration, corners, speed and flow. Everything else is
counted and skipped; where that concerns speed or acceleration, a watch finding says so. Temperatures are ignored.

A layer is everything extruded at one height in one go. Without a job the motion numbers are those of a plain recipe; they are
printed with the answer.";

/// A job and how to print.
#[derive(Debug, Args)]
pub(crate) struct JobArgs {
    /// The job file.
    pub(crate) job: PathBuf,
    /// Print JSON.
    #[arg(long)]
    pub(crate) json: bool,
}

/// `new`.
#[derive(Debug, Args)]
pub(crate) struct NewArgs {
    /// The job file to write.
    #[arg(short, long, value_name = "JOB")]
    pub(crate) output: PathBuf,
    /// A rectangular bed and the usable height; several give several machines.
    #[arg(long, value_name = "WIDTHxDEPTHxHEIGHT", required_unless_present = "round")]
    pub(crate) bed: Vec<String>,
    /// A round bed and the usable height.
    #[arg(long, value_name = "DIAMETERxHEIGHT")]
    pub(crate) round: Vec<String>,
    /// Least distance between two copies.
    #[arg(long, default_value_t = 3.0, allow_negative_numbers = true, value_parser = number("millimetres", "3.5"))]
    pub(crate) gap: f64,
    /// Least distance from the bed's edge.
    #[arg(long, default_value_t = 0.0, allow_negative_numbers = true, value_parser = number("millimetres", "2.5"))]
    pub(crate) edge: f64,
    /// Least distance between two footings.
    #[arg(long, default_value_t = 0.0, allow_negative_numbers = true, value_parser = number("millimetres", "0.5"))]
    pub(crate) footing_gap: f64,
    /// What holds the parts down: bare, brim:WIDTH or raft:WIDTH.
    #[arg(long, default_value = "bare")]
    pub(crate) footing: String,
    /// Rotations allowed.
    #[arg(long, value_enum, default_value = "45")]
    pub(crate) turns: TurnsArg,
    /// A mesh file and how many of it.
    #[arg(long = "part", value_name = "FILE:COUNT", required = true)]
    pub(crate) parts: Vec<String>,
    /// Seconds that the first layout may take; very many copies are then laid in plain rows.
    #[arg(long, default_value_t = 5.0, allow_negative_numbers = true, value_parser = number("seconds", "10"))]
    pub(crate) seconds: f64,
    /// The job's title; the file's name by default.
    #[arg(long)]
    pub(crate) title: Option<String>,
    /// Print JSON.
    #[arg(long)]
    pub(crate) json: bool,
}

/// `inspect`.
#[derive(Debug, Args)]
pub(crate) struct InspectArgs {
    /// Mesh files.
    #[arg(required = true)]
    pub(crate) meshes: Vec<PathBuf>,
    /// Layer height; the contact is taken at half of it.
    #[arg(long, default_value_t = 0.2, allow_negative_numbers = true, value_parser = number("millimetres", "0.2"))]
    pub(crate) layer_height: f64,
    /// Also every layer.
    #[arg(long)]
    pub(crate) layers: bool,
    /// Also the centre of mass, the flat faces of the convex hull, and ways to lay the part down, best first.
    #[arg(long)]
    pub(crate) poses: bool,
    /// Print JSON.
    #[arg(long)]
    pub(crate) json: bool,
}

/// How long to search.
#[derive(Debug, Args)]
pub(crate) struct LimitArgs {
    /// Seconds to search (5 where no rounds are given). Where they are given, the command ends within a second after them: print times and
    /// findings that would take longer are left out, and it says so.
    #[arg(long, conflicts_with = "rounds", allow_negative_numbers = true, value_parser = number("seconds", "10"))]
    pub(crate) seconds: Option<f64>,
    /// Rounds to search: the same seed and rounds give the same layout on every run.
    #[arg(long, value_parser = whole::<u64>("20"))]
    pub(crate) rounds: Option<u64>,
    /// Seed of the search.
    #[arg(long, default_value_t = 1, value_parser = whole::<u64>("7"))]
    pub(crate) seed: u64,
    /// Rotations allowed, in place of each part's own.
    #[arg(long, value_enum)]
    pub(crate) turns: Option<TurnsArg>,
    /// Only this plate, counted from 1.
    #[arg(long, value_parser = whole::<usize>("2"))]
    pub(crate) plate: Option<usize>,
}

/// By when a plate has to end.
#[derive(Debug, Args)]
pub(crate) struct EndByArgs {
    /// As many copies as end by this time: 08:00, on the day after where that is not after the start, or 2026-12-01T08:00. Of one plate: the
    /// only one, or that of --plate.
    #[arg(long, value_name = "TIME")]
    pub(crate) end_by: Option<String>,
    /// When the print starts: 16:30 for the next such time, or 2026-12-01T16:30; now where it is left out.
    #[arg(long, value_name = "TIME", requires = "end_by")]
    pub(crate) start: Option<String>,
    /// How sure it has to end by then, between 0 and 1. Real times are assumed to spread round the estimate; 0.5 takes the estimate as it is.
    #[arg(long, default_value_t = 0.5, requires = "end_by", allow_negative_numbers = true, value_parser = number("chances", "0.9"))]
    pub(crate) chance: f64,
}

/// `pack`.
#[derive(Debug, Args)]
pub(crate) struct PackArgs {
    /// The job file.
    pub(crate) job: PathBuf,
    /// The job file to write.
    #[arg(short, long, value_name = "JOB2")]
    pub(crate) output: PathBuf,
    /// Spread the copies evenly over the plates, by area, without using more of them. Stored in the job, as are the next two.
    #[arg(long)]
    pub(crate) even: bool,
    /// Fill one plate after another, the rest on the last one (the default).
    #[arg(long, conflicts_with = "even")]
    pub(crate) full: bool,
    /// A part, by name or letter, whose copies stay on one plate where they fit and no further plate is needed; may be
    /// given several times.
    #[arg(long, value_name = "PART")]
    pub(crate) together: Vec<String>,
    /// Put copies that do not fit their plates on further plates of the same kind; without it, nothing is moved where some
    /// do not fit. With --end-by: those that do not end in time; without it, they are left out and named.
    #[arg(long)]
    pub(crate) more_plates: bool,
    #[command(flatten)]
    pub(crate) end_by: EndByArgs,
    #[command(flatten)]
    pub(crate) limits: LimitArgs,
    /// Print JSON.
    #[arg(long)]
    pub(crate) json: bool,
}

/// `top-up`.
#[derive(Debug, Args)]
pub(crate) struct TopUpArgs {
    /// The job file.
    pub(crate) job: PathBuf,
    /// The job file to write.
    #[arg(short, long, value_name = "JOB2")]
    pub(crate) output: PathBuf,
    /// Only this part, by name or letter; every part in the order's proportion by default.
    #[arg(long)]
    pub(crate) part: Option<String>,
    /// Leave every copy where it lies, even where moving some makes room for more.
    #[arg(long)]
    pub(crate) keep: bool,
    #[command(flatten)]
    pub(crate) end_by: EndByArgs,
    #[command(flatten)]
    pub(crate) limits: LimitArgs,
    /// Print JSON.
    #[arg(long)]
    pub(crate) json: bool,
}

const DEAL_HELP: &str = "Copies share a plate where material, colour and recipe are equal. Plates that are locked, fixed or started stay as they are; others are
dealt again, and keep what lies there as far as nothing is gained. A failed plate counts for nothing: what was on it is wanted again.

In this order of importance: parts on time, the earliest end of the last print, layers that get their minimum time, machines that stand
idle as little as possible, few changes of filament, little filament purged.

Preparing a plate and taking parts off need somebody: the job's hours, changeovers and downtimes apply. The docket is then in the
sequence in which plates run. The bound is a time before which no dealing of this order can end.";

/// `deal`.
#[derive(Debug, Args)]
pub(crate) struct DealArgs {
    /// The job file.
    pub(crate) job: PathBuf,
    /// The job file to write.
    #[arg(short, long, value_name = "JOB2")]
    pub(crate) output: PathBuf,
    /// When the first plates can start, local time; else the job's own start, else now.
    #[arg(long, value_name = "2026-12-01T08:00")]
    pub(crate) start: Option<String>,
    /// Seconds to search (10 where no rounds are given).
    #[arg(long, conflicts_with = "rounds", allow_negative_numbers = true, value_parser = number("seconds", "10"))]
    pub(crate) seconds: Option<f64>,
    /// Rounds to search: the same seed and rounds give the same plates on every run.
    #[arg(long, value_parser = whole::<u64>("20"))]
    pub(crate) rounds: Option<u64>,
    /// Seed of the search.
    #[arg(long, default_value_t = 1, value_parser = whole::<u64>("7"))]
    pub(crate) seed: u64,
    /// Rotations allowed, in place of each part's own.
    #[arg(long, value_enum)]
    pub(crate) turns: Option<TurnsArg>,
    /// Print JSON.
    #[arg(long)]
    pub(crate) json: bool,
}

/// `gauge`.
#[derive(Debug, Args)]
pub(crate) struct GaugeArgs {
    /// Machine-code files, or folders of them.
    #[arg(required = true, value_name = "FILE|FOLDER")]
    pub(crate) files: Vec<PathBuf>,
    /// A job: the motion numbers are those of its plate's recipe, and its estimate is compared with the file.
    #[arg(long)]
    pub(crate) job: Option<PathBuf>,
    /// The plate, counted from 1; may be left out where the job has one.
    #[arg(long, requires = "job", value_parser = whole::<usize>("2"))]
    pub(crate) plate: Option<usize>,
    /// The motion numbers of another recipe of the job, by name.
    #[arg(long, requires = "job", value_name = "NAME")]
    pub(crate) recipe: Option<String>,
    /// P after G4 is in seconds; by default in milliseconds, unless the plate's machine says otherwise.
    #[arg(long)]
    pub(crate) dwell_seconds: bool,
    /// Set the plate's recipe to the time factor with which its estimate matches the file.
    #[arg(long, requires = "job", requires = "output")]
    pub(crate) set_factor: bool,
    /// The job file to write.
    #[arg(short, long, value_name = "JOB2", requires = "set_factor")]
    pub(crate) output: Option<PathBuf>,
    /// Print JSON.
    #[arg(long)]
    pub(crate) json: bool,
}

/// `study`.
#[derive(Debug, Args)]
pub(crate) struct StudyArgs {
    #[command(subcommand)]
    pub(crate) what: StudyWhat,
}

/// What is compared.
#[derive(Debug, Subcommand)]
pub(crate) enum StudyWhat {
    /// Footings of a part: a plate filled with it bare, with brims of several widths and with a raft; what fits, how long, how firm.
    #[command(after_help = FOOTING_STUDY_HELP)]
    Footing(FootingStudyArgs),
    /// How many copies of a part at once: plate time, minutes each, good parts a day under people's hours, losses, plates to start.
    #[command(after_help = COPIES_STUDY_HELP)]
    Copies(CopiesStudyArgs),
}

const FOOTING_STUDY_HELP: &str = "Compared, unless --footing says otherwise: bare, brims of 3, 5 and 8 mm, a raft of 3 mm, and the suggested footing (marked *), on the machine of
the first plate with the part, else on the first machine that takes it.

Time and mass of each copy are its share of the plate, with footing, skirt, purge and heat-up. Good: copies expected to come out good,
assumed: 2 % of those with a margin of 1 or more let go, more below 1, and each spoils the copies that it would strike. Clean-up is hand work
for the whole plate, assumed: 60 s for a brim and 120 s for a raft, per copy. The job can say otherwise. The margin is the least of all
heights; below 1 the part could tip over. It is a ranking, not a promise.";

const COPIES_STUDY_HELP: &str = "Each number of copies is laid out and timed, on the machine of the first plate with the part, else on the first machine that takes it. The
same plate is then followed again and again on one machine over the next four full weeks, weekends included: it cools below the removal temperature,
somebody who is there takes it off and starts the next one. Good parts a day are those of such a machine. A failure is taken to be found
at the end of the plate.

Where the machine's head is known and the part passes under its gantry, copies one after another have rows, too: they keep the reach of the head
apart, and a failure spoils that copy and all after it.

Loss is what is expected to be lost of a plate where a failure spoils that copy, the copies within reach of its fall, or the plate; by
common causes on top. Assumed, and the job can say otherwise: 2 % of copies with a margin of 1 or more let go, more below 1; 1 % of plates are
spoilt at once. Plates to start: so many that the number wanted comes out with the confidence asked for. Above 100 copies not every number
has a row.";

/// `study copies`.
#[derive(Debug, Args)]
pub(crate) struct CopiesStudyArgs {
    /// The job file.
    pub(crate) job: PathBuf,
    /// The part, by name or letter.
    #[arg(long)]
    pub(crate) part: String,
    /// What a copy that fails spoils: good parts a day and plates to start are counted so.
    #[arg(long, value_enum, default_value = "reach")]
    pub(crate) spoils: SpoilsArg,
    /// How sure the number wanted is to come out of the plates to start, between 0 and 1.
    #[arg(long, default_value_t = 0.9, allow_negative_numbers = true, value_parser = number("chances", "0.9"))]
    pub(crate) confidence: f64,
    #[command(flatten)]
    pub(crate) limits: StudyLimitArgs,
    /// Print JSON.
    #[arg(long)]
    pub(crate) json: bool,
}

/// How long a study searches.
#[derive(Debug, Args)]
pub(crate) struct StudyLimitArgs {
    /// Seconds to search, for the whole study.
    #[arg(long, conflicts_with = "rounds", allow_negative_numbers = true, value_parser = number("seconds", "10"))]
    pub(crate) seconds: Option<f64>,
    /// Rounds of each search (1 where no seconds are given): the same seed and rounds give the same rows on every run (good parts a day: in
    /// the same week).
    #[arg(long, value_parser = whole::<u64>("20"))]
    pub(crate) rounds: Option<u64>,
    /// Seed of the search.
    #[arg(long, default_value_t = 1, value_parser = whole::<u64>("7"))]
    pub(crate) seed: u64,
}

/// What a copy that fails spoils, as typed.
#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
pub(crate) enum SpoilsArg {
    /// That copy.
    Copy,
    /// The copies within reach of its fall.
    Reach,
    /// The plate.
    Plate,
}

/// `study footing`.
#[derive(Debug, Args)]
pub(crate) struct FootingStudyArgs {
    /// The job file.
    pub(crate) job: PathBuf,
    /// The part, by name or letter.
    #[arg(long)]
    pub(crate) part: String,
    /// A footing to compare: bare, brim:WIDTH or raft:WIDTH; may be given several times. The suggested one is always compared.
    #[arg(long)]
    pub(crate) footing: Vec<String>,
    #[command(flatten)]
    pub(crate) limits: StudyLimitArgs,
    /// Print JSON.
    #[arg(long)]
    pub(crate) json: bool,
}

const TALLY_HELP: &str = "Causes: came-loose, tipped-over, warped, blocked-nozzle, ran-out, power, quality, broken, other. A plate without a good copy whose cause is
blocked-nozzle, ran-out, power, other or not said counts as lost at once, not as so many copies that failed.

Good and bad copies together are all copies on the plate, twins included. What is tallied counts in the order with its good copies; bad ones are wanted again. A plate that
runs again is tallied again.

A table (CSV, UTF-8) has a heading and a line a run: plate, hours, good, bad; also run, date, bad_copies, cause, grams, initials, note, in any
order. All of it is taken, or nothing.

Intervals hold 95 %: Jeffreys for failure rates (0 at no failure, 1 where all failed), and the same drawn towards the other groups by a beta-binomial empirical
Bayes prior; Student's t for the logarithm of actual over estimated time, and the same drawn towards 1 by one plate that took as long as
estimated. Places: Fisher's exact test. Surface: Cochran-Armitage test. Nothing is applied unless --use asks for it: time-factor,
time-spread, lost-plates, failing, failing-of-parts.";

/// `tally`.
#[derive(Debug, Args)]
pub(crate) struct TallyArgs {
    /// The job file.
    pub(crate) job: PathBuf,
    /// The job file to write.
    #[arg(short, long, value_name = "JOB2", required_unless_present_any = ["report", "csv_out"])]
    pub(crate) output: Option<PathBuf>,
    /// The plate, counted from 1.
    #[arg(long, value_parser = whole::<usize>("2"), requires = "hours")]
    pub(crate) plate: Option<usize>,
    /// Which run of it, counted from 1; the next one by default.
    #[arg(long, value_parser = whole::<u32>("2"), requires = "plate")]
    pub(crate) run: Option<u32>,
    /// Good copies; all that are not bad by default.
    #[arg(long, value_parser = whole::<usize>("11"), requires = "plate")]
    pub(crate) good: Option<usize>,
    /// Bad copies; those of --bad-copies by default.
    #[arg(long, value_parser = whole::<usize>("1"), requires = "plate")]
    pub(crate) bad: Option<usize>,
    /// Bad copies by name, each with its cause where it has one of its own: "E 14, E 15:warped".
    #[arg(long, value_name = "COPIES", requires = "plate")]
    pub(crate) bad_copies: Option<String>,
    /// Why the bad copies are bad.
    #[arg(long, value_name = "WORD", requires = "plate")]
    pub(crate) cause: Option<String>,
    /// Real time from start to end, h.
    #[arg(long, allow_negative_numbers = true, value_parser = number("hours", "4.5"), requires = "plate")]
    pub(crate) hours: Option<f64>,
    /// Filament really used, g.
    #[arg(long, allow_negative_numbers = true, value_parser = number("grams", "182.5"), requires = "plate")]
    pub(crate) grams: Option<f64>,
    /// Take the grams off the plate's spool: those used, or where nobody weighed them those estimated.
    #[arg(long, requires = "plate")]
    pub(crate) count_spool: bool,
    /// The plate's spool was weighed: so many grams are left on it.
    #[arg(long, value_name = "GRAMS", allow_negative_numbers = true, value_parser = number("grams", "640"), requires = "plate", conflicts_with = "count_spool")]
    pub(crate) spool_left: Option<f64>,
    /// Initials of who tallies, at most 12 letters.
    #[arg(long, requires = "plate")]
    pub(crate) initials: Option<String>,
    /// A note.
    #[arg(long, requires = "plate")]
    pub(crate) note: Option<String>,
    /// When it ended: 2026-11-30, or 2026-11-30T16:30; as it was marked by default, else now.
    #[arg(long, value_name = "DATE", requires = "plate")]
    pub(crate) date: Option<String>,
    /// Write a run anew that is tallied already.
    #[arg(long)]
    pub(crate) replace: bool,
    /// Read outcomes from a table.
    #[arg(long, value_name = "FILE.csv", conflicts_with = "plate", requires = "output")]
    pub(crate) csv_in: Option<PathBuf>,
    /// Write the whole tally as a table.
    #[arg(long, value_name = "FILE.csv")]
    pub(crate) csv_out: Option<PathBuf>,
    /// Take over what the tally teaches; may be given several times.
    #[arg(long = "use", value_enum, value_name = "WHAT", requires = "output")]
    pub(crate) take: Vec<LearnedArg>,
    /// Say what all plates teach.
    #[arg(long)]
    pub(crate) report: bool,
    /// Print JSON.
    #[arg(long)]
    pub(crate) json: bool,
}

/// What the tally teaches, as typed.
#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
pub(crate) enum LearnedArg {
    /// Time factors of recipes.
    TimeFactor,
    /// Spread of real times.
    TimeSpread,
    /// Plates lost at once.
    LostPlates,
    /// Copies that fail.
    Failing,
    /// The same, part by part.
    FailingOfParts,
}

const SHIFTS_HELP: &str = "The plates of one machine run in the docket's order. Before each print somebody prepares the machine, and after it, once the bed has
cooled, somebody takes the parts off: both wholly within hours in which somebody is there, one person at one machine at a time. Printing needs
nobody. The interval beside each end holds 95 of 100 prints, under the job's assumption on how far real times are from estimates.

Figures are named after ISO 22400-2, and planned: availability is production time over planned busy time, utilisation efficiency production time
over busy time (production, setup and delay), allocation efficiency busy time over planned busy time.

The lower bound holds for every sequence on machines with the same bed. Findings are listed by check --help.";

/// `shifts`.
#[derive(Debug, Args)]
pub(crate) struct ShiftsArgs {
    /// The job file.
    pub(crate) job: PathBuf,
    /// When the first plates can start, in place of what the job says: local time of the job's time zone, or with an offset.
    #[arg(long, value_name = "TIME")]
    pub(crate) start: Option<String>,
    /// The time now; by default that of --start, else the computer's.
    #[arg(long, value_name = "TIME")]
    pub(crate) now: Option<String>,
    /// Write the plan as a calendar file (iCalendar).
    #[arg(long, value_name = "FILE.ics")]
    pub(crate) calendar: Option<PathBuf>,
    /// Write the plan as a table.
    #[arg(long, value_name = "FILE.csv")]
    pub(crate) csv: Option<PathBuf>,
    /// Look for a better sequence, among machines with the same bed: fewer late parts first, then an earlier end.
    #[arg(long, requires = "output")]
    pub(crate) improve: bool,
    /// Rounds to search (40 where no seconds are given): the same seed and rounds give the same sequence.
    #[arg(long, requires = "improve", value_parser = whole::<u64>("20"))]
    pub(crate) rounds: Option<u64>,
    /// Seconds to search.
    #[arg(long, requires = "improve", conflicts_with = "rounds", allow_negative_numbers = true, value_parser = number("seconds", "10"))]
    pub(crate) seconds: Option<f64>,
    /// Seed of the search.
    #[arg(long, default_value_t = 1, value_parser = whole::<u64>("7"))]
    pub(crate) seed: u64,
    /// The job file to write.
    #[arg(short, long, value_name = "JOB2")]
    pub(crate) output: Option<PathBuf>,
    /// Print JSON.
    #[arg(long)]
    pub(crate) json: bool,
}

/// `export`.
#[derive(Debug, Args)]
pub(crate) struct ExportArgs {
    /// The job file.
    pub(crate) job: PathBuf,
    /// The folder to write into; made if missing.
    #[arg(short, long, value_name = "DIR")]
    pub(crate) output: PathBuf,
    /// This plate alone, counted from 1; else all.
    #[arg(long, value_name = "N", value_parser = whole::<usize>("2"))]
    pub(crate) plate: Option<usize>,
    /// The paper of run sheets, labels and the timeline.
    #[arg(long, value_enum, default_value_t = PaperArg::A4)]
    pub(crate) paper: PaperArg,
    /// Each plate as one body that cannot be rearranged, in 3MF and STL.
    #[arg(long)]
    pub(crate) one_body: bool,
    /// Footings as geometry, in 3MF and STL.
    #[arg(long)]
    pub(crate) footings: bool,
    /// Two small corner marks that show whether the plate was opened unmoved, in 3MF and STL.
    #[arg(long)]
    pub(crate) corner_marks: bool,
    /// Both halves of plates that are printed twice at once, in 3MF and STL; else one half, for a machine that doubles it by itself.
    #[arg(long)]
    pub(crate) both_halves: bool,
    /// Print JSON.
    #[arg(long)]
    pub(crate) json: bool,
}

/// `check-export`.
#[derive(Debug, Args)]
pub(crate) struct CheckExportArgs {
    /// The folder that was exported into.
    #[arg(value_name = "DIR")]
    pub(crate) folder: PathBuf,
    /// Print JSON.
    #[arg(long)]
    pub(crate) json: bool,
}

/// Paper as typed.
#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
pub(crate) enum PaperArg {
    /// 210 × 297 mm.
    A4,
    /// 8.5 × 11 inches.
    Letter,
}

/// `completions`.
#[derive(Debug, Args)]
pub(crate) struct CompletionsArgs {
    /// The shell.
    #[arg(value_enum)]
    pub(crate) shell: ShellArg,
}

/// A shell, as typed.
#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
pub(crate) enum ShellArg {
    /// GNU Bash.
    Bash,
    /// Fish.
    Fish,
    /// Z shell.
    Zsh,
}

/// `manual`.
#[derive(Debug, Args)]
pub(crate) struct ManualArgs {
    /// The folder to write into; made if missing.
    #[arg(short, long, value_name = "DIR")]
    pub(crate) output: PathBuf,
}

/// Reads a number, or says what to write.
fn number(unit: &'static str, like: &'static str) -> impl Fn(&str) -> Result<f64, String> + Clone + Send + Sync {
    move |text| {
        // What is no number by any count, like nan, is refused with the limits.
        text.trim().parse::<f64>().map_err(|_| format!("write a number of {unit}, as in {like}"))
    }
}

/// Reads a whole number, or says what to write.
fn whole<T: FromStr>(like: &'static str) -> impl Fn(&str) -> Result<T, String> + Clone + Send + Sync {
    move |text| text.trim().parse().map_err(|_| format!("write a whole number from 0 up, as in {like}"))
}

/// Turns as typed.
#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
pub(crate) enum TurnsArg {
    /// Any angle.
    Free,
    /// Every 45°.
    #[value(name = "45")]
    Eighths,
    /// Every 90°.
    #[value(name = "90")]
    Quarters,
    /// Every 180°.
    #[value(name = "180")]
    Halves,
    /// As drawn.
    None,
}
