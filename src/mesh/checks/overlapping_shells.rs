//! Bodies that share space.

use crate::{
    geom::boolean,
    mesh::{
        Fault, FaultKind, TriMesh,
        bodies::{Bodies, parts},
        column::Columns,
        section,
        shells::Shells,
    },
};

/// More bodies than this are not looked at pair by pair.
const MOST_BODIES: usize = 500;
/// Pairs whose boxes overlap that are looked at closely.
const MOST_PAIRS: usize = 200;
/// Vertices of one body that are looked for inside the other.
const PROBES: usize = 64;
/// Heights at which the sections of two bodies are compared.
const HEIGHTS: usize = 8;

/// Pairs of bodies that share space: a vertex of one lies inside the other, or their sections overlap at one of a few
/// heights they have in common. A small overlap between these may go unnoticed; what is found is one.
pub(in crate::mesh) fn overlapping_shells(mesh: &TriMesh, shells: &Shells, bodies: &Bodies) -> Option<Fault> {
    if bodies.count < 2 || bodies.count > MOST_BODIES {
        return None;
    }
    let parts: Vec<(TriMesh, [[f64; 3]; 2])> =
        parts(mesh, shells, bodies).into_iter().filter_map(|p| p.bounds().map(|b| (p, b))).collect();
    let mut count = 0;
    let mut looked_at = 0;
    for (i, a) in parts.iter().enumerate() {
        for b in &parts[i + 1..] {
            let boxes_overlap = (0..3).all(|k| a.1[0][k] < b.1[1][k] && b.1[0][k] < a.1[1][k]);
            if boxes_overlap && looked_at < MOST_PAIRS {
                looked_at += 1;
                count += usize::from(probes(&a.0, &b.0) || probes(&b.0, &a.0) || at_heights(a, b));
            }
        }
    }
    Fault::counted(
        FaultKind::OverlappingShells,
        count,
        "1 pair of bodies overlaps; they are printed as one.",
        "pairs of bodies overlap; they are printed as one.",
    )
}

/// Some vertex of `a` inside `b`, and not merely on its surface?
fn probes(a: &TriMesh, b: &TriMesh) -> bool {
    let all: Vec<u32> = (0..b.triangles.len() as u32).collect();
    let columns = Columns::new(b, &all);
    let Some(bounds) = b.bounds() else { return false };
    let near = 1e-6 * (0..3).map(|k| bounds[1][k] - bounds[0][k]).fold(0.0, f64::max);
    a.vertices.iter().step_by(a.vertices.len().div_ceil(PROBES).max(1)).any(|&p| {
        // Slightly apart in six directions it must still be inside: a vertex on the surface is not.
        (0..6).all(|d| {
            let mut q = p;
            q[d / 2] += if d % 2 == 0 { near } else { -near };
            columns.winding(q) != 0
        })
    })
}

fn at_heights(a: &(TriMesh, [[f64; 3]; 2]), b: &(TriMesh, [[f64; 3]; 2])) -> bool {
    let (lo, hi) = (a.1[0][2].max(b.1[0][2]), a.1[1][2].min(b.1[1][2]));
    (0..HEIGHTS).any(|i| {
        let z = lo + (hi - lo) * (i as f64 + 0.5) / HEIGHTS as f64;
        let (sa, sb) = (section(&a.0, z), section(&b.0, z));
        let both = boolean::intersection(&sa, &sb);
        // Faces that touch give slivers of rounding.
        both.area() > 1e-6 * sa.area().min(sb.area())
    })
}
