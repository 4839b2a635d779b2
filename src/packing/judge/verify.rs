//! The independent check of layouts: slow, plain, trusted. It shares no code with the search.

use std::collections::BTreeMap;

use thiserror::Error;

use crate::geom::{Bounds, Outline, Placement, Region, boolean, hull, offset};
use crate::packing::{Aim, Item, Layout, Problem, Twin, judge::ground::Ground};

/// A layout is valid when no rule is breached by more than this, mm.
pub const TOLERANCE_MM: f64 = 1e-6;

/// What is wrong with a layout. Free copies are known by bed and place in [`Layout::beds`]; `other` names a copy of the
/// same bed, counted on through the fixed ones after the free ones.
#[derive(Debug, Clone, PartialEq, Error)]
pub enum Breach {
    /// More beds than the problem has.
    #[error("{found} beds in the layout, {known} in the problem")]
    Beds {
        /// Beds of the layout.
        found: usize,
        /// Beds of the problem.
        known: usize,
    },
    /// An unknown shape, or a place that is not finite.
    #[error("bed {bed}, copy {copy}: unknown shape or a place that is not finite")]
    Unknown {
        /// Bed.
        bed: usize,
        /// Copy.
        copy: usize,
    },
    /// A turn that the shape does not allow.
    #[error("bed {bed}, copy {copy}: this turn is not allowed")]
    Turn {
        /// Bed.
        bed: usize,
        /// Copy.
        copy: usize,
    },
    /// Shadow or footing outside the room.
    #[error("bed {bed}, copy {copy}: {out_mm} mm outside the room")]
    Room {
        /// Bed.
        bed: usize,
        /// Copy.
        copy: usize,
        /// Width of what lies outside, mm.
        out_mm: f64,
    },
    /// Shadow or footing on a keep-out.
    #[error("bed {bed}, copy {copy}: {deep_mm} mm on a keep-out")]
    KeepOut {
        /// Bed.
        bed: usize,
        /// Copy.
        copy: usize,
        /// Width of what lies on it, mm.
        deep_mm: f64,
    },
    /// Taller than the bed's height.
    #[error("bed {bed}, copy {copy}: taller than the bed allows")]
    Height {
        /// Bed.
        bed: usize,
        /// Copy.
        copy: usize,
    },
    /// Another class than the bed or its other copies.
    #[error("bed {bed}, copy {copy}: of another class than its bed")]
    Class {
        /// Bed.
        bed: usize,
        /// Copy.
        copy: usize,
    },
    /// Shadows too close.
    #[error("bed {bed}, copies {copy} and {other}: shadows {short_mm} mm too close")]
    Gap {
        /// Bed.
        bed: usize,
        /// Copy.
        copy: usize,
        /// The other.
        other: usize,
        /// Missing clearance, or width of the overlap, mm.
        short_mm: f64,
    },
    /// Footings too close, or a footing in another's contact.
    #[error("bed {bed}, copies {copy} and {other}: footings {short_mm} mm too close")]
    Footing {
        /// Bed.
        bed: usize,
        /// Copy.
        copy: usize,
        /// The other.
        other: usize,
        /// Missing clearance, or width of the overlap, mm.
        short_mm: f64,
    },
    /// The twin outside the room, on a keep-out, or too near to a copy.
    #[error("bed {bed}, copy {copy}: its twin is {short_mm} mm too near to the edge, a keep-out or a copy")]
    Twin {
        /// Bed.
        bed: usize,
        /// Copy.
        copy: usize,
        /// Missing clearance, or width of what lies where it may not, mm.
        short_mm: f64,
    },
    /// Copies placed and left over do not add up to those asked for.
    #[error("shape {shape}: {placed} copies placed, {unplaced} unplaced, {asked} asked for")]
    Count {
        /// Shape.
        shape: usize,
        /// Copies placed.
        placed: usize,
        /// Copies said to be unplaced.
        unplaced: usize,
        /// Copies asked for, or at most allowed.
        asked: usize,
    },
}

/// Checks every rule on the true outlines, to [`TOLERANCE_MM`].
///
/// # Errors
/// All breaches found, in the order of beds and copies.
pub fn verify(problem: &Problem, layout: &Layout) -> Result<(), Vec<Breach>> {
    let mut found = Vec::new();
    if layout.beds.len() > problem.beds.len() {
        found.push(Breach::Beds { found: layout.beds.len(), known: problem.beds.len() });
    }
    for (bed, free) in layout.beds.iter().enumerate().take(problem.beds.len()) {
        bed_breaches(problem, bed, free, &mut found);
        if let Some(twin) = problem.beds[bed].twin {
            twin_breaches(problem, bed, twin, free, &mut found);
        }
    }
    counts(problem, layout, &mut found);
    if found.is_empty() { Ok(()) } else { Err(found) }
}

fn bed_breaches(problem: &Problem, bed: usize, free: &[Item], found: &mut Vec<Breach>) {
    let b = &problem.beds[bed];
    let mut known = |(copy, i): (usize, &Item)| {
        let good = i.shape < problem.shapes.len() && i.at.origin().is_finite() && i.at.turn_rad.is_finite();
        if !good && copy < free.len() {
            found.push(Breach::Unknown { bed, copy });
        }
        good.then_some((copy, *i))
    };
    let items: Vec<(usize, Item)> = free.iter().chain(&b.fixed).enumerate().filter_map(&mut known).collect();
    let ground = Ground::new(b);
    let class = b.class.or_else(|| {
        let first_fixed = items.iter().find(|(c, _)| *c >= free.len());
        first_fixed.or(items.first()).map(|(_, i)| problem.shapes[i.shape].class)
    });
    for &(copy, item) in items.iter().filter(|(c, _)| *c < free.len()) {
        let s = &problem.shapes[item.shape];
        if !turn_allowed(s.turn_step_rad, item.at.turn_rad) {
            found.push(Breach::Turn { bed, copy });
        }
        if s.height_mm > b.height_mm + TOLERANCE_MM {
            found.push(Breach::Height { bed, copy });
        }
        if class.is_some_and(|c| c != s.class) {
            found.push(Breach::Class { bed, copy });
        }
        let layers = [&s.shadow, &s.footing];
        let doubtful = layers.iter().filter(|o| !ground.surely_in_room(o, item.at));
        let out_mm =
            doubtful.map(|o| width(&boolean::difference(&o.region().placed(item.at), &b.room))).fold(0.0, f64::max);
        if out_mm > TOLERANCE_MM {
            found.push(Breach::Room { bed, copy, out_mm });
        }
        for (n, k) in b.keep_outs.iter().enumerate() {
            let doubtful = layers.iter().filter(|o| !ground.surely_off(n, o, item.at));
            let deep_mm =
                doubtful.map(|o| width(&boolean::intersection(&o.region().placed(item.at), k))).fold(0.0, f64::max);
            if deep_mm > TOLERANCE_MM {
                found.push(Breach::KeepOut { bed, copy, deep_mm });
            }
        }
    }
    // Boxes apart by more than every clearance: nothing to look at.
    let reach = 0.5 * problem.gap_mm.max(problem.footing_gap_mm).max(0.0) + TOLERANCE_MM;
    let boxes: Vec<Bounds> = items
        .iter()
        .map(|(_, i)| {
            let s = &problem.shapes[i.shape];
            let all = [&s.shadow, &s.footing, &s.contact].map(|o| o.bounds_at(i.at));
            all[0].union(all[1]).union(all[2]).grown(reach)
        })
        .collect();
    for (n, &(copy, a)) in items.iter().enumerate() {
        if copy >= free.len() {
            break;
        }
        for (m, &(other, b)) in items.iter().enumerate().skip(n + 1) {
            if !boxes[n].overlaps(boxes[m]) {
                continue;
            }
            let (s, t) = (&problem.shapes[a.shape], &problem.shapes[b.shape]);
            let short_mm = short(&s.shadow, a, &t.shadow, b, problem.gap_mm);
            if short_mm > TOLERANCE_MM {
                found.push(Breach::Gap { bed, copy, other, short_mm });
            }
            let short_mm = if problem.footings_may_merge {
                short(&s.footing, a, &t.contact, b, 0.0).max(short(&s.contact, a, &t.footing, b, 0.0))
            } else {
                short(&s.footing, a, &t.footing, b, problem.footing_gap_mm)
            };
            if short_mm > TOLERANCE_MM {
                found.push(Breach::Footing { bed, copy, other, short_mm });
            }
        }
    }
}

/// Twins among themselves lie as copies do; here they are checked against bed and copies.
fn twin_breaches(problem: &Problem, bed: usize, twin: Twin, free: &[Item], found: &mut Vec<Breach>) {
    let b = &problem.beds[bed];
    let known = |i: &&Item| i.shape < problem.shapes.len() && i.at.origin().is_finite() && i.at.turn_rad.is_finite();
    let all: Vec<Item> = free.iter().chain(&b.fixed).filter(known).copied().collect();
    let here = |o: &Outline, i: Item| Outline::new(o.region().placed(i.at));
    let still = Item { shape: 0, at: Placement::default() };
    for (copy, item) in free.iter().enumerate().filter(|(_, i)| known(i)) {
        let s = &problem.shapes[item.shape];
        let there = [&s.shadow, &s.footing, &s.contact].map(|o| Outline::new(twin.region(&o.region().placed(item.at))));
        let mut short_mm: f64 = 0.0;
        for r in there[..2].iter().map(Outline::region) {
            short_mm = short_mm.max(width(&boolean::difference(r, &b.room)));
            short_mm = b.keep_outs.iter().map(|k| width(&boolean::intersection(r, k))).fold(short_mm, f64::max);
        }
        for other in &all {
            let t = &problem.shapes[other.shape];
            let [shadow, footing, contact] = [&t.shadow, &t.footing, &t.contact].map(|o| here(o, *other));
            short_mm = short_mm.max(short(&there[0], still, &shadow, still, problem.gap_mm));
            short_mm = short_mm.max(if problem.footings_may_merge {
                short(&there[1], still, &contact, still, 0.0).max(short(&there[2], still, &footing, still, 0.0))
            } else {
                short(&there[1], still, &footing, still, problem.footing_gap_mm)
            });
        }
        if short_mm > TOLERANCE_MM {
            found.push(Breach::Twin { bed, copy, short_mm });
        }
    }
}

/// Clearance missing between two placed outlines; where they overlap, the gap and the width of the overlap.
fn short(x: &Outline, a: Item, y: &Outline, b: Item, gap_mm: f64) -> f64 {
    let gap_mm = gap_mm.max(0.0);
    let distance = x.distance(a.at, y, b.at);
    // Crossing borders may come out as far apart as a rounding error.
    if distance > 1e-9 {
        return gap_mm - distance;
    }
    gap_mm + width(&boolean::intersection(&x.region().placed(a.at), &y.region().placed(b.at)))
}

/// Least width of the widest piece, mm; 0 where nothing is left after the tolerance is taken off all round: slivers
/// from rounding do not count.
fn width(region: &Region) -> f64 {
    if region.area() <= 0.0 || offset::shrink(region, 0.5 * TOLERANCE_MM, 1e-7).is_empty() {
        return 0.0;
    }
    region.polygons.iter().map(|p| hull::least_width(&hull::convex_hull(p.outer.iter().copied())).0).fold(0.0, f64::max)
}

fn turn_allowed(step: Option<f64>, turn: f64) -> bool {
    let Some(step) = step else { return true };
    let full = (turn / std::f64::consts::TAU).round() * std::f64::consts::TAU;
    if (turn - full).abs() <= 1e-9 {
        return true;
    }
    step > 0.0 && {
        let rest = turn.rem_euclid(step);
        rest.min(step - rest) <= 1e-9 * (1.0 + (turn / step).abs())
    }
}

fn counts(problem: &Problem, layout: &Layout, found: &mut Vec<Breach>) {
    let mut placed: BTreeMap<usize, usize> = BTreeMap::new();
    for i in layout.beds.iter().flatten() {
        *placed.entry(i.shape).or_default() += 1;
    }
    for shape in 0..problem.shapes.len() {
        let placed = placed.get(&shape).copied().unwrap_or(0);
        let unplaced = layout.unplaced.get(shape).copied().unwrap_or(0);
        let (asked, good) = match &problem.aim {
            Aim::Pack { counts } => {
                let asked = counts.get(shape).copied().unwrap_or(0);
                (asked, placed + unplaced == asked)
            }
            Aim::TopUp { shares, at_most, .. } => {
                let share = shares.get(shape).copied().unwrap_or(0.0);
                let there = problem.aim.least(shape);
                let most = if share > 0.0 { at_most.get(shape).copied().unwrap_or(0).max(there) } else { there };
                (most, placed <= most)
            }
        };
        if !good {
            found.push(Breach::Count { shape, placed, unplaced, asked });
        }
    }
}
