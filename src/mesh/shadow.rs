//! The outline of all heights from above.

use rayon::prelude::*;

use super::{Edges, TriMesh};
use crate::geom::{Point, Polygon, Region, boolean};

/// Border edges up to which all are filled in one go, whatever the mesh is like.
const MOST_LOOSE: usize = 3000;
/// A triangle narrower than this share of the mesh's size is seen from its edge. A pose rounds to about 1e-16 of it.
const ROUNDING: f64 = 1e-13;
/// Border edges up to which nobody asks how often they cross.
const FEW_EDGES: usize = 200;
/// Crossings of border edges, as estimated, up to which all are filled in one go.
const MOST_CROSSINGS: f64 = 100_000.0;
/// Pairs of edges looked at for that, and how many of them must cross before it counts.
const PAIRS: usize = 20_000;
const LEAST_HITS: usize = 8;
/// Holes above which only the largest are kept: a heap of needles has as many as there are pairs of them.
const MOST_HOLES: usize = 20_000;
const KEPT_HOLES: usize = 5000;
/// Triangles and regions united in one go.
const FEW_TRIANGLES: usize = 64;
const FEW_REGIONS: usize = 4;

/// The shadow of a mesh: the union of all its triangles seen from above.
///
/// Every triangle that is not vertical is turned counter-clockwise in plan. What then covers a point covers it with a
/// positive winding number, and of the triangles' borders only the edges whose uses do not cancel are left: on a
/// closed mesh the silhouette. These edges form closed loops (each vertex has as many coming in as going out), which
/// are filled by the non-zero rule. Right for open meshes, repeated triangles and bodies that overlap, too.
///
/// Exact to rounding: about 1e-12 of the size of the mesh. Where it would have tens of thousands of holes (needles across each other, a
/// damaged file), the small ones are filled.
pub fn shadow(mesh: &TriMesh) -> Region {
    shadow_with(mesh, &Edges::of(mesh))
}

/// As [`shadow`], with the mesh's edge table (that of the unposed mesh serves as well).
pub fn shadow_with(mesh: &TriMesh, edges: &Edges) -> Region {
    // Seen from above: counter-clockwise 1, clockwise −1, upright 0. What is upright but for the rounding of a pose counts as upright:
    // its edges would lie all but on each other, twice and three times over.
    let size = mesh.bounds().map_or(0.0, |b| b.iter().flatten().fold(0.0, |m: f64, c| m.max(c.abs())));
    let rounding = size * ROUNDING;
    let facing: Vec<i8> = mesh
        .triangles
        .par_iter()
        .map(|t| {
            let [a, b, c] = t.map(|v| mesh.vertices[v as usize]);
            let twice = (b[0] - a[0]) * (c[1] - a[1]) - (b[1] - a[1]) * (c[0] - a[0]);
            let longest =
                [(a, b), (b, c), (c, a)].map(|(p, q)| (q[0] - p[0]).hypot(q[1] - p[1])).into_iter().fold(0.0, f64::max);
            let upright = twice.abs() <= longest * rounding;
            if upright { 0 } else { i8::from(twice > 0.0) - i8::from(twice < 0.0) }
        })
        .collect();
    let border: Vec<(u32, u32)> = edges
        .fold(|left: &mut Vec<(u32, u32)>, a, b, uses| {
            let sum: i32 = uses.iter().map(|u| u.direction() * i32::from(facing[u.triangle()])).sum();
            let edge = if sum > 0 { (a, b) } else { (b, a) };
            left.extend(std::iter::repeat_n(edge, sum.unsigned_abs() as usize));
        })
        .concat();
    let at = |v: u32| {
        let p = mesh.vertices[v as usize];
        Point::new(p[0], p[1])
    };
    let loose = border.len() > MOST_LOOSE && border.len() > mesh.triangles.len();
    if loose || crossings(&border, &at) > MOST_CROSSINGS {
        return little_by_little(mesh);
    }
    let loops: Vec<Vec<Point>> = loops_of(border).into_iter().map(|l| l.into_iter().map(at).collect()).collect();
    boolean::non_zero(&loops)
}

/// How often border edges cross, estimated from some pairs; 0 where that is too seldom to tell.
fn crossings(border: &[(u32, u32)], at: &impl Fn(u32) -> Point) -> f64 {
    let n = border.len();
    if n <= FEW_EDGES {
        return 0.0;
    }
    let cross = |i: usize, j: usize| {
        let ((a, b), (c, d)) = (border[i], border[j]);
        let (a, b, c, d) = (at(a), at(b), at(c), at(d));
        let sides = |p: Point, q: Point, r: Point, s: Point| (q - p).cross(r - p) * (q - p).cross(s - p);
        i != j && sides(a, b, c, d) < 0.0 && sides(c, d, a, b) < 0.0
    };
    // The same pairs every time. Source of the step: Knuth, The art of computer programming 6.4 (golden section), from memory.
    let number = |k: usize| ((k as u64).wrapping_mul(0x9e37_79b9_7f4a_7c15) >> 32) as usize % n;
    let hits = (0..PAIRS).filter(|k| cross(number(2 * k), number(2 * k + 1))).count();
    if hits < LEAST_HITS { 0.0 } else { hits as f64 / PAIRS as f64 * (n as f64 * (n - 1) as f64 / 2.0) }
}

/// Without its small holes, where there are thousands.
fn with_few_holes(mut region: Region) -> Region {
    let mut sizes: Vec<f64> = region.polygons.iter().flat_map(|p| &p.holes).map(|h| loop_area(h).abs()).collect();
    if sizes.len() > MOST_HOLES {
        sizes.sort_unstable_by(|a, b| b.total_cmp(a));
        let least = sizes[KEPT_HOLES];
        for p in &mut region.polygons {
            p.holes.retain(|h| loop_area(h).abs() > least);
        }
    }
    region
}

/// Signed area of a loop.
fn loop_area(l: &[Point]) -> f64 {
    Polygon { outer: l.to_vec(), holes: Vec::new() }.area()
}

/// The same of loose triangles that share next to no edge. In one go their borders may cross as often as there are
/// pairs; what a few of them make together has a short border.
fn little_by_little(mesh: &TriMesh) -> Region {
    let plan = |t: &[u32; 3]| t.map(|v| mesh.vertices[v as usize]).map(|p| Point::new(p[0], p[1]));
    // Neighbours first: strips across, each in its own order.
    let bounds = mesh.bounds().unwrap_or_default();
    let strips = (mesh.triangles.len() as f64 / FEW_TRIANGLES as f64).sqrt().max(1.0);
    let strip = (bounds[1][1] - bounds[0][1]).max(f64::MIN_POSITIVE) / strips;
    let mut keyed: Vec<(i64, f64, u32)> = (0..mesh.triangles.len())
        .map(|i| {
            let [a, b, c] = plan(&mesh.triangles[i]);
            let middle = (a + b + c) * (1.0 / 3.0);
            (((middle.y - bounds[0][1]) / strip) as i64, middle.x, i as u32)
        })
        .collect();
    keyed.sort_by(|a, b| a.0.cmp(&b.0).then(a.1.total_cmp(&b.1)).then(a.2.cmp(&b.2)));
    let mut regions: Vec<Region> = keyed
        .par_chunks(FEW_TRIANGLES)
        .map(|few| {
            let loops: Vec<Vec<Point>> =
                few.iter().map(|k| Polygon::simple(plan(&mesh.triangles[k.2 as usize]).to_vec()).outer).collect();
            boolean::non_zero(&loops)
        })
        .collect();
    while regions.len() > 1 {
        regions = regions.par_chunks(FEW_REGIONS).map(|few| with_few_holes(boolean::union(few))).collect();
    }
    regions.pop().unwrap_or_default()
}

/// Links directed edges into loops. Every vertex must have as many edges coming in as going out.
fn loops_of(mut border: Vec<(u32, u32)>) -> Vec<Vec<u32>> {
    border.sort_unstable();
    // For each distinct start, where its edges begin and how many are spent.
    let mut starts: Vec<(u32, usize, usize)> = Vec::new();
    for (i, &(from, _)) in border.iter().enumerate() {
        match starts.last_mut() {
            Some(s) if s.0 == from => s.2 = i + 1,
            _ => starts.push((from, i, i + 1)),
        }
    }
    let mut loops = Vec::new();
    for seed in 0..starts.len() {
        loop {
            let mut walk = Vec::new();
            let mut at = seed;
            loop {
                let (from, next, end) = starts[at];
                if next == end {
                    break;
                }
                starts[at].1 += 1;
                walk.push(from);
                let to = border[next].1;
                match starts.binary_search_by_key(&to, |s| s.0) {
                    Ok(found) => at = found,
                    Err(_) => break,
                }
                if at == seed {
                    break;
                }
            }
            if walk.is_empty() {
                break;
            }
            if walk.len() > 2 {
                loops.push(walk);
            }
        }
    }
    loops
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::{
        geom::Polygon,
        mesh::shapes::{block, moved, prism, soup, sphere, star, tilted, together, torus},
    };

    /// The referee: every triangle in plan, put counter-clockwise, united by the non-zero rule.
    fn slow(mesh: &TriMesh) -> Region {
        let loops: Vec<Vec<Point>> = soup(mesh)
            .iter()
            .map(|t| Polygon::simple(t.iter().map(|p| Point::new(p[0], p[1])).collect()).outer)
            .collect();
        boolean::non_zero(&loops)
    }

    fn check(mesh: &TriMesh) -> Region {
        let (fast, slow) = (shadow(mesh), slow(mesh));
        let apart = boolean::symmetric_difference(&fast, &slow).area();
        assert!(apart <= 1e-9 * slow.area().max(1.0), "apart by {apart} of {}", slow.area());
        assert!((fast.area() - slow.area()).abs() <= 1e-9 * slow.area().max(1.0));
        fast
    }

    #[test]
    fn blocks() {
        let b = block([1.0, 2.0, 3.0], [20.0, 10.0, 5.0]);
        assert_eq!(check(&b).area(), 200.0);
        check(&tilted(&b, 0.3, 0.7));
        check(&tilted(&b, std::f64::consts::FRAC_PI_2, 0.2));
    }

    #[test]
    fn a_torus_flat_and_tilted() {
        let ring = torus(20.0, 5.0, 60, 90);
        let flat = check(&ring);
        assert_eq!((flat.polygons.len(), flat.polygons[0].holes.len()), (1, 1));
        check(&tilted(&ring, 0.5, 0.2));
        let steep = check(&tilted(&ring, 1.4, 0.1));
        assert_eq!(steep.polygons[0].holes.len(), 0);
    }

    #[test]
    fn loose_triangles_are_united_little_by_little() {
        let ball = soup(&tilted(&torus(20.0, 5.0, 40, 30), 0.7, 0.2));
        // Every second triangle, its corners its own: no edge is shared.
        let loose: Vec<_> = ball.into_iter().step_by(2).collect();
        let mut mesh = TriMesh::default();
        for t in &loose {
            let first = mesh.vertices.len() as u32;
            mesh.vertices.extend(t);
            mesh.triangles.push([first, first + 1, first + 2]);
        }
        assert!(mesh.triangles.len() * 3 > MOST_LOOSE);
        check(&mesh);
    }

    /// Boxes, each tilted otherwise, all over one another: closed, so that few of their edges are loose, and every silhouette crosses
    /// every other.
    #[test]
    fn a_heap_of_bodies_is_united_little_by_little() {
        let bar = block([-20.0, -1.0, -0.2], [40.0, 2.0, 0.4]);
        let bars: Vec<TriMesh> = (0..350)
            .map(|i| {
                let turn = f64::from(i) * 0.37;
                let (s, c) = turn.sin_cos();
                let turned = bar.posed(&[[c, s, 0.0], [-s, c, 0.0], [0.0, 0.0, 1.0]]).0;
                moved(&turned, [(turn * 3.0).sin() * 9.0, (turn * 5.0).cos() * 9.0, f64::from(i)])
            })
            .collect();
        let heap = bars.iter().fold(TriMesh::default(), |all, b| together(&all, b));
        let border: Vec<(u32, u32)> = Edges::of(&heap).fold(|b: &mut Vec<(u32, u32)>, p, q, _| b.push((p, q))).concat();
        let at = |v: u32| Point::new(heap.vertices[v as usize][0], heap.vertices[v as usize][1]);
        let estimated = crossings(&border, &at);
        assert!(estimated > MOST_CROSSINGS, "{estimated}");
        // One after the other: no bar has anything to cross but what is there already.
        let one_by_one = bars.iter().fold(Region::EMPTY, |all, b| boolean::union([&all, &shadow(b)]));
        let all = shadow(&heap);
        let apart = boolean::symmetric_difference(&all, &with_few_holes(one_by_one)).area();
        assert!(apart < 1e-6, "apart by {apart} of {}", all.area());
        // A ball's edges touch and do not cross; as many rings of it do nothing either.
        let ball = sphere(10.0, 40, 60);
        let of_ball: Vec<(u32, u32)> =
            Edges::of(&ball).fold(|b: &mut Vec<(u32, u32)>, p, q, _| b.push((p, q))).concat();
        let top = |v: u32| Point::new(ball.vertices[v as usize][0], ball.vertices[v as usize][1]);
        assert_eq!(crossings(&of_ball[..of_ball.len() / 2], &top), 0.0);
    }

    /// Needles across each other leave a hole for every pair of pairs: the large ones stay.
    #[test]
    fn of_very_many_holes_the_large_ones_stay() {
        let mut grate = Polygon::rectangle(crate::geom::Bounds::new(Point::default(), Point::new(1000.0, 1000.0)));
        let hole = |x: f64, y: f64, side: f64| {
            let mut l =
                Polygon::rectangle(crate::geom::Bounds::new(Point::new(x, y), Point::new(x + side, y + side))).outer;
            l.reverse();
            l
        };
        for i in 0..150 {
            for j in 0..150 {
                let side = if i == 7 { 4.0 } else { 1.0 };
                grate.holes.push(hole(f64::from(i) * 6.0 + 1.0, f64::from(j) * 6.0 + 1.0, side));
            }
        }
        let kept = with_few_holes(grate.clone().into());
        assert_eq!(kept.polygons[0].holes.len(), 150);
        grate.holes.truncate(MOST_HOLES);
        assert_eq!(with_few_holes(grate.clone().into()), grate.into());
    }

    #[test]
    fn a_star_prism() {
        let s = prism(&star(9, 20.0, 7.0), 6.0);
        check(&s);
        check(&tilted(&s, 0.8, -0.4));
    }

    #[test]
    fn bodies_that_overlap_in_space_or_in_plan() {
        let ball = sphere(10.0, 40, 60);
        check(&together(&ball, &moved(&ball, [7.0, 3.0, 2.0])));
        check(&together(&ball, &moved(&ball, [12.0, 0.0, 40.0])));
        let mut inside_out = ball.clone();
        inside_out.turn_inside_out();
        // One body inside out over another: winding numbers must not cancel.
        check(&together(&ball, &moved(&inside_out, [5.0, 0.0, 30.0])));
        check(&together(&ball, &moved(&ball, [0.0, 0.0, 30.0])));
    }

    #[test]
    fn open_repeated_and_flipped_triangles() {
        let ball = tilted(&sphere(10.0, 20, 30), 0.2, 0.3);
        let mut open = ball.clone();
        open.triangles.drain(100..240);
        check(&open);
        let mut repeated = ball.clone();
        repeated.triangles.extend_from_within(50..200);
        check(&repeated);
        let mut flipped = ball.clone();
        for t in (0..600).step_by(7) {
            flipped.triangles[t].swap(0, 1);
        }
        check(&flipped);
    }

    #[test]
    fn loose_and_upright_triangles() {
        let up = [[0.0, 0.0, 0.0], [10.0, 0.0, 0.0], [5.0, 0.0, 8.0]];
        let flat = [[0.0, 0.0, 1.0], [4.0, 0.0, 1.0], [0.0, 4.0, 1.0]];
        assert!(check(&TriMesh::weld(&[up]).0).is_empty());
        assert_eq!(check(&TriMesh::weld(&[up, flat, flat]).0).area(), 8.0);
        assert!(shadow(&TriMesh::default()).is_empty());
    }

    #[test]
    fn a_table_of_the_unposed_mesh_serves_a_mirrored_pose() {
        let ring = tilted(&torus(20.0, 5.0, 30, 40), 0.6, 0.1);
        let (posed, _) = ring.posed(&[[-1.0, 0.0, 0.0], [0.0, 0.0, 1.0], [0.0, 1.0, 0.0]]);
        let (mirrored, _) = ring.posed(&[[-1.0, 0.0, 0.0], [0.0, 1.0, 0.0], [0.0, 0.0, 1.0]]);
        for mesh in [posed, mirrored] {
            let a = shadow_with(&mesh, &Edges::of(&ring));
            assert!(boolean::symmetric_difference(&a, &shadow(&mesh)).area() < 1e-9);
        }
    }

    #[test]
    fn coordinates_of_a_million_kilometres() {
        let far = moved(&block([0.0; 3], [20.0, 10.0, 5.0]), [1e9, 1e9, 0.0]);
        assert!((shadow(&far).area() - 200.0).abs() < 1e-3);
        let huge = block([-1e9; 3], [2e9, 2e9, 2e9]);
        assert!((shadow(&huge).area() / 4e18 - 1.0).abs() < 1e-9);
    }
}
