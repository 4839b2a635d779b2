//! Polygons into triangles.

use crate::mesh::TriMesh;

/// Corners looked at for all faces of a file. A simple polygon takes about as many for each of its corners as it has inward ones: a face
/// of 10 000 corners some 25 million, so files of real parts stay far below. Faces that cross themselves could take the square of that.
pub(super) const MOST_TRIES: usize = 1_000_000_000;

/// Cuts a polygon (vertex indices, as a loop in space) into triangles of the same facing: as a fan where it is convex,
/// else by cutting off ears in the plane it comes closest to. Source of the plane: Newell's normal.
///
/// Looks at `tries` corners at most and takes those it looked at off that number, so that a hostile file costs no more than its share.
/// False where the polygon crosses itself, or the tries ran out: its triangles then use each corner, but what they cover is a guess.
pub(super) fn triangulate(vertices: &[[f64; 3]], polygon: &[u32], tries: &mut usize, out: &mut Vec<[u32; 3]>) -> bool {
    let n = polygon.len();
    if n <= 3 {
        fan(polygon, out);
        return true;
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
    let (cut, simple) = cut_ears(&flat, tries);
    out.extend(cut.iter().map(|t| t.map(|k| polygon[k])));
    simple
}

/// Cuts ears off a polygon in the plane, as corners' numbers; looks at `tries` corners for it at the most. False where it found no ear.
fn cut_ears(flat: &[[f64; 2]], tries: &mut usize) -> (Vec<[usize; 3]>, bool) {
    let n = flat.len();
    let mut out = Vec::with_capacity(n - 2);
    let turn = |a: usize, b: usize, c: usize| {
        let (a, b, c) = (flat[a], flat[b], flat[c]);
        (b[0] - a[0]) * (c[1] - a[1]) - (b[1] - a[1]) * (c[0] - a[0])
    };
    let mut left: Vec<usize> = (0..n).collect();
    let turn_at = |i: usize| turn((i + n - 1) % n, i, (i + 1) % n);
    if left.iter().all(|&i| turn_at(i) >= 0.0) {
        fan(&left, &mut out);
        let flat_out = left.iter().all(|&i| turn_at(i) == 0.0);
        return (out, flat_out || turns(flat) < 1.5);
    }
    // Where any corner lies in a would-be ear, one that does not turn outward does.
    let mut inward: Vec<usize> = left.iter().copied().filter(|&i| turn_at(i) <= 0.0).collect();
    let mut from = 0;
    let mut simple = true;
    while left.len() > 3 && *tries > 0 {
        let m = left.len();
        let around = |i: usize| [left[(i + m - 1) % m], left[i % m], left[(i + 1) % m]];
        let ear = (from..from + m).find(|&i| {
            let [a, b, c] = around(i);
            *tries = tries.saturating_sub(1);
            *tries > 0
                && turn(a, b, c) > 0.0
                && inward.iter().all(|&p| {
                    *tries = tries.saturating_sub(1);
                    p == a || p == b || p == c || turn(a, b, p) < 0.0 || turn(b, c, p) < 0.0 || turn(c, a, p) < 0.0
                })
        });
        // A corner on a straight edge covers nothing and may go wherever no ear is left; one that is not straight shows a polygon that
        // crosses itself: it may have no ear, and any corner then serves.
        let straight = || {
            (0..m).find(|&i| {
                let [a, b, c] = around(i);
                turn(a, b, c) == 0.0
            })
        };
        let i = ear.map(|i| i % m).or_else(straight).unwrap_or_else(|| {
            simple = false;
            from % m
        });
        out.push(around(i));
        if let Ok(k) = inward.binary_search(&left[i]) {
            inward.remove(k);
        }
        left.remove(i);
        // On with the corner before it: to start over each time would cost the square.
        from = (i + m - 2) % (m - 1);
    }
    simple &= left.len() == 3;
    // What is left of a simple polygon faces the same way.
    simple &= left.len() != 3 || turn(left[0], left[1], left[2]) >= 0.0;
    fan(&left, &mut out);
    (out, simple)
}

/// How many times a polygon without inward corners goes round.
fn turns(flat: &[[f64; 2]]) -> f64 {
    let n = flat.len();
    let leg = |i: usize| {
        let (a, b) = (flat[i % n], flat[(i + 1) % n]);
        [b[0] - a[0], b[1] - a[1]]
    };
    let angle = |i: usize| {
        let (a, b) = (leg(i), leg(i + 1));
        f64::atan2(a[0] * b[1] - a[1] * b[0], a[0] * b[0] + a[1] * b[1])
    };
    (0..n).map(angle).sum::<f64>() / std::f64::consts::TAU
}

fn fan<T: Copy>(polygon: &[T], out: &mut Vec<[T; 3]>) {
    for w in polygon.get(1..).unwrap_or_default().windows(2) {
        out.push([polygon[0], w[0], w[1]]);
    }
}

/// Welds triangles given by indices, all in range, into a vertex list.
pub(super) fn weld(vertices: &[[f64; 3]], triangles: &[[u32; 3]]) -> (TriMesh, Vec<crate::mesh::Fault>) {
    TriMesh::weld_from(triangles.len(), |i| triangles[i].map(|v| vertices[v as usize]))
}

#[cfg(test)]
mod tests {
    use super::*;

    /// The areas of the triangles.
    fn areas(flat: &[[f64; 2]], triangles: &[[usize; 3]]) -> Vec<f64> {
        let area = |t: &[usize; 3]| {
            let [a, b, c] = t.map(|i| flat[i]);
            ((b[0] - a[0]) * (c[1] - a[1]) - (b[1] - a[1]) * (c[0] - a[0])) / 2.0
        };
        triangles.iter().map(area).collect()
    }

    /// By hand: teeth of 1 × 8 on a back that is 1 high, 2 wide a tooth at its foot and half a unit narrower on either side at its top.
    #[test]
    fn a_comb_is_cut_into_triangles_of_one_facing() {
        let teeth = 400;
        let mut comb = vec![[0.0, 0.0], [2.0 * f64::from(teeth), 0.0]];
        for i in (0..teeth).rev() {
            let x = 2.0 * f64::from(i);
            comb.extend([[x + 1.5, 1.0], [x + 1.5, 9.0], [x + 0.5, 9.0], [x + 0.5, 1.0]]);
        }
        let mut tries = MOST_TRIES;
        let (cut, simple) = cut_ears(&comb, &mut tries);
        assert!(simple);
        let all = areas(&comb, &cut);
        assert_eq!(cut.len(), comb.len() - 2);
        assert!(all.iter().all(|a| *a >= 0.0), "one faces the other way");
        assert!((all.iter().sum::<f64>() - (10.0 * f64::from(teeth) - 0.5)).abs() < 1e-6);
    }

    /// A star-shaped outline of 10 000 corners, every other one inward: area by the shoelace formula.
    #[test]
    fn a_face_of_ten_thousand_corners_keeps_its_area() {
        let n = 10_000;
        let corner = |i: usize| {
            let (s, c) = (std::f64::consts::TAU * i as f64 / n as f64).sin_cos();
            let r = if i.is_multiple_of(2) { 40.0 } else { 39.0 };
            [r * c, r * s]
        };
        let flat: Vec<[f64; 2]> = (0..n).map(corner).collect();
        let shoelace: f64 = (0..n).map(|i| flat[i][0] * flat[(i + 1) % n][1] - flat[i][1] * flat[(i + 1) % n][0]).sum();
        let mut tries = MOST_TRIES;
        let (cut, simple) = cut_ears(&flat, &mut tries);
        let all = areas(&flat, &cut);
        assert!(simple && all.iter().all(|a| *a >= 0.0));
        assert!((all.iter().sum::<f64>() - shoelace / 2.0).abs() < 1e-6);
        assert!(MOST_TRIES - tries < MOST_TRIES / 10, "{}", MOST_TRIES - tries);
    }

    /// A star drawn in one go, and a path that jumps about: the work stays within its bound, and what comes of it uses each corner.
    #[test]
    fn polygons_that_cross_themselves_cost_no_more_than_their_share() {
        let n = 2_000;
        let on_circle = |i: usize| {
            let (s, c) = (std::f64::consts::TAU * i as f64 / n as f64).sin_cos();
            [c, s]
        };
        let star: Vec<[f64; 2]> = (0..n).map(|i| on_circle(i * 999 % n)).collect();
        let jumping: Vec<[f64; 2]> = (0..n).map(|i| [(i * 7919 % n) as f64, (i * i * 31 % n) as f64]).collect();
        for flat in [star, jumping] {
            let mut tries = 8_000_000;
            let (cut, simple) = cut_ears(&flat, &mut tries);
            assert!(!simple && cut.len() == n - 2);
            let mut used = vec![false; n];
            cut.iter().flatten().for_each(|&i| used[i] = true);
            assert!(used.iter().all(|u| *u));
        }
        // Without tries left it is a fan at once.
        let dent = [[0.0, 0.0], [4.0, 0.0], [4.0, 4.0], [2.0, 1.0], [0.0, 4.0]];
        assert_eq!(cut_ears(&dent, &mut 0), (vec![[0, 1, 2], [0, 2, 3], [0, 3, 4]], false));
        assert!(cut_ears(&dent, &mut 1000).1);
        // A bow tie; an edge with a corner in its middle is none.
        assert!(!cut_ears(&[[0.0, 0.0], [4.0, 4.0], [4.0, 0.0], [0.0, 4.0]], &mut 1000).1);
        assert!(cut_ears(&[[0.0, 0.0], [2.0, 0.0], [4.0, 0.0], [4.0, 4.0], [2.0, 1.0], [0.0, 4.0]], &mut 1000).1);
    }
}
