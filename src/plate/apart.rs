//! A small move that clears a conflict.

use std::f64::consts::TAU;

use super::Checker;
use crate::{
    document::CopyId,
    geom::{Placement, Point},
};

/// Directions tried, evenly round the circle.
const DIRECTIONS: usize = 24;
/// The farthest move tried, mm.
const FARTHEST_MM: f64 = 60.0;

/// Where the copy could go, without turning, so that it is in no conflict any more: the nearest such place among 24
/// directions, to 0.01 mm. `None` where there is none within 60 mm, or where it is in no conflict.
pub fn move_apart(checker: &Checker, copy: CopyId) -> Option<Placement> {
    let start = checker.placement(copy)?;
    let free = |at: Placement| checker.conflicts_of(&[(copy, at)]).is_empty();
    if free(start) {
        return None;
    }
    let step = |direction: Point, far: f64| Placement {
        x: start.x + direction.x * far,
        y: start.y + direction.y * far,
        ..start
    };
    let directions: Vec<Point> =
        (0..DIRECTIONS).map(|i| Point::new(1.0, 0.0).turned(TAU * i as f64 / DIRECTIONS as f64)).collect();
    let mut far = 0.25;
    let mut short = 0.0;
    while far <= FARTHEST_MM {
        if let Some(&d) = directions.iter().find(|&&d| free(step(d, far))) {
            // Back towards the start as long as it stays free.
            let (mut bad, mut good) = (short, far);
            while good - bad > 0.01 {
                let middle = f64::midpoint(bad, good);
                if free(step(d, middle)) { good = middle } else { bad = middle }
            }
            return Some(step(d, good));
        }
        short = far;
        far *= 1.25;
    }
    None
}

#[cfg(test)]
mod tests {
    use crate::plate::{Checker, Prepared, move_apart, samples::Bench};

    #[test]
    fn the_shortest_way_out_is_found_and_clears_everything() {
        let mut b = Bench::new();
        let e = b.block(20.0, 20.0);
        let (_, near) = (b.put(e, 50.0, 50.0), b.put(e, 68.0, 50.0));
        let checker = Checker::new(&b.job, &b.job.plates[0], &b.shapes, &Prepared::new());
        let at = move_apart(&checker, near).expect("there is room to the right");
        assert!(at.x >= 73.0 - 1e-6 && at.x < 73.02 && (at.y - 50.0).abs() < 1e-9, "{at:?}");
        assert!(checker.conflicts_of(&[(near, at)]).is_empty());
    }

    #[test]
    fn back_onto_the_bed_and_nothing_to_do() {
        let mut b = Bench::new();
        let e = b.block(20.0, 20.0);
        let (off, fine) = (b.put(e, 236.0, 100.0), b.put(e, 100.0, 100.0));
        let checker = Checker::new(&b.job, &b.job.plates[0], &b.shapes, &Prepared::new());
        let at = move_apart(&checker, off).expect("the bed is to the left");
        assert!(at.x <= 230.0 + 1e-6 && at.x > 229.97);
        assert_eq!(move_apart(&checker, fine), None);
    }
}
