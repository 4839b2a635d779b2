//! Triangles of a body in runs: for one direction most runs are passed over by their box.

use super::vector::dot;

/// Triangles in a run: so many that a run stays in the nearest cache while all directions are asked about it.
pub(super) const RUN: usize = 1024;
/// Undersides this much flatter than the overhang angle count, as a sine: a slope of just the angle needs no support.
const SLACK: f64 = 1e-3;

/// Successive triangles of a mesh.
pub(super) struct Run<'a> {
    pub(super) triangles: &'a [[u32; 3]],
    /// Of each triangle: normal times area, coordinate by coordinate, and its square.
    areas: [Vec<f64>; 3],
    squares: Vec<f64>,
    /// Least and greatest coordinates of all corners.
    least: [f64; 3],
    most: [f64; 3],
}

/// Undersides that need support in one pose.
pub(super) struct Overhang {
    down: [f64; 3],
    /// Depth of the first layer's top.
    first_layer: f64,
    least_sine: f64,
}

impl Overhang {
    pub(super) fn new(down: [f64; 3], first_layer: f64, overhang_deg: f64) -> Self {
        Self { down, first_layer, least_sine: overhang_deg.to_radians().sin() + SLACK }
    }
}

impl<'a> Run<'a> {
    pub(super) fn new(vertices: &[[f64; 3]], triangles: &'a [[u32; 3]]) -> Self {
        let (mut areas, mut squares) = ([Vec::new(), Vec::new(), Vec::new()], Vec::with_capacity(triangles.len()));
        let (mut least, mut most) = ([f64::INFINITY; 3], [f64::NEG_INFINITY; 3]);
        for t in triangles {
            let corners = t.map(|v| vertices[v as usize]);
            let area = area_vector(corners);
            squares.push(dot(area, area));
            for k in 0..3 {
                areas[k].push(area[k]);
                for corner in corners {
                    (least[k], most[k]) = (least[k].min(corner[k]), most[k].max(corner[k]));
                }
            }
        }
        Self { triangles, areas, squares, least, most }
    }
    pub(super) fn surface_mm2(&self) -> f64 {
        self.squares.iter().map(|s| s.sqrt()).sum()
    }
    /// No corner's depth is less, none greater. Rounding is monotone, so that not even it is missed.
    pub(super) fn span(&self, down: [f64; 3]) -> (f64, f64) {
        let (low, high) = (self.least, self.most);
        let end = |k: usize, take: fn(f64, f64) -> f64| take(down[k] * low[k], down[k] * high[k]);
        let sum = |take| end(0, take) + end(1, take) + end(2, take);
        (sum(f64::min), sum(f64::max))
    }
    /// Area in plan of undersides flatter than the angle, the first layer's own left out.
    pub(super) fn hanging_mm2(&self, o: &Overhang, vertices: &[[f64; 3]]) -> f64 {
        let [x, y, z] = &self.areas;
        let least = o.least_sine * o.least_sine;
        let in_plan = |i: usize| {
            let p = x[i] * o.down[0] + y[i] * o.down[1] + z[i] * o.down[2];
            if p > 0.0 && p * p > least * self.squares[i] { p } else { 0.0 }
        };
        if self.span(o.down).1 < o.first_layer {
            return (0..self.squares.len()).map(in_plan).sum();
        }
        let mut sum = 0.0;
        for (i, t) in self.triangles.iter().enumerate() {
            let p = in_plan(i);
            // Where all of it is in the first layer, it stands.
            let highest = || t.map(|v| dot(o.down, vertices[v as usize])).into_iter().fold(f64::INFINITY, f64::min);
            if p > 0.0 && highest() < o.first_layer {
                sum += p;
            }
        }
        sum
    }
}

fn area_vector([a, b, c]: [[f64; 3]; 3]) -> [f64; 3] {
    let (u, v) = ([0, 1, 2].map(|k: usize| b[k] - a[k]), [0, 1, 2].map(|k: usize| c[k] - a[k]));
    [u[1] * v[2] - u[2] * v[1], u[2] * v[0] - u[0] * v[2], u[0] * v[1] - u[1] * v[0]].map(|x| x / 2.0)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::mesh::shapes::sphere;

    /// Runs say what looking at every triangle says, in any direction.
    #[test]
    fn spans_hold_every_corner_and_overhangs_every_triangle() {
        let mesh = sphere(10.0, 40, 60);
        let runs: Vec<Run> = mesh.triangles.chunks(100).map(|t| Run::new(&mesh.vertices, t)).collect();
        for down in [[0.0, 0.0, -1.0], [0.6, 0.0, 0.8], [-0.48, 0.6, 0.64]] {
            for run in &runs {
                let (least, most) = run.span(down);
                let depths = run.triangles.iter().flatten().map(|&v| dot(down, mesh.vertices[v as usize]));
                assert!(depths.clone().all(|d| d >= least && d <= most));
            }
            let first_layer = 9.5;
            let o = Overhang::new(down, first_layer, 50.0);
            let found: f64 = runs.iter().map(|r| r.hanging_mm2(&o, &mesh.vertices)).sum();
            let asked: f64 = (0..mesh.triangles.len())
                .map(|i| {
                    let (corners, least) = (mesh.corners(i), 50.0_f64.to_radians().sin() + SLACK);
                    let area = area_vector(corners);
                    let in_plan = dot(area, down);
                    let hangs = in_plan > least * dot(area, area).sqrt();
                    if hangs && corners.iter().any(|c| dot(down, *c) < first_layer) { in_plan } else { 0.0 }
                })
                .sum();
            // Cap from 9.5 up left out: π (R² cos² 50° − (R² − 9.5²)), about.
            assert!((found - asked).abs() < 1e-9 && found > 80.0, "{found} {asked}");
        }
    }
}
