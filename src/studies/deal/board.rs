//! Plates on machines in an order, and what that costs.

use std::{
    borrow::Cow,
    collections::{HashMap, HashSet},
};

use super::{
    DealCost,
    asked::Asked,
    content::Content,
    line_time::{ContentTime, content_time},
};
use crate::{
    batch::{
        cool_down_s,
        sequence::{OnBench, Order, Plan, Run, time},
        whole_s,
    },
    document::Twin,
};

/// Times from content alone are taken so much too long: a plate that ends a minute after closing time waits until the morning.
pub(super) const ON_THE_SAFE_SIDE: f64 = 1.01;

/// A plate without places. The first ones are those that stay, in the order of [`Asked::stays`].
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Slot {
    pub(super) group: usize,
    /// What comes off it.
    pub(super) content: Content,
    /// How it is printed twice at once: half of it lies on half the bed, and comes off again beside it or mirrored.
    pub(super) twin: Option<Twin>,
}

impl Slot {
    /// A plate printed once.
    pub(super) fn once(group: usize, content: Content) -> Self {
        Self { group, content, twin: None }
    }
    /// What is laid on it: this is packed, and takes its time.
    pub(super) fn laid(&self, asked: &Asked<'_>) -> Cow<'_, Content> {
        asked.laid(self.twin, &self.content)
    }
}

/// Plates and their order: what the search changes.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Dealing {
    pub(super) slots: Vec<Slot>,
    pub(super) order: Order,
}

impl Dealing {
    /// Without plates on which nothing lies; the first `staying` ones stay.
    pub(super) fn compact(&self, staying: usize) -> Self {
        let kept: Vec<usize> =
            (0..self.slots.len()).filter(|&n| n < staying || !self.slots[n].content.is_empty()).collect();
        let place = |n: &usize| kept.binary_search(n).ok();
        Self {
            slots: kept.iter().map(|&n| self.slots[n].clone()).collect(),
            order: Order {
                steps: self.order.steps.iter().filter_map(place).collect(),
                bench: kept.iter().map(|&n| self.order.bench[n]).collect(),
            },
        }
    }
}

/// Judges dealings.
pub(super) struct Board<'a> {
    pub(super) asked: &'a Asked<'a>,
    runs: crate::batch::sequence::Runs,
    held: Vec<Option<Slot>>,
    times: HashMap<Content, ContentTime>,
    /// Contents whose time was worked out with places.
    exact: HashSet<Content>,
    /// Exact times over times from content, by group.
    pub(super) factor: Vec<f64>,
    /// Lines whose copies are to lie on one plate, and fit on one.
    whole: Vec<usize>,
    /// How long a bed cools, by group and machine, s.
    cool_s: Vec<Vec<i64>>,
}

impl<'a> Board<'a> {
    pub(super) fn new(asked: &'a Asked<'a>) -> Self {
        let cool_s = asked.groups.iter().map(|g| {
            let material = asked.job.material(g.material);
            let on = |m| material.map_or(0, |mat| whole_s(cool_down_s(m, mat, &asked.job.shifts.changeover)));
            asked.job.machines.iter().map(on).collect()
        });
        let mut runs = asked.runs.clone();
        runs.runs = asked.stays.iter().map(|s| staying_run(asked, s)).collect();
        Self {
            asked,
            held: vec![None; runs.runs.len()],
            runs,
            times: HashMap::new(),
            exact: HashSet::new(),
            factor: vec![1.0; asked.groups.len()],
            whole: Vec::new(),
            cool_s: cool_s.collect(),
        }
    }

    /// The copies of these lines are to lie on one plate each.
    pub(super) fn keep_whole(&mut self, lines: Vec<usize>) {
        self.whole = lines;
    }

    /// Is a line to lie on one plate?
    pub(super) fn is_whole(&self, line: usize) -> bool {
        self.whole.contains(&line)
    }

    /// How many plates too many those lines lie on.
    fn parted(&self, dealing: &Dealing) -> usize {
        let on = |line: usize| dealing.slots.iter().filter(|s| s.content.get(line) > 0).count();
        self.whole.iter().map(|&line| on(line).saturating_sub(1)).sum()
    }

    /// How many plates stay: these slots are not to be changed.
    pub(super) fn staying(&self) -> usize {
        self.asked.stays.len()
    }

    /// The time of a plate from what is laid on it, s.
    pub(super) fn content_time(&mut self, group: usize, content: &Content) -> ContentTime {
        if let Some(known) = self.times.get(content) {
            return *known;
        }
        let recipe = self.asked.job.recipe(self.asked.groups[group].recipe);
        let raw = recipe.map_or_else(ContentTime::default, |r| {
            let lines = &self.asked.lines;
            let its: Vec<_> =
                content.iter().filter_map(|(line, n)| Some((f64::from(n), &lines.get(line)?.time))).collect();
            content_time(r, &its)
        });
        let time = ContentTime { time_s: raw.time_s * self.factor[group] * ON_THE_SAFE_SIDE, ..raw };
        self.times.insert(content.clone(), time);
        time
    }

    /// Exact times are so many times those from content; what was worked out before is forgotten.
    pub(super) fn set_factors(&mut self, factor: Vec<f64>) {
        self.factor = factor;
        self.times.clear();
        self.exact.clear();
        self.held.iter_mut().for_each(|h| *h = None);
    }

    /// Plates of a dealing whose time was not worked out with places yet.
    pub(super) fn inexact(&self, dealing: &Dealing) -> Vec<usize> {
        let all = dealing.slots.iter().enumerate().skip(self.staying());
        all.filter(|(_, s)| !s.content.is_empty() && !self.exact.contains(&*s.laid(self.asked)))
            .map(|(n, _)| n)
            .collect()
    }

    /// The time of a plate's layers, worked out with places.
    pub(super) fn set_exact(&mut self, content: &Content, time: ContentTime) {
        self.times.insert(content.clone(), time);
        self.exact.insert(content.clone());
        for held in &mut self.held {
            if held.as_ref().is_some_and(|h| *h.laid(self.asked) == *content) {
                *held = None;
            }
        }
    }

    /// Print time on a machine as the search counts it, whole s: cooling that would be left unserved counts as waiting.
    pub(super) fn print_s(&mut self, group: usize, content: &Content, bench: usize) -> i64 {
        let t = self.content_time(group, content);
        whole_s(t.time_s + t.unserved_s + self.asked.around_s(bench, group))
    }

    /// Hand work and cooling round each plate on a machine, s.
    pub(super) fn between_s(&self, group: usize, bench: usize) -> i64 {
        self.cool_s[group][bench] + self.runs.work.removal_s + self.runs.work.preparing_s
    }

    /// The runs of a dealing with exact print times, each on all machines whose beds hold its copies.
    pub(super) fn runs_of(
        &mut self,
        dealing: &Dealing,
        exact: &[Option<ContentTime>],
        holds: &mut dyn FnMut(&Slot, usize) -> bool,
    ) -> crate::batch::sequence::Runs {
        self.hold(dealing);
        let mut runs = self.runs.clone();
        runs.runs.truncate(dealing.slots.len());
        for (n, slot) in dealing.slots.iter().enumerate().skip(self.staying()) {
            let Some(Some(time)) = exact.get(n) else { continue };
            let its = dealing.order.bench[n];
            let layers_s = time.time_s - self.asked.around_s(its, slot.group);
            for bench in 0..self.asked.class.len() {
                let Some(class) = self.asked.bed(bench, slot.twin) else { continue };
                if Some(class) == self.asked.bed(its, slot.twin) || holds(slot, class) {
                    let print_s = whole_s(layers_s + self.asked.around_s(bench, slot.group));
                    runs.runs[n].on[bench] = Some(OnBench { print_s, cool_s: self.cool_s[slot.group][bench] });
                }
            }
        }
        runs
    }

    /// When everything happens, and what it costs.
    pub(super) fn judge(&mut self, dealing: &Dealing) -> (Plan, DealCost) {
        self.hold(dealing);
        let plan = time(&self.runs, &dealing.order);
        let cost = self.cost(dealing, &plan);
        (plan, cost)
    }

    /// What a plan of a dealing costs.
    pub(super) fn cost(&mut self, dealing: &Dealing, plan: &Plan) -> DealCost {
        let mut cost = DealCost {
            not_run: plan.cost.not_run,
            late_s: plan.cost.late_s,
            parted: self.parted(dealing),
            finish_s: plan.cost.finish_s,
            idle_s: plan.cost.idle_s,
            changes: plan.cost.changes,
            ready_sum_s: plan.cost.ready_sum_s,
            ..DealCost::default()
        };
        let mut waste_g = plan.cost.changes as f64 * self.asked.job.shifts.changeover.change_waste_g;
        for slot in dealing.slots.iter().skip(self.staying()).filter(|s| !s.content.is_empty()) {
            cost.unserved_s += whole_s(self.content_time(slot.group, &slot.laid(self.asked)).unserved_s);
            let group = &self.asked.groups[slot.group];
            let (recipe, material) = (self.asked.job.recipe(group.recipe), self.asked.job.material(group.material));
            let purged_mm3 = (if slot.twin.is_some() { 2.0 } else { 1.0 }) * recipe.map_or(0.0, |r| r.purge_mm3);
            waste_g += purged_mm3 / 1000.0 * material.map_or(0.0, |m| m.density_g_cm3);
        }
        cost.waste_mg = whole_s(waste_g * 1000.0);
        cost
    }

    /// Brings the runs up to date with a dealing: only what has changed is worked out.
    fn hold(&mut self, dealing: &Dealing) {
        let staying = self.staying();
        let machines = self.asked.job.machines.len();
        for (n, slot) in dealing.slots.iter().enumerate().skip(staying) {
            let bench = dealing.order.bench[n];
            let is_held = self.held.get(n).is_some_and(|h| h.as_ref() == Some(slot))
                && self.runs.runs[n].on.get(bench).is_some_and(Option::is_some);
            if is_held || (slot.content.is_empty() && n < self.held.len()) {
                continue;
            }
            let mut on = vec![None; machines];
            if !slot.content.is_empty() {
                let print_s = self.print_s(slot.group, &slot.laid(self.asked), bench);
                on[bench] = Some(OnBench { print_s, cool_s: self.cool_s[slot.group][bench] });
            }
            let due = slot.content.iter().filter_map(|(line, _)| self.asked.lines[line].due_s).min();
            let run = Run {
                on,
                load: self.asked.groups[slot.group].load,
                due_s: due,
                not_before_s: i64::MIN / 4,
                began: None,
            };
            if n < self.runs.runs.len() {
                self.runs.runs[n] = run;
                self.held[n] = Some(slot.clone());
            } else {
                self.runs.runs.push(run);
                self.held.push(Some(slot.clone()));
            }
        }
    }
}

/// A plate that stays as a run.
fn staying_run(asked: &Asked<'_>, staying: &super::asked::StayingPlate) -> Run {
    let mut on = vec![None; asked.job.machines.len()];
    let loads = crate::batch::Loads::of(asked.job);
    let plate = asked.job.plate(staying.plate);
    let machine = &asked.job.machines[staying.bench];
    let cool_s = plate.map_or(0, |p| crate::batch::plate_cool_s(asked.job, p, machine));
    on[staying.bench] = Some(OnBench { print_s: whole_s(staying.time_s), cool_s });
    let none = crate::batch::sequence::Load { material: 0, colour: 0 };
    let load = plate.map_or(none, |p| loads.of_colour(p.material, &p.colour));
    Run {
        on,
        load,
        due_s: plate.and_then(|p| crate::batch::due_s(asked.job, p, &asked.calendar)),
        not_before_s: plate.and_then(|p| p.run.not_before).map_or(i64::MIN / 4, |t| asked.calendar.second_of(t)),
        began: plate.and_then(|p| p.run.started).map(|t| (staying.bench, asked.calendar.second_of(t))),
    }
}
