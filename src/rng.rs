//! Seeded random numbers.

/// A small generator (splitmix64, public domain algorithm of Steele, Lea & Flood 2014). Same seed, same numbers.
#[derive(Debug, Clone)]
pub struct Rng(u64);

impl Rng {
    /// Numbers of a seed.
    pub fn new(seed: u64) -> Self {
        Self(seed ^ 0x9e37_79b9_7f4a_7c15)
    }
    /// The next 64 bits.
    pub fn bits(&mut self) -> u64 {
        self.0 = self.0.wrapping_add(0x9e37_79b9_7f4a_7c15);
        let mut z = self.0;
        z = (z ^ (z >> 30)).wrapping_mul(0xbf58_476d_1ce4_e5b9);
        z = (z ^ (z >> 27)).wrapping_mul(0x94d0_49bb_1331_11eb);
        z ^ (z >> 31)
    }
    /// In 0..n; 0 where n is 0.
    pub fn below(&mut self, n: usize) -> usize {
        if n == 0 { 0 } else { (self.bits() % n as u64) as usize }
    }
    /// In 0.0..1.0.
    pub fn unit(&mut self) -> f64 {
        (self.bits() >> 11) as f64 / (1_u64 << 53) as f64
    }
    /// A number from a range.
    pub fn between(&mut self, low: f64, high: f64) -> f64 {
        low + (high - low) * self.unit()
    }
}
