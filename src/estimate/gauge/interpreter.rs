//! Words → moves: what a machine would do.
//!
//! Meaning of the words: T. R. Kramer, F. M. Proctor, E. Messina, The NIST RS274NGC Interpreter, Version 3, 2000 (from memory),
//! and common practice on filament machines (no source) where that goes beyond it or departs from it:
//! - modes and units of a block hold for the whole block, then its F, then its command (the report's table 8, but for F);
//! - G0 goes at the speed that F has set; the report leaves it to the machine;
//! - G28 sends home the axes that it names, all where it names none; the report goes by way of the place named;
//! - E is filament, counted as M82 or M83 say, else as G90 and G91 do;
//! - a command that shares a line with another is carried out after it; the report calls that an error.

use super::{
    block::{self, Block, Command, Meaning, OF_MOVES, OTHERS, PLACES, Unknown, bit},
    machine::Machine,
    unknown_kind::{NAME, UnknownKind},
    words::{Listener, Rest},
};

/// Numbers beyond this make no sense in any word.
const GREATEST: f64 = 1e9;

impl Machine<'_> {
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

    fn not_understood(&mut self, b: &Block, what: Unknown) {
        self.count(UnknownKind::Word(what.letter, what.tenths));
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
}

impl Listener for Machine<'_> {
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
        self.count(UnknownKind::Name(name));
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
