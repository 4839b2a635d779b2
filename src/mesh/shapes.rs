//! Meshes for tests.

use std::f64::consts::TAU;

use super::TriMesh;

/// An axis-parallel box.
pub(crate) fn block(min: [f64; 3], size: [f64; 3]) -> TriMesh {
    let vertices =
        (0..8).map(|i| [0, 1, 2].map(|k: usize| min[k] + if i >> k & 1 == 1 { size[k] } else { 0.0 })).collect();
    let quads = [[0, 2, 3, 1], [4, 5, 7, 6], [0, 1, 5, 4], [2, 6, 7, 3], [0, 4, 6, 2], [1, 3, 7, 5]];
    let triangles = quads.iter().flat_map(|q: &[u32; 4]| [[q[0], q[1], q[2]], [q[0], q[2], q[3]]]).collect();
    TriMesh { vertices, triangles }
}

/// A right-angled tetrahedron with three legs on the axes.
pub(crate) fn tetrahedron(leg: f64) -> TriMesh {
    TriMesh {
        vertices: vec![[0.0; 3], [leg, 0.0, 0.0], [0.0, leg, 0.0], [0.0, 0.0, leg]],
        triangles: vec![[0, 2, 1], [0, 1, 3], [1, 2, 3], [0, 3, 2]],
    }
}

/// A surface of revolution about Z: profile points (radius, z) from bottom to top; radius 0 at the ends closes it.
pub(crate) fn turned(profile: &[[f64; 2]], sides: usize) -> TriMesh {
    let soup: Vec<[[f64; 3]; 3]> = profile
        .windows(2)
        .flat_map(|w| {
            let ([r0, z0], [r1, z1]) = (w[0], w[1]);
            (0..sides).flat_map(move |i| {
                let at = |i: usize, r: f64, z: f64| {
                    let (s, c) = (TAU * (i % sides) as f64 / sides as f64).sin_cos();
                    if r == 0.0 { [0.0, 0.0, z] } else { [r * c, r * s, z] }
                };
                let (a, b, c, d) = (at(i, r0, z0), at(i + 1, r0, z0), at(i + 1, r1, z1), at(i, r1, z1));
                [[a, b, c], [a, c, d]]
            })
        })
        .collect();
    TriMesh::weld(&soup).0
}

/// A sphere about the origin.
pub(crate) fn sphere(radius: f64, rings: usize, sides: usize) -> TriMesh {
    let profile: Vec<[f64; 2]> = (0..=rings)
        .map(|i| {
            let (s, c) = (TAU / 2.0 * i as f64 / rings as f64).sin_cos();
            [if i == 0 || i == rings { 0.0 } else { radius * s }, -radius * c]
        })
        .collect();
    turned(&profile, sides)
}

/// A torus about Z.
pub(crate) fn torus(major: f64, minor: f64, rings: usize, sides: usize) -> TriMesh {
    let profile: Vec<[f64; 2]> = (0..=rings)
        .map(|i| {
            let (s, c) = (TAU * (i % rings) as f64 / rings as f64).sin_cos();
            [major - minor * c, -minor * s]
        })
        .collect();
    // The profile runs down on the inside and up on the outside.
    turned(&profile, sides)
}

/// A prism over a loop (counter-clockwise, star-shaped about the origin) from z = 0 to `height`.
pub(crate) fn prism(base: &[[f64; 2]], height: f64) -> TriMesh {
    let n = base.len();
    let soup: Vec<[[f64; 3]; 3]> = (0..n)
        .flat_map(|i| {
            let ([ax, ay], [bx, by]) = (base[i], base[(i + 1) % n]);
            let (a, b) = ([ax, ay, 0.0], [bx, by, 0.0]);
            let (c, d) = ([bx, by, height], [ax, ay, height]);
            [[a, b, c], [a, c, d], [[0.0; 3], b, a], [[0.0, 0.0, height], d, c]]
        })
        .collect();
    TriMesh::weld(&soup).0
}

/// A star with `points` tips.
pub(crate) fn star(points: usize, outer: f64, inner: f64) -> Vec<[f64; 2]> {
    (0..points * 2)
        .map(|i| {
            let r = if i % 2 == 0 { outer } else { inner };
            let (s, c) = (TAU / 2.0 * i as f64 / points as f64).sin_cos();
            [r * c, r * s]
        })
        .collect()
}

/// Both meshes as one, nothing welded between.
pub(crate) fn together(a: &TriMesh, b: &TriMesh) -> TriMesh {
    let mut both = a.clone();
    both.append(b);
    both
}

/// The mesh moved.
pub(crate) fn moved(mesh: &TriMesh, by: [f64; 3]) -> TriMesh {
    mesh.mapped(|p| [0, 1, 2].map(|k: usize| p[k] + by[k]))
}

/// The mesh turned about X, then about Y, radians.
pub(crate) fn tilted(mesh: &TriMesh, about_x: f64, about_y: f64) -> TriMesh {
    let ((sx, cx), (sy, cy)) = (about_x.sin_cos(), about_y.sin_cos());
    mesh.mapped(|[x, y, z]| {
        let (y, z) = (cx * y - sx * z, sx * y + cx * z);
        [cy * x + sy * z, y, cy * z - sy * x]
    })
}

/// A cone on the bed, tip up.
pub(crate) fn cone(radius: f64, height: f64, sides: usize) -> TriMesh {
    turned(&[[0.0, 0.0], [radius, 0.0], [0.0, height]], sides)
}

/// Corners of every triangle.
pub(crate) fn soup(mesh: &TriMesh) -> Vec<[[f64; 3]; 3]> {
    (0..mesh.triangles.len()).map(|i| mesh.corners(i)).collect()
}
