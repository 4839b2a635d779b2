//! The nearest place for a copy that some further rule allows.

use std::f64::consts::TAU;

use super::{Checker, Conflict, apart::curable};
use crate::{
    document::CopyId,
    geom::{Placement, Point},
};

/// Directions tried, evenly round the circle.
const DIRECTIONS: usize = 48;
/// The first move tried, mm, and by what share the next is longer.
const FIRST_MM: f64 = 1.0;
const LONGER: f64 = 1.12;
/// How exactly the copy is drawn back to where it lay, mm.
const EXACT_MM: f64 = 0.01;

/// Where a copy could go, without turning, so that it is in no conflict that a move can cure and `allowed` holds: of 48 directions the one
/// with the shortest move, up to `farthest_mm`. `elsewhere`: what else has moved. `None` where there is no such place.
pub fn nearest_where(
    checker: &Checker,
    elsewhere: &[(CopyId, Placement)],
    copy: CopyId,
    farthest_mm: f64,
    allowed: &dyn Fn(Placement) -> bool,
) -> Option<Placement> {
    let moved = elsewhere.iter().find(|(id, _)| *id == copy).map(|(_, at)| *at);
    let start = moved.or_else(|| checker.placement(copy))?;
    let others: Vec<_> = elsewhere.iter().copied().filter(|(id, _)| *id != copy).collect();
    let at = |by: Point| Placement { x: start.x + by.x, y: start.y + by.y, ..start };
    let free = |by: Point| {
        let mine = |c: &Conflict| c.involves(copy) && curable(c);
        let all: Vec<_> = [(copy, at(by))].into_iter().chain(others.iter().copied()).collect();
        allowed(at(by)) && !checker.conflicts_of(&all).iter().any(mine)
    };
    if free(Point::default()) {
        return Some(start);
    }
    let (mut short, mut far) = (0.0, FIRST_MM);
    while far <= farthest_mm {
        let directions = (0..DIRECTIONS).map(|i| Point::new(1.0, 0.0).turned(TAU * i as f64 / DIRECTIONS as f64));
        let back = |d: Point| {
            let (mut bad, mut good) = (short, far);
            while good - bad > EXACT_MM {
                let middle = f64::midpoint(bad, good);
                if free(d * middle) { good = middle } else { bad = middle }
            }
            (good, d)
        };
        let ways = directions.filter(|&d| free(d * far)).map(back);
        if let Some((good, d)) = ways.min_by(|a, b| a.0.total_cmp(&b.0)) {
            return Some(at(d * good));
        }
        short = far;
        far *= LONGER;
    }
    None
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::plate::{Prepared, samples::Bench};

    #[test]
    fn the_rule_holds_and_so_do_the_margins() {
        let mut b = Bench::new();
        let e = b.block(20.0, 20.0);
        let (first, second) = (b.put(e, 50.0, 50.0), b.put(e, 80.0, 50.0));
        let checker = Checker::new(&b.job, &b.job.plates[0], &b.shapes, &Prepared::new());
        // It lies well: only the rule moves it.
        assert_eq!(nearest_where(&checker, &[], second, 200.0, &|_| true), checker.placement(second));
        let at = nearest_where(&checker, &[], second, 200.0, &|at| at.x >= 110.0).expect("there is room");
        assert!((at.x - 110.0).abs() < 0.1 && (at.y - 50.0).abs() < 1.0, "{at:?}");
        assert!(checker.conflicts_of(&[(second, at)]).is_empty());
        // Another has moved there meanwhile: round it.
        let there = [(first, Placement { x: 110.0, y: 50.0, ..at })];
        let round = nearest_where(&checker, &there, second, 200.0, &|at| at.x >= 110.0).expect("there is room");
        assert!(round.origin().distance(at.origin()) > 15.0);
        assert_eq!(nearest_where(&checker, &[], second, 200.0, &|_| false), None);
    }
}
