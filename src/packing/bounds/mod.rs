//! Upper bounds on copies, lower bounds on beds: valid for every layout and every turn, never for this search alone.
//!
//! - `area`: areas of grown parts and rooms
//! - `hexagon`, `pentagon`: densities proven for the whole plane
//! - `circle`: inscribed circles, Oler's inequality
//! - `size`: parts that cannot lie on the bed at all
//! - `beds`: fewest beds

mod area;
mod beds;
mod circle;
mod hexagon;
mod pentagon;
mod size;

pub use beds::beds_bound;

use area::Offer;

use super::{
    Aim, Bound, BoundKind, Item, Layout, Problem,
    bodies::cleaned::cleaned,
    judge::{ground::Ground, quick_check},
};
use crate::{
    geom::{boolean, offset},
    watch::Watch,
};

/// The most free copies of one shape that can lie on the first bed, whatever the arrangement and the turns: the least
/// of all bounds known here, with its name. Copies fixed there are counted out. `None` where there is no bed, no such
/// shape, or the shape has no area.
pub fn copies_bound(problem: &Problem, shape: usize) -> Option<Bound> {
    let problem = &*problem.untwinned();
    copies_on(problem, shape, 0, Offer::of(problem, problem.beds.first()?))
}

/// The most free copies of all shapes asked for together, those that are there counted, that a Top up can lay on the
/// first bed: of one shape its [`copies_bound`]; of several the smallest first, each up to its own bound and to what is
/// asked for, until the area is used up. Room that other copies take which may be moved but not removed is left out.
/// `None` for Pack, where no shape with area is asked for, and when `watch` says stop.
pub fn top_up_bound(problem: &Problem, watch: &dyn Watch<Layout>) -> Option<Bound> {
    let problem = &*problem.untwinned();
    let (Aim::TopUp { shares, at_most, .. }, Some(bed)) = (&problem.aim, problem.beds.first()) else { return None };
    if watch.cancelled() {
        return None;
    }
    let offer = Offer::of(problem, bed);
    let asked = |s: &usize| shares.get(*s).is_some_and(|x| x.is_finite() && *x > 0.0);
    let mut most: Vec<(usize, Bound)> = Vec::new();
    for s in (0..problem.shapes.len()).filter(asked) {
        if watch.cancelled() {
            return None;
        }
        most.extend(copies_on(problem, s, 0, offer).map(|bound| (s, bound)));
    }
    // Copies that may be moved and must stay: of shapes that are not asked for, they take their area.
    let least = |s: &usize| problem.aim.least(*s);
    let others: Vec<usize> = (0..problem.shapes.len()).filter(|s| !asked(s) && least(s) > 0).collect();
    if let [(_, bound)] = most[..]
        && others.is_empty()
    {
        return Some(bound);
    }
    let cap = |s: usize, own: Bound| own.value.min(at_most.get(s).copied().unwrap_or(0) as u64);
    let all: u64 = most.iter().map(|&(s, own)| cap(s, own)).sum();
    let by_area = [area::Layer::Shadow, area::Layer::Footing].into_iter().map(|layer| {
        let mut sizes: Vec<(f64, u64)> =
            most.iter().map(|&(s, own)| (layer.of_copy(problem, &problem.shapes[s]), cap(s, own))).collect();
        sizes.sort_by(|a, b| a.0.total_cmp(&b.0));
        let taken = others.iter().map(|s| least(s) as f64 * layer.of_copy(problem, &problem.shapes[*s]));
        let mut left = (offer.in_layer(layer) - taken.sum::<f64>()).max(0.0);
        let mut fit = 0.0;
        for (size, most) in sizes {
            let n = if size > 1e-6 { (left / size).min(most as f64).max(0.0) } else { most as f64 };
            left -= n * size;
            fit += n;
        }
        (fit + 1e-9).floor() as u64
    });
    let by_area = by_area.min().filter(|_| !most.is_empty())?;
    Some(if by_area < all {
        Bound { kind: BoundKind::ByArea, value: by_area }
    } else if let [(_, bound)] = most[..] {
        bound
    } else {
        Bound { kind: BoundKind::ByPlate, value: all }
    })
}

fn copies_on(problem: &Problem, shape: usize, bed: usize, offer: Offer) -> Option<Bound> {
    let (s, b) = (problem.shapes.get(shape)?, problem.beds.get(bed)?);
    if cleaned(s.shadow.region()).area() <= 1e-6 {
        return None;
    }
    if size::too_large(s, b) {
        return Some(Bound { kind: BoundKind::BySize, value: 0 });
    }
    let fixed = fixed_alike(problem, shape, bed);
    let less_fixed = |n: f64| (n - fixed).max(0.0);
    [
        (BoundKind::ByArea, area::copies(problem, s, offer)),
        (BoundKind::ByPentagon, pentagon::copies(problem, s, b).map(less_fixed)),
        (BoundKind::ByHexagon, hexagon::copies(problem, s, b).map(less_fixed)),
        (BoundKind::ByCircle, circle::copies(problem, s, b).map(less_fixed)),
    ]
    .into_iter()
    .filter_map(|(kind, n)| n.map(|n| Bound { kind, value: (n + 1e-9).floor().max(0.0) as u64 }))
    .min_by_key(|b| b.value)
}

/// Fixed copies of the same shape that are themselves part of a valid layout: they use up the whole bed's bound.
fn fixed_alike(problem: &Problem, shape: usize, bed: usize) -> f64 {
    let (b, s) = (&problem.beds[bed], &problem.shapes[shape]);
    let mut counted: Vec<Item> = Vec::new();
    if b.fixed.is_empty() {
        return 0.0;
    }
    let ground = Ground::new(b);
    for &i in b.fixed.iter().filter(|i| i.shape == shape && i.at.origin().is_finite() && i.at.turn_rad.is_finite()) {
        let doubtful = [&s.shadow, &s.footing].into_iter().filter(|o| !ground.surely_in_room(o, i.at));
        let outside = doubtful.into_iter().any(|o| {
            let out = boolean::difference(&o.region().placed(i.at), &b.room);
            out.area() > 0.0 && !offset::shrink(&out, 5e-7, 1e-7).is_empty()
        });
        if !outside && counted.iter().all(|&c| quick_check::clear(problem, i, c)) {
            counted.push(i);
        }
    }
    counted.len() as f64
}

#[cfg(test)]
mod tests;
