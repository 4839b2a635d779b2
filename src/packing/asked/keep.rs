//! Copies that may be moved, kept where they lie.

use crate::packing::{Aim, Layout, Problem};

/// The same task with the free copies of `now` fixed where they lie: Top up then only adds. Its layouts hold what is
/// added; [`laid_on`] puts them together with `now`.
pub fn kept(problem: &Problem, now: &Layout) -> Problem {
    let mut problem = problem.clone();
    for (bed, items) in problem.beds.iter_mut().zip(&now.beds) {
        bed.fixed.extend(items);
    }
    if let Aim::TopUp { at_most, there, .. } = &mut problem.aim {
        for item in now.beds.iter().flatten() {
            if let Some(most) = at_most.get_mut(item.shape) {
                *most = most.saturating_sub(1);
            }
        }
        there.clear();
    }
    problem
}

/// What was there and what was added, as one layout.
pub fn laid_on(now: &Layout, more: &Layout) -> Layout {
    let mut both = now.clone();
    both.beds.resize(now.beds.len().max(more.beds.len()), Vec::new());
    for (bed, items) in both.beds.iter_mut().zip(&more.beds) {
        bed.extend(items);
    }
    both.unplaced.clone_from(&more.unplaced);
    both
}

/// What a layout adds to the copies that were there: whole shares of what is asked for, then copies; compared in this
/// order, more is better. `None` where it lacks a copy that was there, and for Pack.
pub fn gain(problem: &Problem, layout: &Layout) -> Option<(f64, usize)> {
    let Aim::TopUp { shares, at_most, .. } = &problem.aim else { return None };
    let mut placed = vec![0_usize; problem.shapes.len()];
    for item in layout.beds.iter().flatten() {
        *placed.get_mut(item.shape)? += 1;
    }
    let (mut sets, mut copies) = (f64::INFINITY, 0);
    for (s, &n) in placed.iter().enumerate() {
        let more = n.checked_sub(problem.aim.least(s))?;
        copies += more;
        let share = shares.get(s).copied().filter(|x| x.is_finite() && *x > 0.0);
        if let Some(share) = share.filter(|_| n < at_most.get(s).copied().unwrap_or(0)) {
            sets = sets.min(more as f64 / share);
        }
    }
    Some((sets, copies))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::{
        geom::{Bounds, Outline, Placement, Point, Region},
        packing::{Bed, Item, Shape, solve, verify},
        watch::Quiet,
    };

    /// A bed of 100 × 60 with one square of 20 in the middle: 10 fit round it, 14 more where it may move (5 × 3 less one).
    fn task() -> (Problem, Layout) {
        let o = Outline::new(Region::rectangle(Bounds::new(Point::default(), Point::new(20.0, 20.0))));
        let turn_step_rad = Some(std::f64::consts::FRAC_PI_2);
        let shape =
            Shape { shadow: o.clone(), contact: o.clone(), footing: o, turn_step_rad, class: 0, height_mm: 1.0 };
        let room = Region::rectangle(Bounds::new(Point::default(), Point::new(100.0, 60.0)));
        let bed = Bed { room, keep_outs: vec![], fixed: vec![], class: None, height_mm: 9.0, twin: None };
        let problem = Problem {
            shapes: vec![shape],
            beds: vec![bed],
            gap_mm: 0.0,
            footing_gap_mm: 0.0,
            footings_may_merge: false,
            aim: Aim::TopUp { shares: vec![1.0], at_most: vec![30], there: vec![1] },
        };
        let now = Layout { beds: vec![vec![Item { shape: 0, at: Placement::at(30.0, 30.0) }]], unplaced: vec![] };
        (problem, now)
    }

    #[test]
    fn what_is_kept_is_fixed_and_counted_once() {
        let (problem, now) = task();
        let only = kept(&problem, &now);
        assert_eq!(only.aim, Aim::TopUp { shares: vec![1.0], at_most: vec![29], there: vec![] });
        let more = solve(&only, 1, Some(4), &Quiet);
        let all = laid_on(&now, &more);
        assert_eq!(verify(&problem, &all), Ok(()));
        assert!(all.beds[0].contains(&now.beds[0][0]) && all.count() == more.count() + 1 && all.count() < 15);
        assert_eq!(gain(&problem, &all).map(|g| g.1), Some(more.count()));
        let anew = solve(&problem, 1, Some(4), &Quiet);
        assert_eq!(anew.count(), 15);
        assert!(gain(&problem, &anew) > gain(&problem, &all));
    }

    #[test]
    fn a_layout_that_lacks_what_was_there_gains_nothing() {
        let (mut problem, now) = task();
        problem.aim = Aim::TopUp { shares: vec![1.0], at_most: vec![30], there: vec![2] };
        assert_eq!(gain(&problem, &now), None);
        assert_eq!(gain(&problem, &laid_on(&now, &now)), Some((0.0, 0)));
    }
}
