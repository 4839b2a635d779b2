//! A block: the words that are carried out together, and what its command is.

use super::arc::Plane;

/// What a block does.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Command {
    /// A way of moving.
    Move(Motion),
    /// G4.
    Dwell,
    /// G28.
    Home,
    /// G92.
    SetPlace,
    /// G92.1, G92.2.
    ClearPlace,
    /// G80: axis words move nothing until a way of moving is named again.
    NoMotion,
    /// M201.
    MostAcceleration,
    /// M203.
    MostSpeed,
    /// M204.
    Acceleration,
    /// M205.
    Corners,
    /// M200: filament is counted by volume.
    ByVolume,
    /// M220.
    SpeedShare,
    /// M221.
    FlowShare,
    /// The head stands still until all that came before is done.
    Stand,
    /// The machine waits for a person.
    Pause,
    /// The program's end.
    End,
    /// Understood, and takes no time that is counted.
    Idle,
    /// Not understood.
    Unknown(Unknown),
}

/// The ways of moving.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Motion {
    /// G0.
    Rapid,
    /// G1.
    Line,
    /// G2.
    Clockwise,
    /// G3.
    CounterClockwise,
}

/// Something not understood.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) struct Unknown {
    pub(super) letter: u8,
    /// Ten times the number.
    pub(super) tenths: i32,
    /// It is about speed or acceleration.
    pub(super) speed: bool,
}

/// What a G or M word means.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) enum Meaning {
    Command(Command),
    /// A mode, in force from this block on.
    Mode(Mode),
}

/// Modes.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) enum Mode {
    /// Millimetres a unit.
    Unit(f64),
    /// G91.
    Relative(bool),
    /// M83.
    FilamentRelative(bool),
    Plane(Plane),
    /// As things are anyway.
    AsEver,
}

/// A number as ten times a whole one; `None` where it is none.
fn tenths(number: Option<f64>) -> Option<i32> {
    let t = number? * 10.0;
    ((t - t.round()).abs() < 1e-6 && t.abs() < 1e8).then_some(t.round() as i32)
}

/// Meaning of a G word. Sources: the NIST report, tables 4 and 5 (from memory); G10, G11, G29 and the like are common practice
/// on filament machines, no source.
pub(super) fn g(number: Option<f64>) -> Meaning {
    use {Command as C, Meaning::Command as Do, Meaning::Mode as Set};
    let Some(t) = tenths(number) else {
        return Do(unknown(b'G', -1, counts_feed(whole(number))));
    };
    match t {
        0 => Do(C::Move(Motion::Rapid)),
        10 => Do(C::Move(Motion::Line)),
        20 => Do(C::Move(Motion::Clockwise)),
        30 => Do(C::Move(Motion::CounterClockwise)),
        40 => Do(C::Dwell),
        170 => Set(Mode::Plane(Plane::XY)),
        180 => Set(Mode::Plane(Plane::ZX)),
        190 => Set(Mode::Plane(Plane::YZ)),
        200 => Set(Mode::Unit(25.4)),
        210 => Set(Mode::Unit(1.0)),
        280 => Do(C::Home),
        800 => Do(C::NoMotion),
        900 => Set(Mode::Relative(false)),
        910 => Set(Mode::Relative(true)),
        920 => Do(C::SetPlace),
        921 | 922 => Do(C::ClearPlace),
        // No tool offsets, the first of the file's own origins, feed by the minute.
        400 | 490 | 540 | 940 => Set(Mode::AsEver),
        _ => Do(unknown(b'G', t, counts_feed(t / 10))),
    }
}

/// G words, whatever follows their point, that change speeds: path control, and other ways of counting feed.
const fn counts_feed(whole: i32) -> bool {
    matches!(whole, 61 | 64 | 93 | 95)
}

/// M words, whatever follows their point, on speed, acceleration and corners: greatest ones, those in force, drawing back on the
/// machine's own account, shares of the speed, shaping. Common practice on filament machines, no source.
const fn holds_speed(whole: i32) -> bool {
    matches!(whole, 201..=205 | 207 | 208 | 220 | 222 | 223 | 493 | 566 | 593)
}

/// What comes before the point; 0 where there is no number.
fn whole(number: Option<f64>) -> i32 {
    number.map_or(0, |n| n.trunc() as i32)
}

/// Meaning of an M word: the NIST report, table 7 (from memory); the rest is common practice on filament machines, no source.
pub(super) fn m(number: Option<f64>) -> Meaning {
    use {Command as C, Meaning::Command as Do, Meaning::Mode as Set};
    let Some(t) = tenths(number) else {
        return Do(unknown(b'M', -1, holds_speed(whole(number))));
    };
    // With a point it is another word, about the same.
    if t % 10 != 0 {
        return Do(unknown(b'M', t, holds_speed(t / 10)));
    }
    match t / 10 {
        82 => Set(Mode::FilamentRelative(false)),
        83 => Set(Mode::FilamentRelative(true)),
        0 | 1 | 25 | 226 | 600 | 601 => Do(C::Pause),
        2 | 30 => Do(C::End),
        200 => Do(C::ByVolume),
        201 => Do(C::MostAcceleration),
        203 => Do(C::MostSpeed),
        204 => Do(C::Acceleration),
        205 => Do(C::Corners),
        220 => Do(C::SpeedShare),
        221 => Do(C::FlowShare),
        // Waiting until moves are done, or for a temperature.
        109 | 116 | 190 | 191 | 400 => Do(C::Stand),
        // Spindle, coolant, motors, fans, heaters, reports, messages, lights, progress.
        3..=9
        | 17
        | 18
        | 31
        | 42
        | 48
        | 49
        | 73
        | 75..=78
        | 84
        | 85
        | 104..=108
        | 110
        | 111
        | 113..=115
        | 117..=119
        | 140
        | 141
        | 149
        | 150
        | 155
        | 300
        | 355 => Do(C::Idle),
        other => Do(unknown(b'M', t, holds_speed(other))),
    }
}

fn unknown(letter: u8, tenths: i32, speed: bool) -> Command {
    Command::Unknown(Unknown { letter, tenths, speed })
}

/// The words of a block so far.
#[derive(Debug, Clone, Copy)]
pub(super) struct Block {
    pub(super) command: Option<Command>,
    /// Bit k: the k-th letter came.
    there: u32,
    /// Bit k: with a number.
    numbered: u32,
    values: [f64; 26],
    pub(super) any: bool,
}

impl Block {
    pub(super) fn new() -> Self {
        Self { command: None, there: 0, numbered: 0, values: [0.0; 26], any: false }
    }
    pub(super) fn clear(&mut self) {
        self.command = None;
        self.there = 0;
        self.numbered = 0;
        self.any = false;
    }
    pub(super) fn has(&self, letter: u8) -> bool {
        self.there & bit(letter) != 0
    }
    /// Any of these letters came with a number.
    pub(super) fn has_number(&self, letters: u32) -> bool {
        self.numbered & letters != 0
    }
    /// How many of these letters came.
    pub(super) fn count(&self, letters: u32) -> u32 {
        (self.there & letters).count_ones()
    }
    /// How many of these letters came without a number.
    pub(super) fn bare(&self, letters: u32) -> u32 {
        (self.there & !self.numbered & letters).count_ones()
    }
    /// A letter's number.
    pub(super) fn get(&self, letter: u8) -> Option<f64> {
        (self.numbered & bit(letter) != 0).then(|| self.values[usize::from(letter - b'A')])
    }
    /// Takes a word; `number` is finite.
    pub(super) fn put(&mut self, letter: u8, number: Option<f64>) {
        self.any = true;
        self.there |= bit(letter);
        if let Some(v) = number {
            self.numbered |= bit(letter);
            self.values[usize::from(letter - b'A')] = v;
        }
    }
}

pub(super) const XYZ: u32 = bit(b'X') | bit(b'Y') | bit(b'Z');
pub(super) const PLACES: u32 = XYZ | bit(b'E');
/// Axes of other machines.
pub(super) const OTHERS: u32 = bit(b'A') | bit(b'B') | bit(b'C') | bit(b'U') | bit(b'V') | bit(b'W');
/// Letters that a move may have.
pub(super) const OF_MOVES: u32 =
    PLACES | OTHERS | bit(b'F') | bit(b'I') | bit(b'J') | bit(b'K') | bit(b'R') | bit(b'P') | bit(b'S') | bit(b'T');

/// The bit of a letter, A to Z.
pub(super) const fn bit(letter: u8) -> u32 {
    1 << (letter - b'A')
}
