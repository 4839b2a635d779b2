//! Which copies lie on a bed together, and how.

use std::{collections::BTreeMap, sync::Arc, time::Instant};

use rayon::prelude::*;

use super::{asked::Asked, content::Content};
use crate::{
    document::{Copy, CopyId, Job, Plate, PlateId, RunState},
    geom::{Placement, Point},
    packing::{self, Aim, Item, Layout, Problem},
    plate,
    watch::Watch,
};

/// Layouts kept for each kind of bed and group.
const KEPT: usize = 400;
/// No layout covers more of a room with shadows grown by half the gap.
const COVERED: f64 = 1.0;

/// A copy of a line at a place.
pub(super) type Placed = (usize, Placement);

/// Where copies lie.
#[derive(Debug, Clone)]
pub(super) struct Laid {
    pub(super) content: Content,
    pub(super) items: Arc<[Placed]>,
}

/// The bed of a kind with the shapes of a group.
struct Base {
    problem: Problem,
    /// The shape of each line, where the bed takes it.
    shape: BTreeMap<usize, usize>,
    room_mm2: f64,
    middle: Point,
    known: Vec<Laid>,
    refused: Vec<Content>,
}

/// Ends packing when nobody waits for it any more.
#[derive(Clone, Copy)]
struct Stop<'a> {
    asked: Option<&'a (dyn Fn() -> bool + Sync)>,
    until: Option<Instant>,
}

impl Stop<'_> {
    fn cancelled(self) -> bool {
        self.asked.is_some_and(|stop| stop()) || self.until.is_some_and(|u| Instant::now() >= u)
    }
}

impl Watch<Layout> for Stop<'_> {
    fn cancelled(&self) -> bool {
        (*self).cancelled()
    }
}

/// Which copies lie on a bed together: each question is asked once, and a part of what lies on a bed lies there too.
pub(super) struct Packer<'a> {
    asked: &'a Asked<'a>,
    stop: Stop<'a>,
    /// By group and kind of bed.
    bases: BTreeMap<(usize, usize), Base>,
}

impl<'a> Packer<'a> {
    /// `stop` says when nothing more is worth packing.
    pub(super) fn new(asked: &'a Asked<'a>, stop: &'a (dyn Fn() -> bool + Sync)) -> Self {
        let mut bases = BTreeMap::new();
        for group in 0..asked.groups.len() {
            for class in 0..asked.machine.len() {
                if let Some(base) = base(asked, group, class) {
                    bases.insert((group, class), base);
                }
            }
        }
        Self { asked, stop: Stop { asked: Some(stop), until: None }, bases }
    }

    /// From now on every question is answered, whoever says stop.
    pub(super) fn never_stop(&mut self) {
        self.stop = Stop { asked: None, until: None };
    }

    /// Lays as many copies of each line as are asked for on a bed of each kind, quickly; with `rounds` of searching for tighter layouts, and
    /// until a time.
    pub(super) fn fill_each(&mut self, rounds: u64, until: Option<Instant>) {
        let asked = self.asked;
        let stop = Stop { until, ..self.stop };
        let mut tasks: Vec<(usize, usize, usize)> = Vec::new();
        for (&(group, class), base) in &self.bases {
            tasks.extend(base.shape.keys().map(|&line| (group, class, line)));
        }
        let filled: Vec<Option<Laid>> = tasks
            .par_iter()
            .map(|&(group, class, line)| {
                let base = &self.bases[&(group, class)];
                let most = asked.lines[line].count.min(base.most(asked, line));
                if stop.cancelled() {
                    return None;
                }
                let items = base.topped_up(line, most, &[], rounds, stop);
                Some(Laid { content: Content::of(line, items.len() as u32), items: items.into() })
            })
            .collect();
        for (&(group, class, _), laid) in tasks.iter().zip(filled) {
            if let (Some(base), Some(laid)) = (self.bases.get_mut(&(group, class)), laid)
                && !laid.content.is_empty()
            {
                base.keep(laid);
            }
        }
    }

    /// Most copies of a line alone on a kind of bed, as far as is known.
    pub(super) fn most_of(&self, line: usize, class: usize) -> u32 {
        let group = self.asked.lines[line].group;
        let Some(base) = self.bases.get(&(group, class)) else { return 0 };
        base.known.iter().map(|l| l.content.get(line)).max().unwrap_or(0)
    }

    /// A layout of these copies on a kind of bed.
    pub(super) fn laid(&mut self, group: usize, content: &Content, class: usize) -> Option<Laid> {
        let (asked, stop) = (self.asked, self.stop);
        let base = self.bases.get_mut(&(group, class))?;
        if let Some(known) = base.part_of_known(content) {
            return Some(known);
        }
        if !base.may_hold(asked, content) {
            return None;
        }
        let Some(items) = base.packed(content, stop) else {
            if stop.cancelled() {
                return None;
            }
            if base.refused.len() >= KEPT {
                base.refused.remove(0);
            }
            base.refused.push(content.clone());
            return None;
        };
        let laid = Laid { content: content.clone(), items: items.into() };
        base.keep(laid.clone());
        Some(laid)
    }

    /// Can these copies lie together? Packs where nothing is known.
    pub(super) fn holds(&mut self, group: usize, content: &Content, class: usize) -> bool {
        let known = self.bases.get(&(group, class)).is_some_and(|b| b.known.iter().any(|l| l.content.holds(content)));
        known || self.laid(group, content, class).is_some()
    }

    /// Is it worth asking? Areas, heights and what was refused before; no packing.
    pub(super) fn may_hold(&self, group: usize, content: &Content, class: usize) -> bool {
        self.bases.get(&(group, class)).is_some_and(|b| b.may_hold(self.asked, content))
    }

    /// As many more copies of a line as fit beside what lies there, at most `most`.
    pub(super) fn with_more(
        &mut self,
        group: usize,
        class: usize,
        laid: &Laid,
        line: usize,
        most: u32,
    ) -> Option<Laid> {
        let stop = self.stop;
        let base = self.bases.get_mut(&(group, class))?;
        let more = base.topped_up(line, most, &laid.items, 0, stop);
        if more.is_empty() {
            return None;
        }
        let mut content = laid.content.clone();
        content.add(line, more.len() as u32);
        let items: Vec<Placed> = laid.items.iter().copied().chain(more).collect();
        let both = Laid { content, items: items.into() };
        base.keep(both.clone());
        Some(both)
    }

    /// Takes in a layout that is there. False where it is not in order: copies in conflict, or ones that the bed does not take.
    pub(super) fn learn(&mut self, group: usize, class: usize, items: Vec<Placed>) -> bool {
        let Some(base) = self.bases.get_mut(&(group, class)) else { return false };
        let mut content = Content::default();
        let mut placed = Vec::with_capacity(items.len());
        let mut counts = vec![0; base.problem.shapes.len()];
        for &(line, at) in &items {
            let Some(&shape) = base.shape.get(&line) else { return false };
            content.add(line, 1);
            counts[shape] += 1;
            placed.push(Item { shape, at });
        }
        let layout = Layout { beds: vec![placed], unplaced: vec![0; counts.len()] };
        let problem = Problem { aim: Aim::Pack { counts }, ..base.problem.clone() };
        if packing::verify(&problem, &layout).is_err() {
            return false;
        }
        base.keep(Laid { content, items: items.into() });
        true
    }

    /// Room of a kind of bed for a group with half the gap round it, mm²: shadows grown by half the gap cover no more.
    pub(super) fn grown_room_mm2(&self, group: usize, class: usize) -> Option<f64> {
        self.bases.get(&(group, class)).map(|b| b.room_mm2)
    }
}

impl Base {
    fn may_hold(&self, asked: &Asked<'_>, content: &Content) -> bool {
        let mut area_mm2 = 0.0;
        for (line, n) in content.iter() {
            if !self.shape.contains_key(&line) {
                return false;
            }
            area_mm2 += f64::from(n) * asked.lines[line].grown_mm2;
        }
        area_mm2 <= COVERED * self.room_mm2 && !self.refused.iter().any(|r| content.holds(r))
    }

    /// No more copies of a line than this, by area.
    fn most(&self, asked: &Asked<'_>, line: usize) -> u32 {
        (self.room_mm2 / asked.lines[line].grown_mm2.max(1e-3)).floor().clamp(0.0, 1e6) as u32
    }

    fn keep(&mut self, laid: Laid) {
        if self.known.iter().any(|k| k.content.holds(&laid.content)) {
            return;
        }
        self.known.retain(|k| !laid.content.holds(&k.content));
        if self.known.len() >= KEPT {
            self.known.remove(0);
        }
        self.known.push(laid);
    }

    /// The part of a known layout that lies nearest to the middle of the bed.
    fn part_of_known(&self, content: &Content) -> Option<Laid> {
        let fits = self.known.iter().filter(|k| k.content.holds(content));
        let known = fits.min_by_key(|k| k.content.count())?;
        if known.content == *content {
            return Some(known.clone());
        }
        let mut order: Vec<usize> = (0..known.items.len()).collect();
        let far = |i: usize| self.middle.distance(Point::new(known.items[i].1.x, known.items[i].1.y));
        order.sort_by(|&a, &b| far(a).total_cmp(&far(b)).then(a.cmp(&b)));
        let mut left = content.clone();
        let mut kept: Vec<usize> = Vec::new();
        for i in order {
            let line = known.items[i].0;
            if left.get(line) > 0 {
                left.take(line, 1);
                kept.push(i);
            }
        }
        kept.sort_unstable();
        let items: Vec<Placed> = kept.into_iter().map(|i| known.items[i]).collect();
        Some(Laid { content: content.clone(), items: items.into() })
    }

    /// The problem with these lines alone, and the line of each of its shapes.
    fn only(&self, lines: &[usize]) -> (Problem, Vec<usize>) {
        let lines: Vec<usize> = lines.iter().copied().filter(|l| self.shape.contains_key(l)).collect();
        let shapes = lines.iter().map(|l| self.problem.shapes[self.shape[l]].clone()).collect();
        (
            Problem { shapes, aim: Aim::Pack { counts: Vec::new() }, beds: self.problem.beds.clone(), ..self.problem },
            lines,
        )
    }

    fn packed(&self, content: &Content, stop: Stop<'_>) -> Option<Vec<Placed>> {
        let asked: Vec<usize> = content.iter().map(|c| c.0).collect();
        let (mut problem, lines) = self.only(&asked);
        if lines.len() < content.lines() {
            return None;
        }
        problem.aim = Aim::Pack { counts: content.iter().map(|c| c.1 as usize).collect() };
        let layout = packing::solve(&problem, 1, Some(0), &stop);
        if layout.count() < content.count() as usize {
            return None;
        }
        Some(layout.beds.iter().flatten().map(|i| (lines[i.shape], i.at)).collect())
    }

    /// Copies of a line beside those that lie there.
    fn topped_up(&self, line: usize, most: u32, lying: &[Placed], rounds: u64, stop: Stop<'_>) -> Vec<Placed> {
        let mut asked: Vec<usize> = lying.iter().map(|i| i.0).chain([line]).collect();
        asked.sort_unstable();
        asked.dedup();
        let (mut problem, lines) = self.only(&asked);
        let Some(shape) = lines.iter().position(|l| *l == line) else { return Vec::new() };
        if most == 0 {
            return Vec::new();
        }
        let of = |line: usize| lines.iter().position(|l| *l == line);
        if let Some(bed) = problem.beds.first_mut() {
            bed.fixed = lying.iter().filter_map(|&(l, at)| Some(Item { shape: of(l)?, at })).collect();
        }
        let only = |n: usize, one: f64| if n == shape { one } else { 0.0 };
        problem.aim = Aim::TopUp {
            shares: (0..lines.len()).map(|n| only(n, 1.0)).collect(),
            at_most: (0..lines.len()).map(|n| if n == shape { most as usize } else { 0 }).collect(),
            there: Vec::new(),
        };
        let layout = packing::solve(&problem, 1, Some(rounds), &stop);
        layout.beds.iter().flatten().map(|i| (lines[i.shape], i.at)).collect()
    }
}

/// The bed of a kind with all lines of a group that it takes.
fn base(asked: &Asked<'_>, group: usize, class: usize) -> Option<Base> {
    let of_group = &asked.groups[group];
    let machine = &asked.job.machines[asked.machine[class]];
    let twin = asked.twin_of(class);
    let lines: Vec<usize> = (0..asked.lines.len())
        .filter(|&l| asked.lines[l].group == group && asked.lines[l].takes.get(class) == Some(&true))
        .collect();
    if lines.is_empty() {
        return None;
    }
    // One copy of each line, for their shapes.
    let copies = lines.iter().zip(0..).map(|(&l, n)| Copy {
        id: CopyId(n),
        part: asked.lines[l].part,
        number: n,
        x_mm: 0.0,
        y_mm: 0.0,
        turn_deg: 0.0,
        locked: false,
        footing: Some(asked.lines[l].footing),
    });
    let plate = Plate {
        id: PlateId(0),
        machine: machine.id,
        material: of_group.material,
        colour: of_group.colour.clone(),
        recipe: of_group.recipe,
        spool: None,
        twin,
        twin_spool: None,
        run: RunState::default(),
        copies: copies.collect(),
    };
    let job = Job { plates: vec![plate], ..asked.job.clone() };
    let task = plate::pack_task(&job, &[PlateId(0)], None, false, &asked.shapes, &asked.prepared).ok()?;
    let shapes = 0..task.problem.shapes.len();
    let line_of = |s: usize| {
        let (part, footing) = (task.mapping.part(s)?, task.mapping.footing(s)?);
        lines.iter().copied().find(|&l| asked.lines[l].part == part && asked.lines[l].footing == footing)
    };
    let shape: BTreeMap<usize, usize> = shapes.filter_map(|s| Some((line_of(s)?, s))).collect();
    let wide = task.bounding();
    let bed = wide.beds.first()?;
    // Of a bed printed twice at once, the half in which copies lie.
    let room = bed.twin.map_or_else(|| bed.room.clone(), |twin| twin.half(&bed.room, 0.0));
    let half = asked.job.margins.gap_mm / 2.0;
    // Steiner's formula; more than that where the room is not convex would be more than there is.
    let room_mm2 = room.area() + room.perimeter() * half + std::f64::consts::PI * half * half;
    let middle = room.bounds().centre();
    let problem = task.problem.clone();
    Some(Base { problem, shape, room_mm2, middle, known: Vec::new(), refused: Vec::new() })
}
