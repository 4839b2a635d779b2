//! Copies, or plates, to start for a wanted number of good ones.

use super::yield_good::chance;

/// More than this are not worth starting.
const MOST: usize = 1_000_000;

/// How many to start so that at least `r` are good with this confidence, each good with chance `p` by itself; `None` where no number up
/// to a million is enough.
///
/// The quantile of the negative binomial distribution, which is the binomial tail: the least n with P(X ≥ r) ≥ `confidence`.
pub fn starts_needed(r: usize, p: f64, confidence: f64) -> Option<usize> {
    let (p, confidence) = (chance(p), chance(confidence));
    if r == 0 {
        return Some(0);
    }
    if p == 0.0 || confidence >= 1.0 && p < 1.0 || r > MOST {
        return None;
    }
    // The r-th good one comes at start k with chance C(k − 1, r − 1) pʳ (1 − p)ᵏ⁻ʳ.
    let mut ln_here = r as f64 * p.ln();
    let mut by_now = 0.0;
    for k in r..=MOST {
        by_now += ln_here.exp();
        // Sums of doubles fall short of 1 by some 1e-13.
        if by_now >= confidence - 1e-12 {
            return Some(k);
        }
        ln_here += (k as f64 / (k + 1 - r) as f64).ln() + (-p).ln_1p();
    }
    None
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::batch::at_least;

    /// scipy.stats.nbinom 1.17.1: number to start, the chance it gives, and the chance that one fewer gives.
    #[test]
    fn worked_numbers() {
        for (r, p, confidence, n, enough, fewer) in [
            (5, 0.9, 0.95, 7, 0.974_308_5, 0.885_735),
            (10, 0.9, 0.95, 13, 0.965_839, 0.889_130),
            (5, 0.8, 0.95, 9, 0.980_419, 0.943_718),
            (3, 0.7, 0.90, 6, 0.929_53, 0.836_92),
        ] {
            assert_eq!(starts_needed(r, p, confidence), Some(n), "{r} {p}");
            assert!((at_least(n, r, p) - enough).abs() < 1e-6 && (at_least(n - 1, r, p) - fewer).abs() < 1e-6);
        }
    }

    #[test]
    fn ends_of_the_range() {
        assert_eq!(starts_needed(0, 0.3, 0.9), Some(0));
        assert_eq!(
            (starts_needed(7, 1.0, 1.0), starts_needed(7, 0.5, 1.0), starts_needed(7, 0.0, 0.5)),
            (Some(7), None, None)
        );
        assert_eq!((starts_needed(1, f64::NAN, 0.5), starts_needed(usize::MAX, 0.5, 0.5)), (None, None));
        // pʳ is far below the least double: found all the same, near r / p.
        let n = starts_needed(20_000, 0.9, 0.5).expect("found");
        assert!((n as f64 * 0.9 / 20_000.0 - 1.0).abs() < 1e-3, "{n}");
    }
}
