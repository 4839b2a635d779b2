//! How the timeline comes about.

use std::{
    collections::BTreeMap,
    sync::{Arc, OnceLock},
};

use jiff::Timestamp;

use super::{AboutRun, EndedRun, Timeline, equal_beds::are_equal};
use crate::{
    batch::{
        Calendar, MOST_DAYS, ShopFloor, plate_cool_s, real_time_factors,
        sequence::{OnBench, Window, time},
        whole_s,
    },
    document::{Hours, Job, Plate, PlateId},
};

/// Days looked ahead first; further ones only where the plan needs them.
const DAYS: [u16; 3] = [60, 300, MOST_DAYS];

/// What is known of a plate's print.
#[derive(Debug, Clone, PartialEq)]
pub(super) enum PrintTime {
    /// Its time, s.
    Known(f64),
    /// It is still worked out.
    Pending,
    /// It cannot be known, and why.
    Unknown(String),
}

/// All that a timeline is made from.
#[derive(Debug, Clone)]
pub(in crate::session) struct Basis {
    pub(super) job: Arc<Job>,
    pub(super) prints: BTreeMap<PlateId, PrintTime>,
    pub(super) now: Timestamp,
    pub(super) start: Timestamp,
}

impl PartialEq for Basis {
    fn eq(&self, other: &Self) -> bool {
        let same_job = || Arc::ptr_eq(&self.job, &other.job) || *self.job == *other.job;
        self.now == other.now && self.start == other.start && self.prints == other.prints && same_job()
    }
}

impl Basis {
    /// The timeline. Days are looked ahead as far as the plan needs them.
    pub(super) fn timeline(&self) -> Timeline {
        let job = &*self.job;
        let start = self.start;
        let print_s: BTreeMap<PlateId, f64> = self
            .prints
            .iter()
            .filter_map(|(id, p)| match p {
                PrintTime::Known(s) => Some((*id, *s)),
                _ => None,
            })
            .collect();
        let ever = somebody_comes(&job.shifts.hours);
        let (mut calendar, mut floor, mut order, mut plan);
        let mut ahead = DAYS.into_iter();
        loop {
            calendar = Calendar::new(&job.shifts.hours, start, ahead.next().unwrap_or(MOST_DAYS));
            floor = ShopFloor::new(job, &print_s, &calendar);
            order = floor.order();
            plan = time(&floor.runs, &order);
            if plan.cost.not_run == 0 || !ever || calendar.days() >= MOST_DAYS {
                break;
            }
        }
        let about = floor.plates.iter().filter_map(|id| self.about(job.plate(*id)?)).collect();
        let of = |wanted: fn(&PrintTime) -> bool| {
            let ids = floor.unknown.iter().filter(|id| self.prints.get(id).is_none_or(wanted));
            ids.copied().collect::<Vec<PlateId>>()
        };
        let pending = of(|p| *p == PrintTime::Pending);
        let without_time = self
            .prints
            .iter()
            .filter_map(|(id, p)| match p {
                PrintTime::Unknown(why) => Some((*id, why.clone())),
                _ => None,
            })
            .collect();
        Timeline {
            now_s: calendar.second_of(self.now),
            ended: ended(job, &calendar),
            calendar: Arc::new(calendar),
            floor,
            order,
            plan,
            about,
            pending,
            without_time,
            spread: real_time_factors(&job.assumptions),
            bound: OnceLock::new(),
            hours_are_example: job.shifts.hours == Hours::default(),
        }
    }

    fn about(&self, plate: &Plate) -> Option<AboutRun> {
        let job = &*self.job;
        let PrintTime::Known(print_s) = *self.prints.get(&plate.id)? else { return None };
        let own = job.machine(plate.machine)?;
        let on = job.machines.iter().map(|m| OnBench {
            // Heating up and ending are the machine's; all else is the plate's.
            print_s: whole_s(print_s + (m.heat_up_s - own.heat_up_s) + (m.end_s - own.end_s)),
            cool_s: plate_cool_s(job, plate, m),
        });
        let mut parts: BTreeMap<usize, usize> = BTreeMap::new();
        for copy in &plate.copies {
            if let Some(n) = job.parts.iter().position(|p| p.id == copy.part) {
                *parts.entry(n).or_default() += 1;
            }
        }
        let most = parts.iter().max_by_key(|(n, count)| (**count, std::cmp::Reverse(**n)));
        let letters: Vec<&str> = parts.keys().map(|n| job.parts[*n].letter.as_str()).collect();
        Some(AboutRun {
            plate: plate.id,
            number: job.plate_number(plate.id)?,
            copies: copies_of(plate),
            hue: most.map_or(0, |(n, _)| job.parts[*n].hue()),
            letters: letters.join(", "),
            fixed: plate.run.fixed,
            is_running: plate.run.is_running(),
            on: on.collect(),
            may: job.machines.iter().map(|m| m.id == own.id || (!plate.run.stays() && are_equal(m, own))).collect(),
            spool_out: None,
        })
    }
}

/// Copies that come of a plate.
pub(super) fn copies_of(plate: &Plate) -> usize {
    plate.copies.len() * if plate.twin.is_some() { 2 } else { 1 }
}

/// Whether the hours have any time in which somebody is there.
pub(super) fn somebody_comes(hours: &Hours) -> bool {
    let spans = || hours.week.iter().flatten().chain(hours.exceptions.iter().flat_map(|e| &e.spans));
    hours.people > 0 && spans().next().is_some()
}

fn ended(job: &Job, calendar: &Calendar) -> Vec<EndedRun> {
    let of = |(i, plate): (usize, &Plate)| {
        let to_s = calendar.second_of(plate.run.ended?);
        let from_s = plate.run.started.map_or(to_s, |t| calendar.second_of(t).min(to_s));
        Some(EndedRun {
            plate: plate.id,
            number: i + 1,
            copies: copies_of(plate),
            machine: plate.machine,
            ran: Window::new(from_s, to_s),
            failed: plate.run.failed,
        })
    };
    job.plates.iter().enumerate().filter_map(of).collect()
}
