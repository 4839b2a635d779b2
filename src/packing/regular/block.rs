//! Blocks: a few copies close together, arranged and repeated as if they were one.

use std::f64::consts::{FRAC_PI_2, PI, TAU};

use rayon::prelude::*;

use crate::geom::{Bounds, Outline, Placement, Point, Polygon, Region, boolean, hull};
use crate::packing::{
    Aim, Item, Problem, Shape, bodies::body::multiple_of, bodies::contacts::CONTACT_MM, bodies::zone::Zone,
    bodies::zone_table::ZoneTable, mixed::plan::Plan,
};

/// Turns of a copy that joins a block; blocks kept while one grows.
const TURNS: usize = 12;
const KEPT: usize = 4;
/// Positions of a copy beside one member at one turn, at most about.
const POSITIONS: usize = 120;
/// A block is worth while where its hull covers at most this share of what its members' hulls do.
const CLOSE: f64 = 0.9;
/// Copies of a shape below which it makes no blocks.
const FEW: usize = 6;

/// Copies that go together; the first lies unturned in the origin.
#[derive(Debug, Clone)]
pub(in crate::packing) struct Block {
    pub(in crate::packing) members: Vec<Item>,
    /// Area of the hull round all, mm².
    hull_area: f64,
}

impl Block {
    /// The closest arrangements of copies of these shapes, one after another laid beside the ones before. Empty where
    /// they do not go on one bed or have no area.
    pub(in crate::packing) fn closest(table: &ZoneTable<'_>, shapes: &[usize]) -> Vec<Self> {
        let class = |s: &usize| table.problem.shapes[*s].class;
        let [first, rest @ ..] = shapes else { return Vec::new() };
        if !shapes.iter().all(|s| table.bodies[*s].usable && class(s) == class(first)) {
            return Vec::new();
        }
        let alone = Item { shape: *first, at: Placement::new(0.0, 0.0, 0.0) };
        let mut grown = vec![Self { members: vec![alone], hull_area: area(&table.bodies[*first].hull) }];
        for &s in rest {
            let mut all: Vec<([f64; 2], Self)> = grown.iter().flat_map(|b| b.joined_by(table, s)).collect();
            let mut kept: Vec<Self> = Vec::new();
            // Some by their hulls, some by their boxes: the one suits rows at any slant, the other straight ones.
            for by in 0..2 {
                all.sort_by(|a, b| a.0[by].total_cmp(&b.0[by]));
                let mut last = f64::NEG_INFINITY;
                for (rank, block) in &all {
                    if kept.len() >= KEPT * (by + 1) / 2 {
                        break;
                    }
                    // Mirror images and half turns have the same figures.
                    if rank[by] > last * (1.0 + 1e-6) + 1e-9 {
                        last = rank[by];
                        kept.push(block.clone());
                    }
                }
            }
            grown = kept;
        }
        grown
    }

    /// With one more copy at each position in contact: area of hull and of box, and the block.
    fn joined_by(&self, table: &ZoneTable<'_>, shape: usize) -> Vec<([f64; 2], Self)> {
        let body = &table.bodies[shape];
        let own: Vec<Point> = self.corners(table).collect();
        let mut out = Vec::new();
        let zones_at = |&turn: &f64| {
            let zone = |m: &Item| Zone::new(&table.base(m.shape, shape, turn - m.at.turn_rad).placed(m.at));
            (turn, self.members.iter().map(zone).collect::<Vec<_>>())
        };
        let turns = &body.turns[..body.turns.len().min(TURNS)];
        for (turn, zones) in turns.par_iter().map(zones_at).collect::<Vec<_>>() {
            for zone in &zones {
                let ends: Vec<Point> = zone.edges().flat_map(|(a, along)| [a, a + along * 0.5]).collect();
                for &p in ends.iter().step_by(ends.len().div_ceil(POSITIONS).max(1)) {
                    if zones.iter().any(|z| z.blocks(p, CONTACT_MM)) {
                        continue;
                    }
                    let at = Placement::new(p.x, p.y, turn);
                    let round = hull::convex_hull(own.iter().copied().chain(body.hull.iter().map(|&q| at.apply(q))));
                    let b = Bounds::of(round.iter().copied());
                    let mut members = self.members.clone();
                    members.push(Item { shape, at });
                    let hull_area = area(&round);
                    out.push(([hull_area, b.width() * b.height()], Self { members, hull_area }));
                }
            }
        }
        out
    }

    fn corners<'a>(&'a self, table: &'a ZoneTable<'_>) -> impl Iterator<Item = Point> + 'a {
        self.members.iter().flat_map(|m| table.bodies[m.shape].hull.iter().map(|&p| m.at.apply(p)))
    }

    /// What its hull covers of what its members' hulls do.
    fn share(&self, table: &ZoneTable<'_>) -> f64 {
        self.hull_area / self.members.iter().map(|m| area(&table.bodies[m.shape].hull)).sum::<f64>()
    }

    /// Do its members lie in one another's way less than copies by themselves?
    pub(in crate::packing) fn is_close(&self, table: &ZoneTable<'_>) -> bool {
        self.share(table) <= CLOSE
    }

    /// Copies of a shape in it.
    pub(in crate::packing) fn holds(&self, shape: usize) -> usize {
        self.members.iter().filter(|m| m.shape == shape).count()
    }

    /// The whole as one shape. With `quarters` it lies at quarter turns only.
    fn shape(&self, problem: &Problem, quarters: bool) -> Shape {
        let whole = |of: fn(&Shape) -> &Outline| {
            let placed: Vec<Region> =
                self.members.iter().map(|m| of(&problem.shapes[m.shape]).region().placed(m.at)).collect();
            Outline::new(boolean::union(&placed))
        };
        let steps = self.members.iter().filter_map(|m| problem.shapes[m.shape].turn_step_rad);
        let mut common = steps.reduce(common_step);
        if quarters {
            let fine = common;
            let allowed = |t: f64| fine.is_none_or(|s| multiple_of(t, s));
            common = [FRAC_PI_2, PI].into_iter().find(|&t| allowed(t)).or(Some(TAU));
        }
        Shape {
            shadow: whole(|s| &s.shadow),
            contact: whole(|s| &s.contact),
            footing: whole(|s| &s.footing),
            turn_step_rad: common,
            class: problem.shapes[self.members[0].shape].class,
            height_mm: self.members.iter().map(|m| problem.shapes[m.shape].height_mm).fold(0.0, f64::max),
        }
    }

    /// The members of a block that lies there.
    pub(in crate::packing) fn items(&self, at: Placement) -> impl Iterator<Item = Item> + '_ {
        self.members.iter().map(move |m| Item { shape: m.shape, at: m.at.then(at) })
    }
}

fn area(hull: &[Point]) -> f64 {
    Polygon::simple(hull.to_vec()).area()
}

/// A step whose multiples are multiples of both.
fn common_step(a: f64, b: f64) -> f64 {
    let (fine, coarse) = if a <= b { (a, b) } else { (b, a) };
    if multiple_of(coarse, fine) { coarse } else { TAU }
}

/// A task in which blocks stand for their members.
#[derive(Debug)]
pub(in crate::packing) struct Blocked {
    /// The shapes of the task itself, then one for each block.
    pub(in crate::packing) problem: Problem,
    blocks: Vec<Block>,
}

impl Blocked {
    /// Only this block, as many as go on one bed: what lattices of it are sought for. Nothing but its shape's index,
    /// which is the last, matters of the aim.
    pub(in crate::packing) fn lattice(problem: &Problem, block: Block, most: usize) -> Self {
        let mut shapes = problem.shapes.clone();
        shapes.push(block.shape(problem, false));
        let mut counts = vec![0; shapes.len()];
        if let Some(last) = counts.last_mut() {
            *last = most;
        }
        Self { problem: Problem { shapes, aim: Aim::Pack { counts }, ..problem.clone() }, blocks: vec![block] }
    }

    /// The task with blocks in place of as many of its copies as make up whole ones: pairs of one shape or of two, and
    /// sets in the proportions of a Top up, where they lie closer than copies by themselves. `None` where none does.
    pub(in crate::packing) fn of(table: &ZoneTable<'_>) -> Option<Self> {
        let problem = table.problem;
        let (mut left, shares) = match &problem.aim {
            Aim::Pack { counts } => (counts.clone(), None),
            Aim::TopUp { shares, at_most, .. } => (at_most.clone(), Some(shares)),
        };
        left.resize(problem.shapes.len(), 0);
        let closest = |members: &[usize]| {
            Block::closest(table, members).into_iter().min_by(|a, b| a.hull_area.total_cmp(&b.hull_area))
        };
        let mut chosen: Vec<(Block, usize)> = Vec::new();
        if let Some(shares) = shares {
            let members = set(shares).filter(|m| m.len() > 1).or_else(|| {
                let alone = (0..left.len()).find(|&s| shares.get(s).is_some_and(|x| *x > 0.0))?;
                (shares.iter().filter(|x| **x > 0.0).count() == 1).then(|| vec![alone; 2])
            })?;
            let block = closest(&members).filter(|b| b.is_close(table))?;
            let most = members.iter().map(|&s| left[s] / block.holds(s).max(1)).min().unwrap_or(0);
            chosen.push((block, most));
        } else {
            let pairs = pairs(table, &left);
            let mut blocks: Vec<Block> =
                pairs.iter().filter_map(|p| closest(p)).filter(|b| b.is_close(table)).collect();
            blocks.sort_by(|a, b| a.share(table).total_cmp(&b.share(table)));
            for block in blocks {
                let n = block.members.iter().map(|m| left[m.shape] / block.holds(m.shape)).min().unwrap_or(0);
                if n > 1 {
                    for m in &block.members {
                        left[m.shape] -= n;
                    }
                    chosen.push((block, n));
                }
            }
        }
        chosen.retain(|(_, n)| *n > 1);
        if chosen.is_empty() {
            return None;
        }
        let mut shapes = problem.shapes.clone();
        shapes.extend(chosen.iter().map(|(b, _)| b.shape(problem, true)));
        let alone = problem.shapes.len();
        let counts = |mut of: Vec<usize>| {
            of.extend(chosen.iter().map(|(_, n)| *n));
            of
        };
        let aim = match &problem.aim {
            Aim::Pack { .. } => Aim::Pack { counts: counts(left) },
            Aim::TopUp { .. } => {
                let mut shares = vec![0.0; alone];
                shares.resize(shapes.len(), 1.0);
                // Copies that are there are no blocks: what blocks leave over is completed with copies.
                Aim::TopUp { shares, at_most: counts(vec![0; alone]), there: Vec::new() }
            }
        };
        let blocks = chosen.into_iter().map(|(b, _)| b).collect();
        Some(Self { problem: Problem { shapes, aim, ..problem.clone() }, blocks })
    }

    /// The copies that a layout of this task stands for.
    pub(in crate::packing) fn items(&self, item: Item) -> Vec<Item> {
        let alone = self.problem.shapes.len() - self.blocks.len();
        match item.shape.checked_sub(alone).and_then(|b| self.blocks.get(b)) {
            Some(block) => block.items(item.at).collect(),
            None => vec![item],
        }
    }

    /// The turns that members have in blocks, by shape of the task itself.
    pub(in crate::packing) fn turns(&self, table: &ZoneTable<'_>) -> Vec<Vec<f64>> {
        let alone = self.problem.shapes.len() - self.blocks.len();
        let mut turns: Vec<Vec<f64>> = vec![Vec::new(); alone];
        for v in &table.variants {
            for i in self.items(Item { shape: v.shape, at: Placement::new(0.0, 0.0, v.turn_rad) }) {
                if v.shape >= alone && !turns[i.shape].contains(&i.at.turn_rad) {
                    turns[i.shape].push(i.at.turn_rad);
                }
            }
        }
        turns
    }

    /// A plan of this task as one of the task itself, whose table has all the turns.
    pub(in crate::packing) fn unblocked(
        &self,
        plan: &Plan,
        table: &ZoneTable<'_>,
        own: &ZoneTable<'_>,
    ) -> Option<Plan> {
        let mut layout = plan.layout(table);
        for bed in &mut layout.beds {
            *bed = bed.iter().flat_map(|&i| self.items(i)).collect();
        }
        Plan::of(&layout, own)
    }
}

/// Members of the smallest set in these proportions, of at most four; `None` where there is none.
pub(in crate::packing) fn set(shares: &[f64]) -> Option<Vec<usize>> {
    let sum: f64 = shares.iter().filter(|x| x.is_finite() && **x > 0.0).sum();
    (1..=4).find_map(|size| {
        let mut members = Vec::new();
        for (s, share) in shares.iter().enumerate().filter(|(_, x)| x.is_finite() && **x > 0.0) {
            let n = share / sum * f64::from(size);
            if (n - n.round()).abs() > 1e-6 || n < 0.5 {
                return None;
            }
            members.extend(std::iter::repeat_n(s, n.round() as usize));
        }
        (!members.is_empty()).then_some(members)
    })
}

/// Pairs worth a try: of shapes that are asked for many times, two of the same, then two of different ones. The largest
/// shapes first.
pub(in crate::packing) fn pairs(table: &ZoneTable<'_>, counts: &[usize]) -> Vec<Vec<usize>> {
    let mut many: Vec<usize> = (0..counts.len()).filter(|&s| counts[s] >= FEW && table.bodies[s].usable).collect();
    let taken = |s: usize| counts[s] as f64 * table.bodies[s].weight;
    many.sort_by(|&a, &b| taken(b).total_cmp(&taken(a)).then(a.cmp(&b)));
    many.truncate(3);
    let mut all: Vec<Vec<usize>> = many.iter().map(|&s| vec![s; 2]).collect();
    for (i, &a) in many.iter().enumerate() {
        // The larger one first: the other is laid beside it, or into it.
        let beside = many[i + 1..].iter().map(|&b| {
            let larger = table.bodies[a].true_area >= table.bodies[b].true_area;
            if larger { vec![a, b] } else { vec![b, a] }
        });
        all.extend(beside);
    }
    all
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::{
        packing::{Bed, solve, verify},
        watch::Quiet,
    };

    fn shape(region: Region) -> Shape {
        let o = Outline::new(region);
        Shape { shadow: o.clone(), contact: o.clone(), footing: o, turn_step_rad: None, class: 0, height_mm: 1.0 }
    }

    fn rectangle(w: f64, h: f64) -> Region {
        Region::rectangle(Bounds::new(Point::default(), Point::new(w, h)))
    }

    /// 30 × 30, arms 10.
    fn angle() -> Region {
        let corners = [(0.0, 0.0), (30.0, 0.0), (30.0, 10.0), (10.0, 10.0), (10.0, 30.0), (0.0, 30.0)];
        Region::from(Polygon::simple(corners.map(|(x, y)| Point::new(x, y)).to_vec()))
    }

    fn problem(shapes: Vec<Region>, w: f64, h: f64, aim: Aim) -> Problem {
        let bed =
            Bed { room: rectangle(w, h), keep_outs: vec![], fixed: vec![], class: None, height_mm: 9.0, twin: None };
        Problem {
            shapes: shapes.into_iter().map(shape).collect(),
            beds: vec![bed],
            gap_mm: 0.0,
            footing_gap_mm: 0.0,
            footings_may_merge: false,
            aim,
        }
    }

    fn closest(shapes: Vec<Region>, members: &[usize]) -> (Block, f64) {
        let p = problem(shapes, 500.0, 500.0, Aim::Pack { counts: vec![] });
        let table = ZoneTable::new(&p, &[]);
        let best = Block::closest(&table, members).into_iter().min_by(|a, b| a.hull_area.total_cmp(&b.hull_area));
        let best = best.expect("a block");
        let share = best.share(&table);
        (best, share)
    }

    /// Worked by hand: two angles, one turned by half, make a frame of 30 × 40 round an opening of 10 × 20.
    #[test]
    fn two_angles_nest() {
        let (block, share) = closest(vec![angle()], &[0, 0]);
        assert!(block.hull_area <= 1200.0 + 1e-6, "{block:?}");
        assert!((share - block.hull_area / 1400.0).abs() < 1e-9, "the hull of one covers 900 less half of 20 × 20");
    }

    #[test]
    fn a_peg_goes_into_a_ring() {
        let mut ring = Polygon::rectangle(Bounds::new(Point::default(), Point::new(40.0, 40.0)));
        ring.holes
            .push([(10.0, 10.0), (10.0, 25.0), (25.0, 25.0), (25.0, 10.0)].map(|(x, y)| Point::new(x, y)).to_vec());
        let (block, _) = closest(vec![Region::from(ring), rectangle(12.0, 12.0)], &[0, 1]);
        assert!((block.hull_area - 1600.0).abs() < 1e-6, "{block:?}");
    }

    #[test]
    fn sets_in_proportion() {
        assert_eq!(set(&[1.0, 1.0]), Some(vec![0, 1]));
        assert_eq!(set(&[4.0, 0.0, 2.0]), Some(vec![0, 0, 2]));
        assert_eq!(set(&[0.0, 3.0]), Some(vec![1]));
        assert_eq!(set(&[2.0, 3.0]), None);
        assert_eq!(set(&[0.0]), None);
    }

    #[test]
    fn common_steps() {
        assert!((common_step(FRAC_PI_2, PI / 4.0) - FRAC_PI_2).abs() < 1e-12);
        assert!((common_step(TAU / 3.0, FRAC_PI_2) - TAU).abs() < 1e-12);
    }

    /// An angle and the square in its corner make a square of 30, which fill the bed without a gap. Worked by hand.
    #[test]
    fn sets_fill_a_bed_exactly() {
        for aim in [
            Aim::TopUp { shares: vec![1.0, 1.0], at_most: vec![1000, 1000], there: vec![] },
            Aim::Pack { counts: vec![12, 12] },
        ] {
            let p = problem(vec![angle(), rectangle(20.0, 20.0)], 120.0, 90.0, aim);
            let layout = solve(&p, 1, Some(1), &Quiet);
            assert_eq!(verify(&p, &layout), Ok(()));
            for shape in [0, 1] {
                assert_eq!(layout.beds[0].iter().filter(|i| i.shape == shape).count(), 12, "{:?}", p.aim);
            }
        }
    }

    /// What stands for blocks is whole: as many copies as asked for, at turns that are allowed.
    #[test]
    fn blocks_stand_for_their_members() {
        let mut p = problem(vec![angle(), rectangle(20.0, 20.0)], 200.0, 200.0, Aim::Pack { counts: vec![9, 6] });
        for s in &mut p.shapes {
            s.turn_step_rad = Some(FRAC_PI_2);
        }
        let table = ZoneTable::new(&p, &[]);
        let blocked = Blocked::of(&table).expect("the square in the angle's corner lies closer");
        let Aim::Pack { counts } = &blocked.problem.aim else { panic!("not a Pack") };
        let mut total = [0; 2];
        for (s, &n) in counts.iter().enumerate() {
            for i in blocked.items(Item { shape: s, at: Placement::new(3.0, 4.0, PI) }) {
                total[i.shape] += n;
                assert!(multiple_of(i.at.turn_rad, FRAC_PI_2));
            }
        }
        assert_eq!(total, [9, 6]);
        assert!(counts[2..].iter().any(|n| *n >= 3), "{counts:?}");
    }
}
