//! Regions cut into triangles (by `spade`, a constrained Delaunay triangulation with exact predicates).

use std::collections::VecDeque;

use spade::{ConstrainedDelaunayTriangulation, Point2, Triangulation};

use super::{Point, Region};

/// A region in triangles. Every vertex of the region is a corner of a triangle and no vertex is added, so that prisms
/// and caps close.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Triangles {
    /// The region's vertices, equal ones merged.
    pub points: Vec<Point>,
    /// The region's loops as indices, in the order of [`Region::loops`]; the inside lies on the left.
    pub loops: Vec<Vec<u32>>,
    /// Counter-clockwise triangles.
    pub triangles: Vec<[u32; 3]>,
}

/// Cuts a region into triangles. Loops must not cross (regions that come from `geom` never do); an edge that crosses
/// an earlier one is left out. Points that are not finite are left out. Empty for a region without area.
pub fn triangulate(region: &Region) -> Triangles {
    let mut cdt = ConstrainedDelaunayTriangulation::<Point2<f64>>::new();
    let mut loops = Vec::new();
    for l in region.loops() {
        let mut handles = Vec::with_capacity(l.len());
        for p in l {
            if let Ok(h) = cdt.insert(Point2::new(p.x, p.y))
                && handles.last() != Some(&h)
            {
                handles.push(h);
            }
        }
        while handles.len() > 1 && handles.first() == handles.last() {
            handles.pop();
        }
        if handles.len() >= 3 {
            loops.push(handles);
        }
    }
    for l in &loops {
        for (i, &a) in l.iter().enumerate() {
            let b = l[(i + 1) % l.len()];
            if a != b {
                cdt.try_add_constraint(a, b);
            }
        }
    }
    // Walk in from outside; each border crossed turns outside into inside and back.
    let mut inside: Vec<Option<bool>> = vec![None; cdt.num_all_faces()];
    let outer = cdt.outer_face().fix();
    inside[outer.index()] = Some(false);
    let mut queue = VecDeque::new();
    for e in cdt.directed_edges().filter(|e| e.face().is_outer()) {
        queue.push_back((e.fix(), false));
    }
    while let Some((edge, here)) = queue.pop_front() {
        let edge = cdt.directed_edge(edge);
        let next = edge.rev();
        let there = here != cdt.is_constraint_edge(edge.as_undirected().fix());
        let Some(face) = next.face().as_inner() else { continue };
        if inside[face.fix().index()].is_some() {
            continue;
        }
        inside[face.fix().index()] = Some(there);
        for e in face.adjacent_edges() {
            queue.push_back((e.fix(), there));
        }
    }
    let triangles = cdt
        .inner_faces()
        .filter(|f| inside[f.fix().index()] == Some(true))
        .map(|f| f.vertices().map(|v| v.index() as u32))
        .collect();
    Triangles {
        points: cdt.vertices().map(|v| Point::new(v.position().x, v.position().y)).collect(),
        loops: loops.into_iter().map(|l| l.into_iter().map(|h| h.index() as u32).collect()).collect(),
        triangles,
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::geom::{Bounds, Polygon, disc};

    fn area(t: &Triangles) -> f64 {
        t.triangles
            .iter()
            .map(|&[a, b, c]| {
                let [a, b, c] = [a, b, c].map(|i| t.points[i as usize]);
                let twice = (b - a).cross(c - a);
                assert!(twice > 0.0, "counter-clockwise");
                twice / 2.0
            })
            .sum()
    }

    #[test]
    fn area_is_kept_with_holes_and_several_polygons() {
        let mut hole = disc::around(Point::default(), 8.0, 0.01).outer;
        hole.reverse();
        let mut r: Region =
            Polygon { outer: disc::inside(Point::default(), 12.0, 0.01).outer, holes: vec![hole] }.into();
        r.polygons.push(Polygon::rectangle(Bounds::new(Point::new(20.0, 0.0), Point::new(25.0, 5.0))));
        // An island in the hole.
        r.polygons.push(Polygon::rectangle(Bounds::new(Point::new(-1.0, -1.0), Point::new(1.0, 1.0))));
        let t = triangulate(&r);
        assert!((area(&t) - r.area()).abs() < 1e-9, "{} {}", area(&t), r.area());
        // Euler: a polygon with n vertices and h holes has n + 2h − 2 triangles.
        let ring = r.polygons[0].outer.len() + r.polygons[0].holes[0].len();
        assert_eq!(t.triangles.len(), ring + 2 + 2);
    }

    #[test]
    fn points_within_edges_stay_corners() {
        let outer = [(0.0, 0.0), (1.0, 0.0), (2.0, 0.0), (2.0, 1.0), (2.0, 2.0), (1.0, 2.0), (0.0, 2.0), (0.0, 1.0)];
        let r: Region = Polygon::simple(outer.map(|(x, y)| Point::new(x, y)).to_vec()).into();
        let t = triangulate(&r);
        assert_eq!(t.triangles.len(), 6);
        assert!((0..8).all(|i| t.triangles.iter().flatten().any(|&v| v == i)));
    }

    #[test]
    fn bad_points_and_crossings_do_no_harm() {
        let bow = Polygon {
            outer: vec![
                Point::new(0.0, 0.0),
                Point::new(2.0, 2.0),
                Point::new(2.0, 0.0),
                Point::new(0.0, 2.0),
                Point::new(f64::NAN, 1.0),
            ],
            holes: vec![vec![]],
        };
        triangulate(&bow.into());
        assert!(triangulate(&Region::EMPTY).triangles.is_empty());
    }
}
