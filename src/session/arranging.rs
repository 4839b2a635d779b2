//! Pack and Top up under way.

use std::{collections::BTreeMap, sync::Arc, time::Duration};

use super::fingerprint::Concern;
use crate::{
    document::{CopyId, Job, PartId, PlateId},
    edit::{Command, PlateSetup, PlateTarget, Put},
    packing::{Aim, Bound, Item, Layout},
    plate::{NewPlate, Placed, PlacedCopy, Target, Task},
    work::Ticket,
};

/// How long to search.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct ArrangeLimits {
    /// Seed of the search.
    pub seed: u64,
    /// Rounds: the same seed and rounds give the same layout.
    pub rounds: Option<u64>,
    /// Time allowed.
    pub time: Option<Duration>,
}

impl Default for ArrangeLimits {
    fn default() -> Self {
        Self { seed: 1, rounds: None, time: Some(Duration::from_secs(10)) }
    }
}

/// Pack or Top up under way.
#[derive(Debug)]
pub struct Arranging {
    pub(super) ticket: Ticket,
    /// "Pack this plate".
    pub label: String,
    /// How far, 0 to 1.
    pub done: f64,
    /// What it does.
    pub what: String,
    /// What no layout can beat, where it is known.
    pub bound: Option<Bound>,
    pub(super) task: Arc<Task>,
    pub(super) best: Option<Arc<Layout>>,
    /// The job as it would be with the best layout so far: what the sheet shows meanwhile.
    pub(super) shown: Option<Arc<Job>>,
    pub(super) drop_empty: bool,
    /// The plate topped up, for its bound.
    pub(super) bound_of: Option<PlateId>,
    /// The part topped up, if it is one.
    pub(super) topped: Option<PartId>,
    /// The job as it was when the search began.
    pub(super) begun_with: Arc<Job>,
    /// What of it the search is about.
    pub(super) concern: Concern,
    /// Time allowed.
    pub(super) limit: Option<Duration>,
}

/// How a search gets on, for one line.
#[derive(Debug, Clone, PartialEq)]
pub struct Standing {
    /// Copies placed by the best layout so far, with those that stay where they are.
    pub copies: usize,
    /// Shadows of all copies on the beds in use as a share of the room there, 0 to 1.
    pub density: f64,
    /// Beds in use.
    pub beds: usize,
    /// What no layout can beat, where it is known: copies (Top up) or beds (Pack).
    pub bound: Option<Bound>,
    /// The part the bound speaks of (Top up).
    pub topped: Option<PartId>,
    /// Is the bound on beds?
    pub bounds_beds: bool,
    /// Time spent and allowed, s.
    pub time_s: Option<(f64, f64)>,
}

impl Arranging {
    /// How it gets on.
    pub fn standing(&self) -> Standing {
        let problem = &self.task.problem;
        let area = |items: &[Item]| -> f64 {
            items.iter().filter_map(|i| problem.shapes.get(i.shape)).map(|s| s.shadow.region().area()).sum()
        };
        // Before a better layout is found: what lies there now.
        let now = self.task.mapping.now();
        let layout = self.best.as_deref().unwrap_or(&now);
        let (mut copies, mut beds, mut covered, mut room) = (0, 0, 0.0, 0.0);
        for (n, bed) in problem.beds.iter().enumerate() {
            let free = layout.beds.get(n).map_or(&[][..], Vec::as_slice);
            copies += free.len() + bed.fixed.len();
            if free.len() + bed.fixed.len() > 0 {
                beds += 1;
                covered += area(free) + area(&bed.fixed);
                room += bed.room.area();
            }
        }
        let density = if room > 0.0 { covered / room } else { 0.0 };
        let time_s = self.limit.map(|l| (self.done * l.as_secs_f64(), l.as_secs_f64()));
        let bounds_beds = matches!(problem.aim, Aim::Pack { .. });
        Standing { copies, density, beds, bound: self.bound, topped: self.topped, bounds_beds, time_s }
    }
}

/// The command that turns a layout into the job's plates.
pub(super) fn command_of(task: &Task, layout: &Layout, drop_empty: bool) -> Command {
    let placed = task.mapping.back(layout);
    let mut puts = Vec::new();
    for (n, plate) in placed.plates.iter().enumerate() {
        let target = match &plate.target {
            Target::Existing(id) => PlateTarget::Existing(*id),
            Target::New(new) => PlateTarget::New(n, setup_of_new(new)),
        };
        let moved = plate.copies.iter().filter(|c| !task.mapping.stays(c, &plate.target));
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
                Some(p) => setup_of(p),
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
    Command::PutCopies { puts, remove: Vec::new(), drop_empty_plates: false }
}

fn put_at(placed: &PlacedCopy, copy: Option<CopyId>, plate: PlateTarget) -> Put {
    let (x_mm, y_mm) = (placed.at.x, placed.at.y);
    Put { copy, part: placed.part, plate, x_mm, y_mm, turn_deg: placed.turn_deg() }
}

fn setup_of_new(new: &NewPlate) -> PlateSetup {
    PlateSetup { machine: new.machine, material: new.material, colour: new.colour.clone(), recipe: new.recipe }
}

/// Copies that lie on plates and for which the layout has no place.
pub(super) fn without_room(placed: &Placed) -> Vec<CopyId> {
    placed.unplaced.iter().flat_map(|u| u.copies.iter().copied()).collect()
}

/// "1 copy", "2 copies".
pub(super) fn copies(n: usize) -> String {
    if n == 1 { "1 copy".into() } else { format!("{n} copies") }
}

/// Why copies of a part found no place.
pub(super) fn reasons(placed: &Placed) -> BTreeMap<PartId, String> {
    placed.unplaced.iter().map(|u| (u.part, u.why.clone())).collect()
}

/// What a plate is made with.
pub(super) fn setup_of(plate: &crate::document::Plate) -> PlateSetup {
    PlateSetup { machine: plate.machine, material: plate.material, colour: plate.colour.clone(), recipe: plate.recipe }
}
