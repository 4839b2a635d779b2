//! Deciding on a command and carrying it out.

use std::collections::{BTreeMap, BTreeSet};

use super::{Command, EditError, PlateSetup, PlateTarget, Put};
use crate::document::{
    Adhesion, Copy, CopyId, Job, MachineId, MaterialId, MeshId, OutcomeId, Part, PartId, Plate, PlateId, PlateOutcome,
    Pose, RecipeId, Spool, SpoolId, Tally,
    check::{self, Fault},
    letter,
    limits::{self, Allowed, MOST_COPIES, Number},
};

/// What a command made, in the order asked for.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct Outcome {
    /// New parts.
    pub parts: Vec<PartId>,
    /// New plates.
    pub plates: Vec<PlateId>,
    /// New copies.
    pub copies: Vec<CopyId>,
    /// New machine.
    pub machine: Option<MachineId>,
    /// New material.
    pub material: Option<MaterialId>,
    /// New recipe.
    pub recipe: Option<RecipeId>,
    /// New spool.
    pub spool: Option<SpoolId>,
}

/// Carries out a command on a copy of the job. An error leaves nothing changed.
pub fn apply(job: &Job, command: &Command) -> Result<(Job, Outcome), EditError> {
    let mut next = job.clone();
    let mut out = Outcome::default();
    run(&mut next, command, &mut out)?;
    Ok((next, out))
}

fn run(job: &mut Job, command: &Command, out: &mut Outcome) -> Result<(), EditError> {
    match command {
        Command::SetTitle { title } => job.title.clone_from(title),
        Command::SetCurrency { currency } => {
            let job_with = Job { currency: currency.clone(), ..Job::default() };
            sound(|faults| check::currency::check(&job_with, faults))?;
            job.currency.clone_from(currency);
        }
        Command::SetMargins { margins } => {
            numbers(margins, limits::MARGINS)?;
            job.margins = *margins;
        }
        Command::SetPreferences { preferences } => {
            numbers(preferences, limits::PREFERENCES)?;
            job.preferences = *preferences;
        }
        Command::SetAssumptions { assumptions } => {
            numbers(assumptions, limits::ASSUMPTIONS)?;
            sound(|faults| check::assumptions::assumptions(assumptions, "assumptions", faults))?;
            job.assumptions.clone_from(assumptions);
        }
        Command::SetShifts { shifts } => {
            sound(|faults| check::shifts::shifts(shifts, "shifts", faults))?;
            job.shifts = (**shifts).clone();
        }
        Command::RecordPullTest { material, surface, test } => {
            let place = find(&job.materials, |m| m.id == *material, "material", material.0)?;
            let shown = Adhesion::tested(surface, test.clone());
            numbers(&shown, limits::ADHESION)?;
            let adhesions = &mut job.materials[place].adhesions;
            match adhesions.iter_mut().find(|a| a.surface == *surface) {
                Some(old) => *old = shown,
                None => adhesions.push(shown),
            }
        }
        Command::AddMachine { machine } => {
            sound(|faults| check::machines::machine(machine, "machine", faults))?;
            let mut machine = machine.clone();
            machine.id = MachineId(new_id(job)?);
            out.machine = Some(machine.id);
            job.machines.push(machine);
        }
        Command::SetMachine { machine } => {
            let place = find(&job.machines, |m| m.id == machine.id, "machine", machine.id.0)?;
            sound(|faults| check::machines::machine(machine, "machine", faults))?;
            job.machines[place] = machine.clone();
        }
        Command::RemoveMachine { id } => {
            let place = find(&job.machines, |m| m.id == *id, "machine", id.0)?;
            if let Some(i) = job.plates.iter().position(|p| p.machine == *id) {
                return Err(in_use(&job.machines[place].name, i));
            }
            job.machines.remove(place);
        }
        Command::AddMaterial { material } => {
            sound(|faults| check::materials::material(material, "material", faults))?;
            let mut material = material.clone();
            material.id = MaterialId(new_id(job)?);
            out.material = Some(material.id);
            job.materials.push(material);
        }
        Command::SetMaterial { material } => {
            let place = find(&job.materials, |m| m.id == material.id, "material", material.id.0)?;
            sound(|faults| check::materials::material(material, "material", faults))?;
            job.materials[place] = material.clone();
        }
        Command::RemoveMaterial { id } => {
            let place = find(&job.materials, |m| m.id == *id, "material", id.0)?;
            let name = &job.materials[place].name;
            if let Some(i) = job.plates.iter().position(|p| p.material == *id) {
                return Err(in_use(name, i));
            }
            if let Some(part) = job.parts.iter().find(|p| p.material == *id) {
                return Err(EditError::InUse { what: name.clone(), by: part.name.clone() });
            }
            if let Some(spool) = job.spools.iter().find(|s| s.material == *id) {
                return Err(EditError::InUse { what: name.clone(), by: format!("the spool {}", spool.name) });
            }
            job.materials.remove(place);
        }
        Command::AddRecipe { recipe } => {
            sound(|faults| check::recipes::recipe(recipe, "recipe", faults))?;
            let mut recipe = recipe.clone();
            recipe.id = RecipeId(new_id(job)?);
            out.recipe = Some(recipe.id);
            job.recipes.push(recipe);
        }
        Command::SetRecipe { recipe } => {
            let place = find(&job.recipes, |m| m.id == recipe.id, "recipe", recipe.id.0)?;
            sound(|faults| check::recipes::recipe(recipe, "recipe", faults))?;
            job.recipes[place] = recipe.clone();
        }
        Command::RemoveRecipe { id } => {
            let place = find(&job.recipes, |m| m.id == *id, "recipe", id.0)?;
            let name = &job.recipes[place].name;
            if let Some(i) = job.plates.iter().position(|p| p.recipe == *id) {
                return Err(in_use(name, i));
            }
            if let Some(part) = job.parts.iter().find(|p| p.recipe == *id) {
                return Err(EditError::InUse { what: name.clone(), by: part.name.clone() });
            }
            job.recipes.remove(place);
        }
        Command::AddSpool { spool } => {
            check_spool(job, spool)?;
            let spool = Spool { id: SpoolId(new_id(job)?), ..spool.clone() };
            out.spool = Some(spool.id);
            job.spools.push(spool);
        }
        Command::SetSpool { spool } => {
            let place = find(&job.spools, |s| s.id == spool.id, "spool", spool.id.0)?;
            check_spool(job, spool)?;
            job.spools[place] = spool.clone();
        }
        Command::RemoveSpool { id } => {
            let place = find(&job.spools, |s| s.id == *id, "spool", id.0)?;
            if let Some(i) = job.plates.iter().position(|p| p.spool == Some(*id) || p.twin_spool == Some(*id)) {
                return Err(in_use(&job.spools[place].name, i));
            }
            job.spools.remove(place);
        }
        Command::ChooseSpool { plate, spool } => {
            if let Some(id) = spool {
                job.spool(*id).ok_or_else(|| unknown("spool", &id.0))?;
            }
            plate_mut(job, *plate)?.spool = *spool;
        }
        Command::ChooseTwinSpool { plate, spool } => {
            if let Some(id) = spool {
                job.spool(*id).ok_or_else(|| unknown("spool", &id.0))?;
            }
            plate_mut(job, *plate)?.twin_spool = *spool;
        }
        Command::AddParts { parts } => {
            for part in parts {
                add_part(job, part, out)?;
            }
        }
        Command::SetPart { part } => {
            let place = find(&job.parts, |p| p.id == part.id, "part", part.id.0)?;
            check_part(job, part)?;
            let old = &job.parts[place];
            let kept = Part {
                letter: old.letter.clone(),
                mesh: old.mesh.clone(),
                body: old.body,
                mends: old.mends.clone(),
                next_number: old.next_number,
                ..part.clone()
            };
            job.parts[place] = kept;
        }
        Command::RemovePart { id } => {
            let place = find(&job.parts, |p| p.id == *id, "part", id.0)?;
            job.parts.remove(place);
            for part in job.parts.iter_mut().filter(|p| p.other_hand == Some(*id)) {
                part.other_hand = None;
            }
            for plate in &mut job.plates {
                plate.copies.retain(|c| c.part != *id);
            }
            drop_unused_meshes(job);
        }
        Command::ReplaceMesh { old, new } => {
            if job.mesh(old).is_none() {
                return Err(unknown("mesh", &old.0));
            }
            if job.mesh(&new.id).is_none() {
                job.meshes.push(new.clone());
            }
            for part in job.parts.iter_mut().filter(|p| p.mesh == *old) {
                part.mesh = new.id.clone();
            }
            drop_unused_meshes(job);
        }
        Command::SetMeshRef { mesh } => {
            let place = job.meshes.iter().position(|m| m.id == mesh.id).ok_or_else(|| unknown("mesh", &mesh.id.0))?;
            job.meshes[place] = mesh.clone();
        }
        Command::SetMends { parts, mends } => {
            sound(|faults| check::mends::mends(mends, "mends", faults))?;
            for id in parts {
                let place = find(&job.parts, |p| p.id == *id, "part", id.0)?;
                job.parts[place].mends.clone_from(mends);
            }
        }
        Command::AddPlate { setup } => {
            let id = add_plate(job, setup)?;
            out.plates.push(id);
        }
        Command::SetPlate { id, setup } => {
            check_setup(job, setup)?;
            let plate = plate_mut(job, *id)?;
            plate.machine = setup.machine;
            plate.material = setup.material;
            plate.colour.clone_from(&setup.colour);
            plate.recipe = setup.recipe;
            plate.twin = setup.twin;
        }
        Command::RemovePlate { id } => {
            let place = find(&job.plates, |p| p.id == *id, "plate", id.0)?;
            job.plates.remove(place);
        }
        Command::OrderPlate { id, place } => {
            let from = find(&job.plates, |p| p.id == *id, "plate", id.0)?;
            let plate = job.plates.remove(from);
            let to = (*place).min(job.plates.len());
            job.plates.insert(to, plate);
        }
        Command::OrderPlates { order } => {
            let mut rest = std::mem::take(&mut job.plates);
            for id in order {
                let place = find(&rest, |p| p.id == *id, "plate", id.0)?;
                job.plates.push(rest.remove(place));
            }
            // Plates that the order does not name keep their sequence, at the end.
            job.plates.append(&mut rest);
        }
        Command::SetRun { plate, run } => {
            sound(|faults| check::runs::run(run, "run", faults))?;
            plate_mut(job, *plate)?.run = *run;
        }
        Command::Tally { outcomes, spools } => tally(job, outcomes, spools)?,
        Command::RemoveOutcome { id } => {
            let mut all = job.tally.outcomes().to_vec();
            let place = find(&all, |o| o.id == *id, "outcome", id.0)?;
            all.remove(place);
            job.tally = Tally::new(all);
        }
        Command::SetReadiness { readiness } => {
            sound(|faults| check::readiness::readiness(readiness, "readiness", faults))?;
            job.readiness = (**readiness).clone();
        }
        Command::SetTwin { plate, twin } => plate_mut(job, *plate)?.twin = *twin,
        Command::PutCopies { puts, remove, drop_empty_plates } => {
            put_copies(job, puts, remove, *drop_empty_plates, out)?;
        }
        Command::RemoveCopies { copies } => {
            remove_copies(job, copies)?;
        }
        Command::LockCopies { copies, locked } => {
            for id in copies {
                copy_mut(job, *id)?.locked = *locked;
            }
        }
        Command::SetFooting { copies, footing } => {
            if let Some(f) = footing {
                within(limits::OWN_FOOTING_WIDTH, f.width_mm())?;
            }
            for id in copies {
                copy_mut(job, *id)?.footing = *footing;
            }
        }
    }
    Ok(())
}

fn tally(job: &mut Job, outcomes: &[PlateOutcome], spools: &[(SpoolId, f64)]) -> Result<(), EditError> {
    let mut all = job.tally.outcomes().to_vec();
    let mut places: BTreeMap<(PlateId, u32), usize> =
        all.iter().enumerate().map(|(i, o)| ((o.plate, o.run), i)).collect();
    for outcome in outcomes {
        sound(|faults| check::tally::outcome(outcome, "outcome", faults))?;
        let place = places.get(&(outcome.plate, outcome.run)).copied();
        let id = match place {
            Some(i) => all[i].id,
            None => OutcomeId(new_id(job)?),
        };
        let run = &mut plate_mut(job, outcome.plate)?.run;
        run.ended = run.ended.or(Some(outcome.ended));
        if run.started.is_none() {
            let took = jiff::SignedDuration::from_secs(outcome.actual_s as i64);
            run.started = run.ended.and_then(|t| t.checked_sub(took).ok());
        }
        let outcome = PlateOutcome { id, ..outcome.clone() };
        if let Some(i) = place {
            all[i] = outcome;
        } else {
            places.insert((outcome.plate, outcome.run), all.len());
            all.push(outcome);
        }
    }
    if all.len() > limits::MOST_OUTCOMES {
        return Err(EditError::TooManyOutcomes { most: limits::MOST_OUTCOMES });
    }
    for (id, left_g) in spools {
        within(limits::GRAMS_LEFT, *left_g)?;
        let place = find(&job.spools, |s| s.id == *id, "spool", id.0)?;
        job.spools[place].grams_left = *left_g;
    }
    job.tally = Tally::new(all);
    Ok(())
}

fn add_part(job: &mut Job, new: &super::NewPart, out: &mut Outcome) -> Result<(), EditError> {
    let material = new.material.or_else(|| job.materials.first().map(|m| m.id));
    let recipe = new.recipe.or_else(|| job.recipes.first().map(|r| r.id));
    let part = Part {
        id: PartId(new_id(job)?),
        letter: new_letter(job)?,
        name: new.name.clone(),
        mesh: new.mesh.id.clone(),
        body: new.mesh.body,
        pose: new.pose,
        wanted: new.wanted,
        due: None,
        material: material.ok_or_else(|| unknown("material", &"(none)"))?,
        colour: new.colour.clone(),
        recipe: recipe.ok_or_else(|| unknown("recipe", &"(none)"))?,
        footing: new.footing,
        turns: new.turns,
        together: false,
        other_hand: None,
        mends: Vec::new(),
        clean_up: crate::document::CleanUp::default(),
        next_number: 1,
    };
    check_part(job, &part)?;
    if job.mesh(&new.mesh.id).is_none() {
        let mut mesh = new.mesh.clone();
        mesh.body = None;
        job.meshes.push(mesh);
    }
    out.parts.push(part.id);
    job.parts.push(part);
    Ok(())
}

fn put_copies(
    job: &mut Job,
    puts: &[Put],
    remove: &[CopyId],
    drop_empty: bool,
    out: &mut Outcome,
) -> Result<(), EditError> {
    let had: Vec<PlateId> = job.plates.iter().filter(|p| !p.copies.is_empty()).map(|p| p.id).collect();
    let total: usize = job.plates.iter().map(|p| p.copies.len()).sum();
    if total + puts.iter().filter(|p| p.copy.is_none()).count() > MOST_COPIES {
        return Err(EditError::TooMany { most: MOST_COPIES });
    }
    if puts.iter().any(|p| p.copy.is_none()) {
        raise_numbers(job)?;
    }
    let mut made: Vec<(usize, PlateId)> = Vec::new();
    // Of twenty thousand copies none is looked for among all.
    let mut lying: BTreeMap<CopyId, PlateId> =
        job.plates.iter().flat_map(|p| p.copies.iter().map(|c| (c.id, p.id))).collect();
    for put in puts {
        let place = [(limits::PLACE_X, put.x_mm), (limits::PLACE_Y, put.y_mm), (limits::TURN, put.turn_deg)];
        for (allowed, v) in place {
            within(allowed, v)?;
        }
        let target = match &put.plate {
            PlateTarget::Existing(id) => *id,
            PlateTarget::New(n, setup) => {
                if let Some((_, id)) = made.iter().find(|(m, _)| m == n) {
                    *id
                } else {
                    let id = add_plate(job, setup)?;
                    made.push((*n, id));
                    out.plates.push(id);
                    id
                }
            }
        };
        let part = job.part(put.part).ok_or_else(|| unknown("part", &put.part.0))?.clone();
        let plate = job.plate(target).ok_or_else(|| unknown("plate", &target.0))?;
        let lies_there = put.copy.is_some_and(|id| lying.get(&id) == Some(&target));
        if !lies_there && !job.belongs(&part, plate) {
            return Err(EditError::Mixed { part: part.name });
        }
        if let Some(id) = put.copy {
            let from = plate_mut(job, lying.get(&id).copied().unwrap_or(target))?;
            let place = find(&from.copies, |c| c.id == id, "copy", id.0)?;
            let copy = &mut from.copies[place];
            (copy.x_mm, copy.y_mm, copy.turn_deg) = (put.x_mm, put.y_mm, put.turn_deg);
            if !lies_there {
                let copy = from.copies.remove(place);
                plate_mut(job, target)?.copies.push(copy);
                lying.insert(id, target);
            }
        } else {
            let id = CopyId(new_id(job)?);
            let place = find(&job.parts, |p| p.id == put.part, "part", put.part.0)?;
            let number = job.parts[place].next_number;
            job.parts[place].next_number = next(number, "numbers of copies")?;
            let copy = Copy {
                id,
                part: put.part,
                number,
                x_mm: put.x_mm,
                y_mm: put.y_mm,
                turn_deg: put.turn_deg,
                locked: false,
                footing: None,
            };
            plate_mut(job, target)?.copies.push(copy);
            lying.insert(id, target);
            out.copies.push(id);
        }
    }
    remove_copies(job, remove)?;
    if drop_empty {
        job.plates.retain(|p| !p.copies.is_empty() || !had.contains(&p.id));
    }
    Ok(())
}

fn remove_copies(job: &mut Job, copies: &[CopyId]) -> Result<(), EditError> {
    let gone: BTreeSet<CopyId> = copies.iter().copied().collect();
    let there: BTreeSet<CopyId> = job.plates.iter().flat_map(|p| &p.copies).map(|c| c.id).collect();
    if let Some(id) = gone.difference(&there).next() {
        return Err(unknown("copy", &id.0));
    }
    for plate in &mut job.plates {
        plate.copies.retain(|c| !gone.contains(&c.id));
    }
    Ok(())
}

fn add_plate(job: &mut Job, setup: &PlateSetup) -> Result<PlateId, EditError> {
    check_setup(job, setup)?;
    let id = PlateId(new_id(job)?);
    job.plates.push(Plate {
        id,
        machine: setup.machine,
        material: setup.material,
        colour: setup.colour.clone(),
        recipe: setup.recipe,
        spool: None,
        twin: setup.twin,
        twin_spool: None,
        run: crate::document::RunState::default(),
        copies: Vec::new(),
    });
    Ok(id)
}

fn drop_unused_meshes(job: &mut Job) {
    let used: Vec<MeshId> = job.parts.iter().map(|p| p.mesh.clone()).collect();
    job.meshes.retain(|m| used.contains(&m.id));
}

fn new_id(job: &mut Job) -> Result<u32, EditError> {
    let id = job.next_id;
    job.next_id = next(id, "ids")?;
    Ok(id)
}

/// The next of a counter, which a file may hold at any value.
fn next(n: u32, what: &'static str) -> Result<u32, EditError> {
    n.checked_add(1).ok_or(EditError::Exhausted { what })
}

/// A letter that no part has: the next one, or a later one where a file counts too low.
fn new_letter(job: &mut Job) -> Result<String, EditError> {
    loop {
        let new = letter(job.letters_given as usize);
        job.letters_given = next(job.letters_given, "letters")?;
        if job.parts.iter().all(|p| p.letter != new) {
            return Ok(new);
        }
    }
}

/// Raises what the next copies of parts are numbered where a file counts too low: two copies of one name could not be
/// told apart, and the job could not be opened again.
fn raise_numbers(job: &mut Job) -> Result<(), EditError> {
    let mut highest: BTreeMap<PartId, u32> = BTreeMap::new();
    for copy in job.plates.iter().flat_map(|p| &p.copies) {
        let most = highest.entry(copy.part).or_default();
        *most = copy.number.max(*most);
    }
    for part in &mut job.parts {
        if let Some(&most) = highest.get(&part.id).filter(|&&most| most >= part.next_number) {
            part.next_number = next(most, "numbers of copies")?;
        }
    }
    Ok(())
}

/// The first fault that a check of the file form finds.
fn sound(check: impl Fn(&mut Vec<Fault>)) -> Result<(), EditError> {
    let mut faults = Vec::new();
    check(&mut faults);
    match faults.into_iter().next() {
        None => Ok(()),
        Some(Fault { place, text }) => Err(EditError::Value { place, text }),
    }
}

fn unknown(kind: &'static str, id: &dyn std::fmt::Display) -> EditError {
    EditError::Unknown { kind, id: id.to_string() }
}

fn in_use(what: &str, plate: usize) -> EditError {
    EditError::InUse { what: what.into(), by: format!("plate {}", plate + 1) }
}

fn find<T>(list: &[T], is: impl Fn(&T) -> bool, kind: &'static str, id: u32) -> Result<usize, EditError> {
    list.iter().position(is).ok_or_else(|| unknown(kind, &id))
}

fn plate_mut(job: &mut Job, id: PlateId) -> Result<&mut Plate, EditError> {
    job.plates.iter_mut().find(|p| p.id == id).ok_or_else(|| unknown("plate", &id.0))
}

fn copy_mut(job: &mut Job, id: CopyId) -> Result<&mut Copy, EditError> {
    job.plates.iter_mut().flat_map(|p| &mut p.copies).find(|c| c.id == id).ok_or_else(|| unknown("copy", &id.0))
}

fn within(allowed: Allowed, got: f64) -> Result<(), EditError> {
    if allowed.holds(got) {
        Ok(())
    } else {
        Err(EditError::Number { what: allowed.name, wanted: allowed.words(), got })
    }
}

/// Whether a thing's numbers are all allowed.
fn numbers<T>(thing: &T, table: &[Number<T>]) -> Result<(), EditError> {
    table
        .iter()
        .filter_map(|n| Some((n.allowed, (n.value)(thing)?)))
        .try_for_each(|(allowed, got)| within(allowed, got))
}

fn check_pose(p: &Pose) -> Result<(), EditError> {
    let wrong = |got| EditError::Number { what: "pose", wanted: "a rotation".into(), got };
    let r = &p.rotation;
    for i in 0..3 {
        for j in 0..3 {
            let dot: f64 = (0..3).map(|k| r[i][k] * r[j][k]).sum();
            let off = (dot - f64::from(u8::from(i == j))).abs();
            // Written so that what is not a number fails too.
            if !(0.0..=1e-6).contains(&off) {
                return Err(wrong(off));
            }
        }
    }
    // A mirror image is a pose's own word, not a matrix.
    let minor = |i: usize, j: usize| r[1][i] * r[2][j] - r[1][j] * r[2][i];
    let determinant = r[0][0] * minor(1, 2) - r[0][1] * minor(0, 2) + r[0][2] * minor(0, 1);
    if (0.9..=1.1).contains(&determinant) { Ok(()) } else { Err(wrong(determinant)) }
}

fn check_part(job: &Job, part: &Part) -> Result<(), EditError> {
    numbers(part, limits::PART)?;
    check_pose(&part.pose)?;
    job.material(part.material).ok_or_else(|| unknown("material", &part.material.0))?;
    job.recipe(part.recipe).ok_or_else(|| unknown("recipe", &part.recipe.0))?;
    Ok(())
}

fn check_spool(job: &Job, spool: &Spool) -> Result<(), EditError> {
    sound(|faults| check::spools::spool(spool, "spool", faults))?;
    job.material(spool.material).ok_or_else(|| unknown("material", &spool.material.0))?;
    Ok(())
}

fn check_setup(job: &Job, setup: &PlateSetup) -> Result<(), EditError> {
    job.machine(setup.machine).ok_or_else(|| unknown("machine", &setup.machine.0))?;
    job.material(setup.material).ok_or_else(|| unknown("material", &setup.material.0))?;
    job.recipe(setup.recipe).ok_or_else(|| unknown("recipe", &setup.recipe.0))?;
    Ok(())
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::document::{FileUnit, Footing, MeshRef, Shop, Turns, file};

    /// What commands make must be what the file form accepts: a saved job opens again, byte for byte.
    #[test]
    fn a_job_made_by_commands_is_saved_and_opened() {
        let mut job = Job::with_shop("hive", &Shop::starter());
        let mesh = MeshRef {
            id: MeshId::new(&"0".repeat(64), 0),
            file: "peg.stl".into(),
            object: "peg".into(),
            body: None,
            unit: FileUnit::Millimeter,
        };
        let new = crate::edit::NewPart {
            mesh,
            name: "peg".into(),
            wanted: 3,
            pose: Pose::default(),
            footing: Footing::Brim { width_mm: 5.0 },
            turns: Turns::default(),
            material: None,
            colour: String::new(),
            recipe: None,
        };
        let (next, out) = apply(&job, &Command::AddParts { parts: vec![new] }).expect("a part");
        job = next;
        let part = job.part(out.parts[0]).expect("it is there").clone();
        let setup = PlateSetup {
            machine: job.machines[0].id,
            material: part.material,
            colour: part.colour.clone(),
            recipe: part.recipe,
            twin: None,
        };
        let puts = (0..3)
            .map(|n| Put {
                copy: None,
                part: part.id,
                plate: PlateTarget::New(0, setup.clone()),
                x_mm: 20.0 + 30.0 * f64::from(n),
                y_mm: 20.0,
                turn_deg: 0.0,
            })
            .collect();
        let command = Command::PutCopies { puts, remove: Vec::new(), drop_empty_plates: false };
        let (job, out) = apply(&job, &command).expect("copies");
        assert_eq!((out.plates.len(), out.copies.len()), (1, 3));
        let bytes = file::write(&job).expect("writes");
        let back = file::read(&bytes, "hive.stonehand").expect("opens again");
        assert_eq!(back, job);
        assert_eq!(file::write(&back).expect("writes"), bytes);
    }
}
