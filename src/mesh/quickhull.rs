//! Convex hull in space, within a tolerance.

use super::trimesh::{bounds_of, cross, dot, sub};

/// One face of the hull.
pub(super) struct Face {
    /// Indices of the points, counter-clockwise from outside.
    pub(super) corners: [usize; 3],
    /// Unit normal out of the hull; zero where the corners lie on a line.
    pub(super) normal: [f64; 3],
    /// Area.
    pub(super) area: f64,
    offset: f64,
    /// Neighbours over the edges from corner 0, 1, 2.
    neighbours: [usize; 3],
    /// Points farther out than the tolerance.
    outside: Vec<usize>,
    alive: bool,
}

/// Most faces built; the hull of what was seen until then is returned.
const MOST_FACES: usize = 400_000;

impl Face {
    fn new(points: &[[f64; 3]], corners: [usize; 3]) -> Self {
        let [a, b, c] = corners.map(|i| points[i]);
        let n = cross(sub(b, a), sub(c, a));
        let length = dot(n, n).sqrt();
        let normal = if length > 0.0 { n.map(|v| v / length) } else { [0.0; 3] };
        Self {
            corners,
            normal,
            area: length / 2.0,
            offset: dot(normal, a),
            neighbours: [usize::MAX; 3],
            outside: Vec::new(),
            alive: true,
        }
    }
    fn height(&self, p: [f64; 3]) -> f64 {
        dot(self.normal, p) - self.offset
    }
}

/// Faces of a hull that no point exceeds by more than `tolerance` (rounding aside). Quickhull (Barber, Dobkin, Huhdanpaa
/// 1996) that stops at the tolerance, so a finely meshed sphere costs no more than a coarse one. Flat input gives the two
/// sides of a triangle in its plane; input on a line or a point gives nothing.
pub(super) fn faces(points: &[[f64; 3]], tolerance: f64) -> Vec<Face> {
    let Some(first) = first_tetrahedron(points, tolerance) else { return Vec::new() };
    let (mut faces, flat) = first;
    if flat {
        return faces;
    }
    let all: Vec<usize> = (0..points.len()).collect();
    let first_faces: Vec<usize> = (0..faces.len()).collect();
    hand_out(points, &mut faces, &first_faces, all, tolerance);
    let mut waiting: Vec<usize> = (0..faces.len()).collect();
    while let Some(f) = waiting.pop() {
        if !faces[f].alive || faces[f].outside.is_empty() {
            continue;
        }
        if faces.len() > MOST_FACES {
            break;
        }
        let far = faces[f]
            .outside
            .iter()
            .copied()
            .max_by(|&a, &b| faces[f].height(points[a]).total_cmp(&faces[f].height(points[b])).then(b.cmp(&a)));
        let Some(far) = far else { continue };
        let p = points[far];
        // Faces that see the point, and the edges round them.
        let mut seeing = vec![f];
        faces[f].alive = false;
        let mut horizon: Vec<(usize, usize, usize)> = Vec::new();
        let mut next = 0;
        while next < seeing.len() {
            let g = seeing[next];
            next += 1;
            for k in 0..3 {
                let n = faces[g].neighbours[k];
                if !faces[n].alive {
                    continue;
                }
                if faces[n].height(p) > tolerance * 1e-3 {
                    faces[n].alive = false;
                    seeing.push(n);
                } else {
                    horizon.push((faces[g].corners[k], faces[g].corners[(k + 1) % 3], n));
                }
            }
        }
        if let Some(ring) = in_order(&horizon) {
            let base = faces.len();
            for (i, &(a, b, n)) in ring.iter().enumerate() {
                let mut face = Face::new(points, [a, b, far]);
                face.neighbours = [n, base + (i + 1) % ring.len(), base + (i + ring.len() - 1) % ring.len()];
                faces.push(face);
                let back = (0..3).find(|&k| faces[n].corners[k] == b && faces[n].corners[(k + 1) % 3] == a);
                if let Some(k) = back {
                    faces[n].neighbours[k] = base + i;
                }
            }
            let mut orphans: Vec<usize> = Vec::new();
            for g in seeing {
                orphans.append(&mut faces[g].outside);
            }
            orphans.sort_unstable();
            orphans.retain(|&o| o != far);
            let fresh: Vec<usize> = (base..faces.len()).collect();
            hand_out(points, &mut faces, &fresh, orphans, tolerance);
            waiting.extend(fresh);
        } else {
            // Rounding left no clean ring: the point is as good as inside.
            for g in seeing {
                faces[g].alive = true;
            }
            faces[f].outside.retain(|&o| o != far);
            waiting.push(f);
        }
    }
    faces.retain(|f| f.alive);
    faces
}

/// Horizon edges as one closed ring, `None` where they are not.
fn in_order(horizon: &[(usize, usize, usize)]) -> Option<Vec<(usize, usize, usize)>> {
    let mut by_start: Vec<(usize, usize, usize)> = horizon.to_vec();
    by_start.sort_unstable();
    if by_start.len() < 3 || by_start.windows(2).any(|w| w[0].0 == w[1].0) {
        return None;
    }
    let mut ring = vec![by_start[0]];
    while ring.len() < by_start.len() {
        let end = ring[ring.len() - 1].1;
        if end == ring[0].0 {
            return None;
        }
        let at = by_start.binary_search_by_key(&end, |e| e.0).ok()?;
        ring.push(by_start[at]);
    }
    (ring[ring.len() - 1].1 == ring[0].0).then_some(ring)
}

/// Gives each point to the first face it is outside of.
fn hand_out(points: &[[f64; 3]], faces: &mut [Face], to: &[usize], who: Vec<usize>, tolerance: f64) {
    for p in who {
        if let Some(&f) = to.iter().find(|&&f| faces[f].height(points[p]) > tolerance) {
            faces[f].outside.push(p);
        }
    }
}

/// Four points far apart as a tetrahedron, or (true) the two sides of a triangle where all lie in a plane.
fn first_tetrahedron(points: &[[f64; 3]], tolerance: f64) -> Option<(Vec<Face>, bool)> {
    let b = bounds_of(points.iter().copied());
    let axis = (0..3).max_by(|&i, &j| (b[1][i] - b[0][i]).total_cmp(&(b[1][j] - b[0][j])))?;
    let greatest = |measure: &dyn Fn([f64; 3]) -> f64| {
        (0..points.len()).max_by(|&i, &j| measure(points[i]).total_cmp(&measure(points[j])).then(j.cmp(&i)))
    };
    let low = greatest(&|p| -p[axis])?;
    let high = greatest(&|p| p[axis])?;
    let along = sub(points[high], points[low]);
    let span = dot(along, along).sqrt();
    if span.is_nan() || span <= tolerance {
        return None;
    }
    let aside = |p: [f64; 3]| {
        let c = cross(along, sub(p, points[low]));
        dot(c, c).sqrt() / span
    };
    let third = greatest(&aside)?;
    if aside(points[third]) <= tolerance {
        return None;
    }
    let base = Face::new(points, [low, high, third]);
    let top = greatest(&|p| base.height(p).abs())?;
    let height = base.height(points[top]);
    if height.abs() <= tolerance {
        return Some((vec![Face::new(points, [low, high, third]), Face::new(points, [high, low, third])], true));
    }
    // The base is seen from the side away from the top.
    let [x, y, z] = if height > 0.0 { [high, low, third] } else { [low, high, third] };
    let corners = [[x, y, z], [y, x, top], [z, y, top], [x, z, top]];
    let mut faces: Vec<Face> = corners.iter().map(|&c| Face::new(points, c)).collect();
    faces[0].neighbours = [1, 2, 3];
    faces[1].neighbours = [0, 3, 2];
    faces[2].neighbours = [0, 1, 3];
    faces[3].neighbours = [0, 2, 1];
    Some((faces, false))
}
