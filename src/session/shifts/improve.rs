//! A better sequence: machines among equal beds, and the docket's order.

use std::time::{Duration, Instant};

use super::{Improving, Timeline};
use crate::{
    batch::sequence::Order,
    document::{Job, MachineId, PlateId},
    edit::{Command, PlateSetup, apply},
    session::{Session, SessionError},
    words,
    work::{Answer, Request},
};

/// The docket's order, and the machines that change.
type Docket = (Vec<PlateId>, Vec<(PlateId, MachineId)>);

impl Session {
    /// The search for a better sequence that is under way.
    pub fn improving(&self) -> Option<&Improving> {
        self.improving.as_ref()
    }

    /// Begins to look for a better sequence, within the limits set.
    pub(in crate::session) fn improve_sequence(&mut self) -> Result<(), SessionError> {
        let refuse = |why: String| Err(SessionError::Other(why));
        let Some(t) = self.timeline() else { return refuse("there is no plan yet: place copies first".into()) };
        if !t.pending.is_empty() {
            return refuse("print times are still being worked out: try again in a moment".into());
        }
        if t.about.iter().filter(|a| !a.is_running && !a.fixed).count() < 2 {
            return refuse("a sequence needs at least two plates that are neither started nor fixed".into());
        }
        let from = t.clone();
        let limits = self.limits;
        let wait = limits.time.or(if limits.rounds.is_none() { Some(Duration::from_secs(10)) } else { None });
        let now = Instant::now();
        let by = wait.map(|w| now + w);
        let request = Request::Sequence {
            runs: Box::new(from.free_runs()),
            start: from.order.clone(),
            fixed: from.about.iter().map(|a| a.fixed).collect(),
            seed: limits.seed,
            rounds: limits.rounds,
        };
        let ticket = self.runner.submit_until(request, 0, by);
        self.improving = Some(Improving { ticket, from, done: 0.0, time: (now, by) });
        Ok(())
    }

    /// Ends the search; everything stays as it was.
    pub(in crate::session) fn cancel_improving(&mut self) {
        if let Some(i) = self.improving.take() {
            i.ticket.cancel();
        }
    }

    /// Takes in what the search found, as one step.
    pub(in crate::session) fn take_sequence(&mut self, answer: Option<Answer>) {
        let Some(improving) = self.improving.take() else { return };
        let (order, plan) = match answer {
            Some(Answer::Sequence(found)) => *found,
            Some(Answer::Failed(why)) => {
                return self.tell_fault(format!("a fault of this program: {why}; save your work and report it"));
            }
            _ => return,
        };
        let from = &improving.from;
        let job = self.shared_job();
        let same_plates = self.timeline().is_some_and(|now| {
            let ids = |t: &Timeline| {
                let mut ids: Vec<_> = t.floor.plates.iter().copied().zip(t.floor.bench.iter().copied()).collect();
                ids.sort_unstable();
                ids
            };
            ids(now) == ids(from)
        });
        if !same_plates {
            return self.tell_fault("the plates have changed meanwhile: improve the sequence again");
        }
        let clock = |s: i64| from.calendar.words(s);
        let bound = from.bound_s();
        let no_earlier = format!("no sequence ends before {}", clock(bound));
        let (was, is) = (from.plan.cost, plan.cost);
        if is >= was {
            return self.tell(format!("no better sequence was found; {no_earlier}"));
        }
        let Ok(next) = arranged(&job, &docket(&job, from, &order)) else {
            return self.tell_fault("the plates have changed meanwhile: improve the sequence again");
        };
        self.change_to("Improve the sequence", next);
        let text = if is.late_s < was.late_s {
            let by = |s: i64| words::long_time(s as f64);
            format!("parts are late by {} in all, before {}", by(is.late_s), by(was.late_s))
        } else if is.finish_s == was.finish_s {
            format!("the last print ends {} as before, with machines less idle", clock(is.finish_s))
        } else {
            format!("the last print ends {}, before {}", clock(is.finish_s), clock(was.finish_s))
        };
        self.tell(format!("{text}; {no_earlier}"));
    }
}

/// The docket of what was found, where its plan is better than the present one.
fn docket(job: &Job, from: &Timeline, order: &Order) -> Docket {
    let plates: Vec<PlateId> = order.steps.iter().filter_map(|i| from.floor.plates.get(*i)).copied().collect();
    // Plates that are no runs keep their places.
    let mut next = plates.iter().copied();
    let docket = job.plates.iter().map(|p| if plates.contains(&p.id) { next.next().unwrap_or(p.id) } else { p.id });
    let machines = order.steps.iter().filter_map(|&i| {
        let (was, is) = (from.order.bench.get(i)?, order.bench.get(i)?);
        (was != is).then_some((*from.floor.plates.get(i)?, *from.floor.machines.get(*is)?))
    });
    (docket.collect(), machines.collect())
}

fn arranged(job: &Job, (order, machines): &Docket) -> Result<Job, crate::edit::EditError> {
    let mut next = job.clone();
    for (id, machine) in machines {
        if let Some(plate) = next.plate(*id) {
            let setup = PlateSetup { machine: *machine, ..PlateSetup::of(plate) };
            next = apply(&next, &Command::SetPlate { id: *id, setup })?.0;
        }
    }
    Ok(apply(&next, &Command::OrderPlates { order: order.clone() })?.0)
}
