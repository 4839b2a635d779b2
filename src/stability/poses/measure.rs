//! Candidates measured.

use rayon::prelude::*;

use super::{
    PoseChoice,
    run::{Overhang, RUN, Run},
    vector::dot,
};
use crate::{
    document::{Footing, Pose},
    geom::{Point, Region, hull},
    mesh::{self, TriMesh},
    stability::{Conditions, Stance, judge},
    watch::Watch,
};

/// A body, prepared for many directions.
pub(super) struct Body<'a> {
    mesh: &'a TriMesh,
    corners: &'a [[f64; 3]],
    centre: [f64; 3],
    volume_mm3: f64,
    /// Its triangles in runs, most of which lie clear of whatever is asked about.
    runs: Vec<Run<'a>>,
}

impl<'a> Body<'a> {
    /// `None` without vertices.
    pub(super) fn new(mesh: &'a TriMesh, corners: &'a [[f64; 3]]) -> Option<Self> {
        let centre = mesh::centre_of_mass(mesh)?;
        let runs = mesh.triangles.par_chunks(RUN).map(|t| Run::new(&mesh.vertices, t)).collect();
        // Inside out it is as heavy.
        Some(Self { mesh, corners, centre, volume_mm3: mesh.volume_mm3().abs(), runs })
    }
    /// Area of all triangles, mm².
    pub(super) fn surface_mm2(&self) -> f64 {
        self.runs.iter().map(Run::surface_mm2).sum()
    }
    /// The poses in which these directions point down, each with the area of the hull's face there; scores are still to come. `None`
    /// when cancelled.
    pub(super) fn measured(
        &self,
        candidates: &[([f64; 3], f64)],
        c: &Conditions,
        overhang_deg: f64,
        watch: &dyn Watch,
    ) -> Option<Vec<PoseChoice>> {
        let ends: Vec<(f64, f64)> = candidates.par_iter().map(|&(down, _)| self.ends(down)).collect();
        let asked: Vec<Overhang> = candidates
            .iter()
            .zip(&ends)
            .map(|(&(down, _), &(lowest, _))| Overhang::new(down, lowest - c.first_layer_mm, overhang_deg))
            .collect();
        // Run by run, so that each is fetched once for all directions.
        let hanging: Option<Vec<Vec<f64>>> = self
            .runs
            .par_iter()
            .map(|run| {
                (!watch.cancelled()).then(|| asked.iter().map(|o| run.hanging_mm2(o, &self.mesh.vertices)).collect())
            })
            .collect();
        let mut overhang_mm2 = vec![0.0; candidates.len()];
        for of_run in hanging? {
            for (sum, more) in overhang_mm2.iter_mut().zip(of_run) {
                *sum += more;
            }
        }
        (0..candidates.len())
            .into_par_iter()
            .map(|i| (!watch.cancelled()).then(|| self.choice(candidates[i], ends[i], overhang_mm2[i], c)))
            .collect()
    }
    fn choice(
        &self,
        (down, face_mm2): ([f64; 3], f64),
        (lowest, highest): (f64, f64),
        overhang_mm2: f64,
        c: &Conditions,
    ) -> PoseChoice {
        let rotation = Pose::default().laid_on(down).rotation;
        let turned =
            |p: [f64; 3]| [0, 1, 2].map(|k| p[0] * rotation[0][k] + p[1] * rotation[1][k] + p[2] * rotation[2][k]);
        let plan = |p: [f64; 3]| {
            let [x, y, _] = turned(p);
            Point::new(x, y)
        };
        let height_mm = if lowest >= highest { lowest - highest } else { 0.0 };
        let contact = self.section(down, lowest - c.first_layer_mm.min(height_mm) / 2.0, turned);
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
            overhang_mm2,
            size_mm: hull::least_rectangle(&hull::convex_hull(self.corners.iter().map(|&p| plan(p)))),
            is_balanced: balance >= 1.0,
            margin: balance.min(push),
            score: 0.0,
        }
    }
    /// The greatest and the least depth of any corner; heights grow against `down`.
    fn ends(&self, down: [f64; 3]) -> (f64, f64) {
        (self.deepest(down), -self.deepest(down.map(|x| -x)))
    }
    fn deepest(&self, down: [f64; 3]) -> f64 {
        let depth = |run: &Run| {
            let all = run.triangles.iter().flatten().map(|&v| dot(down, self.mesh.vertices[v as usize]));
            all.fold(f64::NEG_INFINITY, f64::max)
        };
        let most: Vec<f64> = self.runs.iter().map(|r| r.span(down).1).collect();
        let first = (0..most.len()).max_by(|&a, &b| most[a].total_cmp(&most[b]));
        let mut found = first.map_or(f64::NEG_INFINITY, |i| depth(&self.runs[i]));
        for (run, most) in self.runs.iter().zip(most) {
            if most > found {
                found = found.max(depth(run));
            }
        }
        found
    }
    /// The section where the depth is `at`.
    fn section(&self, down: [f64; 3], at: f64, turned: impl Fn([f64; 3]) -> [f64; 3]) -> Region {
        let depth = |v: u32| dot(down, self.mesh.vertices[v as usize]);
        let crosses = |t: &&[u32; 3]| {
            let [a, b, c] = t.map(depth);
            a.max(b).max(c) >= at && a.min(b).min(c) < at
        };
        let near = self.runs.iter().filter(|r| {
            let (least, most) = r.span(down);
            most >= at && least < at
        });
        let (mut cut, mut number) = (TriMesh::default(), std::collections::BTreeMap::new());
        for t in near.flat_map(|r| r.triangles).filter(crosses) {
            let corners = t.map(|v| {
                *number.entry(v).or_insert_with(|| {
                    // The height is the depth, to the last bit.
                    let [x, y, _] = turned(self.mesh.vertices[v as usize]);
                    cut.vertices.push([x, y, -depth(v)]);
                    cut.vertices.len() as u32 - 1
                })
            });
            cut.triangles.push(corners);
        }
        mesh::section(&cut, -at)
    }
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
