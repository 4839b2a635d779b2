//! The ranking of all candidates.

use super::{PoseChoice, measure::Body, score, vector::dot};
use crate::{
    mesh::{self, TriMesh},
    stability::Conditions,
    watch::Watch,
};

/// Directions this near (radians) are one candidate.
const SAME_ANGLE: f64 = 2e-3;

/// Ways to lay a part down, best first: the flat faces of its hull, at most 64 (those in one plane are merged), and the directions of
/// `also` (its present one, say). `mesh` is in millimetres, in any pose; an underside that leans more than `overhang_deg` from the
/// vertical needs support. None for a mesh without a body; `None` when cancelled. On all cores.
///
/// The order is that of [`PoseChoice::score`], then larger contact, lower height, and the direction itself, so that it is total. A
/// ranking, never a promise.
pub fn poses(
    mesh: &TriMesh,
    also: &[[f64; 3]],
    conditions: &Conditions,
    overhang_deg: f64,
    watch: &dyn Watch,
) -> Option<Vec<PoseChoice>> {
    if mesh.triangles.is_empty() {
        return Some(Vec::new());
    }
    watch.progress(0.0, "hull");
    let hull = mesh::hull(mesh);
    if watch.cancelled() {
        return None;
    }
    let mut candidates: Vec<([f64; 3], f64)> = hull.faces.iter().map(|f| (f.normal, f.area_mm2)).collect();
    for &direction in also {
        let length = dot(direction, direction).sqrt();
        let unit = direction.map(|c| c / length);
        let is_new = candidates.iter().all(|(n, _)| dot(*n, unit) < 1.0 - 0.5 * SAME_ANGLE * SAME_ANGLE);
        if unit.iter().all(|c| c.is_finite()) && is_new {
            candidates.push((unit, 0.0));
        }
    }
    let c = conditions.sound();
    let body = Body::new(mesh, &hull.corners)?;
    let measured = body.measured(&candidates, &c, overhang_deg, watch)?;
    Some(score::ranked(measured, body.surface_mm2()))
}

#[cfg(test)]
mod tests {
    use std::f64::consts::SQRT_2;

    use proptest::prelude::*;

    use super::*;
    use crate::{
        mesh::shapes::{block, cone, moved, prism, sphere, star, tetrahedron, tilted, together},
        stability::conditions::tests::worked,
        watch::Quiet,
    };

    fn ranked(mesh: &TriMesh) -> Vec<PoseChoice> {
        poses(mesh, &[], &worked(), 50.0, &Quiet).expect("not cancelled")
    }

    /// The L of the worked sections, 10 mm thick.
    fn bracket() -> TriMesh {
        // As three blocks in a row would be several shells: one prism.
        let l = [[0.0, 0.0], [30.0, 0.0], [30.0, 10.0], [10.0, 10.0], [10.0, 30.0], [0.0, 30.0]];
        let mut soup = Vec::new();
        for [a, b, c] in [[0, 1, 2], [0, 2, 3], [0, 3, 4], [0, 4, 5]] {
            let at = |i: usize, z: f64| [l[i][0], l[i][1], z];
            soup.push([at(a, 0.0), at(c, 0.0), at(b, 0.0)]);
            soup.push([at(a, 10.0), at(b, 10.0), at(c, 10.0)]);
        }
        for i in 0..6 {
            let (p, q) = (l[i], l[(i + 1) % 6]);
            let (a, b) = ([p[0], p[1], 0.0], [q[0], q[1], 0.0]);
            let (c, d) = ([q[0], q[1], 10.0], [p[0], p[1], 10.0]);
            soup.push([a, b, c]);
            soup.push([a, c, d]);
        }
        TriMesh::weld(&soup).0
    }

    /// A box 20 × 10 × 5: each number by hand.
    #[test]
    fn a_box_lies_on_its_largest_face() {
        let all = ranked(&block([1.0, 2.0, 3.0], [20.0, 10.0, 5.0]));
        assert_eq!(all.len(), 6);
        let (best, worst) = (&all[0], &all[5]);
        assert!((best.contact_mm2 - 200.0).abs() < 1e-6 && (best.face_mm2 - 200.0).abs() < 1e-6);
        assert!((best.height_mm - 5.0).abs() < 1e-9 && best.layers == 25 && best.overhang_mm2 == 0.0);
        assert!((best.size_mm[0] - 20.0).abs() < 1e-9 && (best.size_mm[1] - 10.0).abs() < 1e-9);
        // S of 20 × 10 along its worst direction: 1 / |K⁻¹ (10, 5)|, K = diag(6666.667, 1666.667).
        let s = 1.0 / (10.0_f64 / 6_666.666_667).hypot(5.0 / 1_666.666_667);
        assert!((best.modulus_mm3 - s).abs() < 1e-3, "{}", best.modulus_mm3);
        assert!((worst.height_mm - 20.0).abs() < 1e-9 && (worst.contact_mm2 - 50.0).abs() < 1e-6);
        assert!(best.is_balanced && all.windows(2).all(|w| w[0].score >= w[1].score));
    }

    /// The most probable pose of `trimesh.poses.compute_stable_poses` (trimesh 5.2.0, threshold 0) as the part's direction that comes
    /// to point down: box 0.334, bracket 0.332, tetrahedron 0.36, star 0.432, cone 0.356. Where faces are alike by symmetry either may
    /// come.
    #[test]
    fn the_best_face_is_the_one_that_trimesh_finds_most_stable() {
        let s = 1.0 / 3.0_f64.sqrt();
        let cases: [(&str, TriMesh, &[[f64; 3]]); 5] = [
            ("box", block([0.0; 3], [20.0, 10.0, 5.0]), &[[0.0, 0.0, -1.0], [0.0, 0.0, 1.0]]),
            ("bracket", bracket(), &[[0.0, 0.0, -1.0], [0.0, 0.0, 1.0]]),
            ("tetrahedron", tetrahedron(10.0), &[[s, s, s]]),
            ("star", prism(&star(6, 20.0, 8.0), 5.0), &[[0.0, 0.0, -1.0], [0.0, 0.0, 1.0]]),
            ("cone", cone(10.0, 12.0, 40), &[[0.0, 0.0, -1.0]]),
        ];
        for (name, mesh, asked) in cases {
            let best = ranked(&mesh)[0].normal;
            assert!(asked.iter().any(|a| dot(*a, best) > 1.0 - 1e-6), "{name}: {best:?}");
        }
    }

    /// A table: top 40 × 40 × 4 on four legs of 4 × 4 mm that reach 0.5 mm into it. On its legs 1600 mm² hang over (16 each are inside
    /// the legs); on its top only the ends of the legs do, inside the top.
    #[test]
    fn a_table_stands_on_its_top() {
        let mut table = block([0.0, 0.0, 20.0], [40.0, 40.0, 4.0]);
        for (x, y) in [(0.0, 0.0), (36.0, 0.0), (0.0, 36.0), (36.0, 36.0)] {
            table = together(&table, &block([x, y, 0.0], [4.0, 4.0, 20.5]));
        }
        let all = ranked(&table);
        assert!(all[0].normal[2] > 0.999_999 && (all[0].overhang_mm2 - 64.0).abs() < 1e-6, "{:?}", all[0]);
        let legs = all.iter().find(|p| p.normal[2] < -0.999_999).expect("legs");
        assert!((legs.contact_mm2 - 64.0).abs() < 1e-6 && (legs.overhang_mm2 - 1600.0).abs() < 1e-6);
        assert!((legs.face_mm2 - 1600.0).abs() < 1e-6 && legs.score < all[0].score);
    }

    /// A slope of just the angle needs no support, a flatter one does: a cone on its tip widens by 45°.
    #[test]
    fn overhang_angles() {
        let up = [0.0, 0.0, 1.0];
        let c = cone(10.0, 10.0, 200);
        let at = |deg: f64| {
            let all = poses(&c, &[up], &worked(), deg, &Quiet).expect("not cancelled");
            all.iter().find(|p| dot(p.normal, up) > 0.999).map(|p| (p.overhang_mm2, p.is_balanced))
        };
        // Seen from the tip the whole base shows, less the triangles that start in the first layer.
        assert_eq!(at(50.0).map(|o| o.0), Some(0.0));
        let flat = at(40.0).expect("the tip").0;
        assert!((flat / (100.0 * std::f64::consts::PI) - 1.0).abs() < 0.01, "{flat}");
    }

    #[test]
    fn a_leaning_prism_falls_off_its_own_foot() {
        let sheared = block([0.0; 3], [10.0, 10.0, 40.0]).mapped(|[x, y, z]| [x + z, y, z]);
        let all = ranked(&sheared);
        let foot = all.iter().find(|p| p.normal[2] < -0.999).expect("its foot");
        assert!(!foot.is_balanced && foot.margin < 1.0);
        let lying = 40.0 * SQRT_2 * 10.0;
        assert!((all[0].face_mm2 - lying).abs() < 1e-6, "{:?}", all[0]);
    }

    #[test]
    fn bodies_without_a_flat_face_without_volume_and_nothing() {
        for mesh in [
            sphere(10.0, 20, 30),
            TriMesh::weld(&[[[0.0; 3], [10.0, 0.0, 0.0], [0.0, 10.0, 0.0]]]).0,
            cone(1e-4, 50.0, 3),
            moved(&block([0.0; 3], [20.0, 1e-9, 5.0]), [1e5, 0.0, 0.0]),
        ] {
            for p in ranked(&mesh) {
                assert!(p.score.is_finite() && p.margin.is_finite() && p.height_mm.is_finite(), "{p:?}");
                assert!(p.size_mm.iter().all(|s| s.is_finite()) && p.overhang_mm2.is_finite());
            }
        }
        assert!(!ranked(&sphere(10.0, 20, 30)).is_empty());
        assert!(ranked(&TriMesh::default()).is_empty());
        let line = TriMesh { vertices: vec![[0.0; 3], [1.0; 3], [2.0; 3]], triangles: vec![[0, 1, 2]] };
        assert!(ranked(&line).is_empty());
        let odd = poses(&block([0.0; 3], [1.0; 3]), &[[f64::NAN; 3], [0.0; 3]], &worked(), f64::NAN, &Quiet);
        assert_eq!(odd.map(|p| p.len()), Some(6));
    }

    #[test]
    fn stops_when_told() {
        struct Stop;
        impl Watch for Stop {
            fn cancelled(&self) -> bool {
                true
            }
        }
        assert!(poses(&block([0.0; 3], [1.0; 3]), &[], &worked(), 50.0, &Stop).is_none());
    }

    proptest! {
        #![proptest_config(ProptestConfig::with_cases(24))]
        /// However the body lies when it is asked, its faces rank the same.
        #[test]
        fn turning_the_body_changes_nothing(a in -3.0..3.0_f64, b in -3.0..3.0_f64) {
            let (one, other) = (ranked(&bracket()), ranked(&tilted(&bracket(), a, b)));
            prop_assert_eq!(one.len(), other.len());
            for (p, q) in one.iter().zip(&other) {
                prop_assert!((p.score - q.score).abs() < 1e-6 && (p.height_mm - q.height_mm).abs() < 1e-6, "{:?} {:?}", p, q);
                prop_assert!((p.size_mm[0] - q.size_mm[0]).abs() < 1e-6 && (p.contact_mm2 - q.contact_mm2).abs() < 1e-5);
            }
        }
    }
}
