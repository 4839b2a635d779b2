//! Words → moves: what a machine would do.
//!
//! Meaning of the words: T. R. Kramer, F. M. Proctor, E. Messina, The NIST RS274NGC Interpreter, Version 3, 2000 (from memory),
//! and common practice on filament machines (no source) where that goes beyond it or departs from it:
//! - modes and units of a block hold for the whole block, then its F, then its command (the report's table 8, but for F);
//! - G0 goes at the speed that F has set; the report leaves it to the machine;
//! - G28 sends home the axes that it names, all where it names none; the report goes by way of the place named;
//! - E is filament, counted as M82 or M83 say, else as G90 and G91 do;
//! - a command that shares a line with another is carried out after it; the report calls that an error.

use std::collections::BTreeMap;

use super::{
    Basis, Doubts, DwellUnit, Measured,
    arc::{self, Centre, Plane},
    block::{self, Block, Command, Meaning, Mode, Motion, Unknown, bit},
    clock::{Clock, Corner, Manner, Stride},
    ledger::Ledger,
    words::{Listener, Rest},
};
use crate::estimate::motion::rest_to_rest_s;

/// Farther than this no machine goes, mm.
const FARTHEST_MM: f64 = 10_000.0;
/// More filament than this no move feeds, mm.
const MOST_FED_MM: f64 = 100_000.0;
/// Numbers beyond this make no sense in any word.
const GREATEST: f64 = 1e9;
/// Heights that differ by less are one layer, mm: files round to three decimals.
const SAME_LAYER_MM: f64 = 5e-4;
/// Kinds of unknown commands told apart.
const MOST_KINDS: usize = 256;
/// Letters of a command's name that are kept.
const NAME: usize = 24;

const AXES: [u8; 3] = *b"XYZ";
const OFFSETS: [u8; 3] = *b"IJK";
const XYZ: u32 = bit(b'X') | bit(b'Y') | bit(b'Z');
const PLACES: u32 = XYZ | bit(b'E');
/// Axes of other machines.
const OTHERS: u32 = bit(b'A') | bit(b'B') | bit(b'C') | bit(b'U') | bit(b'V') | bit(b'W');
/// Letters that a move may have.
const OF_MOVES: u32 =
    PLACES | OTHERS | bit(b'F') | bit(b'I') | bit(b'J') | bit(b'K') | bit(b'R') | bit(b'P') | bit(b'S') | bit(b'T');

/// A kind of thing that is not understood.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
enum Kind {
    /// A word: its letter, ten times its number.
    Word(u8, i32),
    Letter(u8),
    /// A command with a name.
    Name([u8; NAME]),
    /// Kinds beyond those told apart.
    More,
}

impl Kind {
    fn words(self) -> String {
        match self {
            Self::Word(letter, -1) | Self::Letter(letter) => char::from(letter).to_string(),
            Self::Word(letter, t) if t % 10 == 0 => format!("{}{}", char::from(letter), t / 10),
            Self::Word(letter, t) => format!("{}{}", char::from(letter), f64::from(t) / 10.0),
            Self::Name(name) => name.iter().filter(|b| **b != 0).map(|&b| char::from(b)).collect(),
            Self::More => "others".into(),
        }
    }
}

/// What a machine would do, as far as it bears on time.
#[derive(Debug)]
pub(super) struct Interpreter<'a> {
    basis: &'a Basis,
    block: Block,
    clock: Clock,
    ledger: Ledger,
    doubts: Doubts,
    unknown: BTreeMap<Kind, u64>,
    moves: u64,
    bead_mm: f64,
    travel_mm: f64,
    dwelt_by_p: bool,
    homed: bool,
    held: bool,
    ended: bool,

    // Modes.
    unit_mm: f64,
    relative: bool,
    filament_relative: Option<bool>,
    plane: Plane,
    motion: Option<Motion>,
    /// The way of moving in force is not understood.
    lost: bool,
    feed_mm_s: Option<f64>,
    speed_share: f64,
    flow_share: f64,
    /// mm of filament for each unit of E.
    per_e: f64,

    // Limits.
    acceleration: f64,
    travel_acceleration: f64,
    retraction_acceleration: f64,
    corner: Corner,
    /// X, Y, Z, E.
    most_speed: [f64; 4],
    most_acceleration: [f64; 4],
    /// Any of these is finite.
    bounded: bool,

    // Place.
    /// From the machine's own 0, mm.
    place: [f64; 3],
    /// What the file calls a place, less what the machine does, mm.
    shift: [f64; 3],
    /// E as the file counts it.
    e: f64,
    fed_mm: f64,
    most_fed_mm: f64,

    // Layers.
    layer: u32,
    layer_z: f64,
    layer_height: f64,
}

impl<'a> Interpreter<'a> {
    pub(super) fn new(basis: &'a Basis) -> Self {
        Self {
            basis,
            block: Block::new(),
            clock: Clock::new(),
            ledger: Ledger::default(),
            doubts: Doubts::default(),
            unknown: BTreeMap::new(),
            moves: 0,
            bead_mm: 0.0,
            travel_mm: 0.0,
            dwelt_by_p: false,
            homed: false,
            held: false,
            ended: false,
            unit_mm: 1.0,
            relative: false,
            filament_relative: None,
            plane: Plane::XY,
            motion: None,
            lost: false,
            feed_mm_s: None,
            speed_share: 1.0,
            flow_share: 1.0,
            per_e: 1.0,
            acceleration: basis.acceleration_mm_s2,
            travel_acceleration: basis.travel_acceleration_mm_s2,
            retraction_acceleration: f64::INFINITY,
            corner: Corner::Deviation(basis.junction_deviation_mm),
            most_speed: [f64::INFINITY; 4],
            most_acceleration: [f64::INFINITY; 4],
            bounded: false,
            place: [0.0; 3],
            shift: [0.0; 3],
            e: 0.0,
            fed_mm: 0.0,
            most_fed_mm: 0.0,
            layer: 0,
            layer_z: 0.0,
            layer_height: 0.0,
        }
    }

    /// The file is over.
    pub(super) fn finish(mut self) -> Measured {
        self.stop();
        self.doubts.lumped_layers = self.ledger.lumped;
        self.doubts.forced = self.clock.forced;
        // The last layer ends with its last bead.
        let (before_s, after_s) = match self.ledger.layers.len() {
            0 => (self.ledger.since_s, 0.0),
            _ => (self.ledger.before_s, self.ledger.since_s),
        };
        Measured {
            items: self.ledger.items,
            before_s,
            after_s,
            bead_mm: self.bead_mm,
            travel_mm: self.travel_mm,
            filament_mm: self.most_fed_mm,
            layers: self.ledger.layers,
            moves: self.moves,
            lines: 0,
            bytes: 0,
            unknown: self.unknown.into_iter().map(|(k, n)| (k.words(), n)).collect(),
            doubts: self.doubts,
            basis: self.basis.clone(),
            dwelt_by_p: self.dwelt_by_p,
            homed: self.homed,
            held: self.held,
        }
    }

    /// Bytes that it holds beside itself.
    #[cfg(test)]
    pub(super) fn held(&self) -> usize {
        self.clock.held() + self.ledger.held() + self.unknown.len() * size_of::<(Kind, u64)>()
    }
    /// The most that it can be.
    #[cfg(test)]
    pub(super) const fn most_held() -> usize {
        Clock::most_held() + Ledger::most_held() + (MOST_KINDS + 1) * size_of::<(Kind, u64)>()
    }

    fn stop(&mut self) {
        let ledger = &mut self.ledger;
        self.clock.stop(&mut |layer, t| ledger.stride(layer, t));
    }

    fn count(&mut self, kind: Kind) {
        let kind = if self.unknown.len() < MOST_KINDS || self.unknown.contains_key(&kind) { kind } else { Kind::More };
        *self.unknown.entry(kind).or_default() += 1;
    }

    fn set(&mut self, mode: Mode) {
        match mode {
            Mode::Unit(mm) => self.unit_mm = mm,
            Mode::Relative(on) => self.relative = on,
            Mode::FilamentRelative(on) => self.filament_relative = Some(on),
            Mode::Plane(p) => self.plane = p,
            Mode::AsEver => {}
        }
    }

    /// Carries out the block.
    fn execute(&mut self) {
        let b = self.block;
        self.block.clear();
        // Another command's F is its own.
        let own =
            matches!(b.command, None | Some(Command::Move(_) | Command::Dwell | Command::Home | Command::SetPlace));
        if own && let Some(f) = b.get(b'F') {
            let mm_s = f * self.unit_mm / 60.0;
            if (0.01..=1e5).contains(&mm_s) {
                self.feed_mm_s = Some(mm_s);
            } else {
                self.doubts.speed_words += 1;
            }
        }
        match b.command {
            Some(Command::Move(motion)) => {
                self.motion = Some(motion);
                self.lost = false;
                self.go(&b, motion);
            }
            None if b.has_number(PLACES | OTHERS) => match self.motion {
                Some(motion) => self.go(&b, motion),
                None => self.doubts.unknown_moves += u64::from(self.lost),
            },
            None => self.count_letters(&b),
            Some(Command::NoMotion) => self.motion = None,
            Some(Command::Dwell) => self.dwell(&b),
            Some(Command::Home) => self.home(&b),
            Some(Command::SetPlace) => self.set_place(&b),
            Some(Command::ClearPlace) => self.shift = [0.0; 3],
            Some(Command::Stand) => self.stop(),
            Some(Command::Pause) => {
                self.stop();
                self.doubts.pauses += 1;
            }
            Some(Command::End) => self.ended = true,
            Some(Command::Idle) => {}
            Some(Command::Unknown(what)) => self.not_understood(&b, what),
            Some(
                c @ (Command::MostAcceleration
                | Command::MostSpeed
                | Command::Acceleration
                | Command::Corners
                | Command::SpeedShare),
            ) => self.limit(&b, c),
            Some(c @ (Command::ByVolume | Command::FlowShare)) => self.flow(&b, c),
        }
    }

    fn count_letters(&mut self, b: &Block) {
        if b.count(!OF_MOVES) > 0 {
            for letter in (b'A'..=b'Z').filter(|&l| b.has(l) && bit(l) & OF_MOVES == 0) {
                self.count(Kind::Letter(letter));
            }
        }
    }

    fn not_understood(&mut self, b: &Block, what: Unknown) {
        self.count(Kind::Word(what.letter, what.tenths));
        self.doubts.speed_words += u64::from(what.speed);
        let draws_back = matches!(what.tenths, 100 | 110);
        if what.letter == b'G' && !what.speed && (draws_back || b.has_number(PLACES)) {
            self.doubts.unknown_moves += 1;
            if !draws_back {
                self.motion = None;
                self.lost = true;
            }
        }
    }

    /// A number in a range, in one of the words on limits; counted where it is out of it.
    fn limit_of(&mut self, b: &Block, letter: u8, least: f64, most: f64) -> Option<f64> {
        let v = b.get(letter)?;
        let fits = (least..=most).contains(&v);
        self.doubts.speed_words += u64::from(!fits);
        fits.then_some(v)
    }

    /// Words on acceleration and speed: common practice on filament machines, no source.
    fn limit(&mut self, b: &Block, command: Command) {
        let understood = match command {
            Command::Acceleration => bit(b'S') | bit(b'P') | bit(b'T') | bit(b'R'),
            Command::MostAcceleration | Command::MostSpeed => PLACES,
            Command::Corners => bit(b'X') | bit(b'Y') | bit(b'J') | bit(b'S') | bit(b'T') | bit(b'B'),
            _ => bit(b'S'),
        };
        // What else the word says holds the head as well, and so may what lacks its number.
        self.doubts.speed_words += u64::from(b.count(!understood) + b.bare(understood));
        let push = (1.0, 1e6);
        match command {
            Command::Acceleration => {
                // Beside S, T is travel on some machines and drawing back on others: taken as travel.
                self.doubts.speed_words += u64::from(b.has(b'S') && b.has(b'T'));
                if let Some(a) = self.limit_of(b, b'S', push.0, push.1) {
                    (self.acceleration, self.travel_acceleration) = (a, a);
                }
                if let Some(a) = self.limit_of(b, b'P', push.0, push.1) {
                    self.acceleration = a;
                }
                if let Some(a) = self.limit_of(b, b'T', push.0, push.1) {
                    self.travel_acceleration = a;
                }
                if let Some(a) = self.limit_of(b, b'R', push.0, push.1) {
                    self.retraction_acceleration = a;
                }
            }
            Command::MostAcceleration => {
                for (k, letter) in b"XYZE".iter().enumerate() {
                    if let Some(a) = self.limit_of(b, *letter, push.0, push.1) {
                        self.most_acceleration[k] = a;
                        self.bounded = true;
                    }
                }
            }
            Command::MostSpeed => {
                let given = b"XYZE".map(|l| self.limit_of(b, l, 0.01, 1e6));
                // Some machines count a second, some a minute; no machine goes 1.2 m/s, and none is held below 20 mm/s along X or
                // Y. Z and E may be so slow: alone they say nothing.
                let by_minute = given.iter().flatten().any(|v| *v > 1200.0);
                let per = if by_minute { 60.0 } else { 1.0 };
                self.held |= given.iter().any(Option::is_some);
                self.doubts.speeds_by_minute += u64::from(by_minute);
                let told = given[..2].iter().any(Option::is_some);
                self.doubts.speeds_by_second +=
                    u64::from(!by_minute && !told && given[2..].iter().any(Option::is_some));
                for (most, v) in self.most_speed.iter_mut().zip(given) {
                    if let Some(v) = v {
                        *most = v / per;
                        self.bounded = true;
                    }
                }
            }
            Command::Corners => {
                let [x, y] = [b'X', b'Y'].map(|l| self.limit_of(b, l, 0.0, 1000.0));
                if let Some(v) = [x, y].into_iter().flatten().min_by(f64::total_cmp) {
                    self.corner = Corner::Speed(v);
                    // There is one speed for both: the slower one, and the one that is known.
                    self.doubts.speed_words += u64::from(x != y);
                }
                if let Some(mm) = self.limit_of(b, b'J', 0.0, 10.0) {
                    self.corner = Corner::Deviation(mm);
                }
                // Least speeds, and least times of moves.
                for letter in *b"STB" {
                    self.doubts.speed_words += u64::from(b.get(letter).is_some_and(|v| v != 0.0));
                }
            }
            _ => {
                if let Some(percent) = self.limit_of(b, b'S', 1.0, 1000.0) {
                    self.speed_share = percent / 100.0;
                }
            }
        }
    }

    /// Words on how filament is counted: common practice on filament machines, no source.
    fn flow(&mut self, b: &Block, command: Command) {
        if command == Command::ByVolume {
            if let Some(d) = b.get(b'D') {
                let area = std::f64::consts::PI * d * d / 4.0;
                self.per_e = if d > 0.1 && d < 20.0 { 1.0 / area } else { 1.0 };
            }
            // The most that is fed in a second.
            self.doubts.speed_words += u64::from(b.get(b'L').is_some_and(|v| v != 0.0));
        } else if let Some(percent) = b.get(b'S') {
            if (1.0..=1000.0).contains(&percent) {
                self.flow_share = percent / 100.0;
            } else {
                self.doubts.unreadable += 1;
            }
        }
    }

    fn dwell(&mut self, b: &Block) {
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
    fn home(&mut self, b: &Block) {
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

    fn travel(&mut self, stride: &Stride, speed_mm_s: f64) {
        let manner = Manner { speed_mm_s, acceleration_mm_s2: self.travel_acceleration, corner: self.corner, layer: 0 };
        self.travel_mm += stride.length_mm;
        let ledger = &mut self.ledger;
        self.clock.go(stride, manner, &mut |layer, t| ledger.stride(layer, t));
    }

    fn set_place(&mut self, b: &Block) {
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
    fn go(&mut self, b: &Block, motion: Motion) {
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

    fn arc(&mut self, b: &Block, from: [f64; 3], to: [f64; 3], clockwise: bool) -> Option<Stride> {
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
    fn stride(&mut self, stride: &Stride, rise: f64, fed_mm: f64) {
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
    fn speed_or(&mut self, unsaid_mm_s: f64) -> f64 {
        self.doubts.no_speed += u64::from(self.feed_mm_s.is_none());
        self.feed_mm_s.map_or(unsaid_mm_s, |f| f * self.speed_share)
    }

    /// A bead is laid at this height: does it begin a layer? Level beads begin one at every new height; beads that climb
    /// (a single wall that winds up) begin one where they have climbed by the last layer's height.
    fn lay(&mut self, rise: f64) {
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
    fn in_place(&mut self, length_mm: f64) {
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

impl Listener for Interpreter<'_> {
    fn word(&mut self, letter: u8, number: Option<f64>) -> Rest {
        if self.ended {
            self.doubts.after_end += u64::from(matches!(letter, b'G' | b'M'));
            return Rest::Words;
        }
        match letter {
            b'G' | b'M' => {
                self.doubts.unreadable += u64::from(number.is_some_and(f64::is_nan));
                let meaning = if letter == b'G' { block::g(number) } else { block::m(number) };
                match meaning {
                    Meaning::Mode(mode) => self.set(mode),
                    // Spindles and coolant may share a line with a move.
                    Meaning::Command(Command::Idle) if self.block.command.is_some() => {}
                    Meaning::Command(command) => {
                        if self.block.command.is_some() {
                            self.doubts.crowded += 1;
                            self.execute();
                        }
                        self.block.command = Some(command);
                        let texts = matches!(number, Some(n) if n == 117.0 || n == 118.0);
                        let odd = matches!(command, Command::Pause | Command::Unknown(_));
                        if letter == b'M' && (texts || odd) {
                            return Rest::Text;
                        }
                    }
                }
            }
            b'N' | b'*' => {
                if self.block.any || self.block.command.is_some() {
                    self.doubts.crowded += u64::from(letter == b'N');
                    self.execute();
                }
            }
            _ => {
                if number.is_some_and(|n| n.is_nan() || n.abs() > GREATEST) {
                    self.doubts.unreadable += 1;
                    return Rest::Words;
                }
                let moves = matches!(self.block.command, None | Some(Command::Move(_)));
                if moves && number.is_none() && bit(letter) & OF_MOVES != 0 {
                    self.doubts.unreadable += 1;
                    return Rest::Words;
                }
                if moves && self.block.has(letter) {
                    self.doubts.crowded += 1;
                    self.execute();
                }
                self.block.put(letter, number);
            }
        }
        Rest::Words
    }

    fn named(&mut self, text: &[u8]) {
        if self.ended {
            return;
        }
        let mut name = [0; NAME];
        let word = text.iter().take_while(|b| b.is_ascii_alphanumeric() || **b == b'_');
        for (to, b) in name.iter_mut().zip(word) {
            *to = b.to_ascii_uppercase();
        }
        self.count(Kind::Name(name));
        let upper = text.to_ascii_uppercase();
        let about = [&b"ACCEL"[..], b"VELOCITY", b"SPEED", b"FEED", b"JERK", b"CORNER", b"CRUISE", b"SHAPER"];
        let speed = about.iter().any(|a| upper.windows(a.len()).any(|w| w == *a));
        self.doubts.speed_words += u64::from(speed);
    }

    fn end_of_line(&mut self) {
        if self.block.any || self.block.command.is_some() {
            self.execute();
        }
    }
}
