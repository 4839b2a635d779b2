//! Seeded chance.

/// A sequence of numbers that looks random and is the same for the same seed. Source: `SplitMix64` (Steele, Lea and Flood 2014).
pub(crate) struct Dice(u64);

impl Dice {
    pub(crate) fn new(seed: u64) -> Self {
        Self(seed)
    }
    /// The dice of a case: another sequence for each target and number.
    pub(crate) fn of_case(seed: u64, target: usize, number: u64) -> Self {
        let mut d = Self(seed ^ (target as u64) << 56);
        Self(d.next() ^ number.wrapping_mul(0xd1b5_4a32_d192_ed03))
    }
    pub(crate) fn next(&mut self) -> u64 {
        self.0 = self.0.wrapping_add(0x9e37_79b9_7f4a_7c15);
        let mut z = self.0;
        z = (z ^ (z >> 30)).wrapping_mul(0xbf58_476d_1ce4_e5b9);
        z = (z ^ (z >> 27)).wrapping_mul(0x94d0_49bb_1331_11eb);
        z ^ (z >> 31)
    }
    /// A number below `n`; 0 where `n` is 0.
    pub(crate) fn below(&mut self, n: usize) -> usize {
        if n == 0 { 0 } else { (self.next() % n as u64) as usize }
    }
    /// True once in `n` times.
    pub(crate) fn one_in(&mut self, n: usize) -> bool {
        self.below(n) == 0
    }
    /// One of a list that is not empty.
    pub(crate) fn of<'a, T>(&mut self, all: &'a [T]) -> &'a T {
        &all[self.below(all.len())]
    }
    /// From 0 to 1.
    pub(crate) fn share(&mut self) -> f64 {
        (self.next() >> 11) as f64 / (1_u64 << 53) as f64
    }
    /// A length in mm: mostly sensible, now and then nothing, negative, far away, or no number at all.
    pub(crate) fn length(&mut self) -> f64 {
        match self.below(24) {
            0 => 0.0,
            1 => -self.share() * 1000.0,
            2 => *self.of(&[1e6, 1e12, 1e29, 1e300, f64::MAX, 1e-9, 5e-324]),
            3 => *self.of(&[f64::NAN, f64::INFINITY, f64::NEG_INFINITY, -1e300]),
            4 => self.share() * 10_000.0,
            _ => self.share() * 250.0,
        }
    }
}
