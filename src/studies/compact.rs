//! An order of places in which every beginning lies close together.

use crate::geom::Point;

/// The order in which places are taken, each the nearest one to the middle of those taken before it, beginning with `base`, which is taken
/// already; without any, with the place nearest to `begin`. So the first n lie close together for every n.
pub(super) fn compact_order(places: &[Point], base: &[Point], begin: Point) -> Vec<usize> {
    let mut left: Vec<usize> = (0..places.len()).collect();
    let mut order = Vec::with_capacity(places.len());
    let mut sum = base.iter().fold(Point::default(), |s, p| s + *p);
    let mut count = base.len();
    // Of each place the nearest one taken: decides among places as far from the middle.
    let mut nearest: Vec<f64> =
        places.iter().map(|p| base.iter().map(|b| b.distance(*p)).fold(f64::INFINITY, f64::min)).collect();
    while !left.is_empty() {
        let middle = if count == 0 { begin } else { Point::new(sum.x / count as f64, sum.y / count as f64) };
        let key = |i: usize| (places[i].distance(middle), nearest[i]);
        let better = |a: &usize, b: &usize| {
            let ((far_a, near_a), (far_b, near_b)) = (key(*a), key(*b));
            // Lattices have many places as far: rounding must not choose between them.
            if (far_a - far_b).abs() > 1e-6 {
                far_a.total_cmp(&far_b)
            } else {
                near_a.total_cmp(&near_b).then(a.cmp(b))
            }
        };
        let Some(at) = (0..left.len()).reduce(|a, b| if better(&left[b], &left[a]).is_lt() { b } else { a }) else {
            break;
        };
        let taken = left.swap_remove(at);
        order.push(taken);
        sum = sum + places[taken];
        count += 1;
        for &i in &left {
            nearest[i] = nearest[i].min(places[i].distance(places[taken]));
        }
    }
    order
}

#[cfg(test)]
mod tests {
    use super::*;

    /// On a grid the first four of sixteen are a square, whatever the order they come in.
    #[test]
    fn beginnings_are_blocks() {
        let grid: Vec<Point> = (0..16).map(|i| Point::new(f64::from(i % 4) * 10.0, f64::from(i / 4) * 10.0)).collect();
        for places in [grid.clone(), grid.iter().rev().copied().collect()] {
            let order = compact_order(&places, &[], Point::new(15.0, 15.0));
            let mut all = order.clone();
            all.sort_unstable();
            assert_eq!(all, (0..16).collect::<Vec<_>>());
            let wide = |n: usize, of: fn(Point) -> f64| {
                let v: Vec<f64> = order[..n].iter().map(|i| of(places[*i])).collect();
                v.iter().copied().fold(f64::MIN, f64::max) - v.iter().copied().fold(f64::MAX, f64::min)
            };
            assert_eq!((wide(4, |p| p.x), wide(4, |p| p.y)), (10.0, 10.0));
            assert_eq!(wide(2, |p| p.x) + wide(2, |p| p.y), 10.0);
            assert!(wide(9, |p| p.x) <= 20.0 && wide(9, |p| p.y) <= 20.0);
        }
        // Round what is there already.
        let order = compact_order(&grid, &[Point::new(30.0, 40.0)], Point::default());
        assert_eq!(grid[order[0]], Point::new(30.0, 30.0));
        assert_eq!(compact_order(&[], &[], Point::default()), Vec::<usize>::new());
    }
}
