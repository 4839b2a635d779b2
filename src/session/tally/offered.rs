//! What the tally teaches, offered.

use super::Offer;
use crate::{
    batch::tally::{GroupOf, Learned},
    document::{Assumptions, Job, PartId, Recipe, limits},
    edit::Command,
    session::{Session, SessionError},
};

/// Fewest copies from which a failure rate is offered, and fewest plates for that of plates lost at once. Ours, no source.
const LEAST_COPIES: usize = 20;
const LEAST_PLATES: usize = 10;
/// Fewest plates from which a time factor is offered.
const LEAST_TIMED: usize = 2;

/// An offer with all that a person needs to decide on it.
#[derive(Debug, Clone, PartialEq)]
pub struct Offered {
    /// What is offered.
    pub offer: Offer,
    /// "time factor of 0.20 mm".
    pub what: String,
    /// Its 95 % interval.
    pub low: f64,
    /// Its 95 % interval.
    pub high: f64,
    /// What the job has now.
    pub now: f64,
    /// From what: "6 plates".
    pub from: String,
}

impl Offered {
    /// "Time factor of 0.20 mm: 1.08 (1.02 to 1.14) from 6 plates; now 1.00."
    pub fn words(&self) -> String {
        let number = |v: f64| match self.offer {
            Offer::TimeFactor(..) => format!("{v:.3}"),
            _ => format!("{v:.1} %"),
        };
        let [value, low, high, now] = [self.offer.value(), self.low, self.high, self.now].map(number);
        format!("{}: {value} ({low} to {high}) from {}; now {now}.", self.what, self.from)
    }
}

/// All that can be taken over, as far as enough is known and the job has something else.
pub fn offers(job: &Job, learned: &Learned) -> Vec<Offered> {
    let mut all = Vec::new();
    let plates = |n| crate::words::count(n, "plate");
    for row in learned.times.iter().filter(|r| r.machine.is_none() && r.factor.plates >= LEAST_TIMED) {
        let Some(recipe) = job.recipe(row.recipe) else { continue };
        let f = row.factor;
        all.push(Offered {
            offer: Offer::TimeFactor(row.recipe, rounded(f.factor, 4)),
            what: format!("Time factor of {}", recipe.name),
            low: f.low,
            high: f.high,
            now: recipe.time_factor,
            from: plates(f.plates),
        });
    }
    let a = &job.assumptions;
    if let Ok(s) = &learned.spread {
        all.push(Offered {
            offer: Offer::TimeSpread(rounded(s.percent, 2).min(limits::TIME_SPREAD.most)),
            what: "Spread of real times".into(),
            low: s.low,
            high: s.high,
            now: a.time_spread_percent,
            from: plates(s.plates),
        });
    }
    let lost = learned.lost_plates;
    if lost.of >= LEAST_PLATES {
        all.push(Offered {
            offer: Offer::LostPlates(rounded(100.0 * lost.mean, 2)),
            what: "Plates lost at once".into(),
            low: 100.0 * lost.low,
            high: 100.0 * lost.high,
            now: a.common_cause_percent,
            from: plates(lost.of),
        });
    }
    let failing = learned.failing;
    if failing.of >= LEAST_COPIES {
        all.push(Offered {
            offer: Offer::Failing(rounded(100.0 * failing.mean, 2)),
            what: "Copies that fail".into(),
            low: 100.0 * failing.low,
            high: 100.0 * failing.high,
            now: a.failing_percent,
            from: crate::words::copies(failing.of),
        });
    }
    let parts = learned.failures.iter().filter(|f| f.of == GroupOf::Part).flat_map(|f| &f.groups);
    for g in parts.filter(|g| g.own.of >= LEAST_COPIES) {
        let Some(part) = job.part(PartId(g.id)) else { continue };
        all.push(Offered {
            offer: Offer::FailingOf(part.id, rounded(100.0 * g.shrunk.mean, 2)),
            what: format!("Copies of {} that fail", part.name),
            low: 100.0 * g.shrunk.low,
            high: 100.0 * g.shrunk.high,
            now: a.failing_percent_of(part.id),
            from: crate::words::copies(g.own.of),
        });
    }
    all.retain(|o| (o.offer.value() - o.now).abs() > 1e-9);
    all
}

/// What is not offered yet, and what is missing.
pub fn not_offered(learned: &Learned) -> Vec<String> {
    let mut all = Vec::new();
    if !learned.times.iter().any(|r| r.machine.is_none() && r.factor.plates >= LEAST_TIMED) {
        all.push(format!("A time factor is offered from {LEAST_TIMED} plates of a recipe."));
    }
    all.extend(learned.spread.as_ref().err().cloned());
    let (lost, failing) = (learned.lost_plates.of, learned.failing.of);
    if lost < LEAST_PLATES {
        all.push(format!("The share of plates lost at once is offered from {LEAST_PLATES} plates: {lost} so far."));
    }
    if failing < LEAST_COPIES {
        all.push(format!("A failure rate is offered from {LEAST_COPIES} copies: {failing} so far."));
    }
    all
}

fn rounded(v: f64, places: i32) -> f64 {
    let k = 10_f64.powi(places);
    (v * k).round() / k
}

impl Session {
    /// Takes over what the tally teaches.
    pub(in crate::session) fn use_learned(&mut self, label: &str, offer: Offer) -> Result<(), SessionError> {
        let job = self.job();
        let origin = format!("tally of {}", crate::words::count(job.tally.outcomes().len(), "plate"));
        let mut assumptions = job.assumptions.clone();
        let mut set = |field: &str, place: fn(&mut Assumptions) -> &mut f64, value: f64| {
            *place(&mut assumptions) = value;
            assumptions.origins.insert(field.to_owned(), origin.clone());
        };
        match offer {
            Offer::TimeFactor(id, time_factor) => {
                let recipe = job.recipe(id).cloned();
                let recipe = recipe.ok_or_else(|| SessionError::Other("this recipe is gone from the job".into()))?;
                return self.command(label, &Command::SetRecipe { recipe: Recipe { time_factor, ..recipe } });
            }
            Offer::TimeSpread(v) => set("time_spread_percent", |a| &mut a.time_spread_percent, v),
            Offer::LostPlates(v) => set("common_cause_percent", |a| &mut a.common_cause_percent, v),
            Offer::Failing(v) => set("failing_percent", |a| &mut a.failing_percent, v),
            Offer::FailingOf(part, v) => {
                assumptions.failing_of.insert(part, v);
                assumptions.origins.insert(format!("failing_of.{}", part.0), origin);
            }
        }
        self.command(label, &Command::SetAssumptions { assumptions })
    }
}
