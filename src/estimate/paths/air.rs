//! Does a move inside an island cross open air?

use crate::geom::{Bounds, BoxTree, Point, Polygon};

/// The border of an island, asked for crossings. The first questions go through all edges; when many come, a tree is built.
pub(super) struct Air {
    edges: Vec<(Point, Point)>,
    asked: usize,
    tree: Option<BoxTree>,
}

impl Air {
    pub(super) fn new(island: &Polygon) -> Self {
        let edges = island.loops().flat_map(|l| (0..l.len()).map(|i| (l[i], l[(i + 1) % l.len()]))).collect();
        Self { edges, asked: 0, tree: None }
    }
    /// True when the straight move from `a` to `b` crosses the border.
    pub(super) fn crosses(&mut self, a: Point, b: Point) -> bool {
        self.asked += 1;
        let reach = Bounds::of([a, b]);
        if self.tree.is_none() && self.edges.len() > 64 && self.asked > 64 {
            let boxes: Vec<Bounds> = self.edges.iter().map(|e| Bounds::of([e.0, e.1])).collect();
            self.tree = Some(BoxTree::new(&boxes));
        }
        match &self.tree {
            Some(tree) => tree.touching(reach).into_iter().any(|i| meet(a, b, self.edges[i])),
            None => self.edges.iter().any(|&e| Bounds::of([e.0, e.1]).overlaps(reach) && meet(a, b, e)),
        }
    }
}

/// True when the segments a–b and e cross in their insides.
fn meet(a: Point, b: Point, e: (Point, Point)) -> bool {
    let side = |p: Point, q: Point, r: Point| (q - p).cross(r - p);
    side(a, b, e.0) * side(a, b, e.1) < 0.0 && side(e.0, e.1, a) * side(e.0, e.1, b) < 0.0
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::geom::disc;

    #[test]
    fn across_a_hole_is_open_air() {
        let mut plate = disc::regular(Point::default(), 20.0, 90);
        let mut hole = disc::regular(Point::default(), 5.0, 90).outer;
        hole.reverse();
        plate.holes.push(hole);
        let mut air = Air::new(&plate);
        // Asked often enough that the tree answers too.
        for _ in 0..100 {
            assert!(air.crosses(Point::new(-10.0, 1.0), Point::new(10.0, 1.0)));
            assert!(!air.crosses(Point::new(-10.0, 7.0), Point::new(10.0, 7.0)));
            assert!(air.crosses(Point::new(0.0, 10.0), Point::new(0.0, 30.0)));
        }
    }
}
