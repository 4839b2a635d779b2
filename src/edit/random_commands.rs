//! Random commands and gestures against a plain model of a past and a future.

use proptest::prelude::*;

use super::{Command, History, NewPart, PlateSetup, PlateTarget, Put, apply};
use crate::document::{
    Assumptions, Cause, Column, CopyId, FileUnit, Footing, Job, Machine, MachineId, Margins, Material, MaterialId,
    Mend, MeshId, MeshRef, OtherHours, OutcomeCopy, OutcomeId, Part, PartId, PlateId, PlateOutcome, Pose, Preferences,
    PullTest, Recipe, RecipeId, RunState, Shifts, Shop, Spool, SpoolId, Turns, Twin, check, file,
};

/// Kinds of commands: one more than the greatest number in [`kind_of`].
const KINDS: usize = 41;

/// The number of a command's kind. A new kind of command gets the next number here, raises [`KINDS`], and is then made
/// in [`command`].
fn kind_of(command: &Command) -> usize {
    match command {
        Command::SetTitle { .. } => 0,
        Command::SetMargins { .. } => 1,
        Command::AddMachine { .. } => 2,
        Command::SetMachine { .. } => 3,
        Command::RemoveMachine { .. } => 4,
        Command::AddMaterial { .. } => 5,
        Command::SetMaterial { .. } => 6,
        Command::RemoveMaterial { .. } => 7,
        Command::AddRecipe { .. } => 8,
        Command::SetRecipe { .. } => 9,
        Command::RemoveRecipe { .. } => 10,
        Command::AddParts { .. } => 11,
        Command::SetPart { .. } => 12,
        Command::RemovePart { .. } => 13,
        Command::ReplaceMesh { .. } => 14,
        Command::SetMeshRef { .. } => 15,
        Command::AddPlate { .. } => 16,
        Command::SetPlate { .. } => 17,
        Command::RemovePlate { .. } => 18,
        Command::OrderPlate { .. } => 19,
        Command::PutCopies { .. } => 20,
        Command::RemoveCopies { .. } => 21,
        Command::LockCopies { .. } => 22,
        Command::SetFooting { .. } => 23,
        Command::AddSpool { .. } => 24,
        Command::SetSpool { .. } => 25,
        Command::RemoveSpool { .. } => 26,
        Command::ChooseSpool { .. } => 27,
        Command::SetPreferences { .. } => 28,
        Command::SetCurrency { .. } => 29,
        Command::SetAssumptions { .. } => 30,
        Command::RecordPullTest { .. } => 31,
        Command::SetMends { .. } => 32,
        Command::SetShifts { .. } => 33,
        Command::OrderPlates { .. } => 34,
        Command::SetRun { .. } => 35,
        Command::SetTwin { .. } => 36,
        Command::ChooseTwinSpool { .. } => 37,
        Command::Tally { .. } => 38,
        Command::RemoveOutcome { .. } => 39,
        Command::SetReadiness { .. } => 40,
    }
}

type Dice = [u32; 4];

/// One of a list, or sometimes something that is not there.
fn one_of<T: Clone>(list: &[T], dice: u32, unknown: T) -> T {
    if dice.is_multiple_of(16) {
        unknown
    } else {
        list.get(dice as usize % list.len().max(1)).cloned().unwrap_or(unknown)
    }
}

fn machine(job: &Job, dice: u32) -> MachineId {
    one_of(&job.machines.iter().map(|m| m.id).collect::<Vec<_>>(), dice, MachineId(999_999))
}

fn material(job: &Job, dice: u32) -> MaterialId {
    one_of(&job.materials.iter().map(|m| m.id).collect::<Vec<_>>(), dice, MaterialId(999_999))
}

fn recipe(job: &Job, dice: u32) -> RecipeId {
    one_of(&job.recipes.iter().map(|m| m.id).collect::<Vec<_>>(), dice, RecipeId(999_999))
}

fn spool(job: &Job, dice: u32) -> SpoolId {
    one_of(&job.spools.iter().map(|s| s.id).collect::<Vec<_>>(), dice, SpoolId(999_999))
}

fn part(job: &Job, dice: u32) -> PartId {
    one_of(&job.parts.iter().map(|p| p.id).collect::<Vec<_>>(), dice, PartId(999_999))
}

fn plate(job: &Job, dice: u32) -> PlateId {
    one_of(&job.plates.iter().map(|p| p.id).collect::<Vec<_>>(), dice, PlateId(999_999))
}

fn copies(job: &Job, d: Dice) -> Vec<CopyId> {
    let all: Vec<CopyId> = job.plates.iter().flat_map(|p| &p.copies).map(|c| c.id).collect();
    (0..=d[0] % 3).map(|i| one_of(&all, d[1].wrapping_add(i * 7), CopyId(999_999))).collect()
}

fn mesh(dice: u32) -> MeshRef {
    let n = dice % 5;
    MeshRef {
        id: MeshId::new(&format!("{n:064x}"), 0),
        file: format!("meshes/{}.stl", dice % 11),
        object: format!("part {n}"),
        body: None,
        unit: if dice.is_multiple_of(7) { FileUnit::Inch } else { FileUnit::Millimeter },
    }
}

/// Lengths that are mostly sensible, now and then negative, far away, or no number at all.
fn length(dice: u32) -> f64 {
    match dice % 23 {
        0 => -1.0,
        1 => f64::NAN,
        2 => f64::INFINITY,
        3 => 1e12,
        _ => f64::from(dice % 1000) / 8.0,
    }
}

fn footing(dice: u32) -> Footing {
    match dice % 4 {
        0 => Footing::Bare,
        1 => Footing::Raft { width_mm: length(dice / 4) },
        _ => Footing::Brim { width_mm: length(dice / 4) },
    }
}

/// Few colours, so that parts often belong on plates.
fn colour(dice: u32) -> String {
    ["white", "white", "white", "ochre"][dice as usize % 4].into()
}

fn setup(job: &Job, d: Dice) -> PlateSetup {
    // Mostly what a part is made with.
    let like = job.parts.get(d[0] as usize % job.parts.len().max(1)).filter(|_| !d[1].is_multiple_of(4));
    PlateSetup {
        machine: machine(job, d[2]),
        material: like.map_or_else(|| material(job, d[0]), |p| p.material),
        colour: like.map_or_else(|| colour(d[3]), |p| p.colour.clone()),
        recipe: like.map_or_else(|| recipe(job, d[1]), |p| p.recipe),
        twin: Twin::ALL.get(d[2] as usize % 7).copied(),
    }
}

fn new_part(job: &Job, d: Dice) -> NewPart {
    let mut pose = Pose::turned_deg(f64::from(d[0] % 360), f64::from(d[1] % 360));
    if d[3].is_multiple_of(13) {
        // A mirror image where only rotations are taken.
        pose.rotation[0] = pose.rotation[0].map(|v| -v);
    }
    NewPart {
        mesh: mesh(d[1]),
        name: format!("part {}", d[2] % 100),
        wanted: d[2] % 9,
        pose,
        footing: footing(d[3]),
        turns: Turns::default(),
        material: (!d[0].is_multiple_of(3)).then(|| material(job, d[0])),
        colour: colour(d[2]),
        recipe: (!d[1].is_multiple_of(3)).then(|| recipe(job, d[1])),
    }
}

fn puts(job: &Job, d: Dice) -> Vec<Put> {
    let all: Vec<CopyId> = job.plates.iter().flat_map(|p| &p.copies).map(|c| c.id).collect();
    (0..=d[0] % 4)
        .map(|i| {
            let roll = d[1].wrapping_add(i * 5);
            let copy = roll.is_multiple_of(2).then(|| one_of(&all, roll / 2, CopyId(999_999)));
            let of = copy.and_then(|c| job.copy(c)).map(|(_, c)| c.part);
            let target = if d[2].is_multiple_of(3) {
                PlateTarget::New(i as usize % 2, setup(job, d))
            } else {
                PlateTarget::Existing(plate(job, d[2]))
            };
            let turn_deg = f64::from(d[2] % 720) / 2.0;
            let (x_mm, y_mm) = (length(d[3].wrapping_add(5 * i)), length(d[3] / 3 + 4));
            Put { copy, part: of.unwrap_or_else(|| part(job, d[0])), plate: target, x_mm, y_mm, turn_deg }
        })
        .collect()
}

/// A command of this kind on this job; now and then one that it refuses.
fn command(kind: usize, d: Dice, job: &Job) -> Command {
    match kind {
        0 => Command::SetTitle { title: format!("job {}", d[0] % 5) },
        29 => Command::SetCurrency { currency: ["", "EUR", "€", "a currency too long"][d[0] as usize % 4].into() },
        30 => Command::SetAssumptions {
            assumptions: Assumptions {
                sideways_n: length(d[0]),
                safety_factor: length(d[1]),
                brim_clean_up_s: length(d[2]),
                ..Assumptions::default()
            },
        },
        31 => Command::RecordPullTest {
            material: material(job, d[0]),
            surface: ["", "glass"][d[1] as usize % 2].into(),
            test: PullTest {
                date: "2026-03-02".into(),
                column: if d[2].is_multiple_of(2) {
                    Column::Round { diameter_mm: length(d[3]) }
                } else {
                    Column::Rectangle { along_mm: length(d[3]), across_mm: 10.0 }
                },
                height_mm: length(d[1]),
                force_n: length(d[2]),
            },
        },
        1 => Command::SetMargins {
            margins: Margins { gap_mm: length(d[0]), edge_mm: length(d[1]), ..Margins::default() },
        },
        2 => Command::AddMachine {
            machine: Machine::rectangular(MachineId(d[0]), "Bench", length(d[1]), 200.0, length(d[2])),
        },
        3 => {
            let id = machine(job, d[0]);
            let old = job.machine(id).cloned().unwrap_or_else(|| Machine::rectangular(id, "", 100.0, 100.0, 100.0));
            Command::SetMachine { machine: Machine { height_mm: length(d[1]), ..old } }
        }
        4 => Command::RemoveMachine { id: machine(job, d[0]) },
        5 => Command::AddMaterial {
            material: Material { cost_per_kg: length(d[0]), ..Shop::starter().materials[0].clone() },
        },
        6 => Command::SetMaterial {
            material: Material { id: material(job, d[0]), air_c: length(d[1]), ..Shop::starter().materials[0].clone() },
        },
        7 => Command::RemoveMaterial { id: material(job, d[0]) },
        8 => Command::AddRecipe { recipe: Recipe { wall_mm_s: length(d[0]), ..Recipe::plain(RecipeId(d[1])) } },
        9 => Command::SetRecipe { recipe: Recipe { travel_mm_s: length(d[1]), ..Recipe::plain(recipe(job, d[0])) } },
        10 => Command::RemoveRecipe { id: recipe(job, d[0]) },
        11 => {
            let more = [d[3], d[0].wrapping_mul(3), d[1] / 2, d[2]];
            let both = [new_part(job, d), new_part(job, more)];
            Command::AddParts { parts: both[..=d[0] as usize % 2].to_vec() }
        }
        12 => {
            let id = part(job, d[0]);
            let old = job.part(id).cloned();
            let old = old.unwrap_or_else(|| Part { id, ..a_part(job) });
            Command::SetPart {
                part: Part {
                    wanted: d[1] % 9,
                    colour: colour(d[2]),
                    footing: footing(d[3]),
                    material: material(job, d[2]),
                    together: d[3].is_multiple_of(2),
                    // Neither is the command's to change.
                    letter: "Z".into(),
                    next_number: 0,
                    ..old
                },
            }
        }
        13 => Command::RemovePart { id: part(job, d[0]) },
        14 => Command::ReplaceMesh { old: mesh(d[0]).id, new: mesh(d[1]) },
        15 => Command::SetMeshRef { mesh: mesh(d[0]) },
        16 => Command::AddPlate { setup: setup(job, d) },
        17 => Command::SetPlate { id: plate(job, d[3]), setup: setup(job, d) },
        18 => Command::RemovePlate { id: plate(job, d[0]) },
        19 => Command::OrderPlate { id: plate(job, d[0]), place: d[1] as usize % 5 },
        20 => Command::PutCopies {
            puts: puts(job, d),
            remove: if d[3].is_multiple_of(5) { copies(job, [0, d[1], 0, 0]) } else { Vec::new() },
            drop_empty_plates: d[2].is_multiple_of(2),
        },
        21 => Command::RemoveCopies { copies: copies(job, d) },
        22 => Command::LockCopies { copies: copies(job, d), locked: d[2].is_multiple_of(2) },
        23 => Command::SetFooting { copies: copies(job, d), footing: d[2].is_multiple_of(3).then(|| footing(d[3])) },
        24 | 25 => {
            let full = Spool::full(spool(job, d[0]), "White 1", material(job, d[1]), &colour(d[2]));
            let spool = Spool { grams_left: length(d[3]), ..full };
            if kind == 24 { Command::AddSpool { spool } } else { Command::SetSpool { spool } }
        }
        26 => Command::RemoveSpool { id: spool(job, d[0]) },
        27 => {
            Command::ChooseSpool { plate: plate(job, d[0]), spool: (!d[1].is_multiple_of(4)).then(|| spool(job, d[2])) }
        }
        28 => Command::SetPreferences {
            // One in four is out of range.
            preferences: Preferences { middle: f64::from(d[0] % 4) / 2.0, ..Preferences::default() },
        },
        // One in eight welds nothing, and is refused.
        32 => Command::SetMends {
            parts: vec![part(job, d[0]), part(job, d[1])],
            mends: [Mend::FlipInsideOut, Mend::WeldUm(d[2] % 8), Mend::DropDuplicates][..d[3] as usize % 4].to_vec(),
        },
        33 => {
            let mut shifts = Shifts::default();
            shifts.hours.people = d[0] % 4;
            shifts.changeover.removal_s = length(d[1]);
            shifts.hours.exceptions = vec![OtherHours {
                from: jiff::civil::date(2026, 12, 24),
                to: jiff::civil::date(2026, 12, 22 + (d[2] % 7) as i8),
                name: String::new(),
                spans: Vec::new(),
            }];
            Command::SetShifts { shifts: Box::new(shifts) }
        }
        34 => Command::OrderPlates { order: (0..d[0] % 4).map(|i| plate(job, d[1].wrapping_add(i))).collect() },
        35 => {
            let at = |dice: u32| jiff::Timestamp::from_second(i64::from(dice)).ok();
            let run =
                RunState { fixed: d[1].is_multiple_of(2), started: at(d[2]), ended: at(d[3]), ..RunState::default() };
            Command::SetRun { plate: plate(job, d[0]), run }
        }
        36 => Command::SetTwin { plate: plate(job, d[0]), twin: Twin::ALL.get(d[1] as usize % 3).copied() },
        37 => {
            let spool = (!d[1].is_multiple_of(4)).then(|| spool(job, d[2]));
            Command::ChooseTwinSpool { plate: plate(job, d[0]), spool }
        }
        38 => {
            let of = plate(job, d[0]);
            let copies = job.plate(of).map_or(0, |p| p.copies.len());
            let run = 1 + d[1] % 3;
            let spools = if d[2].is_multiple_of(3) { vec![(spool(job, d[1]), length(d[3]))] } else { Vec::new() };
            Command::Tally { outcomes: vec![outcome(of, copies, run, d)], spools }
        }
        39 => {
            let all: Vec<OutcomeId> = job.tally.outcomes().iter().map(|o| o.id).collect();
            Command::RemoveOutcome { id: one_of(&all, d[0], OutcomeId(999_999)) }
        }
        40 => {
            let mut readiness = job.readiness.clone();
            readiness.surface_plates = d[0] % 20;
            readiness.own = vec!["Door shut".into(); d[1] as usize % 3];
            Command::SetReadiness { readiness: Box::new(readiness) }
        }
        other => unreachable!("no kind {other}: raise KINDS and make it here"),
    }
}

/// An outcome; now and then one that cannot be.
fn outcome(plate: PlateId, copies: usize, run: u32, d: Dice) -> PlateOutcome {
    let copy = |i: usize| OutcomeCopy {
        copy: format!("A {i}"),
        part: None,
        footing: Footing::Bare,
        x_mm: 1.0,
        y_mm: 2.0,
        bad: d[2].is_multiple_of(2).then_some(Cause::Warped),
    };
    PlateOutcome {
        id: OutcomeId(0),
        plate,
        number: 1,
        run,
        ended: jiff::Timestamp::from_second(i64::from(d[1])).expect("a time"),
        actual_s: length(d[3]) + 1.0,
        actual_g: None,
        by: if d[3].is_multiple_of(11) { "J".repeat(10_000) } else { "JK".into() },
        note: String::new(),
        machine: MachineId(1),
        machine_name: "Bench 1".into(),
        bed_mm: [0.0, 0.0, 240.0, 200.0],
        material: MaterialId(1),
        material_name: "PLA".into(),
        recipe: RecipeId(1),
        recipe_name: "0.20 mm".into(),
        time_factor: 1.0,
        estimated_s: None,
        estimated_g: None,
        since_surface: None,
        counted_spool: None,
        parts: Vec::new(),
        copies: (0..copies).map(copy).collect(),
        unnamed_bad: u32::from(d[2].is_multiple_of(7)),
        unnamed_cause: None,
    }
}

/// A part that the job does not hold.
fn a_part(job: &Job) -> Part {
    Part {
        id: PartId(999_999),
        letter: "Q".into(),
        name: String::new(),
        mesh: mesh(0).id,
        body: None,
        pose: Pose::default(),
        wanted: 0,
        due: None,
        material: material(job, 1),
        colour: String::new(),
        recipe: recipe(job, 1),
        footing: Footing::Bare,
        turns: Turns::default(),
        together: false,
        other_hand: None,
        mends: Vec::new(),
        clean_up: crate::document::CleanUp::default(),
        next_number: 1,
    }
}

/// What is done to a history.
#[derive(Debug, Clone)]
enum Step {
    Apply(usize, Dice),
    Begin,
    Preview(usize, Dice),
    Commit,
    Abort,
    Undo,
    Redo,
}

fn steps() -> impl Strategy<Value = Vec<Step>> {
    // Parts, plates and copies come first and often, or there is nothing to change.
    let kind = || prop_oneof![3 => 0..KINDS, 1 => Just(11), 1 => Just(16), 3 => Just(20)];
    let step = prop_oneof![
        12 => (kind(), any::<Dice>()).prop_map(|(k, d)| Step::Apply(k, d)),
        2 => Just(Step::Begin),
        4 => (kind(), any::<Dice>()).prop_map(|(k, d)| Step::Preview(k, d)),
        1 => Just(Step::Commit),
        1 => Just(Step::Abort),
        2 => Just(Step::Undo),
        2 => Just(Step::Redo),
    ];
    prop::collection::vec(step, 1..80)
}

fn start() -> Job {
    let mut job = Job::with_shop("hive", &Shop::starter());
    for name in ["Bench 2", "Bench 3"] {
        let machine = Machine::rectangular(MachineId(0), name, 200.0, 200.0, 180.0);
        job = apply(&job, &Command::AddMachine { machine }).expect("a machine").0;
    }
    for (kind, dice) in [(11, [1, 1, 4, 4]), (11, [1, 2, 4, 4]), (16, [1, 1, 1, 0])] {
        job = apply(&job, &command(kind, dice, &job)).expect("a part or a plate").0;
    }
    job
}

fn bytes(job: &Job) -> Vec<u8> {
    file::write(job).expect("what commands make can be written")
}

/// Sound, and the same again from its file.
fn is_sound(job: &Job) {
    assert_eq!(check::all(job), Vec::new());
    assert_eq!(&file::read(&bytes(job), "hive.stonehand").expect("what was saved opens"), job);
}

/// A past and a future as anyone would write them down.
#[derive(Default)]
struct Model {
    now: Job,
    past: Vec<(String, Job)>,
    future: Vec<(String, Job)>,
    gesture: Option<(String, Job)>,
}

impl Model {
    fn step_to(&mut self, label: String, before: Job, now: Job) {
        if before != now {
            self.past.push((label, before));
            self.future.clear();
        }
        self.now = now;
    }
    fn commit(&mut self) {
        if let Some((label, before)) = self.gesture.take() {
            let now = self.now.clone();
            self.step_to(label, before, now);
        }
    }
    fn abort(&mut self) -> bool {
        self.gesture.take().map(|(_, before)| self.now = before).is_some()
    }
    fn take(&mut self, step: &Step, n: usize) {
        match step {
            Step::Apply(kind, dice) => {
                self.commit();
                if let Ok((next, _)) = apply(&self.now, &command(*kind, *dice, &self.now)) {
                    let before = self.now.clone();
                    self.step_to(label(step, n), before, next);
                }
            }
            Step::Begin => {
                self.commit();
                self.gesture = Some((label(step, n), self.now.clone()));
            }
            Step::Preview(kind, dice) => {
                let before = self.gesture.as_ref().map_or(&self.now, |g| &g.1).clone();
                if let Ok((next, _)) = apply(&before, &command(*kind, *dice, &before)) {
                    if self.gesture.is_some() {
                        self.now = next;
                    } else {
                        self.step_to("change".into(), before, next);
                    }
                }
            }
            Step::Commit => self.commit(),
            Step::Abort => drop(self.abort()),
            Step::Undo => {
                if !self.abort()
                    && let Some((label, job)) = self.past.pop()
                {
                    self.future.push((label, std::mem::replace(&mut self.now, job)));
                }
            }
            Step::Redo => {
                self.abort();
                if let Some((label, job)) = self.future.pop() {
                    self.past.push((label, std::mem::replace(&mut self.now, job)));
                }
            }
        }
    }
}

fn label(step: &Step, n: usize) -> String {
    match step {
        Step::Apply(kind, _) => format!("{n}: command {kind}"),
        _ => format!("{n}: gesture"),
    }
}

fn take(history: &mut History, step: &Step, n: usize) {
    match step {
        Step::Apply(kind, dice) => {
            // What a running gesture shows counts from here on.
            history.commit();
            let command = command(*kind, *dice, history.job());
            let before = history.shared_job();
            if history.apply(&label(step, n), &command).is_err() {
                assert_eq!(history.job(), &*before, "a refused command changes nothing");
            }
        }
        Step::Begin => history.begin(&label(step, n)),
        Step::Preview(kind, dice) => {
            let command = command(*kind, *dice, history.before_gesture());
            // A refused preview leaves what was shown last.
            let _ = history.preview(&command);
        }
        Step::Commit => history.commit(),
        Step::Abort => history.abort(),
        Step::Undo => drop(history.undo()),
        Step::Redo => drop(history.redo()),
    }
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(96))]

    #[test]
    fn undo_all_and_redo_all_give_the_same_bytes(steps in steps()) {
        let begun = start();
        let mut history = History::new(begun.clone());
        let mut model = Model { now: begun.clone(), ..Model::default() };
        for (n, step) in steps.iter().enumerate() {
            let revision = history.revision();
            let before = history.shared_job();
            take(&mut history, step, n);
            model.take(step, n);
            prop_assert_eq!(history.job(), &model.now);
            prop_assert_eq!(history.undo_label(), model.past.last().map(|p| p.0.as_str()));
            prop_assert_eq!(history.redo_label(), model.future.last().map(|p| p.0.as_str()));
            prop_assert_eq!(history.in_gesture(), model.gesture.is_some());
            prop_assert!(*before == *history.job() || history.revision() > revision, "a change that nobody sees");
            is_sound(history.job());
        }
        history.commit();
        // Forward to the newest there is, back to the first, forward again: byte for byte, label for label.
        while history.redo() {}
        let newest = bytes(history.job());
        let mut labels = Vec::new();
        let mut states = vec![newest.clone()];
        while let Some(label) = history.undo_label().map(str::to_owned) {
            prop_assert!(history.undo());
            labels.push(label);
            states.push(bytes(history.job()));
        }
        prop_assert!(!history.undo());
        prop_assert_eq!(states.last(), Some(&bytes(&begun)));
        prop_assert!(!history.changed(), "back where it was saved");
        while let Some(label) = labels.pop() {
            states.pop();
            prop_assert_eq!(history.redo_label(), Some(label.as_str()));
            prop_assert!(history.redo());
            prop_assert_eq!(Some(&bytes(history.job())), states.last());
        }
        prop_assert!(!history.redo());
        prop_assert_eq!(bytes(history.job()), newest);
    }
}

/// Else the property above would say nothing of a kind.
#[test]
fn every_kind_of_command_is_made_taken_and_undone() {
    let mut seed = 7_u64;
    let mut roll = || {
        // Source: D. Knuth, MMIX, linear congruential generator; its high bits are good enough for dice.
        seed = seed.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
        (seed >> 32) as u32
    };
    let mut taken = [0; KINDS];
    let mut job = start();
    for _ in 0..6000 {
        // Parts, plates and copies more often, as above.
        let kind = match roll() as usize % (2 * KINDS) {
            kind if kind < KINDS => kind,
            more => [11, 16, 20, 20][more % 4],
        };
        let command = command(kind, [roll(), roll(), roll(), roll()], &job);
        assert_eq!(kind_of(&command), kind);
        let mut history = History::new(job.clone());
        if history.apply("step", &command).is_ok() && history.job() != &job {
            taken[kind] += 1;
            assert_eq!(history.undo_label(), Some("step"));
            assert!(history.undo() && history.job() == &job);
            assert!(history.redo());
            job = history.job().clone();
            is_sound(&job);
        }
        // Not to grow for ever.
        if job.plates.len() > 12 || job.parts.len() > 30 {
            job = start();
        }
    }
    assert!(taken.iter().all(|&n| n > 0), "never taken: {taken:?}");
}

/// A job that counts too low, or as far as numbers go, is mended or refused, never broken.
#[test]
fn counters_of_a_file_are_not_trusted() {
    let whole = start();
    let (part, plate) = (whole.parts[0].clone(), whole.plates[0].id);
    let plate_setup = PlateSetup {
        machine: whole.machines[0].id,
        material: part.material,
        colour: part.colour.clone(),
        recipe: part.recipe,
        twin: None,
    };
    let whole = apply(&whole, &Command::SetPlate { id: plate, setup: plate_setup }).expect("the part's own setup").0;
    let put =
        Put { copy: None, part: part.id, plate: PlateTarget::Existing(plate), x_mm: 9.0, y_mm: 9.0, turn_deg: 0.0 };
    let one = Command::PutCopies { puts: vec![put], remove: Vec::new(), drop_empty_plates: false };
    let whole = apply(&whole, &one).expect("a copy").0;
    let another = Command::AddParts { parts: vec![new_part(&whole, [1, 1, 4, 4])] };
    let mut low = whole.clone();
    (low.parts[0].next_number, low.letters_given) = (0, 0);
    for command in [&one, &another] {
        low = apply(&low, command).expect("counted on from what is there").0;
        is_sound(&low);
    }
    let mut full = whole.clone();
    full.next_id = u32::MAX;
    assert!(apply(&full, &one).is_err());
    let mut full = whole.clone();
    full.plates[0].copies[0].number = u32::MAX;
    assert!(apply(&full, &one).is_err());
    let mut full = whole;
    full.letters_given = u32::MAX;
    assert!(apply(&full, &another).is_err());
}

#[test]
fn files_are_renamed_in_the_past_and_the_future() {
    let mut history = History::new(start());
    let title = |t: &str| Command::SetTitle { title: t.into() };
    history.apply("one", &title("one")).expect("a title");
    history.apply("two", &title("two")).expect("a title");
    history.undo();
    history.rename_files(&|f| format!("../{f}"));
    history.mark_saved();
    let renamed = |h: &History| h.job().meshes.iter().all(|m| m.file.starts_with("../meshes/"));
    assert!(!history.job().meshes.is_empty() && renamed(&history) && !history.changed());
    assert!(history.redo() && renamed(&history) && history.job().title == "two");
    assert!(history.undo() && history.undo() && renamed(&history));
    assert_eq!(history.job().title, "hive");
}
