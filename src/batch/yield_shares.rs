//! How many copies of one plate come out good: the whole distribution.

use super::yield_good::{all_good, chance};

/// Plates drawn for [`shares_within_reach`]: chances are good to about 0.4 %.
const DRAWS: f64 = 20_000.0;
/// Fewer are drawn where copies fail so often that this many failures would be drawn.
const FAILURES: f64 = 1e6;
const LEAST_DRAWS: f64 = 2000.0;

/// Chances of 0, 1 … `n` good copies where any failure spoils all of them.
pub fn shares_all_or_none(n: usize, p: f64) -> Vec<f64> {
    let mut shares = vec![0.0; n + 1];
    let whole = all_good(n, p);
    shares[0] += 1.0 - whole;
    shares[n] += whole;
    shares
}

/// Chances of 0, 1 … `n` good copies printed one after another, where the first failure ends the plate.
pub fn shares_in_turn(n: usize, p: f64) -> Vec<f64> {
    let p = chance(p);
    (0..=n).map(|k| all_good(k, p) * if k < n { 1.0 - p } else { 1.0 }).collect()
}

/// Chances of 0, 1 … n good copies where copy `i` lets go with chance `failing[i]` and takes `spoils[i]` with it. Drawn at random, the
/// same for the same seed; the mean is [`super::expected_good`] but for chance.
pub fn shares_within_reach(failing: &[f64], spoils: &[Vec<usize>], seed: u64) -> Vec<f64> {
    let n = failing.len();
    let mut shares = vec![0.0; n + 1];
    let most = failing.iter().map(|f| chance(*f)).fold(0.0, f64::max);
    if most == 0.0 {
        shares[n] = 1.0;
        return shares;
    }
    let draws = (FAILURES / (n as f64 * most)).clamp(LEAST_DRAWS, DRAWS) as u32;
    let words = n.div_ceil(64);
    let struck: Vec<Vec<u64>> = (0..n)
        .map(|i| {
            let mut mask = vec![0_u64; words];
            let its = spoils.get(i).map_or(&[][..], Vec::as_slice);
            for &j in its.iter().filter(|j| **j < n).chain(std::iter::once(&i)) {
                mask[j / 64] |= 1 << (j % 64);
            }
            mask
        })
        .collect();
    let mut dice = Dice(seed);
    let mut bad = vec![0_u64; words];
    for _ in 0..draws {
        bad.fill(0);
        // From one candidate to the next in one step: the gaps between them are geometric.
        let mut i = dice.gap(most);
        while i < n {
            if dice.unit() * most < chance(failing[i]) {
                bad.iter_mut().zip(&struck[i]).for_each(|(b, s)| *b |= s);
            }
            i = i.saturating_add(1).saturating_add(dice.gap(most));
        }
        let spoilt: u32 = bad.iter().map(|b| b.count_ones()).sum();
        shares[n - spoilt as usize] += 1.0;
    }
    shares.iter_mut().for_each(|s| *s /= f64::from(draws));
    shares
}

/// S. Vigna's splitmix64 (public domain, from memory).
struct Dice(u64);

impl Dice {
    fn next(&mut self) -> u64 {
        self.0 = self.0.wrapping_add(0x9e37_79b9_7f4a_7c15);
        let mut z = self.0;
        z = (z ^ (z >> 30)).wrapping_mul(0xbf58_476d_1ce4_e5b9);
        z = (z ^ (z >> 27)).wrapping_mul(0x94d0_49bb_1331_11eb);
        z ^ (z >> 31)
    }
    /// 0 to 1, without 1.
    fn unit(&mut self) -> f64 {
        (self.next() >> 11) as f64 / (1_u64 << 53) as f64
    }
    /// Misses before the next hit of chance `p`.
    fn gap(&mut self, p: f64) -> usize {
        if p >= 1.0 { 0 } else { ((1.0 - self.unit()).ln() / (-p).ln_1p()).min(1e15) as usize }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::batch::{binomial_shares, expected_good, good_in_turn};

    fn mean(shares: &[f64]) -> f64 {
        shares.iter().zip(0..).map(|(s, k)| s * f64::from(k)).sum()
    }

    #[test]
    fn shares_add_up_and_have_the_mean_of_the_formula() {
        for p in [0.0, 0.5, 0.98, 1.0] {
            let (all, turn) = (shares_all_or_none(12, p), shares_in_turn(12, p));
            for shares in [&all, &turn] {
                assert!((shares.iter().sum::<f64>() - 1.0).abs() < 1e-12);
            }
            assert!((mean(&turn) - good_in_turn(12, p)).abs() < 1e-9);
            assert!((mean(&all) - 12.0 * p.powi(12)).abs() < 1e-9);
        }
        assert_eq!(shares_all_or_none(0, 0.5), [1.0]);
    }

    /// Where nothing is struck it is the binomial distribution; where all are, all or none; in between the mean is the exact one. Four
    /// standard errors of 20 000 draws are 0.015 at the most.
    #[test]
    fn drawn_shares_are_near_exact_ones() {
        let failing = [0.1; 8];
        let none = shares_within_reach(&failing, &[], 1);
        for (a, b) in none.iter().zip(binomial_shares(8, 0.9)) {
            assert!((a - b).abs() < 0.015, "{a} {b}");
        }
        let all: Vec<Vec<usize>> = vec![(0..8).collect(); 8];
        assert!((shares_within_reach(&failing, &all, 1)[8] - 0.9_f64.powi(8)).abs() < 0.015);
        let row: Vec<Vec<usize>> = (0..8_usize).map(|i| vec![i.saturating_sub(1), (i + 1).min(7)]).collect();
        let told = shares_within_reach(&failing, &row, 1);
        assert!((mean(&told) - expected_good(&failing, &row)).abs() < 0.05);
        assert_eq!(told, shares_within_reach(&failing, &row, 1));
        // Copies of unlike chances: .02 and .5.
        let unlike = shares_within_reach(&[0.02, 0.5], &[], 3);
        assert!((unlike[2] - 0.49).abs() < 0.015 && (unlike[0] - 0.01).abs() < 0.005, "{unlike:?}");
    }

    #[test]
    fn nonsense_is_harmless() {
        assert_eq!(shares_within_reach(&[], &[], 0), [1.0]);
        assert_eq!(shares_within_reach(&[1.0, f64::NAN], &[vec![9, 1]], 0), [1.0, 0.0, 0.0]);
    }
}
