//! A search begins.

use std::sync::Arc;

use crate::{
    document::{BedSide, Copy, Job, PartId, Plate, PlateId, PlateSpread, Preferences},
    geom::Point,
    packing::{self, Aim, Wishes},
    plate::Task,
    session::{
        Arranging, Session,
        search::{concern::Concern, fingerprint::Fingerprint, in_time_told::InTime},
    },
    studies::PlateTimer,
    watch::Quiet,
    work::{Deadline, Request},
};

impl Session {
    /// Begins a search. Its result is one undo step.
    pub(in crate::session) fn arrange(&mut self, label: &str, task: Task, drop_empty: bool, bound_of: Option<PlateId>) {
        self.arrange_with(label, task, drop_empty, bound_of, None);
    }

    /// The same, with as many copies as end in time where a timer is given.
    pub(super) fn arrange_with(
        &mut self,
        label: &str,
        task: Task,
        drop_empty: bool,
        bound_of: Option<PlateId>,
        in_time: Option<(PlateTimer, InTime)>,
    ) {
        let (timer, in_time) = in_time.unzip();
        let task = Arc::new(task);
        let limits = self.limits;
        let bounding = Deadline::new(&Quiet, self.search_time(limits.time));
        let topped = match &task.problem.aim {
            Aim::TopUp { shares, .. } => {
                let mut topped = (0..shares.len()).filter(|&s| shares[s] > 0.0);
                let one = topped.next().filter(|_| topped.next().is_none());
                one.and_then(|s| task.mapping.part(s))
            }
            Aim::Pack { .. } => None,
        };
        let bound = match &task.problem.aim {
            // The search's bound is on the copies that are asked for and may be moved; a person counts all copies on the
            // plate: of the part that is topped up, or of all.
            Aim::TopUp { .. } if task.problem.beds.len() == 1 => packing::top_up_bound(&task.bounding(), &bounding)
                .map(|more| {
                    let plate = bound_of.and_then(|id| self.job().plate(id));
                    let counted = |c: &&Copy| topped.is_none_or(|part| c.part == part);
                    let there = plate.map_or(0, |p| p.copies.iter().filter(counted).count());
                    let in_it = task.asked_there();
                    packing::Bound { value: more.value + there.saturating_sub(in_it) as u64, ..more }
                }),
            Aim::TopUp { .. } => None,
            Aim::Pack { .. } => packing::beds_bound(&task.bounding(), &bounding),
        };
        let wishes = Wishes { falls_mm: self.falls_mm(&task), ..wishes_of(&self.job().preferences) };
        let concern = Concern::of(&task, self.job());
        let print = Fingerprint::new(self.job(), &concern).number();
        let limit = self.search_time(limits.time);
        let ticket = self.runner.submit(
            Request::Arrange {
                now: Some(task.mapping.now()).filter(|now| now.count() > 0),
                problem: Arc::new(task.problem.clone()),
                seed: limits.seed,
                rounds: limits.rounds,
                limit,
                wishes,
                dealing: dealing_of(self.job(), &task),
                in_time: timer.map(Box::new),
            },
            print,
        );
        self.arranging = Some(Arranging {
            ticket,
            label: label.into(),
            done: 0.0,
            what: String::new(),
            bound,
            task,
            best: None,
            shown: None,
            drop_empty,
            bound_of,
            begun_with: self.history.shared_job(),
            concern,
            limit,
            topped,
            in_time,
        });
    }

    /// For each shape of a task the height at which a copy could fall, mm: where its mass is known, and its margin is below what is
    /// wanted. Asked for only where tall copies are to lie apart.
    fn falls_mm(&mut self, task: &Task) -> Vec<Option<f64>> {
        let job = self.shared_job();
        if job.preferences.tall_apart <= 0.0 {
            return Vec::new();
        }
        let shapes = 0..task.problem.shapes.len();
        shapes
            .map(|shape| {
                let (part, footing) = (task.mapping.part(shape)?, task.mapping.footing(shape)?);
                let holds = |p: &&Plate| p.copies.iter().any(|c| c.part == part);
                let plate = job.plates.iter().find(holds).or(job.plates.first())?;
                let judged = self.judged(&job, plate, part, footing)?;
                judged.judgement.tips_above_mm?;
                Some(judged.judgement.least?.height_mm.min(task.problem.shapes[shape].height_mm))
            })
            .collect()
    }
}

/// What the search is to prefer.
fn wishes_of(p: &Preferences) -> Wishes {
    let away = p.away_from.map(BedSide::direction).map(|(x, y)| (Point::new(x, y), p.away));
    let Preferences { middle, tall_back, tall_apart, travel, .. } = *p;
    Wishes { middle, away, tall_back, tall_apart, travel, falls_mm: Vec::new() }
}

/// How several plates are filled, and the shapes of each part that is to stay together.
fn dealing_of(job: &Job, task: &Task) -> packing::Dealing {
    let spread = match job.preferences.spread {
        PlateSpread::FullThenRest => packing::Spread::FullThenRest,
        PlateSpread::Even => packing::Spread::Even,
    };
    let shapes_of = |part: PartId| -> Vec<usize> {
        (0..task.problem.shapes.len()).filter(|&s| task.mapping.part(s) == Some(part)).collect()
    };
    let together = job.parts.iter().filter(|p| p.together).map(|p| shapes_of(p.id)).filter(|s| !s.is_empty());
    packing::Dealing { spread, together: together.collect() }
}
