//! A job's plates as runs on machines.

use std::collections::BTreeMap;

use super::{
    Calendar, cool_down_s,
    sequence::{Bench, HandWork, Load, OnBench, Order, Run, Runs, Window},
};
use crate::document::{Changeover, Job, Machine, MachineId, Plate, PlateId};

/// A job's plates as runs, in the docket's order.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct ShopFloor {
    /// The runs.
    pub runs: Runs,
    /// The plate of each run.
    pub plates: Vec<PlateId>,
    /// The machine of each bench.
    pub machines: Vec<MachineId>,
    /// The bench of each run.
    pub bench: Vec<usize>,
    /// Plates that are no runs, because nobody knows how long they take yet. Empty plates and those that have ended are not among them.
    pub unknown: Vec<PlateId>,
}

impl ShopFloor {
    /// A job's plates on their own machines, as far as print times (s) are known.
    pub fn new(job: &Job, print_s: &BTreeMap<PlateId, f64>, calendar: &Calendar) -> Self {
        let loads = Loads::of(job);
        let mut floor = Self {
            machines: job.machines.iter().map(|m| m.id).collect(),
            runs: Runs {
                benches: job.machines.iter().map(|m| bench(job, m, &loads, calendar)).collect(),
                attended: calendar.attended().to_vec(),
                people: job.shifts.hours.people as usize,
                work: hand_work(&job.shifts.changeover),
                runs: Vec::new(),
            },
            ..Self::default()
        };
        for plate in job.plates.iter().filter(|p| !p.copies.is_empty() && p.run.ended.is_none()) {
            let Some(b) = floor.machines.iter().position(|m| *m == plate.machine) else { continue };
            let Some(print_s) = print_s.get(&plate.id) else {
                floor.unknown.push(plate.id);
                continue;
            };
            let mut on = vec![None; floor.machines.len()];
            on[b] = Some(OnBench { print_s: whole_s(*print_s), cool_s: plate_cool_s(job, plate, &job.machines[b]) });
            floor.plates.push(plate.id);
            floor.bench.push(b);
            floor.runs.runs.push(Run {
                on,
                load: loads.load(plate),
                due_s: due_s(job, plate, calendar),
                not_before_s: plate.run.not_before.map_or(i64::MIN / 4, |t| calendar.second_of(t)),
                began: plate.run.started.map(|t| (b, calendar.second_of(t))),
            });
        }
        floor
    }

    /// The docket's order.
    pub fn order(&self) -> Order {
        Order::as_given(self.bench.clone())
    }
}

/// Materials and colours by number.
#[derive(Debug, Clone)]
pub struct Loads(Vec<String>);

impl Loads {
    /// Those of a job.
    pub fn of(job: &Job) -> Self {
        let plates = job.plates.iter().map(|p| &p.colour);
        let mut colours: Vec<String> = job.parts.iter().map(|p| &p.colour).chain(plates).cloned().collect();
        colours.sort();
        colours.dedup();
        Self(colours)
    }
    /// What a material and colour come to.
    pub fn of_colour(&self, material: crate::document::MaterialId, colour: &str) -> Load {
        let colour = self.0.binary_search_by(|c| c.as_str().cmp(colour)).unwrap_or(self.0.len());
        Load { material: material.0, colour: colour as u32 }
    }
    fn load(&self, plate: &Plate) -> Load {
        self.of_colour(plate.material, &plate.colour)
    }
}

/// A machine at the start of the plan: its downtimes, and the filament of the plate that ran on it last.
pub fn bench(job: &Job, machine: &Machine, loads: &Loads, calendar: &Calendar) -> Bench {
    let mut down: Vec<Window> = machine
        .downtimes
        .iter()
        .filter_map(|d| Some(Window::new(calendar.second_of_local(d.from)?, calendar.second_of_local(d.to)?)))
        .filter(|w| w.to_s > 0 && w.length_s() > 0)
        .collect();
    down.sort_unstable();
    let mut joined: Vec<Window> = Vec::new();
    for w in down {
        match joined.last_mut() {
            Some(last) if w.from_s <= last.to_s => last.to_s = last.to_s.max(w.to_s),
            _ => joined.push(w),
        }
    }
    let ran = job.plates.iter().filter(|p| p.machine == machine.id && p.run.started.is_some());
    Bench { free_s: 0, down: joined, load: ran.max_by_key(|p| p.run.started).map(|p| loads.load(p)) }
}

/// Hand work in whole seconds.
pub fn hand_work(changeover: &Changeover) -> HandWork {
    HandWork {
        removal_s: whole_s(changeover.removal_s),
        preparing_s: whole_s(changeover.preparing_s),
        colour_s: whole_s(changeover.colour_change_s),
        material_s: whole_s(changeover.material_change_s),
    }
}

/// How long a plate's bed cools on a machine, whole s.
pub fn plate_cool_s(job: &Job, plate: &Plate, machine: &Machine) -> i64 {
    job.material(plate.material).map_or(0, |m| whole_s(cool_down_s(machine, m, &job.shifts.changeover)))
}

/// When the first of a plate's parts is due, s from the start of the plan.
pub fn due_s(job: &Job, plate: &Plate, calendar: &Calendar) -> Option<i64> {
    let mut parts: Vec<_> = plate.copies.iter().map(|c| c.part).collect();
    parts.sort_unstable();
    parts.dedup();
    parts.into_iter().filter_map(|id| calendar.due_s(job.part(id)?.due.as_deref()?)).min()
}

/// Whole seconds, rounded up; none where it is no number, and at most a century.
pub fn whole_s(s: f64) -> i64 {
    if s.is_finite() { s.ceil().clamp(0.0, 3.2e9) as i64 } else { 0 }
}
