//! Every number that a person can set has one least and one greatest value, for the file, for commands and for estimates alike.

use serde_json::Value;
use stonehand::{
    document::{
        BedShape, Carriages, CleanUp, Footing, HeadClearance, Job, LayerFloor, Spool, SpoolId, Support, check,
        limits::{self, Allowed, Number},
    },
    edit::{Command, EditError, PlateTarget, Put, apply},
    estimate::{RecipeFault, check_machine, check_material, check_recipe},
    session::Action,
};

use super::desk::Desk;

/// A job in which a thing of every kind has every number that it can have.
fn job(bed: BedShape) -> Job {
    let mut job = Desk::with_job().session.job().clone();
    let recipe = &mut job.recipes[0];
    (recipe.support, recipe.floor) = (Some(Support::default()), LayerFloor::Typed { seconds: 10.0 });
    // What is usual is left out of a file.
    (recipe.raft_solid_top, recipe.raft_density) = (3, 0.4);
    job.materials[0].strength.flexural_mpa = 70.0;
    job.machines[0].bed = bed;
    job.machines[0].carriages = Some(Carriages { strip_mm: 12.0 });
    job.machines[0].head = Some(HeadClearance { radius_mm: 40.0, under_gantry_mm: 30.0 });
    job.parts[0].footing = Footing::Brim { width_mm: 5.0 };
    job.plates[0].copies[0].footing = Some(Footing::Raft { width_mm: 5.0 });
    job.spools.push(Spool::full(SpoolId(job.next_id), "white 1", job.materials[0].id, "white"));
    job.next_id += 1;
    assert_eq!(check::all(&job), []);
    job
}

/// The job with one number changed where it stands in the file; `None` where the file's form has no such value.
fn with(job: &Job, place: &str, value: f64) -> Option<Job> {
    let mut text: Value = serde_json::to_value(job).expect("a job is JSON");
    let number = text.pointer_mut(place).unwrap_or_else(|| panic!("{place} is in the file"));
    // Whole numbers stay whole; the file has none below nothing.
    *number = match number.is_u64() {
        true if value < 0.0 => return None,
        true => Value::from(value.ceil() as u64),
        false => Value::from(value),
    };
    Some(serde_json::from_value(text).expect("a job"))
}

/// What a command and an estimate say of a job whose number was changed.
type Said = (Option<EditError>, Option<RecipeFault>);

/// Holds every number of a table against the file's check, a command and an estimate, at both ends and just beyond them.
fn walk<T>(
    start: &Job,
    table: &[Number<T>],
    thing: &str,
    of: impl Fn(&Job) -> &T,
    said: impl Fn(&Job, &Job) -> Said,
) -> Vec<&'static str> {
    let mut walked = Vec::new();
    for n in table.iter().filter(|n| (n.value)(of(start)).is_some()) {
        let Allowed { least, most, .. } = n.allowed;
        let beyond = |end: f64| (end.abs() * 1e-6).max(1e-6);
        let place = format!("/{thing}/{}", n.key.replace('.', "/"));
        let cases = [(least, true), (most, true), (least - beyond(least), false), (most + beyond(most), false)];
        for (value, allowed) in cases {
            let Some(job) = with(start, &place, value) else { continue };
            let value = (n.value)(of(&job)).expect("a number");
            assert_eq!(n.allowed.holds(value), allowed, "{place} {value}");
            let faults = check::all(&job);
            let read = faults.iter().all(|f| !f.place.ends_with(n.key));
            assert_eq!(read, allowed, "the file, {place} {value}: {faults:?}");
            let (edit, estimate) = said(start, &job);
            assert_eq!(edit.is_none(), allowed, "a command, {place} {value}: {edit:?}");
            if let Some(fault) = estimate {
                let refused = matches!(fault, RecipeFault::OutOfRange { .. });
                assert_eq!(refused, !allowed, "an estimate, {place} {value}: {fault}");
            }
        }
        walked.push(n.key);
    }
    walked
}

fn command(job: &Job, command: &Command) -> Option<EditError> {
    apply(job, command).err()
}

/// An estimate's answer where nothing is wrong: a fault that no number out of range makes.
fn estimate(answer: Result<(), RecipeFault>, allowed: bool) -> Option<RecipeFault> {
    assert!(answer.is_err() || allowed, "an estimate takes what the file does not");
    answer.err()
}

#[test]
fn file_commands_and_estimates_agree_on_every_number() {
    let rectangle = job(BedShape::Rectangle { width_mm: 200.0, depth_mm: 200.0 });
    let sound = |job: &Job| check::all(job).is_empty();
    let recipes = walk(
        &rectangle,
        limits::RECIPE,
        "recipes/0",
        |j| &j.recipes[0],
        |start, job| {
            let set = Command::SetRecipe { recipe: job.recipes[0].clone() };
            (command(start, &set), estimate(check_recipe(&job.recipes[0]), sound(job)))
        },
    );
    assert_eq!(recipes.len(), limits::RECIPE.len());
    let materials = walk(
        &rectangle,
        limits::MATERIAL,
        "materials/0",
        |j| &j.materials[0],
        |start, job| {
            let set = Command::SetMaterial { material: job.materials[0].clone() };
            (command(start, &set), estimate(check_material(&job.materials[0]), sound(job)))
        },
    );
    assert_eq!(materials.len(), limits::MATERIAL.len());
    let mut machines = Vec::new();
    for bed in [rectangle.machines[0].bed.clone(), BedShape::Round { diameter_mm: 200.0 }] {
        machines.extend(walk(
            &job(bed),
            limits::MACHINE,
            "machines/0",
            |j| &j.machines[0],
            |start, job| {
                let set = Command::SetMachine { machine: job.machines[0].clone() };
                (command(start, &set), estimate(check_machine(&job.machines[0]), sound(job)))
            },
        ));
    }
    assert!(limits::MACHINE.iter().all(|n| machines.contains(&n.key)), "{machines:?}");
    let spools = walk(
        &rectangle,
        limits::SPOOL,
        "spools/0",
        |j| &j.spools[0],
        |start, job| (command(start, &Command::SetSpool { spool: job.spools[0].clone() }), None),
    );
    assert_eq!(spools.len(), limits::SPOOL.len());
    let margins = walk(
        &rectangle,
        limits::MARGINS,
        "margins",
        |j| &j.margins,
        |start, job| (command(start, &Command::SetMargins { margins: job.margins }), None),
    );
    assert_eq!(margins.len(), limits::MARGINS.len());
    let mut wished = rectangle.clone();
    // What is nothing may be left out of a file.
    (wished.preferences.tall_apart, wished.preferences.travel) = (1.0, 1.0);
    let preferences = walk(
        &wished,
        limits::PREFERENCES,
        "preferences",
        |j| &j.preferences,
        |start, job| (command(start, &Command::SetPreferences { preferences: job.preferences }), None),
    );
    assert_eq!(preferences.len(), limits::PREFERENCES.len());
    let mut cleaned = rectangle.clone();
    cleaned.parts[0].clean_up = CleanUp { brim_s: Some(1.0), raft_s: Some(1.0) };
    let parts = walk(
        &cleaned,
        limits::PART,
        "parts/0",
        |j| &j.parts[0],
        |start, job| (command(start, &Command::SetPart { part: job.parts[0].clone() }), None),
    );
    assert_eq!(parts.len(), limits::PART.len());
    let copies = walk(
        &rectangle,
        limits::COPY,
        "plates/0/copies/0",
        |j| &j.plates[0].copies[0],
        |start, job| {
            let (plate, copy) = (&job.plates[0], &job.plates[0].copies[0]);
            let put = Put {
                copy: Some(copy.id),
                part: copy.part,
                plate: PlateTarget::Existing(plate.id),
                x_mm: copy.x_mm,
                y_mm: copy.y_mm,
                turn_deg: copy.turn_deg,
            };
            let put = Command::PutCopies { puts: vec![put], remove: Vec::new(), drop_empty_plates: false };
            let footing = Command::SetFooting { copies: vec![copy.id], footing: copy.footing };
            (command(start, &put).or_else(|| command(start, &footing)), None)
        },
    );
    assert_eq!(copies.len(), limits::COPY.len());
}

/// Four thousand million rows of nothing took minutes, and of two copies they overflowed.
#[test]
fn rows_and_columns_of_nothing_and_of_too_many_are_refused() {
    let mut desk = Desk::with_job();
    let mut refused = |selected: Action, columns: u32, rows: u32| {
        desk.act(selected);
        let grid = Action::Grid { columns, rows, pitch_x_mm: None, pitch_y_mm: Some(50.0) };
        desk.session.try_act(grid).expect_err("it is refused").to_string()
    };
    assert!(refused(Action::SelectNone, 1, u32::MAX).contains("select the copies"));
    for (columns, rows) in [(u32::MAX, u32::MAX), (0, 3), (3, 0), (5000, 1)] {
        let why = refused(Action::SelectAll, columns, rows);
        assert!(why.contains("1 to 5000 copies"), "{why}");
    }
}
