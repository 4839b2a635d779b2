//! Which part of a layer is covered by the layers above and below it: what is not is laid solid.

use std::sync::Arc;

use rayon::prelude::*;

use crate::{
    geom::{Region, boolean},
    watch::Watch,
};

/// For every layer, what lies in all of the next `top` sections and all of the `bottom` sections before it.
#[derive(Debug)]
pub(in crate::estimate) struct Cover {
    layers: usize,
    top: usize,
    bottom: usize,
    above: Vec<Arc<Region>>,
    below: Vec<Arc<Region>>,
}

/// What covers one layer from both sides.
#[derive(Debug, Clone, PartialEq)]
pub(in crate::estimate) enum Covered {
    /// Nothing: the whole layer is solid.
    Nowhere,
    /// Everything: no solid layers are asked for.
    Everywhere,
    /// Only here.
    Here(Arc<Region>),
}

impl Cover {
    /// `None` when cancelled. Sections that are equal should share one `Arc`: prisms then cost nothing.
    pub(in crate::estimate) fn new(sections: &[Arc<Region>], top: u32, bottom: u32, watch: &dyn Watch) -> Option<Self> {
        let (top, bottom) = (top as usize, bottom as usize);
        let above = windows(sections, top, watch)?;
        let below = if top == bottom { above.clone() } else { windows(sections, bottom, watch)? };
        Some(Self { layers: sections.len(), top, bottom, above, below })
    }
    /// What covers layer `i`.
    pub(in crate::estimate) fn of(&self, i: usize) -> Covered {
        if i < self.bottom || i.saturating_add(self.top) >= self.layers {
            return Covered::Nowhere;
        }
        let above = (self.top > 0).then(|| &self.above[i + 1]);
        let below = (self.bottom > 0).then(|| &self.below[i - self.bottom]);
        match (above, below) {
            (None, None) => Covered::Everywhere,
            (Some(one), None) | (None, Some(one)) => Covered::Here(one.clone()),
            (Some(a), Some(b)) => Covered::Here(common(a, b)),
        }
    }
}

/// Window j holds what lies in all of sections j .. j + size: two intersections each whatever the size, by running
/// intersections within blocks (van Herk 1992). None where `size` is 0 or there are fewer sections.
fn windows(sections: &[Arc<Region>], size: usize, watch: &dyn Watch) -> Option<Vec<Arc<Region>>> {
    let n = sections.len();
    if size == 0 || size > n {
        return Some(Vec::new());
    }
    let runs: Option<Vec<_>> = sections
        .par_chunks(size)
        .map(|block| {
            let mut forward: Vec<Arc<Region>> = Vec::with_capacity(block.len());
            let mut backward = forward.clone();
            for s in block {
                if watch.cancelled() {
                    return None;
                }
                forward.push(forward.last().map_or_else(|| s.clone(), |l| common(l, s)));
            }
            for s in block.iter().rev() {
                if watch.cancelled() {
                    return None;
                }
                backward.push(backward.last().map_or_else(|| s.clone(), |l| common(l, s)));
            }
            backward.reverse();
            Some((forward, backward))
        })
        .collect();
    let (forward, backward): (Vec<_>, Vec<_>) = runs?.into_iter().unzip();
    let (forward, backward): (Vec<_>, Vec<_>) =
        (forward.into_iter().flatten().collect(), backward.into_iter().flatten().collect());
    (0..=n - size)
        .into_par_iter()
        .map(|j| (!watch.cancelled()).then(|| common(&backward[j], &forward[j + size - 1])))
        .collect()
}

fn common(a: &Arc<Region>, b: &Arc<Region>) -> Arc<Region> {
    if Arc::ptr_eq(a, b) || a.is_empty() {
        a.clone()
    } else if b.is_empty() {
        b.clone()
    } else {
        Arc::new(boolean::intersection_quick(a, b))
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::{
        geom::{Bounds, Point},
        watch::Quiet,
    };

    fn square(side: f64) -> Arc<Region> {
        Arc::new(Region::rectangle(Bounds::new(
            Point::new(-side / 2.0, -side / 2.0),
            Point::new(side / 2.0, side / 2.0),
        )))
    }

    /// Windows are what folding the intersection gives, for every size, on a stack that widens and narrows.
    #[test]
    fn windows_are_plain_intersections() {
        let sides = [8.0, 9.0, 7.0, 6.0, 6.0, 9.0, 10.0, 3.0, 12.0, 12.0, 5.0];
        let stack: Vec<_> = sides.iter().map(|&s| square(s)).collect();
        for size in 1..=sides.len() {
            let w = windows(&stack, size, &Quiet).unwrap_or_default();
            assert_eq!(w.len(), sides.len() - size + 1);
            for (j, region) in w.iter().enumerate() {
                let least = sides[j..j + size].iter().copied().fold(f64::INFINITY, f64::min);
                assert!((region.area() - least * least).abs() < 1e-6, "size {size}, window {j}");
            }
        }
    }

    #[test]
    fn ends_are_bare_and_the_middle_is_covered() {
        let stack = vec![square(10.0); 10];
        let cover = Cover::new(&stack, 3, 2, &Quiet);
        let covered = |i| cover.as_ref().map(|c| c.of(i));
        for i in [0, 1, 7, 8, 9] {
            assert_eq!(covered(i), Some(Covered::Nowhere), "layer {i}");
        }
        for i in 2..7 {
            assert!(matches!(covered(i), Some(Covered::Here(r)) if Arc::ptr_eq(&r, &stack[0])), "layer {i}");
        }
        let none = Cover::new(&stack, 0, 0, &Quiet);
        assert_eq!(none.map(|c| c.of(0)), Some(Covered::Everywhere));
    }
}
