//! Pack and Top up under way.

use std::{collections::BTreeMap, sync::Arc, time::Duration};

use crate::{
    document::{Job, PartId, PlateId},
    edit::{Command, PlateSetup, PlateTarget, Put},
    packing::{Bound, Layout},
    plate::{Placed, Target, Task},
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
    /// Copies placed by the best layout so far.
    pub copies: usize,
    /// What no layout can beat, where it is known.
    pub bound: Option<Bound>,
    pub(super) task: Arc<Task>,
    pub(super) best: Option<Arc<Layout>>,
    /// The job as it would be with the best layout so far: what the sheet shows meanwhile.
    pub(super) shown: Option<Arc<Job>>,
    pub(super) drop_empty: bool,
    pub(super) discard: bool,
    pub(super) take: bool,
    /// The plate topped up, for its bound.
    pub(super) bound_of: Option<PlateId>,
}

/// The command that turns a layout into the job's plates. With `apart`, everything goes on new plates as new copies.
pub(super) fn command_of(job: &Job, task: &Task, layout: &Layout, drop_empty: bool, apart: bool) -> Command {
    let placed = task.mapping.back(layout);
    let mut puts = Vec::new();
    for (n, plate) in placed.plates.iter().enumerate() {
        let target = match &plate.target {
            Target::Existing(id) if !apart => PlateTarget::Existing(*id),
            Target::Existing(id) => match job.plate(*id) {
                Some(p) => PlateTarget::New(n, setup_of(p)),
                None => continue,
            },
            Target::New(new) => PlateTarget::New(
                n,
                PlateSetup {
                    machine: new.machine,
                    material: new.material,
                    colour: new.colour.clone(),
                    recipe: new.recipe,
                },
            ),
        };
        puts.extend(plate.copies.iter().map(|c| Put {
            copy: if apart { None } else { c.copy },
            part: c.part,
            plate: target.clone(),
            x_mm: c.at.x,
            y_mm: c.at.y,
            turn_deg: c.turn_deg(),
        }));
    }
    let remove = if apart { Vec::new() } else { placed.unplaced.iter().flat_map(|u| u.copies.clone()).collect() };
    Command::PutCopies { puts, remove, drop_empty_plates: drop_empty && !apart }
}

/// Why copies of a part found no place.
pub(super) fn reasons(placed: &Placed) -> BTreeMap<PartId, String> {
    placed.unplaced.iter().map(|u| (u.part, u.why.clone())).collect()
}

/// What a plate is made with.
pub(super) fn setup_of(plate: &crate::document::Plate) -> PlateSetup {
    PlateSetup { machine: plate.machine, material: plate.material, colour: plate.colour.clone(), recipe: plate.recipe }
}
