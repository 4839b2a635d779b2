//! Polygons into triangles.

use crate::mesh::TriMesh;

/// Corners above which a polygon is cut as a fan, so that a hostile file costs no more than its size allows.
const MOST_CORNERS: usize = 2_000;

/// Cuts a polygon (vertex indices, as a loop in space) into triangles of the same facing: as a fan where it is convex,
/// else by cutting off ears in the plane it comes closest to. Source of the plane: Newell's normal.
pub(super) fn triangulate(vertices: &[[f64; 3]], polygon: &[u32], out: &mut Vec<[u32; 3]>) {
    let n = polygon.len();
    if n <= 3 || n > MOST_CORNERS {
        fan(polygon, out);
        return;
    }
    let at = |i: usize| vertices[polygon[i % n] as usize];
    let mut normal = [0.0_f64; 3];
    for i in 0..n {
        let (a, b) = (at(i), at(i + 1));
        for (k, c) in normal.iter_mut().enumerate() {
            let (u, v) = ((k + 1) % 3, (k + 2) % 3);
            *c += (a[u] - b[u]) * (a[v] + b[v]);
        }
    }
    let major = (0..3).max_by(|&i, &j| f64::total_cmp(&normal[i].abs(), &normal[j].abs())).unwrap_or(2);
    let (mut u, mut v) = ((major + 1) % 3, (major + 2) % 3);
    if normal[major] < 0.0 {
        std::mem::swap(&mut u, &mut v);
    }
    let flat: Vec<[f64; 2]> = (0..n).map(|i| [at(i)[u], at(i)[v]]).collect();
    let turn = |a: usize, b: usize, c: usize| {
        let (a, b, c) = (flat[a], flat[b], flat[c]);
        (b[0] - a[0]) * (c[1] - a[1]) - (b[1] - a[1]) * (c[0] - a[0])
    };
    if (0..n).all(|i| turn(i, (i + 1) % n, (i + 2) % n) >= 0.0) {
        fan(polygon, out);
        return;
    }
    let mut left: Vec<usize> = (0..n).collect();
    while left.len() > 3 {
        let m = left.len();
        let ear = (0..m).find(|&i| {
            let (a, b, c) = (left[(i + m - 1) % m], left[i], left[(i + 1) % m]);
            turn(a, b, c) > 0.0
                && left.iter().all(|&p| {
                    p == a || p == b || p == c || turn(a, b, p) < 0.0 || turn(b, c, p) < 0.0 || turn(c, a, p) < 0.0
                })
        });
        // A polygon that crosses itself may have none; any corner then serves.
        let i = ear.unwrap_or(0);
        out.push([left[(i + m - 1) % m], left[i], left[(i + 1) % m]].map(|k| polygon[k]));
        left.remove(i);
    }
    out.push([left[0], left[1], left[2]].map(|k| polygon[k]));
}

fn fan(polygon: &[u32], out: &mut Vec<[u32; 3]>) {
    for w in polygon.get(1..).unwrap_or_default().windows(2) {
        out.push([polygon[0], w[0], w[1]]);
    }
}

/// Welds triangles given by indices, all in range, into a vertex list.
pub(super) fn weld(vertices: &[[f64; 3]], triangles: &[[u32; 3]]) -> (TriMesh, Vec<crate::mesh::Fault>) {
    TriMesh::weld_from(triangles.len(), |i| triangles[i].map(|v| vertices[v as usize]))
}
