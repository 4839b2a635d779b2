//! Times a path that never ends: the planner of [`motion`], with bounded memory.
//!
//! How fast the head may be at a joint depends on what comes after it, but only as far as it would take to brake. So the backward
//! pass runs twice over the strides at hand, once as if the head stood still after the last of them and once as if nothing
//! bound it there. From the joint on where both agree, backwards, they agree everywhere, and whatever comes later lies between
//! them: those joints are final, to the last bit. The answer therefore depends neither on how the file is cut into pieces nor on
//! how many strides are looked at together.
//!
//! Only where more than [`MOST`] strides lie within one braking distance is the oldest half planned as if the head stopped after
//! the youngest, and counted in [`Clock::forced`]. From 150 mm/s at 1500 mm/s² that takes strides shorter than 7.5 mm ÷ 65 536 =
//! 0.11 µm on the average, a thousandth of what files resolve. A head that is planned so can still brake from every place, and
//! never goes slower than if each such run of strides had been its own path.
//!
//! [`motion`]: crate::estimate::motion

use super::super::motion::{Leg, corner_mm2_s2, trapezoid_s};

/// Most strides looked at together.
const MOST: usize = 1 << 16;
/// Strides looked at together at first.
const FEW: usize = 1 << 9;

/// A piece of a path: straight, or one arc.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Stride {
    /// Along the way.
    pub(super) length_mm: f64,
    /// Unit direction at its beginning.
    pub(super) sets_out: [f64; 3],
    /// Unit direction at its end.
    pub(super) arrives: [f64; 3],
    /// Radius of curvature; infinite where it is straight.
    pub(super) bend_mm: f64,
}

/// How a stride is travelled.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Manner {
    pub(super) speed_mm_s: f64,
    pub(super) acceleration_mm_s2: f64,
    pub(super) corner: Corner,
    /// The layer whose bead it lays, counted from 1; 0 where it lays none.
    pub(super) layer: u32,
}

/// What bounds the speed at a corner.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) enum Corner {
    /// Junction deviation, mm.
    Deviation(f64),
    /// The speed allowed at a right angle, mm/s.
    Speed(f64),
}

impl Corner {
    /// Acceleration × junction deviation. A speed v at right angles is the deviation (√2 − 1) v² / a (derived).
    fn push_mm2_s2(self, acceleration_mm_s2: f64) -> f64 {
        match self {
            Self::Deviation(mm) => acceleration_mm_s2 * mm,
            Self::Speed(v) => (std::f64::consts::SQRT_2 - 1.0) * v * v,
        }
    }
}

/// A stride as the planner keeps it.
#[derive(Debug, Clone, Copy)]
struct Planned {
    leg: Leg,
    /// Greatest squared speed at its beginning.
    joint: f64,
    /// 2 a L: by how much the squared speed can change along it.
    gain: f64,
    layer: u32,
}

/// The planner.
#[derive(Debug)]
pub(super) struct Clock {
    strides: Vec<Planned>,
    /// Squared speed at each joint, from behind; one more than strides.
    squares: Vec<f64>,
    /// Squared speed at the first joint: final.
    entry: f64,
    arrives: [f64; 3],
    window: usize,
    most: usize,
    /// Strides planned as if the head stopped after what was looked at.
    pub(super) forced: u64,
}

impl Clock {
    pub(super) fn new() -> Self {
        Self::looking_at(FEW, MOST)
    }
    fn looking_at(window: usize, most: usize) -> Self {
        Self { strides: Vec::new(), squares: Vec::new(), entry: 0.0, arrives: [0.0; 3], window, most, forced: 0 }
    }

    /// Adds a stride; times that have become final go to `each` (layer, s), in order.
    pub(super) fn go(&mut self, stride: &Stride, manner: Manner, each: &mut impl FnMut(u32, f64)) {
        let Manner { acceleration_mm_s2: a, corner, layer, .. } = manner;
        let speed_mm_s = if stride.bend_mm.is_finite() {
            manner.speed_mm_s.min((a * stride.bend_mm).sqrt())
        } else {
            manner.speed_mm_s
        };
        let joint = self.strides.last().map_or(0.0, |before| {
            let along: f64 = self.arrives.iter().zip(stride.sets_out).map(|(p, q)| p * q).sum();
            let slower = before.leg.speed_mm_s.min(speed_mm_s);
            corner_mm2_s2(along, corner.push_mm2_s2(before.leg.acceleration_mm_s2.min(a))).min(slower * slower)
        });
        self.arrives = stride.arrives;
        let leg = Leg { length_mm: stride.length_mm, speed_mm_s, acceleration_mm_s2: a, extrudes: layer != 0 };
        self.strides.push(Planned { leg, joint, gain: 2.0 * a * stride.length_mm, layer });
        if self.strides.len() >= self.window {
            self.settle(false, each);
        }
    }

    /// The head stands still: all times so far are final.
    pub(super) fn stop(&mut self, each: &mut impl FnMut(u32, f64)) {
        if !self.strides.is_empty() {
            self.settle(true, each);
        }
        self.entry = 0.0;
    }

    /// Bytes that it holds beside itself.
    #[cfg(test)]
    pub(super) fn held(&self) -> usize {
        self.strides.capacity() * size_of::<Planned>() + self.squares.capacity() * size_of::<f64>()
    }
    /// The most that it can be: what grows by doubling may have twice the room.
    #[cfg(test)]
    pub(super) const fn most_held() -> usize {
        2 * (MOST + 1) * (size_of::<Planned>() + size_of::<f64>())
    }

    fn settle(&mut self, stands: bool, each: &mut impl FnMut(u32, f64)) {
        let n = self.strides.len();
        self.squares.clear();
        self.squares.resize(n + 1, 0.0);
        // The last stride is kept until its other end is known, for the next joint asks for it.
        let last = &self.strides[n - 1].leg;
        let mut free = last.speed_mm_s * last.speed_mm_s;
        let mut settled = if stands { n } else { 0 };
        for i in (0..n).rev() {
            let p = &self.strides[i];
            let held = p.joint.min(self.squares[i + 1] + p.gain);
            self.squares[i] = held;
            if settled == 0 {
                free = p.joint.min(free + p.gain);
                if free == held {
                    settled = i;
                }
            }
        }
        if n - settled > self.window / 2 && !stands {
            if self.window < self.most {
                self.window *= 2;
            } else {
                self.forced += (n / 2).saturating_sub(settled) as u64;
                settled = settled.max(n / 2);
            }
        }
        let mut square = self.entry;
        let mut entry = square.sqrt();
        for (p, &held) in self.strides[..settled].iter().zip(&self.squares[1..]) {
            square = held.min(square + p.gain);
            let exit = square.sqrt();
            each(p.layer, trapezoid_s(p.leg, entry, exit));
            entry = exit;
        }
        self.entry = square;
        self.strides.drain(..settled);
    }
}

#[cfg(test)]
mod tests {
    use super::{
        super::super::motion::{Gait, Planner},
        *,
    };
    use crate::geom::Point;
    use proptest::prelude::*;

    fn straight(from: Point, to: Point) -> Stride {
        let d = (to - from).normalized();
        let d = [d.x, d.y, 0.0];
        Stride { length_mm: from.distance(to), sets_out: d, arrives: d, bend_mm: f64::INFINITY }
    }

    fn times(points: &[Point], manner: Manner, window: usize, most: usize) -> (Vec<f64>, u64) {
        let mut clock = Clock::looking_at(window, most);
        let mut times = Vec::new();
        for w in points.windows(2) {
            clock.go(&straight(w[0], w[1]), manner, &mut |_, t| times.push(t));
        }
        clock.stop(&mut |_, t| times.push(t));
        (times, clock.forced)
    }

    fn path(steps: &[(f64, f64)]) -> Vec<Point> {
        let mut at = Point::default();
        let mut points = vec![at];
        for &(length, turn) in steps {
            at += Point::new(length, 0.0).turned(turn);
            points.push(at);
        }
        points
    }

    proptest! {
        /// The window changes nothing, and neither is anything but the planner's own answer given.
        #[test]
        fn as_the_planner_whatever_the_window(
            steps in prop::collection::vec((0.001..5.0f64, -1.5..1.5f64), 1..120),
            speed in 10.0..300.0f64, a in 200.0..4000.0f64, deviation in 0.005..0.1f64, window in 2usize..64,
        ) {
            let points = path(&steps);
            let manner = Manner {
                speed_mm_s: speed, acceleration_mm_s2: a, corner: Corner::Deviation(deviation), layer: 1,
            };
            let (all, _) = times(&points, manner, MOST, MOST);
            let (few, forced) = times(&points, manner, window, MOST);
            prop_assert_eq!(&all, &few);
            prop_assert_eq!(forced, 0);
            let mut planner = Planner::default();
            for w in points.windows(2) {
                let gait =
                    Gait { speed_mm_s: speed, acceleration_mm_s2: a, deviation_mm: deviation, extrudes: true };
                planner.line(w[0], w[1], gait);
            }
            let wanted = planner.time_s(f64::INFINITY);
            let sum: f64 = all.iter().sum();
            prop_assert!((sum - wanted).abs() <= 1e-9 * wanted, "{} is not {}", sum, wanted);
        }
        /// Where it has to be forced, times are those of a head that could always brake: never too short.
        #[test]
        fn forced_is_slower_and_ends(steps in prop::collection::vec((0.0001..0.01f64, -0.1..0.1f64), 60..300)) {
            let points = path(&steps);
            let manner =
                Manner { speed_mm_s: 150.0, acceleration_mm_s2: 1000.0, corner: Corner::Deviation(0.05), layer: 1 };
            let (free, _) = times(&points, manner, MOST, MOST);
            let (held, forced) = times(&points, manner, 16, 16);
            prop_assert_eq!(free.len(), held.len());
            prop_assert!(forced > 0);
            let (free, held): (f64, f64) = (free.iter().sum(), held.iter().sum());
            prop_assert!(held >= free * (1.0 - 1e-9) && held.is_finite());
        }
    }
}
