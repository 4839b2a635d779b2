//! From loose triangles to shared vertices.
//!
//! Corners with exactly the same coordinates become one vertex (−0 equals 0). The corners are dealt by hash to two
//! tables that fill side by side, so two threads need no lock and the result never depends on timing.

use std::sync::atomic::{AtomicU32, Ordering::Relaxed};

use rayon::prelude::*;

use super::{Fault, FaultKind, TriMesh};

/// A number that can be a coordinate: `f32` where the file holds no more, `f64` otherwise.
pub trait Coordinate: Copy + PartialEq + Send + Sync {
    /// As f64, exact.
    fn wide(self) -> f64;
    /// −0 becomes 0.
    #[must_use]
    fn plain(self) -> Self;
    /// The bits, in a word.
    fn bits(self) -> u64;
}

impl Coordinate for f32 {
    fn wide(self) -> f64 {
        f64::from(self)
    }
    fn plain(self) -> Self {
        self + 0.0
    }
    fn bits(self) -> u64 {
        u64::from(self.to_bits())
    }
}

impl Coordinate for f64 {
    fn wide(self) -> f64 {
        self
    }
    fn plain(self) -> Self {
        self + 0.0
    }
    fn bits(self) -> u64 {
        self.to_bits()
    }
}

/// Coordinates beyond this are counted as non-finite: products of four of them still fit an f64.
const LIMIT: f64 = 1e30;
/// Triangles put together in one go.
const CHUNK: usize = 16_384;
/// Triangles below which one thread does it all.
const FEW: usize = 1024;
/// What comes of them: triangles, which of those are needles, how many non-finite and zero-area ones were dropped.
type Piece = (Vec<[u32; 3]>, Vec<u32>, [usize; 2]);
/// Corner of a triangle that was dropped.
const DROPPED: u32 = u32::MAX;

/// Open addressing from coordinates to vertex numbers.
struct Table<C> {
    /// Upper half of the hash, vertex number; `u64::MAX` is free.
    slots: Vec<u64>,
    vertices: Vec<[C; 3]>,
}

impl<C: Coordinate> Table<C> {
    fn new(expected: usize) -> Self {
        let size = (expected * 2).next_power_of_two().max(64);
        Self { slots: vec![u64::MAX; size], vertices: Vec::with_capacity(expected) }
    }

    fn number(&mut self, hash: u64, corner: [C; 3]) -> u32 {
        if self.vertices.len() * 2 >= self.slots.len() {
            self.enlarge();
        }
        let mask = self.slots.len() - 1;
        let tag = hash >> 32;
        let mut at = hash as usize & mask;
        loop {
            let slot = self.slots[at];
            if slot == u64::MAX {
                let id = self.vertices.len() as u32;
                self.slots[at] = tag << 32 | u64::from(id);
                self.vertices.push(corner);
                return id;
            }
            if slot >> 32 == tag && self.vertices[slot as u32 as usize] == corner {
                return slot as u32;
            }
            at = (at + 1) & mask;
        }
    }

    fn enlarge(&mut self) {
        let size = self.slots.len() * 2;
        self.slots.clear();
        self.slots.resize(size, u64::MAX);
        for (id, v) in self.vertices.iter().enumerate() {
            let hash = hash(v);
            let mut at = hash as usize & (size - 1);
            while self.slots[at] != u64::MAX {
                at = (at + 1) & (size - 1);
            }
            self.slots[at] = hash >> 32 << 32 | id as u64;
        }
    }
}

/// Two rounds of multiply and fold over the bits.
fn hash<C: Coordinate>(v: &[C; 3]) -> u64 {
    let fold = |a: u64, b: u64| {
        let wide = u128::from(a) * u128::from(b);
        wide as u64 ^ (wide >> 64) as u64
    };
    let [x, y, z] = v.map(C::bits);
    fold(fold(x ^ 0x9e37_79b9_7f4a_7c15, y.rotate_left(32) ^ 0xd1b5_4a32_d192_ed03) ^ z, 0xa076_1d64_78bd_642f)
}

/// A corner triple made plain, or why it is dropped.
enum Triple<C> {
    Good([[C; 3]; 3]),
    NonFinite,
    ZeroArea,
}

fn examine<C: Coordinate>(triangle: [[C; 3]; 3]) -> Triple<C> {
    let t = triangle.map(|p| p.map(C::plain));
    if t.iter().flatten().any(|c| c.wide().is_nan() || c.wide().abs() > LIMIT) {
        return Triple::NonFinite;
    }
    if t[0] == t[1] || t[1] == t[2] || t[2] == t[0] {
        return Triple::ZeroArea;
    }
    Triple::Good(t)
}

/// True when the three corners lie on a line (cross product exactly 0).
fn on_a_line<C: Coordinate>(t: &[[C; 3]; 3]) -> bool {
    let [a, b, c] = t.map(|p| p.map(C::wide));
    let (u, v) = ([b[0] - a[0], b[1] - a[1], b[2] - a[2]], [c[0] - a[0], c[1] - a[1], c[2] - a[2]]);
    u[1] * v[2] == u[2] * v[1] && u[2] * v[0] == u[0] * v[2] && u[0] * v[1] == u[1] * v[0]
}

/// Welds `count` triangles, each given by `triangle(i)`. See [`TriMesh::weld`].
pub(super) fn weld<C: Coordinate>(
    count: usize,
    triangle: impl Fn(usize) -> [[C; 3]; 3] + Sync,
) -> (TriMesh, Vec<Fault>) {
    // A file may hold a hundred thousand small meshes: what takes less time than waking a thread is done on this one.
    let alone = count < FEW;
    let dropped = |_| AtomicU32::new(DROPPED);
    let ids: Vec<AtomicU32> = if alone {
        (0..count * 3).map(dropped).collect()
    } else {
        (0..count * 3).into_par_iter().map(dropped).collect()
    };
    // The vertex number's lowest bit tells the table.
    let fill = |table_no: u64| {
        let mut table = Table::new(count / 3);
        for i in 0..count {
            if let Triple::Good(t) = examine(triangle(i)) {
                for (k, corner) in t.into_iter().enumerate() {
                    let h = hash(&corner);
                    if h >> 31 & 1 == table_no {
                        ids[i * 3 + k].store(table.number(h, corner) << 1 | table_no as u32, Relaxed);
                    }
                }
            }
        }
        table.vertices
    };
    let (even, odd) = if alone { (fill(0), fill(1)) } else { rayon::join(|| fill(0), || fill(1)) };
    let offset = even.len() as u32;

    let piece = |(chunk, ids): (usize, &[AtomicU32])| -> Piece {
        let mut kept = Vec::with_capacity(ids.len() / 3);
        let (mut needles, mut dropped) = (Vec::new(), [0, 0]);
        for (j, corner) in ids.chunks_exact(3).enumerate() {
            let i = chunk * CHUNK + j;
            match examine(triangle(i)) {
                Triple::Good(t) => {
                    if on_a_line(&t) {
                        needles.push(kept.len() as u32);
                    }
                    kept.push([0, 1, 2].map(|k: usize| {
                        let id = corner[k].load(Relaxed);
                        (id >> 1) + (id & 1) * offset
                    }));
                }
                Triple::NonFinite => dropped[0] += 1,
                Triple::ZeroArea => dropped[1] += 1,
            }
        }
        (kept, needles, dropped)
    };
    let pieces: Vec<Piece> = if alone {
        ids.chunks(CHUNK * 3).enumerate().map(piece).collect()
    } else {
        ids.par_chunks(CHUNK * 3).enumerate().map(piece).collect()
    };
    drop(ids);
    let mut triangles: Vec<[u32; 3]> = Vec::with_capacity(pieces.iter().map(|p| p.0.len()).sum());
    let mut needles = Vec::new();
    let (mut non_finite, mut zero_area) = (0, 0);
    for (kept, piece_needles, dropped) in pieces {
        needles.extend(piece_needles.iter().map(|n| n + triangles.len() as u32));
        triangles.extend_from_slice(&kept);
        non_finite += dropped[0];
        zero_area += dropped[1];
    }
    let vertices = even.iter().chain(&odd).map(|v| v.map(C::wide)).collect();
    let mut mesh = TriMesh { vertices, triangles };
    zero_area += needles.len();
    drop_loose_needles(&mut mesh, &needles);
    let faults = [super::checks::non_finite(non_finite), super::checks::zero_area(zero_area)];
    (mesh, faults.into_iter().flatten().collect())
}

/// Triangles whose three corners lie on a line have no area, but may close the surface between an edge and the two
/// halves of it. Those stay; the ones that nothing needs go.
fn drop_loose_needles(mesh: &mut TriMesh, needles: &[u32]) {
    if needles.is_empty() {
        return;
    }
    let edges = |t: [u32; 3]| [(t[0], t[1]), (t[1], t[2]), (t[2], t[0])];
    let mut is_needle = vec![false; mesh.triangles.len()];
    // How often each edge of a needle is run through by other triangles, forwards less backwards.
    let mut balance: std::collections::HashMap<(u32, u32), i64> = std::collections::HashMap::new();
    for &n in needles {
        is_needle[n as usize] = true;
        for (a, b) in edges(mesh.triangles[n as usize]) {
            balance.insert((a.min(b), a.max(b)), 0);
        }
    }
    for (t, _) in mesh.triangles.iter().zip(&is_needle).filter(|(_, needle)| !**needle) {
        for (a, b) in edges(*t) {
            if let Some(n) = balance.get_mut(&(a.min(b), a.max(b))) {
                *n += if a < b { 1 } else { -1 };
            }
        }
    }
    let mut at = 0;
    mesh.triangles.retain(|&t| {
        let needle = is_needle[at];
        at += 1;
        !needle || edges(t).iter().any(|&(a, b)| balance.get(&(a.min(b), a.max(b))).is_some_and(|&n| n != 0))
    });
    mesh.drop_unused_vertices();
}

impl TriMesh {
    /// Welds a soup of triangles: corners with exactly the same coordinates become one vertex (−0 equals 0).
    ///
    /// Dropped and counted as faults: triangles with a coordinate that is not finite or beyond 1e30, and triangles
    /// without area, save those with three different corners on one line that the surface needs to be closed.
    pub fn weld(soup: &[[[f64; 3]; 3]]) -> (Self, Vec<Fault>) {
        weld(soup.len(), |i| soup[i])
    }
    /// As [`TriMesh::weld`], the triangles given by a function, as `f32` where the source holds no more.
    /// At most 700 million triangles.
    pub fn weld_from<C: Coordinate>(
        count: usize,
        triangle: impl Fn(usize) -> [[C; 3]; 3] + Sync,
    ) -> (Self, Vec<Fault>) {
        weld(count, triangle)
    }
}

/// Faults of the same kind put together, in the order of [`FaultKind`]: counts add up, the first text stays unless
/// `FaultKind` has a counted sentence of its own.
#[must_use]
pub(super) fn merged(mut faults: Vec<Fault>) -> Vec<Fault> {
    faults.sort_by_key(|f| f.kind);
    let mut out: Vec<Fault> = Vec::with_capacity(faults.len());
    for f in faults {
        match out.last_mut() {
            Some(last) if last.kind == f.kind => {
                let count = last.count + f.count;
                *last = match f.kind {
                    FaultKind::NonFinite => super::checks::non_finite(count),
                    FaultKind::ZeroArea => super::checks::zero_area(count),
                    _ => None,
                }
                .unwrap_or_else(|| Fault::new(f.kind, count, format!("{} {}", last.text, f.text)));
            }
            _ => out.push(f),
        }
    }
    out
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::mesh::{
        report,
        shapes::{block, soup, sphere},
    };

    fn counts(faults: &[Fault]) -> Vec<(FaultKind, usize)> {
        faults.iter().map(|f| (f.kind, f.count)).collect()
    }

    #[test]
    fn a_box_has_eight_vertices() {
        let (mesh, faults) = TriMesh::weld(&soup(&block([0.0; 3], [1.0, 2.0, 3.0])));
        assert_eq!((mesh.vertices.len(), mesh.triangles.len(), faults.len()), (8, 12, 0));
        assert!(report(&mesh).watertight);
    }

    #[test]
    fn welding_again_changes_nothing_but_numbers() {
        let ball = sphere(10.0, 60, 80);
        let (again, faults) = TriMesh::weld(&soup(&ball));
        assert!(faults.is_empty());
        assert_eq!(again.vertices.len(), ball.vertices.len());
        assert_eq!(soup(&again), soup(&ball));
        // 60 rings of 80: 59 circles of vertices and two poles.
        assert_eq!(again.vertices.len(), 59 * 80 + 2);
    }

    #[test]
    fn f32_corners_weld_like_their_f64_values() {
        let ball = soup(&sphere(10.0, 30, 40));
        let narrow: Vec<[[f32; 3]; 3]> = ball.iter().map(|t| t.map(|p| p.map(|c| c as f32))).collect();
        let wide: Vec<[[f64; 3]; 3]> = narrow.iter().map(|t| t.map(|p| p.map(f64::from))).collect();
        let a = TriMesh::weld_from(narrow.len(), |i| narrow[i]).0;
        let b = TriMesh::weld(&wide).0;
        assert_eq!((a.vertices.len(), soup(&a)), (b.vertices.len(), soup(&b)));
    }

    #[test]
    fn minus_zero_is_zero() {
        let (mesh, _) = TriMesh::weld(&[
            [[0.0, 0.0, 0.0], [1.0, 0.0, 0.0], [0.0, 1.0, 0.0]],
            [[-0.0, -0.0, 0.0], [0.0, 1.0, -0.0], [-1.0, 0.0, 0.0]],
        ]);
        assert_eq!(mesh.vertices.len(), 4);
    }

    #[test]
    fn useless_triangles_are_dropped_and_counted() {
        let mut triangles = soup(&block([0.0; 3], [1.0, 1.0, 1.0]));
        triangles.push([[f64::NAN, 0.0, 0.0], [9.0, 0.0, 0.0], [0.0, 9.0, 0.0]]);
        triangles.push([[f64::INFINITY, 0.0, 0.0], [9.0, 0.0, 0.0], [0.0, 9.0, 0.0]]);
        triangles.push([[1e31, 0.0, 0.0], [9.0, 0.0, 0.0], [0.0, 9.0, 0.0]]);
        triangles.push([[9.0, 0.0, 0.0], [9.0, 0.0, 0.0], [0.0, 9.0, 0.0]]);
        triangles.push([[5.0, 0.0, 0.0], [6.0, 0.0, 0.0], [7.0, 0.0, 0.0]]);
        let (mesh, faults) = TriMesh::weld(&triangles);
        assert_eq!((mesh.vertices.len(), mesh.triangles.len()), (8, 12));
        assert_eq!(counts(&faults), [(FaultKind::NonFinite, 3), (FaultKind::ZeroArea, 2)]);
    }

    /// A square whose one side has a point in the middle on one half only: the needle between closes the surface.
    #[test]
    fn a_needle_that_closes_the_surface_stays() {
        let (a, b, c, d, m) = ([0.0; 3], [2.0, 0.0, 0.0], [0.0, 2.0, 0.0], [0.0, -2.0, 0.0], [1.0, 0.0, 0.0]);
        let (mesh, faults) = TriMesh::weld(&[[a, b, c], [a, d, m], [m, d, b], [a, m, b]]);
        assert_eq!(mesh.triangles.len(), 4);
        assert_eq!(counts(&faults), [(FaultKind::ZeroArea, 1)]);
        // Only the outer four edges are open.
        assert_eq!(report(&mesh).open_edges, 4);
    }

    #[test]
    fn faults_of_a_kind_are_merged() {
        let zero = |n| Fault::new(FaultKind::ZeroArea, n, "x");
        let all = merged(vec![zero(1), Fault::new(FaultKind::OpenEdge, 2, "open"), zero(2)]);
        assert_eq!(counts(&all), [(FaultKind::OpenEdge, 2), (FaultKind::ZeroArea, 3)]);
        assert_eq!(all[1].text, "3 triangles have no area and add nothing.");
    }
}
