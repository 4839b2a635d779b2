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
    /// Replaces (or adds) box `index`.
    pub fn set(&mut self, index: usize, b: Bounds) {
        self.tree.insert(aabb(b), index as u32);
    }
}
