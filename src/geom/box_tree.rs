//! Broad phase: which of many boxes may touch a box?

use parry2d::{
    bounding_volume::Aabb,
    math::Vector,
    partitioning::{Bvh, BvhBuildStrategy},
};

use super::Bounds;

/// A tree over boxes, each known by its index (by `parry2d`).
#[derive(Clone)]
pub struct BoxTree {
    tree: Bvh,
}

impl std::fmt::Debug for BoxTree {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        f.debug_struct("BoxTree").finish_non_exhaustive()
    }
}

fn aabb(b: Bounds) -> Aabb {
    Aabb::new(Vector::new(b.min.x, b.min.y), Vector::new(b.max.x, b.max.y))
}

impl BoxTree {
    /// A tree over the boxes; box i answers as i.
    pub fn new(boxes: &[Bounds]) -> Self {
        let leaves: Vec<Aabb> = boxes.iter().map(|&b| aabb(b)).collect();
        Self { tree: Bvh::from_leaves(BvhBuildStrategy::Binned, &leaves) }
    }
    /// Indices of the boxes that share a point with `b`, ascending.
    pub fn touching(&self, b: Bounds) -> Vec<usize> {
        let mut found: Vec<usize> = self.tree.intersect_aabb(&aabb(b)).map(|i| i as usize).collect();
        found.sort_unstable();
        found
    }
    /// How many boxes share a point with `b`, counted up to `most`.
    pub fn count(&self, b: Bounds, most: usize) -> usize {
        self.tree.intersect_aabb(&aabb(b)).take(most).count()
    }
    /// Replaces (or adds) box `index`.
    pub fn set(&mut self, index: usize, b: Bounds) {
        self.tree.insert(aabb(b), index as u32);
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::geom::Point;

    fn unit(x: f64) -> Bounds {
        Bounds::new(Point::new(x, 0.0), Point::new(x + 1.0, 1.0))
    }

    #[test]
    fn answers_as_looking_at_all() {
        let boxes: Vec<Bounds> = (0..200).map(|i| unit(1.5 * f64::from(i * 37 % 200))).collect();
        let mut tree = BoxTree::new(&boxes);
        for q in [unit(0.0), unit(33.3), unit(299.0), unit(-5.0), unit(10.0).grown(20.0)] {
            let all: Vec<usize> = (0..200).filter(|&i| boxes[i].overlaps(q)).collect();
            assert_eq!(tree.touching(q), all);
            assert_eq!((tree.count(q, 1000), tree.count(q, 3)), (all.len(), all.len().min(3)));
        }
        tree.set(7, unit(5000.0));
        assert_eq!(tree.touching(unit(5000.5)), [7]);
        assert!(!tree.touching(boxes[7]).contains(&7));
        tree.set(200, unit(6000.0));
        assert_eq!(tree.touching(unit(6000.5)), [200]);
    }

    #[test]
    fn of_no_box_and_of_one() {
        assert!(BoxTree::new(&[]).touching(unit(0.0)).is_empty());
        assert_eq!(BoxTree::new(&[unit(0.0)]).touching(unit(0.5)), [0]);
    }
}
