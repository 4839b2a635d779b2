//! Outlines at heights.

use std::sync::atomic::{AtomicUsize, Ordering::Relaxed};

use rayon::prelude::*;

use super::{
    TriMesh,
    chains::{Segment, loops_of},
};
use crate::{
    geom::{Region, boolean},
    watch::Watch,
};

/// Crossings listed in one go, 4 bytes each: bounds the memory, however many triangles cross however many heights.
const BATCH: u64 = 4 << 20;

/// The section at height `z`: what of the bodies lies in that plane, filled by the non-zero rule.
///
/// A vertex exactly at `z` counts as below, as if the plane lay an infinitesimal step higher: a face in the plane is
/// inside where the body continues upwards. Exact to rounding (about 1e-12 of the size). Where the surface has small
/// holes, the gap in the outline is closed by a straight line, if it is shorter than a quarter of what it joins;
/// outlines with larger gaps are left out.
pub fn section(mesh: &TriMesh, z: f64) -> Region {
    let crossing: Vec<u32> = (0..mesh.triangles.len() as u32)
        .into_par_iter()
        .filter(|&t| {
            let [lo, hi] = z_range(mesh, t as usize);
            lo <= z && hi > z
        })
        .collect();
    cut(mesh, &crossing, z)
}

/// Sections at many heights, in the order of `heights`; `None` when cancelled. See [`section`].
///
/// A sweep: the triangles are dealt to the heights they cross, so the cost is that of the crossings, not of triangles
/// times heights. The heights are worked on in parallel.
pub fn sections(mesh: &TriMesh, heights: &[f64], watch: &dyn Watch) -> Option<Vec<Region>> {
    let mut order: Vec<usize> = (0..heights.len()).collect();
    order.sort_by(|&a, &b| heights[a].total_cmp(&heights[b]));
    let sorted: Vec<f64> = order.iter().map(|&i| heights[i]).collect();
    let spans: Vec<[u32; 2]> = (0..mesh.triangles.len())
        .into_par_iter()
        .map(|t| z_range(mesh, t).map(|end| sorted.partition_point(|&h| h < end) as u32))
        .collect();
    // Triangles at each height, from where they begin and end.
    let mut change = vec![0_i64; sorted.len() + 1];
    for &[from, to] in &spans {
        change[from as usize] += 1;
        change[to as usize] -= 1;
    }
    let counts: Vec<u64> = change[..sorted.len()]
        .iter()
        .scan(0, |n, &c| {
            *n += c;
            Some(*n as u64)
        })
        .collect();
    let done = AtomicUsize::new(0);
    let mut regions: Vec<Region> = vec![Region::EMPTY; heights.len()];
    let mut from = 0;
    while from < sorted.len() {
        let mut starts = vec![0_u64];
        let mut to = from;
        while to < sorted.len() && (to == from || starts[to - from] + counts[to] <= BATCH) {
            starts.push(starts[to - from] + counts[to]);
            to += 1;
        }
        let mut crossing = vec![0_u32; starts[to - from] as usize];
        let mut next = starts.clone();
        for (t, span) in spans.iter().enumerate() {
            for level in (span[0] as usize).max(from)..(span[1] as usize).min(to) {
                let at = &mut next[level - from];
                crossing[*at as usize] = t as u32;
                *at += 1;
            }
        }
        let batch: Option<Vec<Region>> = (from..to)
            .into_par_iter()
            .map(|level| {
                if watch.cancelled() {
                    return None;
                }
                let members = &crossing[starts[level - from] as usize..starts[level - from + 1] as usize];
                let region = cut(mesh, members, sorted[level]);
                watch.progress((done.fetch_add(1, Relaxed) + 1) as f64 / sorted.len() as f64, "sections");
                Some(region)
            })
            .collect();
        for (level, region) in (from..to).zip(batch?) {
            regions[order[level]] = region;
        }
        from = to;
    }
    Some(regions)
}

fn z_range(mesh: &TriMesh, t: usize) -> [f64; 2] {
    let [a, b, c] = mesh.triangles[t].map(|v| mesh.vertices[v as usize][2]);
    [a.min(b).min(c), a.max(b).max(c)]
}

/// The section of the triangles that cross height `z`.
fn cut(mesh: &TriMesh, crossing: &[u32], z: f64) -> Region {
    let segments: Vec<Segment> = crossing.iter().filter_map(|&t| segment(mesh, t as usize, z)).collect();
    if segments.is_empty() { Region::EMPTY } else { boolean::non_zero(&loops_of(&segments)) }
}

/// Where a triangle crosses the plane; the inside lies on the left.
fn segment(mesh: &TriMesh, t: usize, z: f64) -> Option<Segment> {
    let ids = mesh.triangles[t];
    let above = ids.map(|v| mesh.vertices[v as usize][2] > z);
    // Seen from outside, the outline runs from the edge that goes down to the edge that goes up.
    let edge = |from_above: bool| {
        (0..3).find(|&i| above[i] == from_above && above[(i + 1) % 3] != from_above).map(|i| {
            let (a, b) = (ids[i], ids[(i + 1) % 3]);
            (a.min(b), a.max(b))
        })
    };
    let (down, up) = (edge(true)?, edge(false)?);
    let point = |(lo, hi): (u32, u32)| {
        let (a, b) = (mesh.vertices[lo as usize], mesh.vertices[hi as usize]);
        let s = (z - a[2]) / (b[2] - a[2]);
        crate::geom::Point::new(a[0] + s * (b[0] - a[0]), a[1] + s * (b[1] - a[1]))
    };
    let key = |(lo, hi): (u32, u32)| u64::from(lo) << 32 | u64::from(hi);
    Some(Segment { from: key(down), to: key(up), start: point(down), end: point(up) })
}

#[cfg(test)]
mod tests {
    use std::f64::consts::{PI, TAU};

    use super::*;
    use crate::{
        mesh::shapes::{block, cone, moved, prism, soup, sphere, star, together, torus},
        watch::Quiet,
    };

    /// Checks an area; polygons of n sides are smaller than the circle by about 2π²/3n².
    fn close(area: f64, exact: f64, share: f64) {
        assert!((area - exact).abs() <= share * exact.abs().max(1e-9), "{area} is not {exact}");
    }

    #[test]
    fn sphere_sections_are_discs() {
        let ball = sphere(10.0, 400, 400);
        for z in [-9.0, -5.0, 0.0, 0.1, 3.7, 9.5] {
            close(section(&ball, z).area(), PI * (100.0 - z * z), 4e-4);
        }
        assert!(section(&ball, 10.5).is_empty() && section(&ball, -10.5).is_empty());
    }

    #[test]
    fn cone_sections_are_exact_polygons() {
        let n = 180.0;
        for z in [0.0, 7.5, 15.0, 29.0] {
            let r: f64 = 10.0 * (1.0 - z / 30.0);
            close(section(&cone(10.0, 30.0, 180), z).area(), n / 2.0 * r * r * (TAU / n).sin(), 1e-9);
        }
    }

    #[test]
    fn torus_sections_have_a_hole() {
        let ring = torus(20.0, 5.0, 200, 400);
        for z in [-4.0, 0.3, 2.0] {
            let s = section(&ring, z);
            assert_eq!((s.polygons.len(), s.polygons[0].holes.len()), (1, 1));
            close(s.area(), 4.0 * PI * 20.0 * (25.0_f64 - z * z).sqrt(), 1e-3);
        }
    }

    /// A vertex in the plane counts as below it.
    #[test]
    fn planes_through_faces() {
        let b = block([0.0; 3], [20.0, 10.0, 5.0]);
        assert_eq!(section(&b, 0.0).area(), 200.0);
        assert_eq!(section(&b, 2.5).area(), 200.0);
        assert!(section(&b, 5.0).is_empty());
        let two = together(&b, &block([0.0, 0.0, 5.0], [10.0, 10.0, 5.0]));
        assert_eq!(section(&two, 5.0).area(), 100.0);
    }

    #[test]
    fn overlapping_bodies_unite_and_cavities_are_holes() {
        let b = block([0.0; 3], [10.0, 10.0, 10.0]);
        close(section(&together(&b, &moved(&b, [5.0, 0.0, 0.0])), 5.0).area(), 150.0, 1e-12);
        let mut cavity = block([2.0; 3], [4.0, 4.0, 4.0]);
        cavity.turn_inside_out();
        close(section(&together(&b, &cavity), 3.0).area(), 84.0, 1e-12);
        let mut inside_out = together(&b, &cavity);
        inside_out.turn_inside_out();
        close(section(&inside_out, 3.0).area(), 84.0, 1e-12);
    }

    #[test]
    fn many_heights_give_what_each_gives_alone() {
        let shape = together(&torus(20.0, 5.0, 40, 60), &moved(&sphere(6.0, 30, 40), [3.0, 2.0, 1.0]));
        let heights: Vec<f64> = (0..97).map(|i| f64::from((i * 37) % 97) * 0.15 - 6.0).collect();
        let all = sections(&shape, &heights, &Quiet).unwrap_or_default();
        assert_eq!(all.len(), heights.len());
        for (region, &z) in all.iter().zip(&heights) {
            assert_eq!(region, &section(&shape, z));
        }
    }

    #[test]
    fn areas_add_up_to_the_volume() {
        let shape = prism(&star(7, 20.0, 8.0), 12.0);
        let heights: Vec<f64> = (0..60).map(|i| (f64::from(i) + 0.5) * 0.2).collect();
        let all = sections(&shape, &heights, &Quiet).unwrap_or_default();
        close(all.iter().map(|r| r.area() * 0.2).sum(), shape.volume_mm3(), 1e-9);
        let ball = sphere(10.0, 200, 200);
        let heights: Vec<f64> = (0..200).map(|i| (f64::from(i) + 0.5) * 0.1 - 10.0).collect();
        let all = sections(&ball, &heights, &Quiet).unwrap_or_default();
        close(all.iter().map(|r| r.area() * 0.1).sum(), ball.volume_mm3(), 1e-4);
    }

    #[test]
    fn small_holes_are_closed() {
        let ball = sphere(10.0, 40, 60);
        for hole in [100_usize, 2000, 3333] {
            let mut open = ball.clone();
            open.triangles.drain(hole..hole + 2);
            for i in 0..50 {
                let z = f64::from(i) * 0.4 - 9.9;
                close(section(&open, z).area(), section(&ball, z).area(), 0.02);
            }
        }
    }

    #[test]
    fn a_triangle_that_faces_the_other_way_does_no_harm() {
        let ball = sphere(10.0, 40, 60);
        let mut flipped = ball.clone();
        for t in [500, 501, 2400] {
            flipped.triangles[t].swap(0, 1);
        }
        for i in 0..50 {
            let z = f64::from(i) * 0.4 - 9.9;
            close(section(&flipped, z).area(), section(&ball, z).area(), 1e-9);
        }
    }

    #[test]
    fn a_loose_sheet_has_no_section() {
        let sheet = TriMesh::weld(&[[[0.0; 3], [10.0, 0.0, 0.0], [0.0, 3.0, 9.0]]]).0;
        assert!(section(&sheet, 4.0).is_empty());
        // Very many loose triangles: bounded work.
        let many: Vec<[[f64; 3]; 3]> = (0..20_000)
            .map(|i| {
                let (x, y) = (f64::from(i % 100), f64::from(i / 100));
                [[x, y, 0.0], [x + 0.5, y, 0.0], [x, y + 0.5, 1.0]]
            })
            .collect();
        assert!(section(&TriMesh::weld(&many).0, 0.5).is_empty());
    }

    #[test]
    fn cancelled_sections_come_to_nothing() {
        struct Stop;
        impl Watch for Stop {
            fn cancelled(&self) -> bool {
                true
            }
        }
        assert_eq!(sections(&block([0.0; 3], [1.0, 1.0, 1.0]), &[0.5], &Stop), None);
    }

    #[test]
    fn odd_heights() {
        let b = block([0.0; 3], [1.0, 1.0, 1.0]);
        let all = sections(&b, &[f64::NAN, 0.5, f64::INFINITY, f64::NEG_INFINITY], &Quiet).unwrap_or_default();
        assert_eq!(all.iter().map(Region::area).collect::<Vec<_>>(), [0.0, 1.0, 0.0, 0.0]);
        assert_eq!(sections(&b, &[], &Quiet), Some(Vec::new()));
    }

    /// Uses `soup`, too: unwelded corners give the same section after welding.
    #[test]
    fn tall_triangles_over_many_heights() {
        let shape = TriMesh::weld(&soup(&prism(&star(50, 20.0, 15.0), 100.0))).0;
        let heights: Vec<f64> = (0..1000).map(|i| f64::from(i) * 0.1 + 0.05).collect();
        let all = sections(&shape, &heights, &Quiet).unwrap_or_default();
        let area = all[0].area();
        assert!(area > 0.0 && all.iter().all(|r| (r.area() - area).abs() < 1e-9));
    }
}
