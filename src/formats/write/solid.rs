//! Bodies on a fine grid, as a package stores them.

use std::collections::HashMap;

use super::WriteError;

/// Grid steps to the millimetre: coordinates are written to 1e-7 mm.
pub(super) const GRID_PER_MM: f64 = 1e7;

/// Coordinates beyond this would leave the grid's exact range.
pub(super) const FARTHEST_MM: f64 = 1e9;

/// A triangle body; coordinates in grid steps, vertices at one place merged, each triangle with three different ones.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) struct Solid {
    /// Vertices.
    pub(super) vertices: Vec<[i64; 3]>,
    /// Triangles, counter-clockwise from outside.
    pub(super) triangles: Vec<[u32; 3]>,
    /// Every edge is shared by exactly two triangles that run along it in opposite directions; at least four triangles.
    pub(super) sound: bool,
}

impl Solid {
    /// A body from vertices in millimetres. Triangles that vanish on the grid are left out; a closed body that is inside
    /// out, or turned so by `flip` (a mirror image), is turned right side out.
    pub(super) fn new(
        what: &str,
        vertices: impl Iterator<Item = [f64; 3]>,
        triangles: &[[u32; 3]],
        flip: bool,
    ) -> Result<Self, WriteError> {
        let mut known: HashMap<[i64; 3], u32> = HashMap::with_capacity(triangles.len() / 2 + 4);
        let mut merged = Vec::with_capacity(triangles.len() / 2 + 4);
        let mut index = Vec::with_capacity(triangles.len() / 2 + 4);
        for v in vertices {
            // A comparison that is false for NaN too.
            if !v.iter().all(|c| c.abs() <= FARTHEST_MM) {
                return Err(WriteError::TooFar { what: what.to_owned(), limit_mm: FARTHEST_MM });
            }
            let v = v.map(|c| (c * GRID_PER_MM).round() as i64);
            index.push(*known.entry(v).or_insert_with(|| {
                merged.push(v);
                (merged.len() - 1) as u32
            }));
        }
        let mut kept: Vec<[u32; 3]> = triangles
            .iter()
            .map(|t| t.map(|i| index[i as usize]))
            .filter(|[a, b, c]| a != b && b != c && c != a)
            .collect();
        if flip {
            for t in &mut kept {
                t.swap(1, 2);
            }
        }
        let mut solid = Self { vertices: merged, sound: is_closed(&kept), triangles: kept };
        if solid.sound && solid.volume_mm3() < 0.0 {
            for t in &mut solid.triangles {
                t.swap(1, 2);
            }
        }
        Ok(solid)
    }
    /// Vertices in millimetres.
    pub(super) fn vertices_mm(&self) -> impl Iterator<Item = [f64; 3]> + '_ {
        self.vertices.iter().map(|v| v.map(|c| c as f64 / GRID_PER_MM))
    }
    /// Signed volume, mm³.
    pub(super) fn volume_mm3(&self) -> f64 {
        let Some(o) = self.vertices_mm().next() else { return 0.0 };
        let mm = |i: u32| -> [f64; 3] {
            let v = self.vertices[i as usize];
            std::array::from_fn(|k| v[k] as f64 / GRID_PER_MM - o[k])
        };
        let six: f64 = self
            .triangles
            .iter()
            .map(|&[a, b, c]| {
                let (a, b, c) = (mm(a), mm(b), mm(c));
                a[0] * (b[1] * c[2] - b[2] * c[1])
                    + a[1] * (b[2] * c[0] - b[0] * c[2])
                    + a[2] * (b[0] * c[1] - b[1] * c[0])
            })
            .sum();
        six / 6.0
    }
    /// Puts the bodies into one, unchanged and unmoved.
    pub(super) fn joined(solids: impl IntoIterator<Item = Self>) -> Self {
        let mut all = Self { vertices: Vec::new(), triangles: Vec::new(), sound: true };
        for s in solids {
            let base = all.vertices.len() as u32;
            all.vertices.extend(s.vertices);
            all.triangles.extend(s.triangles.into_iter().map(|t| t.map(|i| i + base)));
            all.sound &= s.sound;
        }
        all
    }
}

/// Each directed edge once, and its opposite once.
fn is_closed(triangles: &[[u32; 3]]) -> bool {
    if triangles.len() < 4 {
        return false;
    }
    let mut edges: Vec<(u32, u32)> = triangles.iter().flat_map(|&[a, b, c]| [(a, b), (b, c), (c, a)]).collect();
    edges.sort_unstable();
    edges.windows(2).all(|w| w[0] != w[1]) && edges.iter().all(|&(a, b)| edges.binary_search(&(b, a)).is_ok())
}

#[cfg(test)]
mod tests {
    use super::*;

    const CORNERS: [[f64; 3]; 4] = [[0.0; 3], [10.0, 0.0, 0.0], [0.0, 10.0, 0.0], [0.0, 0.0, 10.0]];
    const FACES: [[u32; 3]; 4] = [[0, 2, 1], [0, 1, 3], [1, 2, 3], [2, 0, 3]];

    /// Tetrahedron with legs of 10 mm: 166.6667 mm³ (handbook).
    #[test]
    fn a_tetrahedron_is_sound_and_turned_right_side_out() {
        let t = Solid::new("t", CORNERS.into_iter(), &FACES, false).expect("writable");
        assert!(t.sound && (t.volume_mm3() - 1000.0 / 6.0).abs() < 1e-9);
        let flipped = Solid::new("t", CORNERS.into_iter(), &FACES, true).expect("writable");
        assert!(flipped.volume_mm3() > 0.0);
    }

    #[test]
    fn faults_are_seen() {
        let open = Solid::new("t", CORNERS.into_iter(), &FACES[..3], false).expect("writable");
        assert!(!open.sound);
        let twice = [FACES[0], FACES[1], FACES[2], FACES[3], FACES[3]];
        assert!(!Solid::new("t", CORNERS.into_iter(), &twice, false).expect("writable").sound);
        let far = [[0.0; 3], [2e9, 0.0, 0.0], [0.0, f64::NAN, 0.0], [0.0, 0.0, 1.0]];
        assert!(matches!(Solid::new("t", far.into_iter(), &FACES, false), Err(WriteError::TooFar { .. })));
    }

    #[test]
    fn vertices_at_one_place_are_merged_and_vanished_triangles_left_out() {
        let mut corners = CORNERS.to_vec();
        corners.push([0.0, 0.0, 10.0 + 1e-9]);
        let mut faces = FACES.to_vec();
        faces[3] = [2, 0, 4];
        faces.push([3, 4, 0]);
        let t = Solid::new("t", corners.into_iter(), &faces, false).expect("writable");
        assert!(t.sound && t.vertices.len() == 4 && t.triangles.len() == 4);
    }
}
