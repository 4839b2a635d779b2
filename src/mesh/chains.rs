//! From the segments of a section to loops.

use crate::geom::Point;

/// A piece of an outline, the inside on its left; `from` and `to` name the mesh edges it ends on.
#[derive(Debug, Clone, Copy)]
pub(super) struct Segment {
    pub(super) from: u64,
    pub(super) to: u64,
    pub(super) start: Point,
    pub(super) end: Point,
}

/// An open run of segments.
struct Chain {
    points: Vec<Point>,
    from: u64,
    to: u64,
    length: f64,
}

/// Up to this many open chains, every end is compared with every other.
const MOST_CHAINS: usize = 300;
/// A gap is closed when it is shorter than this share of the chains it joins.
const GAP_SHARE: f64 = 0.25;

/// Links segments into loops; closes small gaps. See [`super::section`].
pub(super) fn loops_of(segments: &[Segment]) -> Vec<Vec<Point>> {
    let mut starts: Vec<(u64, u32)> = segments.iter().enumerate().map(|(i, s)| (s.from, i as u32)).collect();
    starts.sort_unstable();
    let mut used = vec![false; segments.len()];
    let (mut loops, mut chains) = (Vec::new(), Vec::new());
    for seed in 0..segments.len() {
        if used[seed] {
            continue;
        }
        let from = segments[seed].from;
        let (mut at, mut points) = (seed, Vec::new());
        loop {
            used[at] = true;
            points.push(segments[at].start);
            let to = segments[at].to;
            if to == from {
                loops.push(points);
                break;
            }
            let first = starts.partition_point(|s| s.0 < to);
            let next = starts[first..].iter().take_while(|s| s.0 == to).find(|s| !used[s.1 as usize]);
            if let Some(next) = next {
                at = next.1 as usize;
            } else {
                points.push(segments[at].end);
                let length = points.windows(2).map(|w| w[0].distance(w[1])).sum();
                chains.push(Chain { points, from, to, length });
                break;
            }
        }
    }
    if chains.is_empty() {
        return loops;
    }
    // First the ends on one mesh edge, then small gaps, measured against the chains that came of it.
    let on_one_edge = same_key(&chains);
    let chains = join(&chains, &on_one_edge, &mut loops);
    let near = near_ends(&chains);
    join(&chains, &near, &mut loops);
    loops
}

/// An end of a chain: twice the chain's number, plus 1 at its last point.
type End = usize;

/// Ends on the same mesh edge, whichever way their triangles face.
fn same_key(chains: &[Chain]) -> Vec<(End, End)> {
    let key = |e: End| if e % 2 == 1 { chains[e / 2].to } else { chains[e / 2].from };
    let mut ends: Vec<End> = (0..chains.len() * 2).collect();
    ends.sort_by_key(|&e| (key(e), e));
    let mut pairs: Vec<(End, End)> = ends.windows(2).filter(|w| key(w[0]) == key(w[1])).map(|w| (w[0], w[1])).collect();
    // A last point and a first one rather than two of a kind.
    pairs.sort_by_key(|&(a, b)| (a % 2 == b % 2, a, b));
    pairs
}

/// Ends whose gap is small against the chains it joins, nearest first.
fn near_ends(chains: &[Chain]) -> Vec<(End, End)> {
    let point = |e: End| {
        let c = &chains[e / 2];
        if e % 2 == 1 { c.points[c.points.len() - 1] } else { c.points[0] }
    };
    let mut pairs: Vec<(f64, bool, End, End)> = Vec::new();
    let mut consider = |a: End, b: End| {
        let gap = point(a).distance(point(b));
        let (ca, cb) = (&chains[a / 2], &chains[b / 2]);
        let joined = if a / 2 == b / 2 { ca.length } else { ca.length + cb.length };
        if gap <= GAP_SHARE * joined {
            pairs.push((gap, a % 2 == b % 2, a, b));
        }
    };
    if chains.len() <= MOST_CHAINS {
        for a in 0..chains.len() * 2 {
            for b in a + 1..chains.len() * 2 {
                consider(a, b);
            }
        }
    } else {
        for c in 0..chains.len() {
            consider(2 * c, 2 * c + 1);
        }
    }
    pairs.sort_by(|a, b| a.0.total_cmp(&b.0).then((a.1, a.2, a.3).cmp(&(b.1, b.2, b.3))));
    pairs.into_iter().map(|(_, _, a, b)| (a, b)).collect()
}

/// Joins ends, earlier pairs first, each end once. What closes goes to `loops`, what stays open comes back.
fn join(chains: &[Chain], pairs: &[(End, End)], loops: &mut Vec<Vec<Point>>) -> Vec<Chain> {
    let mut mate = vec![usize::MAX; chains.len() * 2];
    for &(a, b) in pairs {
        if mate[a] == usize::MAX && mate[b] == usize::MAX {
            (mate[a], mate[b]) = (b, a);
        }
    }
    let mut seen = vec![false; chains.len()];
    let mut open = Vec::new();
    // From open ends first; what is then left runs in circles.
    let seeds = (0..mate.len()).filter(|&e| mate[e] == usize::MAX).chain(0..mate.len());
    for seed in seeds {
        if seen[seed / 2] {
            continue;
        }
        let mut points: Vec<Point> = Vec::new();
        let (mut length, mut forward_less_back) = (0.0, 0.0);
        let mut entry = seed;
        let last = loop {
            let chain = &chains[entry / 2];
            seen[entry / 2] = true;
            length += chain.length;
            if entry % 2 == 0 {
                points.extend(&chain.points);
                forward_less_back += chain.length;
            } else {
                points.extend(chain.points.iter().rev());
                forward_less_back -= chain.length;
            }
            let exit = entry ^ 1;
            if mate[exit] == usize::MAX || mate[exit] == seed {
                break exit;
            }
            entry = mate[exit];
        };
        points.dedup();
        let backward = forward_less_back < 0.0;
        if backward {
            points.reverse();
        }
        if mate[last] == seed {
            loops.push(points);
        } else {
            let key = |e: End| if e % 2 == 1 { chains[e / 2].to } else { chains[e / 2].from };
            let (from, to) = if backward { (key(last), key(seed)) } else { (key(seed), key(last)) };
            open.push(Chain { points, from, to, length });
        }
    }
    open
}
