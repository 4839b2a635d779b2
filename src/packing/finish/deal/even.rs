//! Beds evened out: what lies on them dealt afresh, the largest first to the emptiest bed (longest processing time first,
//! R. L. Graham 1969); where that finds no room, copies move from fuller beds to emptier ones, one at a time.

use std::collections::BTreeSet;

use super::{
    dealt::{Dealt, Pins},
    together::Kept,
};
use crate::packing::Item;

/// Copies tried to move at most, one at a time.
const MOVES_TRIED: usize = 64;

/// What goes to one bed as a whole.
struct Unit {
    /// Copies of each shape.
    copies: Vec<(usize, usize)>,
    weight: f64,
    /// Where it stays.
    bed: Option<usize>,
}

/// Evens out the beds of each class. Groups that are kept together move as a whole.
pub(super) fn even(dealt: &mut Dealt<'_>, kept: &[Kept]) {
    for class in dealt.classes() {
        let beds = dealt.beds_of(class);
        if beds.len() > 1 {
            let before: Vec<Vec<Item>> = beds.iter().map(|&b| dealt.free[b].clone()).collect();
            let uneven = difference(dealt, &beds);
            if !afresh(dealt, &beds, kept) || difference(dealt, &beds) > uneven {
                for (&b, items) in beds.iter().zip(before) {
                    dealt.free[b] = items;
                }
            }
            one_by_one(dealt, &beds, kept);
        }
    }
}

/// Load of the fullest bed less that of the emptiest.
fn difference(dealt: &Dealt<'_>, beds: &[usize]) -> f64 {
    let loads = || beds.iter().map(|&b| dealt.load(b));
    loads().fold(f64::NEG_INFINITY, f64::max) - loads().fold(f64::INFINITY, f64::min)
}

/// All units on the beds, the largest first, each on the emptiest bed that takes it. False where one finds no room.
fn afresh(dealt: &mut Dealt<'_>, beds: &[usize], kept: &[Kept]) -> bool {
    let counts = dealt.counts(beds.iter().flat_map(|&b| &dealt.free[b]));
    let grouped = |s: usize| kept.iter().any(|k| k.shapes.contains(&s));
    let mut units: Vec<Unit> = kept
        .iter()
        .filter(|k| beds.contains(&k.bed))
        .map(|k| {
            let copies: Vec<(usize, usize)> = k.shapes.iter().map(|&s| (s, counts[s])).collect();
            let weight = copies.iter().map(|&(s, n)| dealt.weight(s) * n as f64).sum();
            Unit { copies, weight, bed: k.pinned.then_some(k.bed) }
        })
        .collect();
    for s in (0..counts.len()).filter(|&s| !grouped(s)) {
        let one = || Unit { copies: vec![(s, 1)], weight: dealt.weight(s), bed: None };
        units.extend((0..counts[s]).map(|_| one()));
    }
    units.sort_by(|a, b| b.bed.is_some().cmp(&a.bed.is_some()).then(b.weight.total_cmp(&a.weight)));
    let mut loads: Vec<f64> = beds.iter().map(|&b| dealt.fixed(b).map(|i| dealt.weight(i.shape)).sum()).collect();
    let mut dealt_out = vec![vec![0; counts.len()]; beds.len()];
    for unit in units {
        let takes = |d: &mut Dealt<'_>, k: usize| match unit.bed {
            Some(bed) => beds[k] == bed,
            None => unit.copies.iter().all(|&(s, n)| n == 0 || d.admits(beds[k], s)),
        };
        let open: Vec<usize> = (0..beds.len()).filter(|&k| takes(dealt, k)).collect();
        let Some(k) = open.into_iter().min_by(|&a, &b| loads[a].total_cmp(&loads[b])) else { return false };
        loads[k] += unit.weight;
        for (s, n) in unit.copies {
            dealt_out[k][s] += n;
        }
    }
    let mut laid = Vec::with_capacity(beds.len());
    for (&bed, wanted) in beds.iter().zip(&dealt_out) {
        let as_it_is = dealt.counts(&dealt.free[bed]) == *wanted;
        let found = if as_it_is { Some(dealt.free[bed].clone()) } else { on_one(dealt, bed, wanted) };
        let Some(items) = found else { return false };
        laid.push(items);
    }
    for (&bed, items) in beds.iter().zip(laid) {
        dealt.free[bed] = items;
    }
    true
}

fn on_one(dealt: &Dealt<'_>, bed: usize, counts: &[usize]) -> Option<Vec<Item>> {
    dealt.laid(&[bed], &Pins::new(), counts)?.pop()
}

/// Single copies from a fuller bed to an emptier one, as long as that makes the two more alike and finds room.
fn one_by_one(dealt: &mut Dealt<'_>, beds: &[usize], kept: &[Kept]) {
    let grouped = |s: usize| kept.iter().any(|k| k.shapes.contains(&s));
    let mut no_room: BTreeSet<(usize, usize)> = BTreeSet::new();
    for _ in 0..MOVES_TRIED {
        // The move that leaves two beds most alike, of the two that differ most.
        let mut best: Option<((f64, f64), usize, usize, usize)> = None;
        for &from in beds {
            for &to in beds {
                let apart = dealt.load(from) - dealt.load(to);
                for (k, item) in dealt.free[from].iter().enumerate() {
                    let w = dealt.weight(item.shape);
                    if w >= apart - 1e-6 || grouped(item.shape) || no_room.contains(&(to, item.shape)) {
                        continue;
                    }
                    let rate = (-apart, (apart / 2.0 - w).abs());
                    if best.is_none_or(|(r, ..)| rate.0 < r.0 || rate.0 <= r.0 && rate.1 < r.1) {
                        best = Some((rate, from, to, k));
                    }
                }
            }
        }
        let Some((_, from, to, k)) = best.filter(|_| !dealt.cancelled()) else { return };
        let shape = dealt.free[from][k].shape;
        let mut wanted = dealt.counts(&dealt.free[to]);
        wanted[shape] += 1;
        match on_one(dealt, to, &wanted) {
            Some(items) => {
                dealt.free[to] = items;
                dealt.free[from].remove(k);
                no_room.retain(|n| n.0 != from);
            }
            None => {
                no_room.insert((to, shape));
            }
        }
    }
}
