//! What is to be dealt, read off a job: lines, kinds of beds, plates that stay and plates that may be dealt again.

use std::{borrow::Cow, collections::BTreeMap};

use super::{
    DealError, DealTask,
    content::Content,
    line::{Group, Line},
    line_time::{ContentTime, LineTime},
};
use crate::{
    batch::{Calendar, Loads, MOST_DAYS, bench, hand_work, sequence::Runs},
    document::{
        BedShape, CopyId, Footing, Job, Machine, Part, PartId, Plate, PlateId, Recipe, Twin, limits::MOST_COPIES,
    },
    estimate::{self, FootingProfile, PlateCopy, PlateInput, Tour},
    geom::Placement,
    plate::{self, Fit, PlateTwin, Prepared, Room, Shapes},
    words,
};

/// Copies that are wanted and cannot be dealt.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct NotDealt {
    /// Of which part.
    pub part: PartId,
    /// How many.
    pub count: usize,
    /// Why, in words.
    pub why: String,
}

/// A copy of a line at its place; which copy of the job, if one.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Lying {
    pub(super) line: usize,
    pub(super) copy: CopyId,
    pub(super) at: Placement,
}

/// A plate that may be dealt again.
#[derive(Debug, Clone)]
pub(super) struct FreePlate {
    pub(super) plate: PlateId,
    pub(super) bench: usize,
    pub(super) group: usize,
    pub(super) copies: Vec<Lying>,
}

impl FreePlate {
    /// How many copies of each line lie on it.
    pub(super) fn content(&self) -> Content {
        let mut content = Content::default();
        self.copies.iter().for_each(|c| content.add(c.line, 1));
        content
    }
    /// Where they lie.
    pub(super) fn places(&self) -> Vec<(usize, Placement)> {
        self.copies.iter().map(|c| (c.line, c.at)).collect()
    }
}

/// A plate that stays as it is.
#[derive(Debug, Clone)]
pub(super) struct StayingPlate {
    pub(super) plate: PlateId,
    pub(super) bench: usize,
    pub(super) time_s: f64,
}

/// What is to be dealt.
pub(super) struct Asked<'a> {
    pub(super) task: &'a DealTask,
    pub(super) job: &'a Job,
    pub(super) calendar: Calendar,
    pub(super) groups: Vec<Group>,
    pub(super) lines: Vec<Line>,
    /// The kind of bed of each machine.
    pub(super) class: Vec<usize>,
    /// The kinds of bed that each machine has for plates printed twice at once, as in [`Twin::ALL`]; `None` with one carriage.
    twin_class: Vec<[Option<usize>; 2]>,
    /// How the kinds for plates printed twice at once are printed, from [`Self::plain_kinds`] on.
    twin_kinds: Vec<Twin>,
    /// The first machine of each kind. Kinds for plates printed once come first.
    pub(super) machine: Vec<usize>,
    /// How many kinds there are for plates printed once.
    pub(super) plain_kinds: usize,
    pub(super) free: Vec<FreePlate>,
    /// How many copies of each line lie on those plates.
    pub(super) there: Vec<u32>,
    pub(super) stays: Vec<StayingPlate>,
    /// Machines, people's hours and hand work; no runs yet.
    pub(super) runs: Runs,
    pub(super) not_dealt: Vec<NotDealt>,
    pub(super) shapes: Shapes,
    pub(super) prepared: Prepared,
}

impl<'a> Asked<'a> {
    /// Reads a task.
    ///
    /// # Errors
    /// [`DealError`].
    pub(super) fn new(task: &'a DealTask) -> Result<Self, DealError> {
        let job = &*task.job;
        if job.machines.is_empty() {
            return Err(DealError::NoMachine);
        }
        let (class, mut machine) = kinds_of_beds(&job.machines);
        let plain_kinds = machine.len();
        let (twin_class, twin_kinds) = kinds_of_twin_beds(&job.machines, &class, &mut machine);
        let shapes: Shapes = task.parts.iter().map(|(id, p)| (*id, p.shape.clone())).collect();
        let mut asked = Self {
            task,
            job,
            // Where somebody comes once a week, a hundred plates take two years.
            calendar: Calendar::new(&job.shifts.hours, task.start, MOST_DAYS),
            groups: Vec::new(),
            lines: Vec::new(),
            class,
            twin_class,
            twin_kinds,
            machine,
            plain_kinds,
            free: Vec::new(),
            there: Vec::new(),
            stays: Vec::new(),
            runs: Runs::default(),
            not_dealt: Vec::new(),
            shapes,
            prepared: Prepared::new(),
        };
        asked.read_plates();
        asked.there = asked.lines.iter().map(|l| l.count).collect();
        asked.read_order();
        asked.there.resize(asked.lines.len(), 0);
        asked.pair_hands();
        let loads = Loads::of(job);
        asked.runs = Runs {
            benches: job.machines.iter().map(|m| bench(job, m, &loads, &asked.calendar)).collect(),
            runs: Vec::new(),
            attended: asked.calendar.attended().to_vec(),
            people: job.shifts.hours.people as usize,
            work: hand_work(&job.shifts.changeover),
        };
        for group in &mut asked.groups {
            group.load = loads.of_colour(group.material, &group.colour);
        }
        for line in &mut asked.lines {
            let due = job.part(line.part).and_then(|p| p.due.as_deref());
            line.due_s = due.and_then(|due| asked.calendar.due_s(due));
        }
        asked.check()?;
        Ok(asked)
    }

    /// Whether anything can be done at all.
    fn check(&self) -> Result<(), DealError> {
        if self.lines.iter().all(|l| l.count == 0) {
            return Err(match self.not_dealt.first() {
                None => DealError::NothingToDeal,
                Some(n) => {
                    let name = self.job.part(n.part).map_or("?", |p| p.name.as_str());
                    DealError::Nothing(format!("{name}: {}", n.why))
                }
            });
        }
        let copies: u64 = self.lines.iter().map(|l| u64::from(l.count)).sum();
        if copies > MOST_COPIES as u64 {
            return Err(DealError::TooMany { copies, most: MOST_COPIES });
        }
        if self.runs.people == 0 {
            return Err(DealError::NoPeople);
        }
        let Some(longest_s) = self.runs.attended.iter().map(|w| w.length_s()).max() else {
            return Err(DealError::NoHours);
        };
        let work = &self.runs.work;
        for (name, needed_s) in [("Preparing a plate", work.preparing_s), ("Taking parts off", work.removal_s)] {
            if needed_s > longest_s {
                let [needed, longest] = [needed_s, longest_s].map(|s| words::time(s as f64));
                return Err(DealError::HoursTooShort { work: name, needed, longest });
            }
        }
        Ok(())
    }

    fn read_plates(&mut self) {
        for plate in &self.job.plates {
            if plate.copies.is_empty() || plate.run.ended.is_some() {
                continue;
            }
            let Some(bench) = self.job.machines.iter().position(|m| m.id == plate.machine) else { continue };
            match self.free_plate(plate, bench) {
                Some(free) => self.free.push(free),
                None => {
                    if let Some(time_s) = self.plate_time_s(plate, &self.job.machines[bench]) {
                        self.stays.push(StayingPlate { plate: plate.id, bench, time_s });
                    } else {
                        self.plate_without_time(plate);
                    }
                }
            }
        }
    }

    /// A plate that nobody knows the time of cannot be planned; it stays, and its parts are told.
    fn plate_without_time(&mut self, plate: &Plate) {
        let number = self.job.plate_number(plate.id).unwrap_or(0);
        let mut all: Vec<PartId> = plate.copies.iter().map(|c| c.part).collect();
        all.sort_unstable();
        all.dedup();
        let culprit = all.iter().find(|id| !self.task.parts.contains_key(id)).copied();
        let why = culprit.and_then(|id| self.task.unknown.get(&id)).cloned();
        let name = culprit.and_then(|id| self.job.part(id)).map_or_else(|| "a part".to_owned(), |p| p.name.clone());
        let why = why.unwrap_or_else(|| "its layers are not known".into());
        for part in all {
            let count = plate.copies.iter().filter(|c| c.part == part).count();
            let why = if Some(part) == culprit {
                format!("{why}; plate {number} stays as it is and is not planned")
            } else {
                format!("plate {number} stays as it is because of {name}: take {name} off it and deal out again")
            };
            self.not_dealt.push(NotDealt { part, count, why });
        }
    }

    /// A plate as one that may be dealt again; `None` where it stays.
    fn free_plate(&mut self, plate: &Plate, bench: usize) -> Option<FreePlate> {
        if stays(self.job, plate) || plate.copies.iter().any(|c| !self.task.parts.contains_key(&c.part)) {
            return None;
        }
        let mut copies = Vec::with_capacity(plate.copies.len());
        for c in &plate.copies {
            let line = self.line(self.job.part(c.part)?, self.job.footing(c))?;
            copies.push(Lying { line, copy: c.id, at: c.placement() });
        }
        for c in &copies {
            self.lines[c.line].count += 1;
        }
        let group = self.lines[copies.first()?.line].group;
        Some(FreePlate { plate: plate.id, bench, group, copies })
    }

    fn read_order(&mut self) {
        // Why a part lies nowhere is for `plate` to say.
        let bare = Job { plates: Vec::new(), ..self.job.clone() };
        let order = plate::order_task(&bare, &self.shapes, &self.prepared);
        let why: BTreeMap<PartId, String> =
            order.iter().flat_map(|task| task.mapping.left_out()).map(|left| (left.part, left.why.clone())).collect();
        for part in &self.job.parts {
            // A failed plate makes none, a tallied one those that were good.
            let on_plates = plate::made(self.job, part.id, &self.shapes);
            let missing = (part.wanted as usize).saturating_sub(on_plates);
            if missing == 0 {
                continue;
            }
            let told = self.task.unknown.get(&part.id).or_else(|| why.get(&part.id));
            let line = if told.is_none() { self.line(part, part.footing) } else { None };
            if let Some(line) = line.filter(|&line| self.lines[line].takes.contains(&true)) {
                let more = u32::try_from(missing).unwrap_or(u32::MAX);
                self.lines[line].count = self.lines[line].count.saturating_add(more);
            } else {
                let why = told.cloned().unwrap_or_else(|| "its material, recipe or outline is missing".into());
                self.not_dealt.push(NotDealt { part: part.id, count: missing, why });
            }
        }
    }

    /// The line of a part on a footing; `None` where something of it is missing.
    fn line(&mut self, part: &Part, footing: Footing) -> Option<usize> {
        let same = |l: &Line| l.part == part.id && l.footing == footing;
        if let Some(known) = self.lines.iter().position(same) {
            return Some(known);
        }
        let job = self.job;
        let known = self.task.parts.get(&part.id)?;
        let (material, recipe) = (job.material(part.material)?, job.recipe(part.recipe)?);
        let brim_or_raft = FootingProfile::compute(known.shape.contact.region(), footing, recipe).ok()?;
        let lift_mm = match footing {
            Footing::Raft { .. } => recipe.raft_height_mm(),
            Footing::Bare | Footing::Brim { .. } => 0.0,
        };
        let height_mm = known.shape.height_mm + lift_mm;
        let form = self.prepared.get(&known.shape, footing, &job.margins);
        let takes = self.machine.iter().enumerate().map(|(class, &m)| {
            let machine = &job.machines[m];
            let room = Room::within(job, machine, recipe.skirt_mm());
            let twin = self.twin_of(class).and_then(|twin| PlateTwin::on(machine, twin));
            let fit = match twin {
                Some(twin) => plate::fits_half(&room, &twin, &form, part.turns, &self.prepared),
                None => plate::fits(&room, &form, part.turns),
            };
            height_mm <= machine.height_mm + 1e-9 && fit == Fit::Fits
        });
        let takes: Vec<bool> = takes.collect();
        let pitch_mm = plate::pitch_mm(&known.shape, footing, &job.margins);
        let time = LineTime::new(&known.profile, &brim_or_raft, material, recipe, pitch_mm);
        let same = |g: &Group| (g.material, g.recipe) == (part.material, part.recipe) && g.colour == part.colour;
        let group = self.groups.iter().position(same).unwrap_or_else(|| {
            self.groups.push(Group {
                material: part.material,
                colour: part.colour.clone(),
                recipe: part.recipe,
                load: crate::batch::sequence::Load { material: part.material.0, colour: 0 },
            });
            self.groups.len() - 1
        });
        let grown_mm2 = form.gap_ring.area();
        let (part, count, due_s) = (part.id, 0, None);
        self.lines.push(Line { part, footing, group, count, due_s, height_mm, grown_mm2, takes, time, mirrored: None });
        Some(self.lines.len() - 1)
    }

    /// The time of a plate as it lies, s; `None` where it is not known.
    fn plate_time_s(&self, plate: &Plate, machine: &Machine) -> Option<f64> {
        let copies = plate.copies.iter().map(|c| (c.part, self.job.footing(c), c.placement()));
        let (material, recipe) = (self.job.material(plate.material)?, self.job.recipe(plate.recipe)?);
        self.exact_time(machine, material, recipe, copies).map(|t| t.time_s)
    }

    /// The exact time of copies where they lie, heating up and end included; `None` where it is not known.
    pub(super) fn exact_time(
        &self,
        machine: &Machine,
        material: &crate::document::Material,
        recipe: &Recipe,
        copies: impl Iterator<Item = (PartId, Footing, Placement)>,
    ) -> Option<ContentTime> {
        let mut footings: BTreeMap<(PartId, &'static str, u64), std::sync::Arc<FootingProfile>> = BTreeMap::new();
        let mut planned = Vec::new();
        for (n, (part, footing, placement)) in copies.enumerate() {
            let known = self.task.parts.get(&part)?;
            let key = (part, footing.kind(), footing.width_mm().to_bits());
            let its = if let Some(its) = footings.get(&key) {
                its.clone()
            } else {
                let made = FootingProfile::compute(known.shape.contact.region(), footing, recipe).ok()?;
                footings.entry(key).or_insert(std::sync::Arc::new(made)).clone()
            };
            let copy = CopyId(u32::try_from(n).ok()?);
            planned.push(PlateCopy { copy, profile: known.profile.clone(), footing: its, placement });
        }
        let input = PlateInput { machine, material, recipe, copies: &planned };
        let estimate = estimate::plate(&input, Tour::Exact).ok()?;
        let unserved_s = estimate.layers.iter().map(|l| l.unserved_s).sum();
        Some(ContentTime { time_s: estimate.time_s, unserved_s })
    }

    /// Which lines are one another's mirror image: two hands of a part on one footing, or one that is its own.
    fn pair_hands(&mut self) {
        let other = |line: &Line| {
            let part = self.job.part(line.part)?;
            let own = self.shapes.get(&part.id).is_some_and(|s| s.own_mirror);
            let of = self.job.twin_part(Twin::Handed, part, own)?;
            self.lines.iter().position(|l| l.part == of && l.footing == line.footing && l.group == line.group)
        };
        let others: Vec<Option<usize>> = self.lines.iter().map(other).collect();
        for (n, line) in self.lines.iter_mut().enumerate() {
            line.mirrored = others[n].filter(|&m| others[m] == Some(n));
        }
    }

    /// How plates on a kind of bed are printed twice at once; `None` for once.
    pub(super) fn twin_of(&self, class: usize) -> Option<Twin> {
        self.twin_kinds.get(class.checked_sub(self.plain_kinds)?).copied()
    }

    /// The other line that comes off with a line's copies where a plate is printed so.
    pub(super) fn partner(&self, twin: Option<Twin>, line: usize) -> Option<usize> {
        if twin == Some(Twin::Handed) { self.lines[line].mirrored.filter(|&m| m != line) } else { None }
    }

    /// How many copies of a line come off for each that is laid, where a plate is printed so.
    pub(super) fn per_copy(&self, twin: Option<Twin>, line: usize) -> u32 {
        if twin.is_some() && self.partner(twin, line).is_none() { 2 } else { 1 }
    }

    /// Can these copies come off a plate that is printed so?
    pub(super) fn comes_off(&self, twin: Option<Twin>, content: &Content) -> bool {
        match twin {
            None => true,
            Some(Twin::Shifted) => content.is_even(),
            Some(Twin::Handed) => content.iter().all(|(line, n)| match self.lines[line].mirrored {
                Some(m) if m == line => n.is_multiple_of(2),
                Some(m) => content.get(m) == n,
                None => false,
            }),
        }
    }

    /// What is laid so that these copies come off a plate that is printed so: of a pair of hands the first.
    pub(super) fn laid<'c>(&self, twin: Option<Twin>, content: &'c Content) -> Cow<'c, Content> {
        match twin {
            None => Cow::Borrowed(content),
            Some(Twin::Shifted) => Cow::Owned(content.pairs()),
            Some(Twin::Handed) => {
                let mut laid = Content::default();
                for (line, n) in content.iter() {
                    match self.lines[line].mirrored {
                        Some(m) if m == line => laid.add(line, n / 2),
                        Some(m) if m > line => laid.add(line, n.min(content.get(m))),
                        _ => {}
                    }
                }
                Cow::Owned(laid)
            }
        }
    }

    /// What comes off a plate that is printed so, of what is laid.
    pub(super) fn off(&self, twin: Option<Twin>, laid: &Content) -> Content {
        match twin {
            None => laid.clone(),
            Some(Twin::Shifted) => laid.times(2),
            Some(Twin::Handed) => {
                let mut off = laid.clone();
                laid.iter().for_each(|(line, n)| off.add(self.lines[line].mirrored.unwrap_or(line), n));
                off
            }
        }
    }

    /// The kind of bed of a machine for plates printed once, or twice at once; `None` where it has one carriage.
    pub(super) fn bed(&self, bench: usize, twin: Option<Twin>) -> Option<usize> {
        match twin {
            None => self.class.get(bench).copied(),
            Some(twin) => {
                let at = Twin::ALL.iter().position(|t| *t == twin)?;
                self.twin_class.get(bench)?[at]
            }
        }
    }

    /// Has a machine two carriages?
    pub(super) fn two_carriages(&self, bench: usize) -> bool {
        self.twin_class.get(bench).is_some_and(|of| of.iter().any(Option::is_some))
    }

    /// May copies lie otherwise on one machine than on another?
    pub(super) fn bed_differs(&self, a: usize, b: usize) -> bool {
        self.class[a] != self.class[b] || self.twin_class[a] != self.twin_class[b]
    }

    /// Does a machine have two carriages?
    pub(super) fn has_twins(&self) -> bool {
        self.machine.len() > self.plain_kinds
    }

    /// What a machine adds to the layers of a group's plate, s: heating up, purging, its end.
    pub(super) fn around_s(&self, bench: usize, group: usize) -> f64 {
        let machine = &self.job.machines[bench];
        let recipe = self.job.recipe(self.groups[group].recipe);
        machine.heat_up_s + machine.end_s + recipe.map_or(0.0, |r| r.purge_mm3 / r.flow_mm3_s)
    }
}

/// A plate that dealing out leaves as it is: fixed, started, given a time, printed twice at once, with locked copies or with ones that belong
/// elsewhere.
fn stays(job: &Job, plate: &Plate) -> bool {
    let elsewhere = |part: PartId| job.part(part).is_none_or(|p| !job.belongs(p, plate));
    plate.run.stays()
        || plate.run.not_before.is_some()
        || plate.twin.is_some()
        || plate.copies.iter().any(|c| c.locked || elsewhere(c.part))
}

/// Machines whose beds take the same: for each its kind, and for each kind the first machine.
fn kinds_of_beds(machines: &[Machine]) -> (Vec<usize>, Vec<usize>) {
    let key = |m: &Machine| -> (BedShape, [u64; 2], Vec<Vec<crate::geom::Point>>) {
        let keep_outs = m.keep_outs.iter().map(|k| k.outline.clone()).collect();
        (m.bed.clone(), [m.height_mm.to_bits(), m.edge_mm.to_bits()], keep_outs)
    };
    let mut known: Vec<_> = Vec::new();
    let (mut class, mut first) = (Vec::new(), Vec::new());
    for (n, m) in machines.iter().enumerate() {
        let key = key(m);
        let at = known.iter().position(|k| *k == key).unwrap_or_else(|| {
            known.push(key);
            first.push(n);
            known.len() - 1
        });
        class.push(at);
    }
    (class, first)
}

/// The same of beds of which two carriages print one half each, in both ways: these kinds are added to the first machines. For each machine its
/// kinds, and how each of the kinds is printed.
fn kinds_of_twin_beds(
    machines: &[Machine],
    class: &[usize],
    first: &mut Vec<usize>,
) -> (Vec<[Option<usize>; 2]>, Vec<Twin>) {
    let plain = first.len();
    let mut twins = Vec::new();
    let key = |n: usize| Some((class[n], machines[n].carriages?.strip_mm.to_bits()));
    let mut its = Vec::new();
    for n in 0..machines.len() {
        its.push(Twin::ALL.map(|twin| {
            let of_n = key(n)?;
            let is_known = |c: &usize| twins[c - plain] == twin && key(first[*c]) == Some(of_n);
            let known = (plain..first.len()).find(is_known);
            Some(known.unwrap_or_else(|| {
                first.push(n);
                twins.push(twin);
                first.len() - 1
            }))
        }));
    }
    (its, twins)
}
