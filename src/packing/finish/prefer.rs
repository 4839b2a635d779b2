//! What makes one of several equally good layouts the nicer one: moves after the search that cost no copy and no bed.

use std::f64::consts::PI;

use crate::packing::{
    Item, Layout, Problem,
    finish::straighten,
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

/// What is wished for, each with its weight, 0 for nothing.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct Wishes {
    /// Copies near the middle of the bed.
    pub middle: f64,
    /// Copies far from where this points to (a unit vector on the bed), and its weight.
    pub away: Option<(Point, f64)>,
    /// Tall copies at the back.
    pub tall_back: f64,
    /// Tall copies far from one another.
    pub tall_apart: f64,
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
    items: Vec<Item>,
}

impl<'a> OnBed<'a> {
    fn new(problem: &'a Problem, bed: usize, wishes: &'a Wishes, items: Vec<Item>) -> Self {
        let room = problem.beds[bed].room.bounds();
        let ground = Ground::new(&problem.beds[bed]);
        let tallest_mm = items.iter().map(|i| problem.shapes[i.shape].height_mm).fold(1e-9, f64::max);
        Self { problem, bed, wishes, room, ground, tallest_mm, items }
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
            sum += self.wishes.tall_apart * self.crowding(items);
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

    fn preferred(wishes: Wishes) -> Vec<Point> {
        let (problem, layout) = row();
        let out = prefer(&problem, &layout, &wishes, &Quiet);
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
        let centres = preferred(Wishes { middle: 1.0, ..Wishes::default() });
        // The point with the least sum of distances to the corners of a right isosceles triangle lies inside it.
        let box_mm = Bounds::of(centres.iter().copied());
        assert!(box_mm.contains(Point::new(100.0, 50.0)), "{centres:?}");
    }

    #[test]
    fn tall_copies_go_to_the_back() {
        let centres = preferred(Wishes { tall_back: 1.0, ..Wishes::default() });
        assert!(centres[0].y > centres[1].y.min(centres[2].y), "{centres:?}");
        assert!((centres[0].y - 90.0).abs() < 0.1, "{centres:?}");
    }

    #[test]
    fn away_from_a_side_is_along_the_other() {
        let centres = preferred(Wishes { away: Some((Point::new(-1.0, 0.0), 1.0)), ..Wishes::default() });
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
