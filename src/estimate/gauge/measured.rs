//! What a machine-code file was measured to take.

use std::collections::BTreeMap;

use super::{Basis, DwellUnit};
use crate::finding::Level;

/// A layer: what is laid at one height in one go.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct MeasuredLayer {
    /// Height of the nozzle, mm.
    pub z_mm: f64,
    /// From its first bead to the next layer's, s; the last one ends with its last bead.
    pub time_s: f64,
    /// Way along which something is laid, mm.
    pub bead_mm: f64,
    /// Filament laid along it, mm.
    pub filament_mm: f64,
}

/// Where the time of a file goes. They add up to its time.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct MeasuredItems {
    /// Moves that lay a bead.
    pub beads_s: f64,
    /// Other moves.
    pub travel_s: f64,
    /// Drawing back and priming in place.
    pub retraction_s: f64,
    /// Dwelling (G4).
    pub dwell_s: f64,
}

impl MeasuredItems {
    /// Names and values in the order they are shown.
    pub fn list(&self) -> [(&'static str, f64); 4] {
        [
            ("beads", self.beads_s),
            ("travel", self.travel_s),
            ("retraction", self.retraction_s),
            ("dwelling", self.dwell_s),
        ]
    }
    /// All but dwelling, s.
    pub fn moving_s(&self) -> f64 {
        self.beads_s + self.travel_s + self.retraction_s
    }
    /// Sum of all, s.
    pub fn total_s(&self) -> f64 {
        self.moving_s() + self.dwell_s
    }
}

/// What was not understood, or only by half.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub struct Doubts {
    /// Words on speed or acceleration, or parameters of such words, that are not understood.
    pub speed_words: u64,
    /// Greatest speeds (M203) taken as counted by the minute, for they are too high for the second.
    pub speeds_by_minute: u64,
    /// Greatest speeds taken as counted by the second, though nothing says so.
    pub speeds_by_second: u64,
    /// Moves before any speed was given.
    pub no_speed: u64,
    /// Words without a number or with one that makes no sense.
    pub unreadable: u64,
    /// Moves to places more than 10 m away: left out.
    pub absurd: u64,
    /// Arcs that are none: taken as straight.
    pub bad_arcs: u64,
    /// Moves of a kind that is not understood: left out.
    pub unknown_moves: u64,
    /// Words that move axes other than X, Y, Z, E.
    pub other_axes: u64,
    /// Bytes that belong to nothing.
    pub noise: u64,
    /// Layers beyond the most that are kept: counted with the last one.
    pub lumped_layers: u64,
    /// Strides planned with too short a view.
    pub forced: u64,
    /// Commands that shared a line.
    pub crowded: u64,
    /// Bytes of the longest line.
    pub longest_line: u64,
    /// Waits for a person.
    pub pauses: u64,
    /// Commands after the program's end.
    pub after_end: u64,
}

/// A remark on a measurement.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Remark {
    /// *Watch* where the time may be wrong, else *note*.
    pub level: Level,
    /// One sentence.
    pub text: String,
}

/// What a machine-code file was measured to take.
#[derive(Debug, Clone, PartialEq)]
pub struct Measured {
    /// Where the time goes.
    pub items: MeasuredItems,
    /// Of the time, what comes before the first bead, s.
    pub before_s: f64,
    /// Of the time, what comes after the last bead, s.
    pub after_s: f64,
    /// Way along which something is laid, mm.
    pub bead_mm: f64,
    /// Way of other moves, mm.
    pub travel_mm: f64,
    /// Width and depth of what is laid above the first layer, mm; start lines, skirts and brims lie below.
    pub above_mm: [f64; 2],
    /// Filament fed, drawing back and priming set off against each other, mm.
    pub filament_mm: f64,
    /// Layers in the order they are laid.
    pub layers: Vec<MeasuredLayer>,
    /// Moves.
    pub moves: u64,
    /// Line ends.
    pub lines: u64,
    /// Bytes.
    pub bytes: u64,
    /// Commands that are not understood, and how often they came.
    pub unknown: BTreeMap<String, u64>,
    /// What was not understood, or only by half.
    pub doubts: Doubts,
    /// What was taken for granted.
    pub basis: Basis,
    /// G4 with P came.
    pub dwelt_by_p: bool,
    /// An axis was sent home.
    pub homed: bool,
    /// Greatest speeds were given (M203).
    pub held: bool,
}

impl Measured {
    /// From the first command to the last, s.
    pub fn time_s(&self) -> f64 {
        self.items.total_s()
    }
    /// Index of the layer that takes the least time.
    pub fn least_layer(&self) -> Option<usize> {
        (0..self.layers.len()).min_by(|&a, &b| self.layers[a].time_s.total_cmp(&self.layers[b].time_s))
    }
    /// What was taken for granted, a sentence each.
    pub fn assumptions(&self) -> Vec<String> {
        let b = &self.basis;
        let mut all = vec![
            format!(
                "until the file says otherwise: acceleration {} mm/s² with a bead and {} without, junction deviation {} mm",
                b.acceleration_mm_s2, b.travel_acceleration_mm_s2, b.junction_deviation_mm
            ),
            "time for heating up and waiting for temperatures is not counted".into(),
        ];
        if self.homed {
            all.push(format!("homing an axis (G28) is taken as one move to 0 at {} mm/s", b.travel_mm_s));
        }
        if self.held {
            all.push("maximum speeds (M203) are in mm/s, or in mm/min where one of a line is above 1200".into());
        }
        if self.dwelt_by_p {
            let unit = match b.dwell {
                DwellUnit::Milliseconds => "milliseconds",
                DwellUnit::Seconds => "seconds",
            };
            all.push(format!("P after G4 counts {unit}"));
        }
        all
    }
    /// What to be careful about, gravest first.
    pub fn remarks(&self) -> Vec<Remark> {
        let d = &self.doubts;
        let mut all = Vec::new();
        let mut say = |level, n: u64, one: &str, many: &str| {
            if n > 0 {
                let text = if n == 1 { one.to_owned() } else { many.replace('#', &n.to_string()) };
                all.push(Remark { level, text });
            }
        };
        say(
            Level::Watch,
            d.speed_words,
            "1 command on speed or acceleration is not understood, or only in part: the time may be wrong",
            "# commands on speed or acceleration are not understood, or only in part: the time may be wrong",
        );
        say(
            Level::Watch,
            d.unknown_moves,
            "1 move of an unknown kind is ignored",
            "# moves of unknown kinds are ignored",
        );
        say(
            Level::Watch,
            d.other_axes,
            "1 word for an axis other than X, Y, Z and E is ignored",
            "# words for axes other than X, Y, Z and E are ignored",
        );
        say(
            Level::Watch,
            d.speeds_by_minute,
            "1 maximum speed (M203) is above 1200 and taken as mm/min: if it is mm/s, the time is shorter",
            "# maximum speeds (M203) are above 1200 and taken as mm/min: if they are mm/s, the time is shorter",
        );
        say(
            Level::Watch,
            d.speeds_by_second,
            "1 maximum speed (M203) is taken as mm/s: if it is mm/min, the time is longer",
            "# maximum speeds (M203) are taken as mm/s: if they are mm/min, the time is longer",
        );
        say(
            Level::Watch,
            d.no_speed,
            "1 move comes before any F word: the recipe's speed is used",
            "# moves come before any F word: the recipe's speeds are used",
        );
        say(
            Level::Watch,
            d.absurd,
            "1 move goes farther than any machine can: it is ignored",
            "# moves go farther than any machine can: they are ignored",
        );
        say(
            Level::Watch,
            d.bad_arcs,
            "1 arc has no valid centre: it is taken as a straight line",
            "# arcs have no valid centre: they are taken as straight lines",
        );
        say(
            Level::Watch,
            d.unreadable,
            "1 word has no valid number: it is ignored",
            "# words have no valid number: they are ignored",
        );
        say(
            Level::Watch,
            d.noise,
            "1 byte belongs to no word: the file may be damaged",
            "# bytes belong to no word: the file may be damaged",
        );
        // No machine reads such a line; the report's own allow 256 characters.
        // A file that is one long line has lost its line ends, however short it is.
        let one = d.longest_line == self.bytes && d.longest_line > 256;
        let endless = if one || d.longest_line > 1 << 16 { d.longest_line } else { 0 };
        say(
            Level::Watch,
            endless,
            "",
            "1 line is # bytes long: its line ends may be lost, and with them what follows a comment",
        );
        say(
            Level::Watch,
            d.lumped_layers,
            "1 layer beyond the limit is counted with the one before",
            "# layers beyond the limit are counted with the one before",
        );
        say(
            Level::Note,
            d.forced,
            "1 very short move may be timed too slow",
            "# very short moves may be timed too slow",
        );
        say(
            Level::Note,
            d.pauses,
            "the program pauses for a person once: that time is not counted",
            "the program pauses for a person # times: that time is not counted",
        );
        say(
            Level::Note,
            d.crowded,
            "1 command shares a line with another: they are taken one after the other",
            "# commands share a line with others: they are taken one after the other",
        );
        say(
            Level::Note,
            d.after_end,
            "1 command comes after the program's end (M2, M30): it is ignored",
            "# commands come after the program's end (M2, M30): they are ignored",
        );
        let count: u64 = self.unknown.values().sum();
        if count > 0 {
            let mut most: Vec<(&String, &u64)> = self.unknown.iter().collect();
            most.sort_by(|a, b| b.1.cmp(a.1));
            let names = most.iter().take(6).map(|(w, n)| format!("{w} ({n})")).collect::<Vec<_>>().join(", ");
            let more = if most.len() > 6 { format!(" and {} more kinds", most.len() - 6) } else { String::new() };
            all.push(Remark { level: Level::Note, text: format!("not understood: {names}{more}") });
        }
        all
    }
}
