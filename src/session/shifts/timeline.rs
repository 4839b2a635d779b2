//! The timeline of a job's plates, as plain values.

use std::sync::{Arc, OnceLock};

use crate::{
    batch::{
        Calendar, ShopFloor,
        sequence::{NotRun, OnBench, Order, Plan, Runs, Timed, Window, finish_bound_s, time},
    },
    document::{MachineId, PlateId},
};

/// What is known of one run besides its times.
#[derive(Debug, Clone, PartialEq)]
pub struct AboutRun {
    /// Its plate.
    pub plate: PlateId,
    /// The plate's number in the docket, from 1.
    pub number: usize,
    /// Copies that come of it.
    pub copies: usize,
    /// Hue of the part with the most copies on it.
    pub hue: usize,
    /// Letters of its parts: "A, C".
    pub letters: String,
    /// Its place in the sequence is fixed.
    pub fixed: bool,
    /// It runs already.
    pub is_running: bool,
    /// What it would take on each machine, in the order of the job's machines, whether its copies fit that bed or not.
    pub on: Vec<OnBench>,
    /// Machines that can run it as it is: its own, and those of the same kind while it is neither started nor fixed.
    pub may: Vec<bool>,
    /// Its spool runs out.
    pub spool_out: Option<SpoolOut>,
}

/// A spool that runs out during a print.
#[derive(Debug, Clone, PartialEq)]
pub struct SpoolOut {
    /// The spool's name.
    pub spool: String,
    /// How long after the start of the print, s.
    pub after_s: f64,
    /// Only with filament as thick as its tolerance allows.
    pub only_thick: bool,
}

/// A plate that has ended.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct EndedRun {
    /// Its plate.
    pub plate: PlateId,
    /// The plate's number in the docket, from 1.
    pub number: usize,
    /// Copies on it.
    pub copies: usize,
    /// Its machine.
    pub machine: MachineId,
    /// From its start to its end, s from the start of the plan.
    pub ran: Window,
    /// It failed.
    pub failed: bool,
}

/// When the plates of a job run. Times are whole seconds from the start of the plan.
#[derive(Debug, Clone)]
pub struct Timeline {
    /// People's hours, and clock times there and back.
    pub calendar: Arc<Calendar>,
    /// The time now.
    pub now_s: i64,
    /// The runs and machines.
    pub floor: ShopFloor,
    /// The docket's order.
    pub order: Order,
    /// When everything happens.
    pub plan: Plan,
    /// About each run, in the order of the runs.
    pub about: Vec<AboutRun>,
    /// Plates that have ended.
    pub ended: Vec<EndedRun>,
    /// Plates whose print times are still worked out.
    pub pending: Vec<PlateId>,
    /// Plates without a print time, and why.
    pub without_time: Vec<(PlateId, String)>,
    /// The interval in which 95 of 100 prints end, as factors on the print time.
    pub spread: (f64, f64),
    /// What [`Self::bound_s`] is, once it was asked for.
    pub(super) bound: OnceLock<i64>,
    /// The hours are the example that a job begins with.
    pub hours_are_example: bool,
}

impl Timeline {
    /// A run in time; `None` where it is not in the plan.
    pub fn timed(&self, run: usize) -> Option<&Timed> {
        self.plan.timed.iter().find(|t| t.run == run)
    }
    /// Why a run is not in the plan.
    pub fn not_run(&self, run: usize) -> Option<NotRun> {
        self.plan.not_run.iter().find(|(i, _)| *i == run).map(|(_, why)| *why)
    }
    /// The run of a plate.
    pub fn run_of(&self, plate: PlateId) -> Option<usize> {
        self.about.iter().position(|a| a.plate == plate)
    }
    /// The machine of a run.
    pub fn machine_of(&self, run: usize) -> Option<MachineId> {
        self.order.bench.get(run).and_then(|b| self.floor.machines.get(*b)).copied()
    }
    /// When 95 of 100 prints like this one end.
    pub fn end_range(&self, t: &Timed) -> Window {
        let print_s = t.print.length_s() as f64;
        let at = |factor: f64| t.print.from_s + (print_s * factor).round() as i64;
        Window::new(at(self.spread.0), at(self.spread.1))
    }
    /// When the parts of a run are due.
    pub fn due_s(&self, run: usize) -> Option<i64> {
        self.floor.runs.runs.get(run)?.due_s
    }
    /// By how much its parts are late; `None` where they are not.
    pub fn late_s(&self, run: usize) -> Option<i64> {
        let ready_s = self.timed(run)?.ready_s()?;
        Some(ready_s - self.due_s(run)?).filter(|late| *late > 0)
    }
    /// When a spool of a run runs out, and which.
    pub fn spool_out(&self, run: usize) -> Option<(i64, &SpoolOut)> {
        let (out, t) = (self.about.get(run)?.spool_out.as_ref()?, self.timed(run)?);
        Some((t.print.from_s.saturating_add(out.after_s as i64), out))
    }
    /// Plates by the start of their prints, the earliest first: those that have ended and those in the plan.
    pub fn by_start(&self) -> Vec<PlateId> {
        let ended = self.ended.iter().map(|e| (e.ran.from_s, e.number, e.plate));
        let planned = self.plan.timed.iter().filter_map(|t| {
            let about = self.about.get(t.run)?;
            Some((t.print.from_s, about.number, about.plate))
        });
        let mut all: Vec<_> = ended.chain(planned).collect();
        all.sort_unstable();
        all.into_iter().map(|(_, _, plate)| plate).collect()
    }
    /// Runs on a machine, the earliest first.
    pub fn sequence(&self, bench: usize) -> Vec<usize> {
        let mut on: Vec<&Timed> = self.plan.timed.iter().filter(|t| t.bench == bench).collect();
        on.sort_by_key(|t| t.print.from_s);
        on.iter().map(|t| t.run).collect()
    }
    /// The end of all that is in the plan, removal included.
    pub fn until_s(&self) -> i64 {
        let ends = self.plan.timed.iter().map(|t| t.ready_s().unwrap_or(t.cool_s));
        ends.max().unwrap_or(0).max(0)
    }
    /// How long parts wait on the bed from the end of the print until they are taken off.
    pub fn waits_s(&self, t: &Timed) -> Option<i64> {
        t.removal.map(|r| r.from_s - t.print.to_s)
    }

    /// The runs with every machine that may run them as they are.
    pub fn free_runs(&self) -> Runs {
        let mut runs = self.floor.runs.clone();
        for (run, about) in runs.runs.iter_mut().zip(&self.about) {
            for (b, on) in run.on.iter_mut().enumerate() {
                if about.may.get(b) == Some(&true) {
                    *on = on.or(about.on.get(b).copied());
                }
            }
        }
        runs
    }
    /// No sequence on these machines has its last print end earlier, s from the start of the plan.
    pub fn bound_s(&self) -> i64 {
        *self.bound.get_or_init(|| finish_bound_s(&self.free_runs()))
    }
    /// How far the plan's finish is above [`Self::bound_s`], as a share of it; `None` where that is nothing.
    pub fn gap(&self) -> Option<f64> {
        let bound_s = self.bound_s();
        (bound_s > 0).then(|| (self.plan.cost.finish_s - bound_s).max(0) as f64 / bound_s as f64)
    }

    /// The same with a run on a machine, before another run of that machine or, with `None`, after all of them. Nothing but the times is
    /// worked out again.
    #[must_use]
    pub fn moved(&self, run: usize, bench: usize, before: Option<usize>) -> Self {
        let mut next = self.clone();
        let on = self.about.get(run).and_then(|a| a.on.get(bench)).copied();
        if let (Some(r), Some(on)) = (next.floor.runs.runs.get_mut(run), on) {
            r.on[bench] = Some(on);
            next.order.bench[run] = bench;
            if let Some(b) = next.floor.bench.get_mut(run) {
                *b = bench;
            }
        }
        let bench_of = |i: usize| next.order.bench.get(i).copied();
        let mut steps: Vec<usize> = self.order.steps.iter().copied().filter(|i| *i != run).collect();
        let place = before.and_then(|b| steps.iter().position(|i| *i == b));
        let after_all = || steps.iter().rposition(|i| bench_of(*i) == Some(bench)).map_or(steps.len(), |p| p + 1);
        steps.insert(place.unwrap_or_else(after_all), run);
        next.order.steps = steps;
        next.plan = time(&next.floor.runs, &next.order);
        next
    }
}
