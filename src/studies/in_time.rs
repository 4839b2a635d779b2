//! As many copies of a layout as end in time.

use std::sync::Arc;

use super::compact::{Place, compact_order};
use crate::{
    document::{CopyId, Machine, Material, Recipe},
    estimate::{self, FootingProfile, PlateCopy, PlateEstimate, PlateInput, Profile, RecipeFault, Tour},
    geom::Point,
    packing::{Item, Problem},
    watch::Watch,
};

/// What is needed to time the plate of a packing problem.
#[derive(Debug, Clone)]
pub struct PlateTimer {
    /// The machine.
    pub machine: Machine,
    /// The material.
    pub material: Material,
    /// The recipe.
    pub recipe: Recipe,
    /// What one copy of each shape of the problem costs, and its footing.
    pub costs: Vec<(Arc<Profile>, Arc<FootingProfile>)>,
    /// The longest estimate that is in time, s.
    pub longest_s: f64,
}

/// As many copies as end in time.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct MostInTime {
    /// How many of the further copies.
    pub count: usize,
    /// How many further copies there were to choose from.
    pub of: usize,
    /// Time of the plate with them, s; 0 for no copies at all.
    pub time_s: f64,
    /// Time with those that stay alone, s; 0 where there are none.
    pub stay_s: f64,
    /// Time with one further copy more, s; `None` where there is no more.
    pub next_s: Option<f64>,
    /// Of the time for slowing and waiting on the plate of those that stay, what is used for the further copies, s.
    pub cooling_used_s: f64,
}

impl MostInTime {
    /// True where it is in time: those that stay can be too many by themselves.
    pub fn is_in_time(&self, longest_s: f64) -> bool {
        self.time_s <= longest_s + 1e-6
    }
}

impl PlateTimer {
    /// The further copies in the order in which they are added: `shares` to one another, close together, round those that stay.
    pub fn order(problem: &Problem, stay: &[Item], further: &[Item], shares: &[f64]) -> Vec<Item> {
        let middle = |item: &Item| {
            let own = problem.shapes.get(item.shape).map_or(Point::default(), |s| s.shadow.bounds().centre());
            item.at.apply(own)
        };
        let base: Vec<Point> = stay.iter().map(middle).collect();
        let places: Vec<Place> = further.iter().map(|i| Place { at: middle(i), kind: i.shape }).collect();
        let begin = problem.beds.first().map_or(Point::default(), |b| b.room.bounds().centre());
        compact_order(&places, shares, &base, begin).into_iter().map(|i| further[i]).collect()
    }

    /// The greatest number of `further` copies, taken in their order, with which the plate is in time: those that stay are on it, whatever
    /// they take.
    ///
    /// Plate time need not rise with every copy: the way from copy to copy and the skirt can be shorter with more. Sums without both never
    /// fall with a further copy, and are never longer than the plate: the first number whose sum is too long bounds the answer, and from there
    /// every number is timed exactly, downwards. Where `watch` cancels, numbers are halved until one is in time.
    ///
    /// # Errors
    /// Numbers of machine, material or recipe that no estimate can be made from.
    pub fn most(&self, stay: &[Item], further: &[Item], watch: &dyn Watch) -> Result<MostInTime, RecipeFault> {
        let all: Vec<PlateCopy> = stay.iter().chain(further).zip(1..).filter_map(|(i, id)| self.copy(i, id)).collect();
        // A shape that has no costs cannot be timed: nobody passes one.
        let stays = stay.len().min(all.len());
        let of = all.len() - stays;
        let plate = |n: usize| self.plate(&self.recipe, &all[..stays + n], Tour::Exact);
        let alone = plate(0)?;
        let told = |count: usize, here: &PlateEstimate| -> Result<MostInTime, RecipeFault> {
            let next_s = if count < of { Some(self.time_s(&plate(count + 1)?, stays + count + 1)) } else { None };
            let cooling = |e: &PlateEstimate| e.items.slowing_s + e.items.waiting_s;
            Ok(MostInTime {
                count,
                of,
                time_s: self.time_s(here, stays + count),
                stay_s: self.time_s(&alone, stays),
                next_s,
                cooling_used_s: if stays > 0 { (cooling(&alone) - cooling(here)).max(0.0) } else { 0.0 },
            })
        };
        let bare = Recipe { skirt_loops: 0, ..self.recipe.clone() };
        let may_be = |n: usize| -> Result<bool, RecipeFault> {
            Ok(self.plate(&bare, &all[..stays + n], Tour::None)?.time_s <= self.longest_s + 1e-6)
        };
        // Low enough for certain, too high for certain.
        let (mut low, mut high) = (0, of + 1);
        while high - low > 1 {
            let middle = usize::midpoint(low, high);
            if may_be(middle)? {
                low = middle;
            } else {
                high = middle;
            }
        }
        let mut n = low;
        while n > 0 {
            watch.progress(1.0 - n as f64 / (low + 1) as f64, "counting what ends in time");
            let here = plate(n)?;
            if here.time_s <= self.longest_s + 1e-6 {
                return told(n, &here);
            }
            n = if watch.cancelled() { n / 2 } else { n - 1 };
        }
        told(0, &alone)
    }

    fn copy(&self, item: &Item, id: u32) -> Option<PlateCopy> {
        let (profile, footing) = self.costs.get(item.shape)?.clone();
        Some(PlateCopy { copy: CopyId(id), profile, footing, placement: item.at })
    }

    fn plate(&self, recipe: &Recipe, copies: &[PlateCopy], tour: Tour<'_>) -> Result<PlateEstimate, RecipeFault> {
        let Self { machine, material, .. } = self;
        estimate::plate(&PlateInput { machine, material, recipe, copies }, tour)
    }

    /// An empty plate is not printed.
    fn time_s(&self, e: &PlateEstimate, copies: usize) -> f64 {
        if copies == 0 { 0.0 } else { e.time_s }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::{
        document::{Footing, LayerFloor, MachineId, RecipeId, Shop},
        geom::{Bounds, Placement, Region},
        watch::Quiet,
    };

    /// Boxes of `side` mm, 2 mm high, in rows at a pitch of 30 mm.
    fn timer(side: f64, recipe: Recipe) -> (PlateTimer, Vec<Item>) {
        let h = Point::new(side / 2.0, side / 2.0);
        let section = Region::rectangle(Bounds::new(-h, h));
        let spans = estimate::layers(&recipe, 2.0);
        let profile = Profile::compute(&vec![section.clone(); spans.len()], &spans, &recipe, &Quiet).expect("sound");
        let footing = FootingProfile::compute(&section, Footing::Bare, &recipe).expect("sound");
        let shop = Shop::starter();
        let timer = PlateTimer {
            machine: Machine::rectangular(MachineId(1), "Bench 1", 400.0, 400.0, 100.0),
            material: shop.materials[0].clone(),
            recipe,
            costs: vec![(Arc::new(profile), Arc::new(footing))],
            longest_s: 0.0,
        };
        let at = |i: u32| Placement::at(f64::from(i % 6) * 30.0, f64::from(i / 6) * 30.0);
        (timer, (0..30).map(|i| Item { shape: 0, at: at(i) }).collect())
    }

    fn plain(skirt_loops: u32) -> Recipe {
        Recipe { skirt_loops, ..Recipe::plain(RecipeId(1)) }
    }

    /// By trying every number, for limits between, at and beyond the plates' times; with a skirt, with waiting, with some that stay. Some orders jump to
    /// and fro, so that more copies can take less way.
    #[test]
    fn the_most_by_trying_every_number() {
        let waiting = Recipe { floor: LayerFloor::Typed { seconds: 40.0 }, wait_when_short: true, ..plain(0) };
        let slowing = Recipe { floor: LayerFloor::Typed { seconds: 40.0 }, ..plain(2) };
        for recipe in [plain(0), plain(3), waiting, slowing] {
            for (stays, step) in [(0, 1), (4, 1), (0, 7), (3, 11)] {
                let (timer, items) = timer(12.0, recipe.clone());
                let items: Vec<Item> = (0..30).map(|i| items[i * step % 30]).collect();
                let (stay, further) = items.split_at(stays);
                let time_s = |n: usize| {
                    let copies: Vec<PlateCopy> =
                        items[..stays + n].iter().zip(1..).filter_map(|(i, id)| timer.copy(i, id)).collect();
                    timer.plate(&timer.recipe, &copies, Tour::Exact).expect("sound").time_s
                };
                let times: Vec<f64> = (0..=further.len()).map(time_s).collect();
                let (least, most) = (times[1], times[further.len()]);
                for k in 0..12 {
                    let longest_s =
                        if k % 3 == 0 { times[2 * k + 1] } else { least + (most - least) * f64::from(k as u32) / 10.0 };
                    let timer = PlateTimer { longest_s, ..timer.clone() };
                    let wanted = (1..times.len()).rev().find(|n| times[*n] <= longest_s + 1e-6).unwrap_or(0);
                    let told = timer.most(stay, further, &Quiet).expect("sound");
                    assert_eq!((told.count, told.of), (wanted, further.len()), "{longest_s} {times:?}");
                    if wanted > 0 {
                        assert!((told.time_s - times[wanted]).abs() < 1e-6);
                    }
                    assert_eq!(told.next_s.is_some(), wanted < further.len());
                    assert_eq!(told.stay_s > 0.0, stays > 0);
                }
            }
        }
    }

    /// A layer of 40 s that one box fills for a few seconds: further boxes use the waiting.
    #[test]
    fn waiting_is_used() {
        let waiting = Recipe { floor: LayerFloor::Typed { seconds: 40.0 }, wait_when_short: true, ..plain(0) };
        let (timer, items) = timer(6.0, waiting);
        let timer = PlateTimer { longest_s: 1e6, ..timer };
        let told = timer.most(&items[..1], &items[1..3], &Quiet).expect("sound");
        assert!(told.time_s - told.stay_s < 0.05 * told.stay_s && told.cooling_used_s > 10.0, "{told:?}");
        let late = PlateTimer { longest_s: 1.0, ..timer };
        let none = late.most(&items[..1], &items[1..3], &Quiet).expect("sound");
        assert!(none.count == 0 && !none.is_in_time(1.0) && none.next_s.is_some());
        let empty = late.most(&[], &items[..3], &Quiet).expect("sound");
        assert_eq!((empty.count, empty.time_s, empty.stay_s), (0, 0.0, 0.0));
    }
}
