//! Is a part its own mirror image?

use std::f64::consts::FRAC_PI_2;

use super::TriMesh;

/// Odd moments of the surface beyond this share of what they could be tell a part from its mirror image.
const TELLING: f64 = 2e-5;
/// Principal moments nearer to one another than this share are equal: any direction between theirs may be normal to a mirror.
const EQUAL: f64 = 1e-4;
/// Mirrors tried at most where they are.
const TRIED: usize = 16;

/// True when some plane, or the middle, mirrors the surface onto itself: then its mirror image is the same part again, turned.
///
/// Decided by the surface's moments up to the fifth order, which do not depend on how it is cut into triangles: a mirror's
/// normal is a principal axis (of equal principal moments, one that swaps two of the farthest vertices or leaves the farthest
/// where it is), and all moments odd in its direction vanish, to 2e-5 of √(mean square distance) to that power. A feature that
/// makes less than that of the surface's moments is not seen. False for a surface without area.
pub fn is_own_mirror_image(mesh: &TriMesh) -> bool {
    let area: f64 = samples(mesh).map(|p| p.1).sum();
    if !(area.is_finite() && area > 0.0) {
        return false;
    }
    let mut centre = [0.0; 3];
    for (p, w) in samples(mesh) {
        (0..3).for_each(|i| centre[i] += w * p[i] / area);
    }
    let mut second = [[0.0; 3]; 3];
    for (p, w) in samples(mesh) {
        let p = minus(p, centre);
        for (i, row) in second.iter_mut().enumerate() {
            (0..3).for_each(|j| row[j] += w / area * p[i] * p[j]);
        }
    }
    let size_mm = (second[0][0] + second[1][1] + second[2][2]).sqrt();
    if !(size_mm.is_finite() && size_mm > 0.0) {
        return false;
    }
    let points = || samples(mesh).map(|(p, w)| (minus(p, centre).map(|c| c / size_mm), w / area));
    let (moments, axes) = principal(second);
    let total: f64 = moments.iter().sum();
    let equal = |i: usize, j: usize| (moments[i] - moments[j]).abs() <= EQUAL * total;
    let mut normals = axes.to_vec();
    let alone = (0..3).find(|&i| !equal(i, (i + 1) % 3) && !equal(i, (i + 2) % 3));
    let free = match alone {
        // Any direction across the axis of the odd one out, if the two others are equal.
        Some(i) => equal((i + 1) % 3, (i + 2) % 3).then_some(Some(axes[i])),
        None => Some(None),
    };
    if let Some(about) = free {
        let vertices = mesh.vertices.iter().map(|v| std::array::from_fn(|i| (v[i] - centre[i]) / size_mm));
        normals.extend(by_farthest(vertices, about));
    }
    normals.iter().any(|n| mirrors(points(), *n)) || inverts(points())
}

/// Points and weights (mm²) by which polynomials to the fifth degree are integrated exactly over each triangle. Source: Radon's
/// seven points (Stroud, Approximate Calculation of Multiple Integrals, T2: 5-1; from memory, checked by the tests).
fn samples(mesh: &TriMesh) -> impl Iterator<Item = ([f64; 3], f64)> + '_ {
    let root = 15.0_f64.sqrt();
    let (a, b) = ((6.0 - root) / 21.0, (6.0 + root) / 21.0);
    let (wa, wb) = ((155.0 - root) / 1200.0, (155.0 + root) / 1200.0);
    mesh.triangles.iter().flat_map(move |t| {
        let corner = |i: usize| mesh.vertices.get(t[i] as usize).copied().unwrap_or_default();
        let [p, q, r] = [corner(0), corner(1), corner(2)];
        let n = cross(minus(q, p), minus(r, p));
        let area = 0.5 * dot(n, n).sqrt();
        let third = 1.0 / 3.0;
        let (far_a, far_b) = (1.0 - 2.0 * a, 1.0 - 2.0 * b);
        [(third, third, 0.225), (a, a, wa), (far_a, a, wa), (a, far_a, wa), (b, b, wb), (far_b, b, wb), (b, far_b, wb)]
            .map(|(u, v, w)| (std::array::from_fn(|i| p[i] + u * (q[i] - p[i]) + v * (r[i] - p[i])), w * area))
    })
}

/// Do all moments that are odd along `n` vanish, up to the fifth order?
fn mirrors(points: impl Iterator<Item = ([f64; 3], f64)>, n: [f64; 3]) -> bool {
    vanish(points, n, |[i, _, _]| i % 2 == 1)
}

/// Do all moments of odd order vanish, up to the fifth?
fn inverts(points: impl Iterator<Item = ([f64; 3], f64)>) -> bool {
    vanish(points, [0.0, 0.0, 1.0], |[i, j, k]| (i + j + k) % 2 == 1)
}

/// Do these moments vanish? They are told by powers of the coordinates along `n` and across it.
fn vanish(points: impl Iterator<Item = ([f64; 3], f64)>, n: [f64; 3], which: impl Fn([usize; 3]) -> bool) -> bool {
    let least = (0..3).min_by(|&i, &j| n[i].abs().total_cmp(&n[j].abs())).unwrap_or(0);
    let mut across = [0.0; 3];
    across[least] = 1.0;
    let p = unit(cross(n, across));
    let q = cross(n, p);
    let powers: Vec<[usize; 3]> = (0..=5_usize)
        .flat_map(|i| (0..=5 - i).flat_map(move |j| (0..=5 - i - j).map(move |k| [i, j, k])))
        .filter(|p| which(*p))
        .collect();
    let mut sums = vec![0.0; powers.len()];
    for (at, w) in points {
        let c = [dot(at, n), dot(at, p), dot(at, q)].map(|c| {
            let two = c * c;
            [1.0, c, two, two * c, two * two, two * two * c]
        });
        for (sum, [i, j, k]) in sums.iter_mut().zip(&powers) {
            *sum += w * c[0][*i] * c[1][*j] * c[2][*k];
        }
    }
    sums.iter().all(|s| s.abs() <= TELLING)
}

/// Normals of mirrors that leave the vertex farthest from the middle (or from an axis) where it is, or swap it with another as
/// far away.
fn by_farthest(vertices: impl Iterator<Item = [f64; 3]>, about: Option<[f64; 3]>) -> Vec<[f64; 3]> {
    let off = |v: [f64; 3]| match about {
        Some(axis) => minus(v, axis.map(|c| c * dot(v, axis))),
        None => v,
    };
    let all: Vec<[f64; 3]> = vertices.map(off).collect();
    let Some(&first) = all.iter().max_by(|a, b| dot(**a, **a).total_cmp(&dot(**b, **b))) else { return Vec::new() };
    let far = dot(first, first).sqrt();
    if !(far.is_finite() && far > 0.0) {
        return Vec::new();
    }
    let as_far = |v: &&[f64; 3]| {
        let between = minus(**v, first);
        (dot(**v, **v).sqrt() - far).abs() <= 1e-4 * far && dot(between, between).sqrt() > 1e-3 * far
    };
    let mut normals: Vec<[f64; 3]> = Vec::new();
    if let Some(axis) = about {
        normals.push(unit(cross(axis, first)));
    } else {
        // Across the farthest one, by steps of an eighth of a turn from the principal axes of nothing in particular.
        let side = unit(cross(first, if first[0].abs() < 0.9 * far { [1.0, 0.0, 0.0] } else { [0.0, 1.0, 0.0] }));
        let up = unit(cross(first, side));
        normals.extend((0..4).map(|k| {
            let (s, c) = (0.5 * FRAC_PI_2 * f64::from(k)).sin_cos();
            std::array::from_fn(|i| c * side[i] + s * up[i])
        }));
        normals.extend([[1.0, 0.0, 0.0], [0.0, 1.0, 0.0], [0.0, 0.0, 1.0]]);
    }
    for v in all.iter().filter(as_far) {
        let n = unit(minus(*v, first));
        if normals.iter().all(|m| dot(*m, n).abs() < 1.0 - 1e-6) {
            normals.push(n);
        }
        if normals.len() >= TRIED {
            break;
        }
    }
    normals
}

/// Principal moments and axes of a symmetric matrix. Source: Jacobi's rotations.
fn principal(mut m: [[f64; 3]; 3]) -> ([f64; 3], [[f64; 3]; 3]) {
    let mut axes = [[1.0, 0.0, 0.0], [0.0, 1.0, 0.0], [0.0, 0.0, 1.0]];
    for _ in 0..32 {
        let (i, j) = [(0, 1), (0, 2), (1, 2)]
            .into_iter()
            .max_by(|a, b| m[a.0][a.1].abs().total_cmp(&m[b.0][b.1].abs()))
            .unwrap_or((0, 1));
        let scale = m[0][0].abs() + m[1][1].abs() + m[2][2].abs();
        if m[i][j].abs() <= 1e-15 * scale {
            break;
        }
        let angle = 0.5 * (2.0 * m[i][j]).atan2(m[j][j] - m[i][i]);
        let (s, c) = angle.sin_cos();
        for row in &mut m {
            (row[i], row[j]) = (c * row[i] - s * row[j], s * row[i] + c * row[j]);
        }
        for k in 0..3 {
            (m[i][k], m[j][k]) = (c * m[i][k] - s * m[j][k], s * m[i][k] + c * m[j][k]);
            (axes[i][k], axes[j][k]) = (c * axes[i][k] - s * axes[j][k], s * axes[i][k] + c * axes[j][k]);
        }
    }
    ([m[0][0], m[1][1], m[2][2]], axes)
}

fn minus(a: [f64; 3], b: [f64; 3]) -> [f64; 3] {
    std::array::from_fn(|i| a[i] - b[i])
}

fn dot(a: [f64; 3], b: [f64; 3]) -> f64 {
    a[0] * b[0] + a[1] * b[1] + a[2] * b[2]
}

fn cross(a: [f64; 3], b: [f64; 3]) -> [f64; 3] {
    [a[1] * b[2] - a[2] * b[1], a[2] * b[0] - a[0] * b[2], a[0] * b[1] - a[1] * b[0]]
}

fn unit(v: [f64; 3]) -> [f64; 3] {
    let length = dot(v, v).sqrt();
    if length > 0.0 { v.map(|c| c / length) } else { [1.0, 0.0, 0.0] }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::mesh::shapes;

    /// A prism over a polygon, its top turned and moved.
    fn prism(corners: &[[f64; 2]], height: f64, twist_deg: f64) -> TriMesh {
        let n = corners.len() as u32;
        let (s, c) = twist_deg.to_radians().sin_cos();
        let mut vertices: Vec<[f64; 3]> = corners.iter().map(|p| [p[0], p[1], 0.0]).collect();
        vertices.extend(corners.iter().map(|p| [c * p[0] - s * p[1], s * p[0] + c * p[1], height]));
        let mut triangles: Vec<[u32; 3]> = (1..n - 1).flat_map(|i| [[0, i + 1, i], [n, n + i, n + i + 1]]).collect();
        triangles.extend((0..n).flat_map(|i| {
            let j = (i + 1) % n;
            [[i, j, n + j], [i, n + j, n + i]]
        }));
        TriMesh { vertices, triangles }
    }

    fn turned(mesh: &TriMesh) -> TriMesh {
        let (s, c) = 0.7_f64.sin_cos();
        let turn = |[x, y, z]: [f64; 3]| {
            let (x, y) = (c * x - s * y, s * x + c * y);
            [x + 31.0, c * y - s * z - 4.0, s * y + c * z + 9.0]
        };
        TriMesh { vertices: mesh.vertices.iter().map(|v| turn(*v)).collect(), triangles: mesh.triangles.clone() }
    }

    fn skewed(mesh: &TriMesh) -> TriMesh {
        let to = |[x, y, z]: [f64; 3]| [x + 0.3 * y + 0.7 * z, y + 0.4 * z, z];
        TriMesh { vertices: mesh.vertices.iter().map(|v| to(*v)).collect(), triangles: mesh.triangles.clone() }
    }

    fn polygon(n: u32, radius: f64) -> Vec<[f64; 2]> {
        (0..n)
            .map(|i| {
                let (s, c) = (std::f64::consts::TAU * f64::from(i) / f64::from(n) + 0.2).sin_cos();
                [radius * c, radius * s]
            })
            .collect()
    }

    /// The integral of x⁵ + x²y³ over the triangle (0,0) (1,0) (0,1), worked by hand: a! b! / (a + b + 2)!, that is
    /// 120 / 5040 + 2 · 6 / 5040.
    #[test]
    fn seven_points_are_exact_to_the_fifth_degree() {
        let one = TriMesh { vertices: vec![[0.0; 3], [1.0, 0.0, 0.0], [0.0, 1.0, 0.0]], triangles: vec![[0, 1, 2]] };
        let sum: f64 = samples(&one).map(|([x, y, _], w)| w * (x.powi(5) + x.powi(2) * y.powi(3))).sum();
        assert!((sum - 132.0 / 5040.0).abs() < 1e-15, "{sum}");
    }

    #[test]
    fn symmetric_parts_are_their_own_mirror_image_however_they_lie() {
        let bracket = [[0., 0.], [30., 0.], [30., 4.], [4., 4.], [4., 20.], [0., 20.]];
        let block = [[0., 0.], [30., 0.], [30., 12.], [0., 12.]];
        let square = [[0., 0.], [12., 0.], [12., 12.], [0., 12.]];
        let all = [
            ("bracket", prism(&bracket, 10.0, 0.0)),
            ("block", prism(&block, 7.0, 0.0)),
            ("square bar", prism(&square, 40.0, 0.0)),
            ("cube", prism(&square, 12.0, 0.0)),
            ("hexagon", prism(&polygon(6, 8.0), 5.0, 0.0)),
            ("triangle", prism(&polygon(3, 8.0), 5.0, 0.0)),
            // Askew in both directions: no plane mirrors it, its middle does.
            ("askew block", skewed(&prism(&block, 7.0, 0.0))),
            ("antiprism", prism(&polygon(3, 8.0), 9.0, -60.0)),
            ("ball", shapes::sphere(10.0, 8, 12)),
        ];
        for (name, mesh) in all {
            assert!(is_own_mirror_image(&mesh), "{name}");
            assert!(is_own_mirror_image(&turned(&mesh)), "{name}, turned");
        }
    }

    #[test]
    fn parts_with_a_hand_are_not() {
        let bracket = [[0., 0.], [30., 0.], [30., 4.], [4., 4.], [4., 20.], [0., 20.]];
        let mut stepped = prism(&bracket, 10.0, 0.0);
        // One end of the long leg is higher.
        stepped.vertices[7][2] = 16.0;
        stepped.vertices[8][2] = 16.0;
        let slanted = TriMesh {
            vertices: vec![[0., 0., 0.], [30., 0., 0.], [0., 20., 0.], [3., 2., 9.]],
            triangles: vec![[0, 2, 1], [0, 1, 3], [1, 2, 3], [2, 0, 3]],
        };
        let all = [
            ("stepped bracket", stepped),
            ("four corners", slanted),
            ("twisted bar", prism(&polygon(3, 8.0), 20.0, 25.0)),
            ("twisted square bar", prism(&polygon(4, 8.0), 30.0, 20.0)),
        ];
        for (name, mesh) in all {
            assert!(!is_own_mirror_image(&mesh), "{name}");
            assert!(!is_own_mirror_image(&turned(&mesh)), "{name}, turned");
        }
    }

    #[test]
    fn nothing_and_no_numbers() {
        assert!(!is_own_mirror_image(&TriMesh { vertices: vec![], triangles: vec![] }));
        let odd = TriMesh { vertices: vec![[f64::NAN; 3], [1.0; 3], [2.0; 3]], triangles: vec![[0, 1, 2], [0, 9, 1]] };
        assert!(!is_own_mirror_image(&odd));
    }
}
