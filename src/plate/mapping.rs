//! From a layout back to copies and plates.

use std::collections::{BTreeMap, BTreeSet};

use crate::{
    document::{CopyId, Footing, MachineId, MaterialId, PartId, PlateId, RecipeId, Twin},
    geom::Placement,
    packing::{Item, Layout},
};

/// Copies and places are compared pair by pair up to so many pairs.
const PAIRS: usize = 1_000_000;

/// A plate that does not exist yet.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct NewPlate {
    /// On which machine.
    pub machine: MachineId,
    /// Of which material.
    pub material: MaterialId,
    /// In which colour.
    pub colour: String,
    /// By which recipe.
    pub recipe: RecipeId,
    /// How it is printed twice at once; `None` for once.
    pub twin: Option<Twin>,
}

/// Where copies go.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Target {
    /// A plate of the job.
    Existing(PlateId),
    /// One to be made.
    New(NewPlate),
}

/// A copy at its place.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct PlacedCopy {
    /// Of which part.
    pub part: PartId,
    /// The copy that goes there; `None` for a new one.
    pub copy: Option<CopyId>,
    /// Where.
    pub at: Placement,
}

impl PlacedCopy {
    /// Does it lie there already? `now` is [`Mapping::places`].
    pub fn stays(&self, on: &Target, now: &BTreeMap<CopyId, (&Target, Placement)>) -> bool {
        let place = self.copy.and_then(|id| now.get(&id));
        place.is_some_and(|&(target, at)| at == self.at && target == on)
    }
    /// The turn in degrees from 0 to 360, as a person would type it: whole billionths.
    pub fn turn_deg(&self) -> f64 {
        let deg = (self.at.turn_rad.to_degrees() * 1e9).round() / 1e9;
        let turn = deg.rem_euclid(360.0);
        if turn >= 360.0 { 0.0 } else { turn }
    }
}

/// A plate with what goes on it. Copies that stay where they are, are not repeated.
#[derive(Debug, Clone, PartialEq)]
pub struct PlacedPlate {
    /// Which plate.
    pub target: Target,
    /// What goes there.
    pub copies: Vec<PlacedCopy>,
}

/// Copies that found no place.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Unplaced {
    /// Of which part.
    pub part: PartId,
    /// Those that lay on plates before; fewer than `count` where the rest is new.
    pub copies: Vec<CopyId>,
    /// How many.
    pub count: usize,
    /// Why, in words.
    pub why: String,
}

/// A layout in the words of the job.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Placed {
    /// Plates in their order, those asked for and then the new ones that are used.
    pub plates: Vec<PlacedPlate>,
    /// What found no place.
    pub unplaced: Vec<Unplaced>,
}

impl Placed {
    /// Number of copies placed.
    pub fn count(&self) -> usize {
        self.plates.iter().map(|p| p.copies.len()).sum()
    }
}

/// How a packing problem's shapes and beds are called in the job.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Mapping {
    pub(super) shapes: Vec<(PartId, Footing)>,
    pub(super) beds: Vec<Target>,
    /// Copies that may be moved, by shape: id, bed, place.
    pub(super) free: Vec<Vec<(CopyId, usize, Placement)>>,
    /// What could not even be tried.
    pub(super) left_out: Vec<Unplaced>,
    /// Why something finds no place, said of what the search leaves over.
    pub(super) why: String,
}

impl Mapping {
    /// The part a shape stands for.
    pub fn part(&self, shape: usize) -> Option<PartId> {
        self.shapes.get(shape).map(|s| s.0)
    }
    /// The footing of a shape.
    pub fn footing(&self, shape: usize) -> Option<Footing> {
        self.shapes.get(shape).map(|s| s.1)
    }
    /// The plate a bed stands for.
    pub fn target(&self, bed: usize) -> Option<&Target> {
        self.beds.get(bed)
    }
    /// The free copies where they lie now, as a layout of the problem with so many beds.
    pub fn now(&self) -> Layout {
        let mut beds = vec![Vec::new(); self.beds.len()];
        for (shape, copies) in self.free.iter().enumerate() {
            for &(_, bed, at) in copies {
                if let Some(items) = beds.get_mut(bed) {
                    items.push(Item { shape, at });
                }
            }
        }
        Layout { beds, unplaced: vec![0; self.shapes.len()] }
    }
    /// The copies that may be moved.
    pub fn movable(&self) -> Vec<CopyId> {
        self.free.iter().flatten().map(|f| f.0).collect()
    }
    /// Where the free copies lie now.
    pub fn places(&self) -> BTreeMap<CopyId, (&Target, Placement)> {
        let all = self.free.iter().flatten();
        all.filter_map(|&(id, bed, at)| Some((id, (self.target(bed)?, at)))).collect()
    }
    /// How many of the copies that lie on plates are to lie elsewhere.
    pub fn moved(&self, placed: &Placed) -> usize {
        let now = self.places();
        let there = |p: &PlacedPlate| p.copies.iter().filter(|c| c.copy.is_some() && !c.stays(&p.target, &now)).count();
        placed.plates.iter().map(there).sum()
    }
    /// What was left out of the problem, and why.
    pub fn left_out(&self) -> &[Unplaced] {
        &self.left_out
    }
    /// The layout in the words of the job. Each existing copy takes the nearest place of its part: on its own plate
    /// first. Places left over get new copies; copies left over are unplaced.
    pub fn back(&self, layout: &Layout) -> Placed {
        // All places by shape: (bed, place).
        let mut places: Vec<Vec<(usize, Placement)>> = vec![Vec::new(); self.shapes.len()];
        for (bed, items) in layout.beds.iter().enumerate() {
            for item in items {
                if let Some(p) = places.get_mut(item.shape) {
                    p.push((bed, item.at));
                }
            }
        }
        let mut on_beds: Vec<Vec<PlacedCopy>> = vec![Vec::new(); self.beds.len()];
        let mut over: BTreeMap<PartId, (Vec<CopyId>, usize)> = BTreeMap::new();
        for (shape, places) in places.iter().enumerate() {
            let part = self.shapes[shape].0;
            let free = self.free.get(shape).map_or(&[][..], Vec::as_slice);
            let taken = nearest(free, places);
            for (&(bed, at), copy) in places.iter().zip(&taken) {
                if let Some(b) = on_beds.get_mut(bed) {
                    b.push(PlacedCopy { part, copy: copy.map(|i| free[i].0), at });
                }
            }
            let gone: BTreeSet<usize> = taken.iter().flatten().copied().collect();
            let left: Vec<CopyId> =
                free.iter().enumerate().filter(|(i, _)| !gone.contains(i)).map(|(_, f)| f.0).collect();
            let new_ones = layout.unplaced.get(shape).copied().unwrap_or(0);
            if !left.is_empty() || new_ones > 0 {
                let entry = over.entry(part).or_default();
                entry.1 += left.len().max(new_ones);
                entry.0.extend(left);
            }
        }
        let plates = self
            .beds
            .iter()
            .zip(on_beds)
            .filter(|(target, copies)| matches!(target, Target::Existing(_)) || !copies.is_empty())
            .map(|(target, copies)| PlacedPlate { target: target.clone(), copies })
            .collect();
        let mut unplaced = self.left_out.clone();
        unplaced.extend(over.into_iter().map(|(part, (copies, count))| Unplaced {
            part,
            copies,
            count,
            why: self.why.clone(),
        }));
        Placed { plates, unplaced }
    }
}

/// For each place the free copy that takes it: pairs on the same bed first, then the nearest.
fn nearest(free: &[(CopyId, usize, Placement)], places: &[(usize, Placement)]) -> Vec<Option<usize>> {
    if free.len().saturating_mul(places.len()) > PAIRS {
        return in_order(free, places);
    }
    let mut pairs: Vec<(bool, f64, usize, usize)> = Vec::with_capacity(free.len() * places.len());
    for (i, f) in free.iter().enumerate() {
        for (j, p) in places.iter().enumerate() {
            pairs.push((f.1 != p.0, f.2.origin().distance(p.1.origin()), i, j));
        }
    }
    pairs.sort_by(|a, b| a.0.cmp(&b.0).then(a.1.total_cmp(&b.1)).then((a.2, a.3).cmp(&(b.2, b.3))));
    let mut taken = vec![None; places.len()];
    let mut gone = vec![false; free.len()];
    for (_, _, i, j) in pairs {
        if !gone[i] && taken[j].is_none() {
            gone[i] = true;
            taken[j] = Some(i);
        }
    }
    taken
}

/// For very many copies: those that stay where they are, then bed by bed in reading order.
fn in_order(free: &[(CopyId, usize, Placement)], places: &[(usize, Placement)]) -> Vec<Option<usize>> {
    let key = |bed: usize, at: Placement| (bed, at.y.to_bits(), at.x.to_bits());
    let by_place: BTreeMap<_, usize> = free.iter().enumerate().map(|(i, f)| (key(f.1, f.2), i)).collect();
    let mut gone = vec![false; free.len()];
    let mut taken: Vec<Option<usize>> = Vec::with_capacity(places.len());
    for p in places {
        let same = by_place.get(&key(p.0, p.1)).copied().filter(|&i| !gone[i]);
        if let Some(i) = same {
            gone[i] = true;
        }
        taken.push(same);
    }
    let before = |a: (usize, Placement), b: (usize, Placement)| {
        a.0.cmp(&b.0).then(a.1.y.total_cmp(&b.1.y)).then(a.1.x.total_cmp(&b.1.x))
    };
    let mut left: Vec<usize> = (0..free.len()).filter(|&i| !gone[i]).collect();
    left.sort_by(|&a, &b| before((free[a].1, free[a].2), (free[b].1, free[b].2)));
    let mut open: Vec<usize> = (0..places.len()).filter(|&j| taken[j].is_none()).collect();
    open.sort_by(|&a, &b| before(places[a], places[b]));
    for (i, j) in left.into_iter().zip(open) {
        taken[j] = Some(i);
    }
    taken
}

#[cfg(test)]
mod tests {
    use super::*;

    fn mapping() -> Mapping {
        let at = Placement::at;
        Mapping {
            shapes: vec![(PartId(1), Footing::Bare), (PartId(2), Footing::Bare)],
            beds: vec![
                Target::Existing(PlateId(10)),
                Target::Existing(PlateId(11)),
                Target::New(NewPlate {
                    machine: MachineId(1),
                    material: MaterialId(1),
                    colour: "white".into(),
                    recipe: RecipeId(1),
                    twin: None,
                }),
            ],
            free: vec![
                vec![(CopyId(20), 0, at(10.0, 10.0)), (CopyId(21), 0, at(50.0, 10.0)), (CopyId(22), 1, at(10.0, 10.0))],
                vec![(CopyId(30), 1, at(90.0, 90.0))],
            ],
            left_out: Vec::new(),
            why: "found no room on these plates".into(),
        }
    }

    #[test]
    fn copies_take_the_nearest_place_of_their_part_on_their_own_plate_first() {
        let item = |shape, x, y| Item { shape, at: Placement::at(x, y) };
        let layout = Layout {
            beds: vec![
                vec![item(0, 49.0, 10.0), item(0, 12.0, 10.0), item(1, 90.0, 90.0)],
                vec![item(0, 80.0, 80.0)],
                vec![],
            ],
            unplaced: vec![0, 0],
        };
        let placed = mapping().back(&layout);
        let ids: Vec<Vec<Option<u32>>> =
            placed.plates.iter().map(|p| p.copies.iter().map(|c| c.copy.map(|c| c.0)).collect()).collect();
        assert_eq!(ids, [vec![Some(21), Some(20), Some(30)], vec![Some(22)]]);
        assert_eq!(placed.plates.len(), 2, "a new plate that stays empty is not made");
        assert!(placed.unplaced.is_empty());
    }

    #[test]
    fn too_many_places_make_new_copies_and_too_few_leave_some_over() {
        let item = |shape, x, y| Item { shape, at: Placement::at(x, y) };
        let layout = Layout {
            beds: vec![vec![item(1, 1.0, 1.0), item(1, 2.0, 2.0)], vec![item(0, 9.0, 9.0)], vec![item(0, 5.0, 5.0)]],
            unplaced: vec![1, 0],
        };
        let placed = mapping().back(&layout);
        assert_eq!(placed.count(), 4);
        let twos: Vec<Option<CopyId>> = placed.plates[0].copies.iter().map(|c| c.copy).collect();
        assert_eq!(twos, [None, Some(CopyId(30))]);
        assert_eq!(placed.plates[1].copies[0].copy, Some(CopyId(22)));
        assert!(matches!(placed.plates[2].target, Target::New(_)));
        let over = &placed.unplaced[0];
        assert_eq!((over.part, over.count, over.copies.len()), (PartId(1), 1, 1));
    }

    #[test]
    fn very_many_copies_keep_their_places_and_each_finds_one() {
        let at = |k: usize| Placement::at((k % 100) as f64, (k / 100) as f64);
        let free: Vec<_> = (0..1500_usize).map(|k| (CopyId(u32::try_from(k).expect("small")), 0, at(k))).collect();
        // The first hundred places go; a hundred others come.
        let places: Vec<_> = (100..1600).map(|k| (0, at(k))).collect();
        let taken = nearest(&free, &places);
        assert!((0..1400).all(|j| taken[j] == Some(j + 100)));
        let mut others: Vec<usize> = taken[1400..].iter().map(|t| t.expect("each finds one")).collect();
        others.sort_unstable();
        assert_eq!(others, (0..100).collect::<Vec<_>>());
    }

    #[test]
    fn turns_read_as_typed() {
        for (rad, deg) in
            [(3.0 * std::f64::consts::FRAC_PI_4, 135.0), (-std::f64::consts::FRAC_PI_2, 270.0), (-1e-14, 0.0)]
        {
            let copy = PlacedCopy { part: PartId(1), copy: None, at: Placement::new(0.0, 0.0, rad) };
            assert_eq!(copy.turn_deg(), deg);
        }
    }
}
