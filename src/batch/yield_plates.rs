//! Plates to start for a wanted number of good copies.

use super::{normal::normal_quantile, yield_good::chance};

/// Longer sums than this give way to the normal distribution.
const MOST_TERMS: f64 = 1e7;
/// More plates than this are not worth starting.
const MOST_PLATES: f64 = 1e6;

/// How many plates to start so that together they hold at least `wanted` good copies with this confidence; `None` where no number up to a
/// million is enough.
///
/// `shares[k]` is the chance that a plate holds k good copies; `spoilt` the chance that a common cause spoils it. Exact: the distribution of the
/// sum, plate by plate. Where that would take more than ten million steps (thousands wanted, few on a plate), the normal distribution with
/// the same mean and variance stands for it, with the correction of one half.
pub fn plates_needed(shares: &[f64], spoilt: f64, wanted: usize, confidence: f64) -> Option<usize> {
    if wanted == 0 {
        return Some(0);
    }
    let (spoilt, confidence) = (chance(spoilt), chance(confidence));
    let mut one: Vec<(usize, f64)> =
        shares.iter().enumerate().map(|(k, s)| (k, chance(*s) * (1.0 - spoilt))).filter(|(_, s)| *s > 0.0).collect();
    let known: f64 = one.iter().map(|(_, s)| s).sum();
    if known > 1.0 + 1e-6 {
        return None;
    }
    match one.first_mut().filter(|(k, _)| *k == 0) {
        Some(none) => none.1 += (1.0 - known).max(0.0),
        None => one.insert(0, (0, (1.0 - known).max(0.0))),
    }
    let mean: f64 = one.iter().map(|(k, s)| *k as f64 * s).sum();
    let squares: f64 = one.iter().map(|(k, s)| (*k as f64).powi(2) * s).sum();
    if mean <= 0.0 {
        return None;
    }
    let likely = wanted as f64 / mean;
    if likely > MOST_PLATES {
        return None;
    }
    let z = normal_quantile(confidence);
    if likely * wanted as f64 * one.len() as f64 > MOST_TERMS {
        // m μ − z σ √m ≥ wanted − ½, solved for √m.
        let deviation = (squares - mean * mean).max(0.0).sqrt();
        let root = (z * deviation + (z * z * deviation * deviation + 4.0 * mean * (wanted as f64 - 0.5)).sqrt())
            / (2.0 * mean);
        let plates = (root * root).ceil();
        return (plates <= MOST_PLATES).then_some(plates as usize);
    }
    // So many good ones by now; all that are enough have left the list.
    let mut fewer = vec![0.0; wanted];
    fewer[0] = 1.0;
    let mut plates = 0;
    // Far more than likely: the confidence asked for is beyond what doubles can tell.
    let most = (likely * 20.0 + 200.0 + 100.0 / mean).min(MOST_PLATES) as usize;
    while plates < most {
        plates += 1;
        let mut next = vec![0.0; wanted];
        for (have, share) in fewer.iter().enumerate().filter(|(_, s)| **s > 0.0) {
            for (more, s) in &one {
                if let Some(n) = next.get_mut(have + more) {
                    *n += share * s;
                }
            }
        }
        fewer = next;
        if 1.0 - fewer.iter().sum::<f64>() >= confidence - 1e-12 {
            return Some(plates);
        }
    }
    None
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::batch::{at_least, binomial_shares, shares_all_or_none, starts_needed};

    /// Plates of one copy: the negative binomial values (scipy.stats.nbinom 1.17.1).
    #[test]
    fn plates_of_one_copy() {
        for (r, p, confidence, n) in [(5, 0.9, 0.95, 7), (10, 0.9, 0.95, 13), (5, 0.8, 0.95, 9), (3, 0.7, 0.9, 6)] {
            assert_eq!(plates_needed(&binomial_shares(1, p), 0.0, r, confidence), Some(n));
            // A common cause works like a worse copy where a plate holds one.
            assert_eq!(plates_needed(&[0.0, 1.0], 1.0 - p, r, confidence), Some(n));
        }
    }

    /// Where any failure spoils the plate, whole plates are good or bad: ⌈r/n⌉ good plates, each with chance (1 − q) pⁿ.
    #[test]
    fn plates_that_any_failure_spoils() {
        for (n, p, q, r) in [(12, 0.98, 0.01, 100), (5, 0.9, 0.0, 5), (7, 0.95, 0.2, 15)] {
            let whole = (1.0 - q) * f64::powi(p, n);
            let wanted = starts_needed(usize::div_ceil(r, n as usize), whole, 0.9);
            assert_eq!(plates_needed(&shares_all_or_none(n as usize, p), q, r, 0.9), wanted);
        }
    }

    /// Copies that fail each by itself: the binomial distribution of all copies together, no common cause.
    #[test]
    fn plates_whose_copies_fail_alone() {
        for (n, p, r) in [(12, 0.98, 100), (4, 0.7, 30), (9, 0.5, 9)] {
            let plates = plates_needed(&binomial_shares(n, p), 0.0, r, 0.9).expect("enough");
            assert!(at_least(plates * n, r, p) >= 0.9 && at_least((plates - 1) * n, r, p) < 0.9, "{n} {p}");
        }
    }

    /// Ten thousand of plates of one: the normal distribution against the exact quantile.
    #[test]
    fn very_many_are_approximated() {
        let exact = starts_needed(10_000, 0.9, 0.9).expect("enough") as f64;
        let told = plates_needed(&binomial_shares(1, 0.9), 0.0, 10_000, 0.9).expect("enough") as f64;
        assert!((told - exact).abs() <= 2.0, "{told} {exact}");
    }

    #[test]
    fn nothing_and_nonsense() {
        assert_eq!(plates_needed(&[1.0], 0.0, 0, 0.9), Some(0));
        assert_eq!(plates_needed(&[1.0], 0.0, 1, 0.9), None);
        assert_eq!(plates_needed(&[], 0.0, 1, 0.9), None);
        assert_eq!(plates_needed(&[0.0, 1.0], 1.0, 1, 0.9), None);
        assert_eq!(plates_needed(&[f64::NAN, 3.0, 3.0], 0.0, 4, 0.9), None);
        assert_eq!(plates_needed(&[0.999_999_9, 1e-7], 0.0, 1, 0.9), None);
    }
}
