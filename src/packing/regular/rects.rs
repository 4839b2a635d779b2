//! Equal rectangles in a rectangle.
//!
//! A rectangle or an L is cut into two of the same kind, again and again, by cuts at sums of the two sides; what the
//! pieces can hold is remembered. Sources (from memory): L-shaped cuts, Lins, Lins & Morabito 2003 and Birgin, Lobato
//! & Morabito 2010; cuts at sums of sides, Herz 1972.

use std::collections::HashMap;

/// Sides differ when they differ by more than this, mm.
const SAME_MM: f64 = 1e-9;
/// Most sums of sides that are distinguished.
const SUMS: usize = 256;

/// A rectangle laid down.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(in crate::packing) struct RectAt {
    /// Lower left corner.
    pub(in crate::packing) x: f64,
    pub(in crate::packing) y: f64,
    /// With its first side upright?
    pub(in crate::packing) upright: bool,
}

/// Indices into the sums: [0, X] × [0, Y] less (x, X] × (y, Y]. A rectangle has x = X and y = Y.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
struct Room {
    wide: [u16; 2],
    arm: [u16; 2],
}

impl Room {
    fn rectangle(wide: [u16; 2]) -> Self {
        Self { wide, arm: wide }
    }
    fn swapped(self) -> Self {
        let swap = |[a, b]: [u16; 2]| [b, a];
        Self { wide: swap(self.wide), arm: swap(self.arm) }
    }
    /// The same for an L without arms or notch, and for its mirror image about the diagonal; was it mirrored?
    fn plain(self) -> (Self, bool) {
        let Self { wide: [w, h], arm: [x, y] } = self;
        let r = if x >= w || y >= h {
            Self::rectangle([w, h])
        } else if x == 0 {
            Self::rectangle([w, y])
        } else if y == 0 {
            Self::rectangle([x, h])
        } else {
            self
        };
        let other = r.swapped();
        if (other.wide, other.arm) > (r.wide, r.arm) { (other, true) } else { (r, false) }
    }
    fn is_rectangle(self) -> bool {
        self.wide == self.arm
    }
}

/// A corner of a piece, and towards which side it lies from there: in the frame of what is cut.
#[derive(Debug, Clone, Copy)]
struct Frame {
    from: [f64; 2],
    back: [bool; 2],
}

/// A cut: kind, and up to three sums; of the room mirrored about its diagonal where `swapped`.
#[derive(Debug, Clone, Copy)]
struct Cut {
    kind: Kind,
    at: [u16; 3],
    swapped: bool,
}

#[derive(Debug, Clone, Copy)]
enum Kind {
    /// Straight down, right of the upper arm or at its edge.
    Down,
    /// Along the L's own outline, further in.
    Along,
    /// From the left side, bent twice into the inner corner.
    Inward,
    /// A rectangle off the corner of a rectangle.
    Corner,
    /// Across a rectangle, bent twice.
    Bent,
}

#[derive(Debug, Clone, Copy)]
struct Known {
    holds: u32,
    most: u32,
    /// `None`: rows of one kind.
    cut: Option<Cut>,
}

/// The search; `steps` cuts are looked at at most.
pub(in crate::packing) struct Partition<'a> {
    sides: [f64; 2],
    sums: Vec<f64>,
    /// The greatest sum no greater than the difference of two, by both.
    less: Vec<u16>,
    known: HashMap<Room, Known>,
    steps: u64,
    cancelled: &'a dyn Fn() -> bool,
}

impl<'a> Partition<'a> {
    /// Rectangles of these sides (either way round) in `width` × `height`: as many as are found.
    pub(in crate::packing) fn best(
        sides: [f64; 2],
        [width, height]: [f64; 2],
        enough: u32,
        steps: u64,
        cancelled: &'a dyn Fn() -> bool,
    ) -> Vec<RectAt> {
        let sums = sums(sides, width.max(height));
        if sums.len() < 2 || sums.len() > SUMS {
            return Vec::new();
        }
        let n = sums.len();
        let floor = |v: f64| sums.partition_point(|s| *s <= v + SAME_MM).saturating_sub(1) as u16;
        let less = (0..n * n).map(|k| floor(sums[k / n] - sums[k % n])).collect();
        let whole = Room::rectangle([floor(width), floor(height)]);
        let mut p = Self { sides, less, known: HashMap::new(), steps, cancelled, sums };
        let (whole, mirrored) = whole.plain();
        let mut holds = p.look(whole).holds;
        while holds < enough {
            let more = p.solve(whole, holds + 1);
            if more <= holds {
                break;
            }
            holds = more;
        }
        let mut laid = Vec::new();
        p.lay(whole, &|[u, v]| if mirrored { [v, u] } else { [u, v] }, &mut laid);
        laid
    }

    fn less(&self, a: u16, b: u16) -> u16 {
        if b >= a { 0 } else { self.less[usize::from(a) * self.sums.len() + usize::from(b)] }
    }
    fn sum(&self, i: u16) -> f64 {
        self.sums[usize::from(i)]
    }
    fn area(&self, r: Room) -> f64 {
        let [w, h] = r.wide.map(|i| self.sum(i));
        let [x, y] = r.arm.map(|i| self.sum(i));
        w * y.min(h) + x.min(w) * (h - y).max(0.0)
    }
    fn by_area(&self, r: Room) -> u32 {
        (self.area(r) / (self.sides[0] * self.sides[1]) + 1e-9) as u32
    }
    /// Rows of one kind in a rectangle: how many, and is the first side upright?
    fn rows(&self, [w, h]: [u16; 2]) -> (u32, u32, bool) {
        let (w, h) = (self.sum(w) + SAME_MM, self.sum(h) + SAME_MM);
        let [a, b] = self.sides;
        let (flat, up) = (((w / a) as u32, (h / b) as u32), ((w / b) as u32, (h / a) as u32));
        if flat.0 * flat.1 >= up.0 * up.1 { (flat.0, flat.1, false) } else { (up.0, up.1, true) }
    }
    fn look(&mut self, r: Room) -> Known {
        if let Some(k) = self.known.get(&r) {
            return *k;
        }
        let most = self.by_area(r);
        let k = if r.is_rectangle() {
            let (m, n, _) = self.rows(r.wide);
            Known { holds: m * n, most: if m * n == 0 { 0 } else { most }, cut: None }
        } else {
            // Both straight cuts at the inner corner.
            let ([w, h], [x, y]) = (r.wide, r.arm);
            let (swapped, holds) = [(false, [[x, h], [self.less(w, x), y]]), (true, [[w, y], [x, self.less(h, y)]])]
                .map(|(swapped, two)| {
                    let n = two.map(|s| self.look(Room::rectangle(s).plain().0).holds);
                    (swapped, n[0] + n[1])
                })
                .into_iter()
                .max_by_key(|x| x.1)
                .unwrap_or_default();
            let at = if swapped { [y, 0, 0] } else { [x, 0, 0] };
            Known { holds, most, cut: Some(Cut { kind: Kind::Down, at, swapped }) }
        };
        self.known.insert(r, k);
        k
    }

    /// How many a plain room is known to hold; at least `need` where that can be shown.
    fn solve(&mut self, r: Room, need: u32) -> u32 {
        let known = self.look(r);
        if known.holds >= need || known.most < need || self.steps == 0 {
            return known.holds;
        }
        for swapped in [false, true] {
            let frame = if swapped { r.swapped() } else { r };
            if let Some((holds, kind, at)) = self.cuts(frame, need) {
                let cut = Some(Cut { kind, at, swapped });
                self.known.insert(r, Known { holds, cut, ..known });
                return holds;
            }
        }
        if self.steps > 0 {
            self.known.insert(r, Known { most: need - 1, ..known });
        }
        known.holds
    }

    /// The first cut after which both pieces together hold as many.
    fn cuts(&mut self, r: Room, need: u32) -> Option<(u32, Kind, [u16; 3])> {
        let ([w, h], [x, y]) = (r.wide, r.arm);
        let mut first = |kind, mut at: &mut dyn Iterator<Item = [u16; 3]>| {
            (&mut at).find_map(|at| self.both(r, need, kind, at).map(|holds| (holds, kind, at)))
        };
        if r.is_rectangle() {
            let pairs = || (1..w).flat_map(move |i| (1..h).map(move |j| [i, j, 0]));
            first(Kind::Down, &mut (1..w).map(|i| [i, 0, 0]))
                .or_else(|| first(Kind::Corner, &mut pairs()))
                .or_else(|| first(Kind::Bent, &mut pairs().flat_map(|[i, j, _]| (j + 1..h).map(move |k| [i, j, k]))))
        } else {
            let grid = |top: u16| (0..=x).flat_map(move |i| (0..=top).map(move |j| [i, j, 0]));
            first(Kind::Down, &mut (x..w).map(|i| [i, 0, 0]))
                .or_else(|| first(Kind::Along, &mut grid(y)))
                .or_else(|| first(Kind::Inward, &mut grid(h)))
        }
    }

    /// What both pieces of a cut hold, where that is as many as needed.
    fn both(&mut self, r: Room, need: u32, kind: Kind, at: [u16; 3]) -> Option<u32> {
        if self.steps == 0 {
            return None;
        }
        self.steps -= 1;
        if self.steps.is_multiple_of(4096) && (self.cancelled)() {
            self.steps = 0;
        }
        let [a, b] = self.pieces(r, kind, at).map(|(p, _)| p);
        if self.by_area(a) + self.by_area(b) < need {
            return None;
        }
        let [a, b] = [a, b].map(|p| p.plain().0);
        let whole = r.plain().0;
        if a == whole || b == whole {
            return None;
        }
        loop {
            let [most_a, most_b] = [self.look(a).most, self.look(b).most];
            if most_a + most_b < need {
                return None;
            }
            let holds_a = self.solve(a, need.saturating_sub(most_b));
            if holds_a + most_b < need {
                return None;
            }
            let holds_b = self.solve(b, need.saturating_sub(holds_a));
            if holds_a + holds_b >= need {
                return Some(holds_a + holds_b);
            }
            if self.steps == 0 {
                return None;
            }
        }
    }

    /// The two pieces of a cut, each with its place.
    fn pieces(&self, r: Room, kind: Kind, [i, j, k]: [u16; 3]) -> [(Room, Frame); 2] {
        let ([w, h], [x, y]) = (r.wide, r.arm);
        let less = |a, b| self.less(a, b);
        let at =
            |wide, arm, from: [u16; 2], back| (Room { wide, arm }, Frame { from: from.map(|i| self.sum(i)), back });
        match kind {
            Kind::Down => {
                let right = [less(w, i), y];
                [at([i, h], [x, y], [0, 0], [false; 2]), at(right, right, [i, 0], [false; 2])]
            }
            Kind::Along => [
                at([w, h], [i, j], [0, 0], [false; 2]),
                at([less(w, i), less(h, j)], [less(x, i), less(y, j)], [i, j], [false; 2]),
            ],
            Kind::Inward if j <= y => [
                at([x, less(h, j)], [i, less(h, y)], [0, h], [false, true]),
                at([w, y], [less(w, i), j], [w, 0], [true, false]),
            ],
            Kind::Inward => [
                at([x, less(h, y)], [less(x, i), less(h, j)], [x, h], [true; 2]),
                at([w, j], [i, y], [0, 0], [false; 2]),
            ],
            Kind::Corner => {
                [at([i, j], [i, j], [0, 0], [false; 2]), at([w, h], [less(w, i), less(h, j)], [w, h], [true; 2])]
            }
            Kind::Bent => [
                at([w, k], [less(w, i), j], [w, 0], [true, false]),
                at([w, less(h, j)], [i, less(h, k)], [0, h], [false, true]),
            ],
        }
    }

    /// Lays down what a plain room is known to hold; `place` leads from its frame to the bed.
    fn lay(&self, r: Room, place: &dyn Fn([f64; 2]) -> [f64; 2], out: &mut Vec<RectAt>) {
        let Some(known) = self.known.get(&r) else { return };
        let Some(Cut { kind, at, swapped }) = known.cut else {
            let (m, n, upright) = self.rows(r.wide);
            let [a, b] = self.sides;
            let [du, dv] = if upright { [b, a] } else { [a, b] };
            for (i, j) in (0..m).flat_map(|i| (0..n).map(move |j| (f64::from(i), f64::from(j)))) {
                let (p, q) = (place([i * du, j * dv]), place([(i + 1.0) * du, (j + 1.0) * dv]));
                let upright = ((p[0] - q[0]).abs() - a).abs() > ((p[0] - q[0]).abs() - b).abs();
                out.push(RectAt { x: p[0].min(q[0]), y: p[1].min(q[1]), upright });
            }
            return;
        };
        for (piece, frame) in self.pieces(if swapped { r.swapped() } else { r }, kind, at) {
            let (piece, mirrored) = piece.plain();
            let inner = |[u, v]: [f64; 2]| {
                let p = if mirrored { [v, u] } else { [u, v] };
                let on = |k: usize| if frame.back[k] { frame.from[k] - p[k] } else { frame.from[k] + p[k] };
                place(if swapped { [on(1), on(0)] } else { [on(0), on(1)] })
            };
            self.lay(piece, &inner, out);
        }
    }
}

/// Sums of multiples of the sides up to a length, in order.
fn sums([a, b]: [f64; 2], most: f64) -> Vec<f64> {
    let mut all = Vec::new();
    if !(a > SAME_MM && b > SAME_MM) || most / a * (most / b) > 1e5 {
        return all;
    }
    let mut i = 0.0;
    while i * a <= most + SAME_MM {
        let mut j = 0.0;
        while i * a + j * b <= most + SAME_MM {
            all.push(i * a + j * b);
            j += 1.0;
        }
        i += 1.0;
    }
    all.sort_by(f64::total_cmp);
    all.dedup_by(|x, y| (*x - *y).abs() <= SAME_MM);
    all
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::packing::tests::rectangles::RECTANGLES;

    fn laid(sides: [f64; 2], room: [f64; 2], enough: u32) -> usize {
        let all = Partition::best(sides, room, enough, 20_000_000, &|| false);
        let corners = |l: &RectAt| {
            let [w, h] = if l.upright { [sides[1], sides[0]] } else { sides };
            [l.x, l.y, l.x + w, l.y + h]
        };
        for (i, l) in all.iter().enumerate() {
            let [x, y, right, top] = corners(l);
            assert!(x >= -1e-9 && y >= -1e-9 && right <= room[0] + 1e-9 && top <= room[1] + 1e-9, "{l:?}");
            for m in &all[..i] {
                let [u, v, far, high] = corners(m);
                assert!(right <= u + 1e-9 || far <= x + 1e-9 || top <= v + 1e-9 || high <= y + 1e-9, "{l:?} {m:?}");
            }
        }
        all.len()
    }

    #[test]
    fn known_optima() {
        for (room, sides, n) in RECTANGLES {
            assert_eq!(laid(sides, room, 1000), n, "{room:?} of {sides:?}");
        }
    }

    #[test]
    fn odd_rooms() {
        assert_eq!(laid([5., 3.], [4., 2.], 9), 0);
        assert_eq!(laid([5., 3.], [3., 5.], 9), 1);
        assert_eq!(laid([10., 10.], [100., 100.], 1000), 100);
        assert_eq!(laid([f64::NAN, 3.], [30., 50.], 9), 0);
        assert_eq!(laid([5.3, 3.1], [0.1 * 53., 31.], 9), 10);
    }
}
