//! A layout as a change of the job.

use std::collections::BTreeMap;

use crate::{
    document::{CopyId, Job, PartId},
    edit::{Command, PlateSetup, PlateTarget, Put},
    packing::Layout,
    plate::{NewPlate, Placed, PlacedCopy, Target, Task},
};

/// The command that turns a layout into the job's plates.
pub(super) fn command_of(task: &Task, layout: &Layout, drop_empty: bool) -> Command {
    let placed = task.mapping.back(layout);
    let now = task.mapping.places();
    let mut puts = Vec::new();
    for (n, plate) in placed.plates.iter().enumerate() {
        let target = match &plate.target {
            Target::Existing(id) => PlateTarget::Existing(*id),
            Target::New(new) => PlateTarget::New(n, setup_of_new(new)),
        };
        let moved = plate.copies.iter().filter(|c| !c.stays(&plate.target, &now));
        puts.extend(moved.map(|c| put_at(c, c.copy, target.clone())));
    }
    let remove = placed.unplaced.iter().flat_map(|u| u.copies.clone()).collect();
    Command::PutCopies { puts, remove, drop_empty_plates: drop_empty }
}

/// The command that puts a layout on plates of its own, as new copies: what it was made for is another now. Plates are
/// made as they were when the search began (`begun_with`); parts that have gone since, or go with other plates now, are
/// left out.
pub(super) fn command_apart(job: &Job, begun_with: &Job, task: &Task, layout: &Layout) -> Command {
    let placed = task.mapping.back(layout);
    let mut puts = Vec::new();
    for (n, plate) in placed.plates.iter().enumerate() {
        let setup = match &plate.target {
            Target::Existing(id) => match job.plate(*id).or_else(|| begun_with.plate(*id)) {
                Some(p) => PlateSetup::of(p),
                None => continue,
            },
            Target::New(new) => setup_of_new(new),
        };
        let goes_there = |part: PartId| {
            job.part(part)
                .is_some_and(|p| p.material == setup.material && p.colour == setup.colour && p.recipe == setup.recipe)
        };
        let copies = plate.copies.iter().filter(|c| goes_there(c.part));
        puts.extend(copies.map(|c| put_at(c, None, PlateTarget::New(n, setup.clone()))));
    }
    Command::put(puts)
}

fn put_at(placed: &PlacedCopy, copy: Option<CopyId>, plate: PlateTarget) -> Put {
    let (x_mm, y_mm) = (placed.at.x, placed.at.y);
    Put { copy, part: placed.part, plate, x_mm, y_mm, turn_deg: placed.turn_deg() }
}

fn setup_of_new(new: &NewPlate) -> PlateSetup {
    let NewPlate { machine, material, recipe, twin, .. } = *new;
    PlateSetup { machine, material, colour: new.colour.clone(), recipe, twin }
}

/// Copies that lie on plates and for which the layout has no place.
pub(super) fn without_room(placed: &Placed) -> Vec<CopyId> {
    placed.unplaced.iter().flat_map(|u| u.copies.iter().copied()).collect()
}

/// Why copies of a part found no place.
pub(super) fn reasons(placed: &Placed) -> BTreeMap<PartId, String> {
    placed.unplaced.iter().map(|u| (u.part, u.why.clone())).collect()
}
