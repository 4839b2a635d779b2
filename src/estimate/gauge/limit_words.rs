//! Words on limits: acceleration, greatest speeds, corners, shares, how filament is counted.

use super::{
    block::{Block, Command, PLACES, bit},
    clock::Corner,
    machine::Machine,
};

impl Machine<'_> {
    /// A number in a range, in one of the words on limits; counted where it is out of it.
    pub(super) fn limit_of(&mut self, b: &Block, letter: u8, least: f64, most: f64) -> Option<f64> {
        let v = b.get(letter)?;
        let fits = (least..=most).contains(&v);
        self.doubts.speed_words += u64::from(!fits);
        fits.then_some(v)
    }

    /// Words on acceleration and speed: common practice on filament machines, no source.
    pub(super) fn limit(&mut self, b: &Block, command: Command) {
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
    pub(super) fn flow(&mut self, b: &Block, command: Command) {
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
}
