//! The same order with each copy on a plate of its own, to compare with.

use std::collections::BTreeMap;

use crate::{
    batch::{
        Calendar, Loads, MOST_DAYS, ShopFloor, plate_cool_s,
        sequence::{OnBench, Order, Run, time},
        whole_s,
    },
    document::{Job, Plate, RunState},
    estimate::Tour,
    session::Session,
};

/// More copies are not timed one at a time.
const MOST_COPIES: usize = 3000;

/// What comes of printing one copy at a time, on the same machines, in the same order, under the same hours.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct OneAtATime {
    /// Copies, each a plate.
    pub plates: usize,
    /// Copies that do not get done within the days looked ahead.
    pub not_run: usize,
    /// When the last print ends, s from the start of the plan.
    pub finish_s: i64,
    /// Time in which machines print, all together, s.
    pub print_s: i64,
    /// Hand work, s.
    pub hand_work_s: i64,
}

impl Session {
    /// The plan with each copy on a plate of its own: the time of each part alone, its own heat-up and changeover included. `None` while a
    /// time is not known, and for very many copies.
    pub fn one_at_a_time(&mut self) -> Option<OneAtATime> {
        let job = self.shared_job();
        let timeline = self.timeline()?;
        let plates: Vec<Plate> = timeline.floor.plates.iter().filter_map(|id| job.plate(*id)).cloned().collect();
        if plates.iter().map(|p| p.copies.len()).sum::<usize>() > MOST_COPIES || !timeline.pending.is_empty() {
            return None;
        }
        let start = self.starts(&job);
        let mut known: BTreeMap<String, f64> = BTreeMap::new();
        let mut each: Vec<(&Plate, f64)> = Vec::new();
        for plate in &plates {
            for copy in &plate.copies {
                let (footing, of) = (job.footing(copy), (copy.part, plate.machine, plate.material, plate.recipe));
                let key = format!("{of:?} {footing:?}");
                let time_s = if let Some(s) = known.get(&key) {
                    *s
                } else {
                    let alone = Plate { copies: vec![copy.clone()], spool: None, twin: None, ..plate.clone() };
                    let time_s = self.estimate(&job, &alone, Tour::Exact).0?.time_s;
                    known.insert(key, time_s);
                    time_s
                };
                // A twin is two copies of its own.
                each.extend(std::iter::repeat_n((plate, time_s), if plate.twin.is_some() { 2 } else { 1 }));
            }
        }
        let calendar = Calendar::new(&job.shifts.hours, start, MOST_DAYS);
        Some(timed(&job, &each, &calendar))
    }
}

fn timed(job: &Job, each: &[(&Plate, f64)], calendar: &Calendar) -> OneAtATime {
    // Nothing has begun: the whole order from the start.
    let fresh = Job {
        plates: job.plates.iter().map(|p| Plate { run: RunState::default(), ..p.clone() }).collect(),
        ..job.clone()
    };
    let mut floor = ShopFloor::new(&fresh, &BTreeMap::new(), calendar);
    let loads = Loads::of(job);
    let mut bench = Vec::new();
    for (plate, time_s) in each {
        let Some(b) = floor.machines.iter().position(|m| *m == plate.machine) else { continue };
        let mut on = vec![None; floor.machines.len()];
        on[b] = Some(OnBench { print_s: whole_s(*time_s), cool_s: plate_cool_s(job, plate, &job.machines[b]) });
        let load = loads.of_colour(plate.material, &plate.colour);
        floor.runs.runs.push(Run { on, load, due_s: None, not_before_s: i64::MIN / 4, began: None });
        bench.push(b);
    }
    let plan = time(&floor.runs, &Order::as_given(bench));
    let hand = |t: &crate::batch::sequence::Timed| {
        t.preparing.length_s() + t.removal.map_or(0, crate::batch::sequence::Window::length_s)
    };
    OneAtATime {
        plates: each.len(),
        not_run: plan.cost.not_run,
        finish_s: plan.cost.finish_s,
        print_s: plan.timed.iter().map(|t| t.print.length_s()).sum(),
        hand_work_s: plan.timed.iter().map(hand).sum(),
    }
}
