//! One candidate measured.

use rayon::prelude::*;

use super::{PoseChoice, vector::dot};
use crate::{
    document::{Footing, Pose},
    geom::{Point, Region, hull},
    mesh::{self, TriMesh},
    stability::{Conditions, Stance, judge},
};

/// Undersides this much flatter than the overhang angle count, as a sine: a slope of just the angle needs no support.
const SLACK: f64 = 1e-3;

/// A body, prepared for many directions.
pub(super) struct Body<'a> {
    mesh: &'a TriMesh,
    corners: &'a [[f64; 3]],
    centre: [f64; 3],
    volume_mm3: f64,
    /// Of each triangle: normal times area.
    areas: Vec<[f64; 3]>,
}

impl<'a> Body<'a> {
    /// `None` without vertices.
    pub(super) fn new(mesh: &'a TriMesh, corners: &'a [[f64; 3]]) -> Option<Self> {
        let areas = (0..mesh.triangles.len()).into_par_iter().map(|i| area_vector(mesh.corners(i))).collect();
        let centre = mesh::centre_of_mass(mesh)?;
        // Inside out it is as heavy.
        Some(Self { mesh, corners, centre, volume_mm3: mesh.volume_mm3().abs(), areas })
    }
    /// Area of all triangles, mm².
    pub(super) fn surface_mm2(&self) -> f64 {
        let pieces: Vec<f64> =
            self.areas.par_chunks(32_768).map(|p| p.iter().map(|a| dot(*a, *a).sqrt()).sum()).collect();
        pieces.iter().sum()
    }
    /// The pose in which `down` points down; its score is still to come.
    pub(super) fn measured(&self, down: [f64; 3], face_mm2: f64, c: &Conditions, overhang_deg: f64) -> PoseChoice {
        let rotation = Pose::default().laid_on(down).rotation;
        let turned =
            |p: [f64; 3]| [0, 1, 2].map(|k| p[0] * rotation[0][k] + p[1] * rotation[1][k] + p[2] * rotation[2][k]);
        let plan = |p: [f64; 3]| {
            let [x, y, _] = turned(p);
            Point::new(x, y)
        };
        // Heights grow against `down`.
        let depth: Vec<f64> = self.mesh.vertices.iter().map(|&p| dot(down, p)).collect();
        let (lowest, highest) =
            depth.iter().fold((f64::NEG_INFINITY, f64::INFINITY), |(l, h), &d| (l.max(d), h.min(d)));
        let height_mm = if lowest >= highest { lowest - highest } else { 0.0 };
        let contact = self.section(&depth, lowest - c.first_layer_mm.min(height_mm) / 2.0, turned);
        let stance = Stance::new(&contact, None, Footing::Bare, c);
        let centre = plan(self.centre);
        let (balance, push) = judge::at_top(centre, height_mm, self.volume_mm3, &stance, c);
        PoseChoice {
            normal: down,
            face_mm2,
            contact_mm2: stance.area_mm2,
            modulus_mm3: stance.modulus_mm3,
            height_mm,
            layers: layers(height_mm, c),
            overhang_mm2: self.overhang_mm2(down, &depth, lowest - c.first_layer_mm, overhang_deg),
            size_mm: hull::least_rectangle(&hull::convex_hull(self.corners.iter().map(|&p| plan(p)))),
            is_balanced: balance >= 1.0,
            margin: balance.min(push),
            score: 0.0,
        }
    }
    /// The section where the depth is `at`.
    fn section(&self, depth: &[f64], at: f64, turned: impl Fn([f64; 3]) -> [f64; 3]) -> Region {
        let crosses = |t: &&[u32; 3]| {
            let [a, b, c] = t.map(|v| depth[v as usize]);
            a.max(b).max(c) >= at && a.min(b).min(c) < at
        };
        let (mut cut, mut number) = (TriMesh::default(), std::collections::BTreeMap::new());
        for t in self.mesh.triangles.iter().filter(crosses) {
            let corners = t.map(|v| {
                *number.entry(v).or_insert_with(|| {
                    // The height is the depth, to the last bit.
                    let [x, y, _] = turned(self.mesh.vertices[v as usize]);
                    cut.vertices.push([x, y, -depth[v as usize]]);
                    cut.vertices.len() as u32 - 1
                })
            });
            cut.triangles.push(corners);
        }
        mesh::section(&cut, -at)
    }
    /// Area in plan of undersides flatter than the angle, the first layer's own left out.
    fn overhang_mm2(&self, down: [f64; 3], depth: &[f64], first_layer: f64, overhang_deg: f64) -> f64 {
        let least = overhang_deg.to_radians().sin() + SLACK;
        let needs = |(t, area): (&[u32; 3], &[f64; 3])| {
            let in_plan = dot(*area, down);
            if !(in_plan > 0.0 && in_plan * in_plan > least * least * dot(*area, *area)) {
                return 0.0;
            }
            // Where its lowest corner is in the first layer, it stands.
            let deepest = t.map(|v| depth[v as usize]).into_iter().fold(f64::NEG_INFINITY, f64::max);
            let highest = t.map(|v| depth[v as usize]).into_iter().fold(f64::INFINITY, f64::min);
            if deepest >= first_layer && highest >= first_layer { 0.0 } else { in_plan }
        };
        self.mesh.triangles.iter().zip(&self.areas).map(needs).sum()
    }
}

fn area_vector([a, b, c]: [[f64; 3]; 3]) -> [f64; 3] {
    let (u, v) = ([0, 1, 2].map(|k: usize| b[k] - a[k]), [0, 1, 2].map(|k: usize| c[k] - a[k]));
    [u[1] * v[2] - u[2] * v[1], u[2] * v[0] - u[0] * v[2], u[0] * v[1] - u[1] * v[0]].map(|x| x / 2.0)
}

/// Layers of a part of this height: those whose middle lies in it.
fn layers(height_mm: f64, c: &Conditions) -> usize {
    if !(height_mm > 0.0 && height_mm.is_finite()) {
        return 0;
    }
    let above = (height_mm - 1e-6 - c.first_layer_mm) / c.layer_mm + 0.5;
    if above.is_finite() { above.ceil().max(1.0) as usize } else { 1 }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::stability::conditions::tests::worked;

    #[test]
    fn counts_layers_as_estimates_do() {
        let c = Conditions { first_layer_mm: 0.3, ..worked() };
        for (height, count) in [(0.05, 1), (0.3, 1), (0.39, 1), (0.41, 2), (20.3, 101), (20.41, 102), (0.0, 0)] {
            assert_eq!(layers(height, &c), count, "{height} mm");
        }
        assert_eq!(layers(5.0, &Conditions { layer_mm: 0.0, ..c }), 1);
    }
}
