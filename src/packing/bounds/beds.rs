//! Fewest beds for the counts of a Pack.

use super::{
    area::{Layer, Offer},
    copies_on,
    size::too_large,
};
use crate::{
    packing::{Aim, Bed, Bound, BoundKind, Layout, Problem},
    watch::Watch,
};

/// Shapes whose own bounds are looked at; of more, only areas are.
const SHAPES: usize = 60;

/// No layout puts all copies asked for on fewer beds than this (beds with fixed copies only are not counted). Shapes
/// that can lie on no bed are left out. `None` for Top up, where nothing can be placed, and when `watch` says stop.
///
/// Beds beyond those of the problem are taken to be like the most spacious one. The greatest of: each shape alone by
/// its own bound, areas, and areas with copies that cannot share a bed (bound L2 of Martello & Toth 1990); classes add
/// up, since they share no bed.
pub fn beds_bound(problem: &Problem, watch: &dyn Watch<Layout>) -> Option<Bound> {
    let problem = &*problem.untwinned();
    let Aim::Pack { counts } = &problem.aim else { return None };
    let mut classes: Vec<u32> = problem.shapes.iter().map(|s| s.class).collect();
    classes.sort_unstable();
    classes.dedup();
    let bounds: Vec<Bound> = classes.iter().filter_map(|&c| of_class(problem, counts, c, watch)).collect();
    if watch.cancelled() {
        return None;
    }
    let main = bounds.iter().max_by_key(|b| b.value)?;
    Some(Bound { kind: main.kind, value: bounds.iter().map(|b| b.value).sum() })
}

fn of_class(problem: &Problem, counts: &[usize], class: u32, watch: &dyn Watch<Layout>) -> Option<Bound> {
    // Beds that are alike, once each with their number.
    let mut beds: Vec<(usize, usize)> = Vec::new();
    let mut offer_of: Vec<Offer> = Vec::new();
    for b in (0..problem.beds.len()).filter(|&b| problem.beds[b].class.is_none_or(|c| c == class)) {
        match beds.iter_mut().find(|(other, _)| alike(&problem.beds[b], &problem.beds[*other])) {
            Some((_, n)) => *n += 1,
            None if watch.cancelled() => return None,
            None => {
                offer_of.push(Offer::of(problem, &problem.beds[b]));
                beds.push((b, 1));
            }
        }
    }
    let asked = |s: usize| problem.shapes[s].class == class && counts.get(s).is_some_and(|n| *n > 0);
    // Each shape's own bound takes its time: of very many shapes, none fills a bed by itself.
    let few = (0..problem.shapes.len()).filter(|&s| asked(s)).count() <= SHAPES;
    // (shape, copies)
    let mut wanted: Vec<(usize, usize)> = Vec::new();
    let mut best: Option<Bound> = None;
    let mut raise = |kind: BoundKind, value: u64| {
        if best.is_none_or(|b| value > b.value) {
            best = Some(Bound { kind, value });
        }
    };
    for (shape, s) in problem.shapes.iter().enumerate().filter(|(_, s)| s.class == class) {
        let n = counts.get(shape).copied().unwrap_or(0);
        if n == 0 || s.shadow.region().area() <= 1e-6 {
            continue;
        }
        if !few {
            if beds.iter().any(|&(b, _)| !too_large(s, &problem.beds[b])) {
                wanted.push((shape, n));
            }
            continue;
        }
        let mut most: Vec<f64> = Vec::new();
        for (&(b, alike), &offer) in beds.iter().zip(&offer_of) {
            if watch.cancelled() {
                return None;
            }
            let bound = copies_on(problem, shape, b, offer).map(|b| b.value as f64);
            most.extend(bound.into_iter().flat_map(|b| std::iter::repeat_n(b, alike)));
        }
        let Some(needed) = fewest(&mut most, n as f64) else { continue };
        wanted.push((shape, n));
        raise(BoundKind::ByPlate, needed);
    }
    if wanted.is_empty() {
        return None;
    }
    for layer in [Layer::Shadow, Layer::Footing] {
        let mut offers: Vec<f64> = Vec::new();
        for (&(_, alike), offer) in beds.iter().zip(&offer_of) {
            offers.extend(std::iter::repeat_n(offer.in_layer(layer), alike));
        }
        let mut areas: Vec<f64> = Vec::new();
        for &(shape, n) in &wanted {
            if watch.cancelled() {
                return None;
            }
            let a = layer.of_copy(problem, &problem.shapes[shape]);
            // A cap on the list; what is left out only lowers the bound.
            areas.extend(std::iter::repeat_n(a, n.min(20_000)));
        }
        if let Some(needed) = fewest(&mut offers, areas.iter().sum()) {
            raise(BoundKind::ByArea, needed);
            raise(BoundKind::ByBinArea, l2(offers[0], &mut areas));
        }
    }
    best
}

/// Do two beds offer the same?
fn alike(a: &Bed, b: &Bed) -> bool {
    a.room == b.room && a.keep_outs == b.keep_outs && a.fixed == b.fixed && a.height_mm == b.height_mm
}

/// How many of the offers, the greatest first, reach the need; further ones are like the greatest. `None` where they
/// offer nothing.
fn fewest(offers: &mut [f64], need: f64) -> Option<u64> {
    offers.sort_by(|a, b| b.total_cmp(a));
    let greatest = offers.first().copied().filter(|o| *o > 1e-9)?;
    let mut left = need * (1.0 - 1e-9);
    let mut n = 0;
    for &o in offers.iter() {
        if left <= 0.0 {
            return Some(n);
        }
        left -= o;
        n += 1;
    }
    Some(n + (left / greatest).ceil().max(0.0) as u64)
}

/// Bound L2: for a threshold t, what is larger than `room − t` needs a bed alone, what is larger than half a bed of its
/// own, and what is at least t fills what is left.
fn l2(room: f64, sizes: &mut [f64]) -> u64 {
    sizes.sort_by(|a, b| b.total_cmp(a));
    let mut thresholds: Vec<f64> = sizes.iter().copied().filter(|s| *s <= room * 0.5).collect();
    thresholds.push(0.0);
    thresholds.dedup();
    thresholds
        .iter()
        .map(|&t| {
            let alone = sizes.iter().filter(|&&s| s > room - t).count();
            let halves: Vec<f64> = sizes.iter().copied().filter(|&s| s <= room - t && s > room * 0.5).collect();
            let small: f64 = sizes.iter().filter(|&&s| s <= room * 0.5 && s >= t).sum();
            let spare = halves.len() as f64 * room - halves.iter().sum::<f64>();
            let more = ((small - spare) / room * (1.0 - 1e-9)).ceil().max(0.0) as u64;
            (alone + halves.len()) as u64 + more
        })
        .max()
        .unwrap_or(0)
}
