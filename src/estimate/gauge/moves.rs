//! Moves, dwells and places: what carries the head and when a layer begins.

use super::{
    DwellUnit,
    arc::{self, Centre, Plane},
    block::{Block, Motion, OF_MOVES, OTHERS, PLACES, bit},
    clock::{Manner, Stride},
    machine::Machine,
    unknown_kind::UnknownKind,
};
use crate::estimate::motion::rest_to_rest_s;

/// Farther than this no machine goes, mm.
const FARTHEST_MM: f64 = 10_000.0;
/// More filament than this no move feeds, mm.
const MOST_FED_MM: f64 = 100_000.0;
/// Heights that differ by less are one layer, mm: files round to three decimals.
const SAME_LAYER_MM: f64 = 5e-4;

const AXES: [u8; 3] = *b"XYZ";
const OFFSETS: [u8; 3] = *b"IJK";

impl Machine<'_> {
    pub(super) fn dwell(&mut self, b: &Block) {
        self.stop();
        let p = b.get(b'P').map(|p| match self.basis.dwell {
            DwellUnit::Milliseconds => p / 1000.0,
            DwellUnit::Seconds => p,
        });
        self.dwelt_by_p |= p.is_some();
        let time_s = p.into_iter().chain(b.get(b'S')).fold(0.0, f64::max);
        let wrong = |t: Option<f64>| t.is_some_and(|t| !(0.0..=1e6).contains(&t));
        if wrong(p) || wrong(b.get(b'S')) {
            self.doubts.unreadable += 1;
        } else {
            self.ledger.dwell(time_s);
        }
    }

    /// Taken as one move to the machine's 0; how a machine really finds its home is its own affair.
    pub(super) fn home(&mut self, b: &Block) {
        self.stop();
        self.homed = true;
        let all = !AXES.iter().any(|&l| b.has(l));
        let from = self.place;
        for (k, &letter) in AXES.iter().enumerate() {
            if all || b.has(letter) {
                self.place[k] = 0.0;
                self.shift[k] = 0.0;
            }
        }
        if let Some(stride) = straight(from, self.place) {
            let speed = self.basis.travel_mm_s;
            self.travel(&stride, speed);
            self.stop();
        }
    }

    pub(super) fn travel(&mut self, stride: &Stride, speed_mm_s: f64) {
        let manner = Manner { speed_mm_s, acceleration_mm_s2: self.travel_acceleration, corner: self.corner, layer: 0 };
        self.travel_mm += stride.length_mm;
        let ledger = &mut self.ledger;
        self.clock.go(stride, manner, &mut |layer, t| ledger.stride(layer, t));
    }

    pub(super) fn set_place(&mut self, b: &Block) {
        let all = !b.has_number(PLACES);
        for (k, &letter) in AXES.iter().enumerate() {
            if let Some(v) = b.get(letter).or(all.then_some(0.0)) {
                self.shift[k] = v * self.unit_mm - self.place[k];
            }
        }
        if let Some(v) = b.get(b'E').or(all.then_some(0.0)) {
            self.e = v * self.unit_mm;
        }
    }

    /// A move.
    pub(super) fn go(&mut self, b: &Block, motion: Motion) {
        let unit = self.unit_mm;
        let from = self.place;
        let mut to = from;
        for (k, &letter) in AXES.iter().enumerate() {
            if let Some(v) = b.get(letter) {
                to[k] = if self.relative { from[k] + v * unit } else { v * unit - self.shift[k] };
            }
        }
        let mut de = 0.0;
        if let Some(v) = b.get(b'E') {
            let relative = self.filament_relative.unwrap_or(self.relative);
            de = if relative { v * unit } else { v * unit - self.e };
        }
        let fed_mm = de * self.per_e * self.flow_share;
        // Written so that NaN is absurd too.
        if !(to.iter().all(|c| c.abs() <= FARTHEST_MM) && fed_mm.abs() <= MOST_FED_MM) {
            self.doubts.absurd += 1;
            return;
        }
        self.doubts.other_axes += u64::from(b.count(OTHERS));
        self.count_letters(b);
        let stride = match motion {
            Motion::Rapid | Motion::Line => straight(from, to),
            Motion::Clockwise | Motion::CounterClockwise => self.arc(b, from, to, motion == Motion::Clockwise),
        };
        self.e += de;
        self.place = to;
        self.fed_mm += fed_mm;
        self.most_fed_mm = self.most_fed_mm.max(self.fed_mm);
        match stride {
            Some(stride) => self.stride(&stride, to[2] - from[2], fed_mm),
            None if fed_mm != 0.0 => self.in_place(fed_mm.abs()),
            None => {}
        }
    }

    pub(super) fn count_letters(&mut self, b: &Block) {
        if b.count(!OF_MOVES) > 0 {
            for letter in (b'A'..=b'Z').filter(|&l| b.has(l) && bit(l) & OF_MOVES == 0) {
                self.count(UnknownKind::Letter(letter));
            }
        }
    }

    pub(super) fn arc(&mut self, b: &Block, from: [f64; 3], to: [f64; 3], clockwise: bool) -> Option<Stride> {
        let unit = self.unit_mm;
        let Plane { first, second, .. } = self.plane;
        let offsets = [first, second].map(|axis| b.get(OFFSETS[axis]));
        let centre = match (b.get(b'R'), offsets) {
            (Some(r), _) => Some(Centre::Radius(r * unit)),
            (None, [None, None]) => None,
            (None, [i, j]) => Some(Centre::Offset(i.unwrap_or(0.0) * unit, j.unwrap_or(0.0) * unit)),
        };
        // No machine turns about a centre beyond its reach.
        let stride = centre.and_then(|c| arc::stride(self.plane, from, to, c, clockwise));
        if stride.is_none() {
            self.doubts.bad_arcs += 1;
            return straight(from, to);
        }
        stride
    }

    /// A stride with or without a bead.
    pub(super) fn stride(&mut self, stride: &Stride, rise: f64, fed_mm: f64) {
        self.moves += 1;
        let bead = fed_mm > 0.0;
        let flat = stride.bend_mm.is_finite() || stride.length_mm > rise.abs() * (1.0 + 1e-9);
        if bead && flat {
            self.lay(rise);
        }
        let layer = if bead { self.layer } else { 0 };
        if layer == 0 {
            self.travel_mm += stride.length_mm;
        } else {
            self.bead_mm += stride.length_mm;
            if layer > 1 {
                self.above.add(crate::geom::Point::new(self.place[0], self.place[1]));
            }
            if let Some(l) = self.ledger.latest() {
                l.bead_mm += stride.length_mm;
                l.filament_mm += fed_mm;
            }
        }
        let unsaid = if bead { self.basis.bead_mm_s } else { self.basis.travel_mm_s };
        let mut speed = self.speed_or(unsaid);
        let mut acceleration = if bead { self.acceleration } else { self.travel_acceleration };
        if self.bounded {
            let [x, y, z] = stride.sets_out;
            // An arc turns through both axes of its plane.
            let both = x.hypot(y);
            let bent = stride.bend_mm.is_finite();
            let shares = [
                if bent { both } else { x.abs() },
                if bent { both } else { y.abs() },
                z.abs(),
                fed_mm.abs() / stride.length_mm,
            ];
            for (k, share) in shares.into_iter().enumerate() {
                if share > 1e-9 {
                    speed = speed.min(self.most_speed[k] / share);
                    acceleration = acceleration.min(self.most_acceleration[k] / share);
                }
            }
        }
        let manner = Manner { speed_mm_s: speed, acceleration_mm_s2: acceleration, corner: self.corner, layer };
        let ledger = &mut self.ledger;
        self.clock.go(stride, manner, &mut |layer, t| ledger.stride(layer, t));
    }

    /// The speed that F has set, or this one where it has set none.
    pub(super) fn speed_or(&mut self, unsaid_mm_s: f64) -> f64 {
        self.doubts.no_speed += u64::from(self.feed_mm_s.is_none());
        self.feed_mm_s.map_or(unsaid_mm_s, |f| f * self.speed_share)
    }

    /// A bead is laid at this height: does it begin a layer? Level beads begin one at every new height; beads that climb
    /// (a single wall that winds up) begin one where they have climbed by the last layer's height.
    pub(super) fn lay(&mut self, rise: f64) {
        let z = self.place[2];
        let above = z - self.layer_z;
        let new = if self.layer == 0 {
            true
        } else if rise.abs() < SAME_LAYER_MM {
            above.abs() > SAME_LAYER_MM
        } else {
            above.abs() > self.layer_height.max(SAME_LAYER_MM) - 1e-6
        };
        if !new {
            return;
        }
        if self.layer == 0 {
            self.layer_height = z.max(0.0);
        } else if above > 0.0 && rise.abs() < SAME_LAYER_MM {
            self.layer_height = above;
        }
        self.layer_z = z;
        self.layer = self.ledger.open(z + self.shift[2]);
    }

    /// Filament goes back or forth while the head stands still.
    pub(super) fn in_place(&mut self, length_mm: f64) {
        self.stop();
        self.moves += 1;
        let speed = self.speed_or(self.basis.retraction_mm_s).min(self.most_speed[3]);
        let acceleration = self.retraction_acceleration.min(self.most_acceleration[3]);
        // As the estimate does where nothing is known of the acceleration.
        let time_s =
            if acceleration.is_finite() { rest_to_rest_s(length_mm, speed, acceleration) } else { length_mm / speed };
        self.ledger.retraction(time_s);
    }
}

/// The straight way between two places.
fn straight(from: [f64; 3], to: [f64; 3]) -> Option<Stride> {
    let d = [to[0] - from[0], to[1] - from[1], to[2] - from[2]];
    let length_mm = (d[0] * d[0] + d[1] * d[1] + d[2] * d[2]).sqrt();
    if length_mm < 1e-9 {
        return None;
    }
    let unit = d.map(|c| c / length_mm);
    Some(Stride { length_mm, sets_out: unit, arrives: unit, bend_mm: f64::INFINITY })
}
