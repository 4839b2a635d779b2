//! Kinds kept together.

use std::collections::BTreeSet;

use super::dealt::{Dealt, Pins};
use crate::packing::Item;

/// Beds tried for a group at most.
const BEDS_TRIED: usize = 4;

/// A group all of whose copies lie on one bed.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) struct Kept {
    pub(super) bed: usize,
    pub(super) shapes: Vec<usize>,
    /// Some of it stays where it is.
    pub(super) pinned: bool,
}

/// Gathers each group on one bed where it fits on one and the rest still finds room, the largest group first. A group
/// gathered before is not parted for a later one.
pub(super) fn gather(dealt: &mut Dealt<'_>, groups: &[Vec<usize>]) -> Vec<Kept> {
    let area = |shapes: &Vec<usize>, d: &Dealt<'_>| -> f64 {
        d.free.iter().flatten().filter(|i| shapes.contains(&i.shape)).map(|i| d.weight(i.shape)).sum()
    };
    let mut order: Vec<(f64, &Vec<usize>)> = groups.iter().map(|g| (area(g, dealt), g)).collect();
    order.sort_by(|a, b| b.0.total_cmp(&a.0));
    let mut kept = Vec::new();
    for (area, shapes) in order {
        if area > 0.0
            && let Some(group) = gathered(dealt, &kept, shapes)
        {
            kept.push(group);
        }
    }
    kept
}

fn gathered(dealt: &mut Dealt<'_>, kept: &[Kept], shapes: &[usize]) -> Option<Kept> {
    let is = |i: &&Item| shapes.contains(&i.shape);
    let fixed_on: BTreeSet<usize> =
        dealt.open.iter().map(|b| b.0).filter(|&b| dealt.fixed(b).any(|i| is(&i))).collect();
    let free_on = |d: &Dealt<'_>, bed: usize| d.free[bed].iter().filter(is).count();
    let class = dealt.problem.shapes.get(*shapes.first()?)?.class;
    let mut beds = dealt.beds_of(class);
    let holds: Vec<usize> = beds.iter().copied().filter(|b| free_on(dealt, *b) > 0 || fixed_on.contains(b)).collect();
    let group = |bed| Kept { bed, shapes: shapes.to_vec(), pinned: !fixed_on.is_empty() };
    if let [bed] = holds[..] {
        return Some(group(bed));
    }
    if fixed_on.len() > 1 {
        return None;
    }
    beds.retain(|b| fixed_on.is_empty() || fixed_on.contains(b));
    beds.sort_by_key(|&b| std::cmp::Reverse(free_on(dealt, b)));
    let bed = beds.into_iter().take(BEDS_TRIED).find(|&bed| put_on(dealt, kept, shapes, class, bed))?;
    Some(group(bed))
}

/// The group on one bed and everything else of its class where it finds room; false, and nothing moved, where it does not.
fn put_on(dealt: &mut Dealt<'_>, kept: &[Kept], shapes: &[usize], class: u32, bed: usize) -> bool {
    let mut pins = Pins::new();
    for k in kept {
        pins.entry(k.bed).or_default().extend(dealt.free[k.bed].iter().filter(|i| k.shapes.contains(&i.shape)));
    }
    let beds = dealt.beds_of(class);
    let all = || beds.iter().flat_map(|&b| &dealt.free[b]);
    let group = dealt.counts(all().filter(|i| shapes.contains(&i.shape)));
    let Some(laid) = dealt.laid(&[bed], &pins, &group) else { return false };
    pins.entry(bed).or_default().extend(laid.into_iter().flatten());
    let mut rest = dealt.counts(all());
    for b in &beds {
        for i in pins.get(b).into_iter().flatten() {
            rest[i.shape] = rest[i.shape].saturating_sub(1);
        }
    }
    let Some(laid) = dealt.laid(&beds, &pins, &rest) else { return false };
    for (b, mut items) in beds.into_iter().zip(laid) {
        items.extend(pins.remove(&b).into_iter().flatten());
        dealt.free[b] = items;
    }
    true
}
