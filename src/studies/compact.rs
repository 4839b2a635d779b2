//! An order of places in which every beginning lies close together.

use crate::geom::Point;

/// A place of a kind; kinds are taken in proportion.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Place {
    /// Its middle.
    pub(super) at: Point,
    /// Index into the shares.
    pub(super) kind: usize,
}

/// The order in which places are taken: of the kind that lags most behind its share, the one nearest to the middle of all taken before it. The
/// order begins with `base`, which is taken already; without any, with the place nearest to `begin`. So the first n lie close together and are
/// in proportion for every n. Kinds without a share come last.
pub(super) fn compact_order(places: &[Place], shares: &[f64], base: &[Point], begin: Point) -> Vec<usize> {
    let share = |kind: usize| shares.get(kind).copied().filter(|s| *s > 0.0 && s.is_finite());
    let mut left: Vec<usize> = (0..places.len()).collect();
    let mut order = Vec::with_capacity(places.len());
    let mut sum = base.iter().fold(Point::default(), |s, p| s + *p);
    let mut count = base.len();
    let kinds = places.iter().map(|p| p.kind + 1).max().unwrap_or(0);
    let mut taken_of = vec![0_usize; kinds];
    // Of each place the nearest one taken: decides among places as far from the middle.
    let mut nearest: Vec<f64> =
        places.iter().map(|p| base.iter().map(|b| b.distance(p.at)).fold(f64::INFINITY, f64::min)).collect();
    while !left.is_empty() {
        let middle = if count == 0 { begin } else { Point::new(sum.x / count as f64, sum.y / count as f64) };
        let lag = |kind: usize| share(kind).map_or(f64::INFINITY, |s| (taken_of[kind] + 1) as f64 / s);
        let least = left.iter().map(|&i| lag(places[i].kind)).fold(f64::INFINITY, f64::min);
        let better = |a: usize, b: usize| {
            let far = |i: usize| places[i].at.distance(middle);
            let (far_a, far_b) = (far(a), far(b));
            // Lattices have many places as far: rounding must not choose between them.
            let by_distance =
                if (far_a - far_b).abs() > 1e-6 { far_a.total_cmp(&far_b) } else { nearest[a].total_cmp(&nearest[b]) };
            by_distance.then(a.cmp(&b)).is_lt()
        };
        let due = (0..left.len()).filter(|&k| lag(places[left[k]].kind) <= least);
        let Some(at) = due.reduce(|a, b| if better(left[b], left[a]) { b } else { a }) else { break };
        let taken = left.swap_remove(at);
        order.push(taken);
        taken_of[places[taken].kind] += 1;
        sum = sum + places[taken].at;
        count += 1;
        for &i in &left {
            nearest[i] = nearest[i].min(places[i].at.distance(places[taken].at));
        }
    }
    order
}

#[cfg(test)]
mod tests {
    use super::*;

    fn grid() -> Vec<Place> {
        let at = |i: u32| Point::new(f64::from(i % 4) * 10.0, f64::from(i / 4) * 10.0);
        (0..16).map(|i| Place { at: at(i), kind: usize::from(i >= 8) }).collect()
    }

    fn of_one_kind() -> Vec<Place> {
        grid().into_iter().map(|p| Place { kind: 0, ..p }).collect()
    }

    /// On a grid the first four of sixteen are a square, whatever the order they come in.
    #[test]
    fn beginnings_are_blocks() {
        for places in [of_one_kind(), of_one_kind().into_iter().rev().collect()] {
            let order = compact_order(&places, &[1.0], &[], Point::new(15.0, 15.0));
            let mut all = order.clone();
            all.sort_unstable();
            assert_eq!(all, (0..16).collect::<Vec<_>>());
            let wide = |n: usize, of: fn(Point) -> f64| {
                let v: Vec<f64> = order[..n].iter().map(|i| of(places[*i].at)).collect();
                v.iter().copied().fold(f64::MIN, f64::max) - v.iter().copied().fold(f64::MAX, f64::min)
            };
            assert_eq!((wide(4, |p| p.x), wide(4, |p| p.y)), (10.0, 10.0));
            assert_eq!(wide(2, |p| p.x) + wide(2, |p| p.y), 10.0);
            assert!(wide(9, |p| p.x) <= 20.0 && wide(9, |p| p.y) <= 20.0);
        }
        // Round what is there already.
        let order = compact_order(&of_one_kind(), &[1.0], &[Point::new(30.0, 40.0)], Point::default());
        assert_eq!(of_one_kind()[order[0]].at, Point::new(30.0, 30.0));
        assert_eq!(compact_order(&[], &[], &[], Point::default()), Vec::<usize>::new());
    }

    /// Three of the first kind to one of the second: so for every beginning that is a multiple of four.
    #[test]
    fn kinds_are_taken_in_proportion() {
        let places = grid();
        let order = compact_order(&places, &[3.0, 1.0], &[], Point::default());
        for n in [4, 8] {
            assert_eq!(order[..n].iter().filter(|i| places[**i].kind == 1).count(), n / 4);
        }
        assert_eq!(order.len(), 16);
        let none = compact_order(&places, &[1.0], &[], Point::default());
        assert!(none[..8].iter().all(|i| places[*i].kind == 0));
    }
}
