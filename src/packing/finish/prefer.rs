//! What makes one of several equally good layouts the nicer one: moves after the search that cost no copy and no bed.

use std::f64::consts::PI;

use crate::packing::{
    Item, Layout, Problem,
    finish::{reach::Reach, straighten},
    judge::{
        ground::Ground,
        quick_check::{clear, lies_on},
    },
};
use crate::{
    geom::{Bounds, Placement, Point},
    watch::Watch,
};

/// Swaps tried on a bed at most.
const SWAPS: usize = 4000;
/// The tallest copies, this many, are kept apart.
const CROWD: usize = 40;
/// The last and smallest shift tried, mm.
const LEAST_SHIFT_MM: f64 = 0.05;
/// Places tried along each side of the bed for a copy whose fall strikes others.
const PLACES: usize = 16;
/// Rounds in which such copies are moved.
const PARTINGS: usize = 3;

/// What is wished for, each with its weight, 0 for nothing.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Wishes {
    /// Copies near the middle of the bed.
    pub middle: f64,
    /// Copies far from where this points to (a unit vector on the bed), and its weight.
    pub away: Option<(Point, f64)>,
    /// Tall copies at the back.
    pub tall_back: f64,
    /// Tall copies far from one another; where it is known which could fall, copies out of reach of one another's falls.
    pub tall_apart: f64,
    /// For each shape the height at which a copy of it could fall, mm; `None`, or missing, where it stands firmly or nobody knows.
    pub falls_mm: Vec<Option<f64>>,
    /// Copies that grow equally high beside one another: a short way for the head, layer after layer.
    pub travel: f64,
}

impl Wishes {
    fn none(&self) -> bool {
        [self.middle, self.tall_back, self.tall_apart, self.travel].iter().all(|w| *w <= 0.0)
            && self.away.is_none_or(|(_, weight)| weight <= 0.0)
    }
}

/// The layout moved as wished: nearly straight rows are straightened; then on each bed all free copies are moved
/// together, turned by half, or two of them exchanged. As valid as it was, with the same copies on the same beds.
pub fn prefer(problem: &Problem, layout: &Layout, wishes: &Wishes, watch: &dyn Watch<Layout>) -> Layout {
    let mut out = layout.clone();
    let (asked, problem) = (problem, &*problem.untwinned());
    for bed in 0..out.beds.len().min(problem.beds.len()) {
        straighten::rows(problem, bed, &mut out.beds[bed], watch);
        if wishes.none() {
            continue;
        }
        let mut on = OnBed::new(problem, bed, wishes, std::mem::take(&mut out.beds[bed]));
        on.turn_half();
        on.shift(watch);
        on.swap(watch);
        on.part(watch);
        on.shift(watch);
        out.beds[bed] = on.items;
    }
    // Sums of roundings stay far below what counts; a layout that was shown valid is never given up for a nicer one.
    if out != *layout
        && crate::packing::judge::verify(asked, layout).is_ok()
        && crate::packing::judge::verify(asked, &out).is_err()
    {
        return layout.clone();
    }
    out
}

/// The free copies of one bed.
struct OnBed<'a> {
    problem: &'a Problem,
    bed: usize,
    wishes: &'a Wishes,
    room: Bounds,
    ground: Ground,
    tallest_mm: f64,
    reach: Reach<'a>,
    items: Vec<Item>,
}

impl<'a> OnBed<'a> {
    fn new(problem: &'a Problem, bed: usize, wishes: &'a Wishes, items: Vec<Item>) -> Self {
        let room = problem.beds[bed].room.bounds();
        let ground = Ground::new(&problem.beds[bed]);
        let tallest_mm = items.iter().map(|i| problem.shapes[i.shape].height_mm).fold(1e-9, f64::max);
        let reach = Reach::new(problem, bed, &wishes.falls_mm);
        Self { problem, bed, wishes, room, ground, tallest_mm, reach, items }
    }

    fn middle_of(&self, item: Item) -> Point {
        self.problem.shapes[item.shape].shadow.bounds_at(item.at).centre()
    }

    /// How far one copy is from what is wished.
    fn cost(&self, item: Item) -> f64 {
        let d = self.middle_of(item) - self.room.centre();
        let reach = f64::midpoint(self.room.width(), self.room.height()).max(1e-9);
        let height = self.problem.shapes[item.shape].height_mm / self.tallest_mm;
        let away = self.wishes.away.map_or(0.0, |(towards, weight)| weight * towards.dot(d));
        // Squares of heights: the tallest go first.
        (self.wishes.middle * d.length() + away - self.wishes.tall_back * height * height * d.y) / reach
    }

    fn total(&self, items: &[Item]) -> f64 {
        let mut sum: f64 = items.iter().map(|&i| self.cost(i)).sum();
        if self.wishes.travel > 0.0 {
            sum += self.wishes.travel * self.spread(items);
        }
        if self.wishes.tall_apart > 0.0 {
            // A copy struck weighs as much as one that lies a bed away from where it is wished.
            let apart = if self.reach.any(items) { self.reach.struck(items) } else { self.crowding(items) };
            sum += self.wishes.tall_apart * apart;
        }
        sum
    }

    fn height(&self, item: Item) -> f64 {
        self.problem.shapes[item.shape].height_mm
    }

    /// How far the copies that still grow lie about their middle, on the mean over all heights.
    fn spread(&self, items: &[Item]) -> f64 {
        let mut left: Vec<(f64, Point)> = items.iter().map(|&i| (self.height(i), self.middle_of(i))).collect();
        left.sort_by(|a, b| a.0.total_cmp(&b.0));
        let (mut sum, mut below) = (0.0, 0.0);
        for k in 0..left.len() {
            let rise = left[k].0 - below;
            if rise > 1e-9 {
                let growing = &left[k..];
                let middle = growing.iter().fold(Point::default(), |a, g| a + g.1) * (1.0 / growing.len() as f64);
                sum += rise * growing.iter().map(|g| g.1.distance(middle)).sum::<f64>();
                below = left[k].0;
            }
        }
        sum / (self.tallest_mm * self.room.width().max(self.room.height()).max(1e-9))
    }

    /// How near tall copies are to one another.
    fn crowding(&self, items: &[Item]) -> f64 {
        let mut tall: Vec<(f64, Point)> =
            items.iter().map(|&i| ((self.height(i) / self.tallest_mm).powi(2), self.middle_of(i))).collect();
        tall.sort_by(|a, b| b.0.total_cmp(&a.0));
        tall.truncate(CROWD);
        let reach = self.room.width().max(self.room.height()).max(1e-9);
        let near = |a: &(f64, Point), b: &(f64, Point)| a.0 * b.0 / (a.1.distance(b.1) / reach + 0.1);
        tall.iter().enumerate().map(|(k, a)| tall[k + 1..].iter().map(|b| near(a, b)).sum::<f64>()).sum()
    }

    /// May the `changed` ones lie so among all of `items` and what is fixed?
    fn sound(&self, items: &[Item], changed: &[usize]) -> bool {
        let reach = self.problem.gap_mm.max(self.problem.footing_gap_mm).max(0.0) + 1e-6;
        let area = |i: Item| {
            let s = &self.problem.shapes[i.shape];
            s.shadow.bounds_at(i.at).union(s.footing.bounds_at(i.at))
        };
        let fixed = self.problem.beds[self.bed].fixed.iter().filter(|i| i.shape < self.problem.shapes.len());
        let all: Vec<(usize, Item)> =
            items.iter().copied().enumerate().chain(fixed.map(|&i| (usize::MAX, i))).collect();
        changed.iter().all(|&n| {
            let near = area(items[n]).grown(reach);
            lies_on(&self.ground, self.problem, self.bed, items[n])
                && all
                    .iter()
                    .filter(|(k, i)| *k != n && near.overlaps(area(*i)))
                    .all(|(_, other)| clear(self.problem, items[n], *other))
        })
    }

    /// Takes `items` where they are nicer and sound.
    fn take(&mut self, items: Vec<Item>, changed: &[usize]) -> bool {
        let nicer = self.total(&items) < self.total(&self.items) - 1e-9;
        let taken = nicer && self.sound(&items, changed);
        if taken {
            self.items = items;
        }
        taken
    }

    fn all(&self) -> Vec<usize> {
        (0..self.items.len()).collect()
    }

    fn turn_half(&mut self) {
        let may = |i: &Item| {
            self.problem.shapes[i.shape].turn_step_rad.is_none_or(|step| {
                let steps = PI / step;
                step > 0.0 && (steps - steps.round()).abs() < 1e-9
            })
        };
        if !self.items.iter().all(may) {
            return;
        }
        let centre = self.room.centre();
        let turned = self
            .items
            .iter()
            .map(|i| {
                let to = centre * 2.0 - i.at.origin();
                Item { at: Placement::new(to.x, to.y, (i.at.turn_rad + PI).rem_euclid(2.0 * PI)), ..*i }
            })
            .collect();
        let all = self.all();
        self.take(turned, &all);
    }

    fn shift(&mut self, watch: &dyn Watch<Layout>) {
        let all = self.all();
        let mut step = self.room.width().max(self.room.height()) / 4.0;
        while step >= LEAST_SHIFT_MM && !watch.cancelled() {
            let better = [(1.0, 0.0), (-1.0, 0.0), (0.0, 1.0), (0.0, -1.0)].iter().any(|(x, y)| {
                let moved = self
                    .items
                    .iter()
                    .map(|i| Item { at: Placement { x: i.at.x + x * step, y: i.at.y + y * step, ..i.at }, ..*i })
                    .collect();
                self.take(moved, &all)
            });
            if !better {
                step /= 2.0;
            }
        }
    }

    /// Copies that could fall on others, one by one, to the nicest of many places all over the bed.
    fn part(&mut self, watch: &dyn Watch<Layout>) {
        if self.wishes.tall_apart <= 0.0 || !self.reach.any(&self.items) {
            return;
        }
        let at = |k: usize, from: f64, size: f64| from + size * (k as f64 + 0.5) / PLACES as f64;
        for _ in 0..PARTINGS {
            if self.reach.struck(&self.items) <= 0.0 {
                return;
            }
            let before = self.total(&self.items);
            let mut order: Vec<usize> =
                (0..self.items.len()).filter(|&n| self.reach.fall_mm(self.items[n]).is_some()).collect();
            order.sort_by(|&a, &b| self.height(self.items[b]).total_cmp(&self.height(self.items[a])).then(a.cmp(&b)));
            for &n in order.iter().take(CROWD) {
                if watch.cancelled() {
                    return;
                }
                let mut ways: Vec<(f64, Vec<Item>)> = (0..PLACES * PLACES)
                    .map(|k| {
                        let item = self.items[n];
                        let box_mm = self.problem.shapes[item.shape].shadow.bounds_at(item.at);
                        // Middles from which the copy does not reach beyond the room's box.
                        let (wide, deep) = (
                            (self.room.width() - box_mm.width()).max(0.0),
                            (self.room.height() - box_mm.height()).max(0.0),
                        );
                        let to = Point::new(
                            at(k % PLACES, self.room.min.x + 0.5 * box_mm.width(), wide),
                            at(k / PLACES, self.room.min.y + 0.5 * box_mm.height(), deep),
                        );
                        let by = to - box_mm.centre();
                        let mut items = self.items.clone();
                        items[n].at = Placement { x: item.at.x + by.x, y: item.at.y + by.y, ..item.at };
                        (self.total(&items), items)
                    })
                    .collect();
                ways.sort_by(|a, b| a.0.total_cmp(&b.0));
                for (_, items) in ways {
                    if self.total(&items) >= self.total(&self.items) - 1e-9 || self.take(items, &[n]) {
                        break;
                    }
                }
            }
            if self.total(&self.items) >= before - 1e-9 {
                return;
            }
        }
    }

    fn swap(&mut self, watch: &dyn Watch<Layout>) {
        let mut tried = 0;
        for a in 0..self.items.len() {
            for b in a + 1..self.items.len() {
                let (one, other) = (self.items[a], self.items[b]);
                if one.shape == other.shape || tried >= SWAPS || watch.cancelled() {
                    continue;
                }
                tried += 1;
                let by = self.middle_of(other) - self.middle_of(one);
                let moved =
                    |i: Item, by: Point| Item { at: Placement { x: i.at.x + by.x, y: i.at.y + by.y, ..i.at }, ..i };
                let mut items = self.items.clone();
                items[a] = moved(one, by);
                items[b] = moved(other, by * -1.0);
                self.take(items, &[a, b]);
            }
        }
    }
}

#[cfg(test)]
mod tests {
    use std::f64::consts::TAU;

    use super::*;
    use crate::{
        geom::{Outline, Region},
        packing::{Aim, Bed, Shape, verify},
        watch::Quiet,
    };

    fn block(width: f64, depth: f64, height_mm: f64) -> Shape {
        let o = Outline::new(Region::rectangle(Bounds::new(Point::default(), Point::new(width, depth))));
        Shape { shadow: o.clone(), contact: o.clone(), footing: o, turn_step_rad: Some(TAU), class: 0, height_mm }
    }

    /// Two short blocks and a tall one in a row along the front left of a bed of 200 × 100.
    fn row() -> (Problem, Layout) {
        let room = Region::rectangle(Bounds::new(Point::default(), Point::new(200.0, 100.0)));
        let bed = Bed { room, keep_outs: Vec::new(), fixed: Vec::new(), class: None, height_mm: 300.0, twin: None };
        let problem = Problem {
            shapes: vec![block(20.0, 20.0, 10.0), block(20.0, 20.0, 80.0)],
            beds: vec![bed],
            gap_mm: 2.0,
            footing_gap_mm: 0.0,
            footings_may_merge: false,
            aim: Aim::Pack { counts: vec![2, 1] },
        };
        let at = |shape, x, y| Item { shape, at: Placement::at(x, y) };
        let layout =
            Layout { beds: vec![vec![at(1, 0.0, 0.0), at(0, 22.0, 0.0), at(0, 0.0, 22.0)]], unplaced: vec![0; 2] };
        (problem, layout)
    }

    fn preferred(wishes: &Wishes) -> Vec<Point> {
        let (problem, layout) = row();
        let out = prefer(&problem, &layout, wishes, &Quiet);
        assert_eq!(verify(&problem, &out), Ok(()));
        assert_eq!(out.count(), 3);
        out.beds[0].iter().map(|i| i.at.origin() + Point::new(10.0, 10.0)).collect()
    }

    #[test]
    fn nothing_wished_nothing_moved() {
        let (problem, layout) = row();
        assert_eq!(prefer(&problem, &layout, &Wishes::default(), &Quiet), layout);
    }

    #[test]
    fn the_middle_of_the_bed_is_the_middle_of_the_copies() {
        let centres = preferred(&Wishes { middle: 1.0, ..Wishes::default() });
        // The point with the least sum of distances to the corners of a right isosceles triangle lies inside it.
        let box_mm = Bounds::of(centres.iter().copied());
        assert!(box_mm.contains(Point::new(100.0, 50.0)), "{centres:?}");
    }

    #[test]
    fn tall_copies_go_to_the_back() {
        let centres = preferred(&Wishes { tall_back: 1.0, ..Wishes::default() });
        assert!(centres[0].y > centres[1].y.min(centres[2].y), "{centres:?}");
        assert!((centres[0].y - 90.0).abs() < 0.1, "{centres:?}");
    }

    #[test]
    fn away_from_a_side_is_along_the_other() {
        let centres = preferred(&Wishes { away: Some((Point::new(-1.0, 0.0), 1.0)), ..Wishes::default() });
        let rightmost = centres.iter().map(|p| p.x).fold(0.0, f64::max);
        assert!((rightmost - 190.0).abs() < 0.1, "{centres:?}");
    }

    /// Three tall blocks and three short ones in a row of six. Beside one another, two of the tall are 22 mm from the
    /// third; as far apart as the row allows, they stand at both ends and one of the two places between.
    #[test]
    fn tall_copies_side_by_side_or_apart() {
        let (mut problem, _) = row();
        problem.aim = Aim::Pack { counts: vec![3, 3] };
        let at = |k: usize| Item { shape: k % 2, at: Placement::at(22.0 * k as f64, 0.0) };
        let layout = Layout { beds: vec![(0..6).map(at).collect()], unplaced: vec![0; 2] };
        let tall = |wishes: Wishes| {
            let out = prefer(&problem, &layout, &wishes, &Quiet);
            assert_eq!(verify(&problem, &out), Ok(()));
            let mut x: Vec<f64> = out.beds[0].iter().filter(|i| i.shape == 1).map(|i| i.at.x).collect();
            x.sort_by(f64::total_cmp);
            (x[1] - x[0], x[2] - x[1])
        };
        let near = tall(Wishes { travel: 1.0, ..Wishes::default() });
        assert!((near.0 - 22.0).abs() < 1e-6 && (near.1 - 22.0).abs() < 1e-6, "{near:?}");
        let far = tall(Wishes { tall_apart: 1.0, ..Wishes::default() });
        assert!((far.0 + far.1 - 110.0).abs() < 1e-6 && far.0.min(far.1) > 43.9, "{far:?}");
    }

    /// Pairs of copies, by their true outlines, of which a fall of the first at 60 mm strikes the second.
    fn strikes(problem: &Problem, items: &[Item]) -> usize {
        let tall: Vec<Item> = items.iter().copied().filter(|i| problem.shapes[i.shape].height_mm >= 60.0).collect();
        let struck = |a: &Item, b: &Item| {
            let (a_shape, b_shape) = (&problem.shapes[a.shape], &problem.shapes[b.shape]);
            a_shape.contact.distance(a.at, &b_shape.shadow, b.at) <= 60.0
        };
        tall.iter().map(|a| tall.iter().filter(|b| a != *b && struck(a, b)).count()).sum()
    }

    /// Four pegs 80 mm high between short blocks, all in reach of one another. The bed has room to part them.
    #[test]
    fn copies_that_could_fall_go_out_of_reach() {
        let (mut problem, _) = row();
        problem.shapes[1] = block(6.0, 6.0, 80.0);
        problem.aim = Aim::Pack { counts: vec![4, 4] };
        problem.beds[0].room = Region::rectangle(Bounds::new(Point::default(), Point::new(200.0, 160.0)));
        let at = |k: usize| Item { shape: k % 2, at: Placement::at(22.0 * (k % 4) as f64, 22.0 * (k / 4) as f64) };
        let layout = Layout { beds: vec![(0..8).map(at).collect()], unplaced: vec![0; 2] };
        assert_eq!(strikes(&problem, &layout.beds[0]), 12, "each strikes each");
        let with = |falls_mm: Vec<Option<f64>>| {
            let out = prefer(&problem, &layout, &Wishes { tall_apart: 1.0, falls_mm, ..Wishes::default() }, &Quiet);
            assert_eq!(verify(&problem, &out), Ok(()));
            assert_eq!(out.count(), 8);
            strikes(&problem, &out.beds[0])
        };
        assert_eq!(with(vec![None, Some(60.0)]), 0);
        // By height alone they are only exchanged with one another.
        assert!(with(Vec::new()) > 0);
        // Firm ones are not moved for it.
        assert!(with(vec![None, None]) > 0);
    }

    /// One that stays where it is is struck as well.
    #[test]
    fn a_fixed_copy_is_struck_too() {
        let (mut problem, _) = row();
        problem.beds[0].fixed.push(Item { shape: 1, at: Placement::at(0.0, 0.0) });
        problem.aim = Aim::Pack { counts: vec![0, 1] };
        let layout = Layout { beds: vec![vec![Item { shape: 1, at: Placement::at(30.0, 0.0) }]], unplaced: vec![0; 2] };
        let wishes = Wishes { tall_apart: 1.0, falls_mm: vec![None, Some(60.0)], ..Wishes::default() };
        let out = prefer(&problem, &layout, &wishes, &Quiet);
        assert_eq!(verify(&problem, &out), Ok(()));
        let at = out.beds[0][0].at;
        assert!((at.x - 20.0).max(0.0).hypot((at.y - 20.0).max(0.0)) > 60.0, "{at:?}");
    }

    #[test]
    fn what_is_fixed_stands_in_the_way() {
        let (mut problem, layout) = row();
        problem.beds[0].fixed.push(Item { shape: 0, at: Placement::at(90.0, 40.0) });
        let wishes = Wishes { middle: 1.0, ..Wishes::default() };
        let out = prefer(&problem, &layout, &wishes, &Quiet);
        assert_eq!(verify(&problem, &out), Ok(()));
        assert_ne!(out, layout);
    }
}
