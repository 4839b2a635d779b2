//! Pack and Top up under way.

use std::{sync::Arc, time::Duration};

use crate::{
    document::{Job, PartId, PlateId},
    packing::{Aim, Bound, Item, Layout},
    plate::{Target, Task},
    session::search::{concern::Concern, in_time_told::InTime},
    work::Ticket,
};

/// Pack or Top up under way.
#[derive(Debug)]
pub struct Arranging {
    pub(in crate::session) ticket: Ticket,
    /// "Pack this plate".
    pub label: String,
    /// How far, 0 to 1.
    pub done: f64,
    /// What it does.
    pub what: String,
    /// What no layout can beat, where it is known.
    pub bound: Option<Bound>,
    pub(in crate::session) task: Arc<Task>,
    pub(super) best: Option<Arc<Layout>>,
    /// The job as it would be with the best layout so far: what the sheet shows meanwhile.
    pub(in crate::session) shown: Option<Arc<Job>>,
    pub(in crate::session) drop_empty: bool,
    /// The plate topped up, for its bound.
    pub(super) bound_of: Option<PlateId>,
    /// The part topped up, if it is one.
    pub(super) topped: Option<PartId>,
    /// The job as it was when the search began.
    pub(super) begun_with: Arc<Job>,
    /// What of it the search is about.
    pub(in crate::session) concern: Concern,
    /// Time allowed.
    pub(super) limit: Option<Duration>,
    /// By when the plate has to end, where that was asked for.
    pub(super) in_time: Option<InTime>,
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

    pub(in crate::session) fn existing_plates(&self) -> Vec<PlateId> {
        (0..self.task.problem.beds.len())
            .filter_map(|b| match self.task.mapping.target(b) {
                Some(Target::Existing(id)) => Some(*id),
                _ => None,
            })
            .collect()
    }

    /// Were plates offered that are not there yet?
    pub(in crate::session) fn further_plates(&self) -> bool {
        (0..self.task.problem.beds.len()).any(|b| matches!(self.task.mapping.target(b), Some(Target::New(_))))
    }
}
