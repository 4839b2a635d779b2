//! How often something fails.

use super::beta::beta_quantile;

/// A failure rate learned from counts, with its interval.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Rate {
    /// How many failed.
    pub failed: usize,
    /// Of how many.
    pub of: usize,
    /// Mean of what is believed of the rate, 0 to 1.
    pub mean: f64,
    /// It is at least this: 2.5 % below.
    pub low: f64,
    /// It is at most this: 2.5 % above.
    pub high: f64,
}

/// Mean and equal-tailed 95 % interval of a failure rate under Jeffreys' prior, Beta(1/2, 1/2). At 0 failures the lower end is 0, where all failed
/// the upper end is 1 (Brown, Cai and others, Statistical Science 16, 2001). More failures than there were count as all of them.
pub fn jeffreys(failed: usize, of: usize) -> Rate {
    let failed = failed.min(of);
    let (a, b) = (failed as f64 + 0.5, (of - failed) as f64 + 0.5);
    let (low, high) = ends(failed, of, a, b);
    Rate { failed, of, mean: a / (a + b), low, high }
}

/// The equal-tailed 95 % interval of Beta(a, b), with the convention at 0 and at all.
fn ends(failed: usize, of: usize, a: f64, b: f64) -> (f64, f64) {
    let low = if failed == 0 { 0.0 } else { beta_quantile(0.025, a, b) };
    let high = if failed == of { 1.0 } else { beta_quantile(0.975, a, b) };
    (low, high)
}

#[cfg(test)]
mod tests {
    use super::*;

    /// scipy.stats.beta 1.17.1: mean and 95 % equal tails of Beta(x + 1/2, n − x + 1/2).
    #[test]
    fn a_table() {
        for (x, n, mean, low, high) in [
            (0, 10, 0.045_454_5, 0.0, 0.217_196),
            (1, 20, 0.071_428_6, 0.005_449, 0.210_819),
            (3, 20, 0.166_666_7, 0.044_131, 0.348_578),
            (0, 30, 0.016_129_0, 0.0, 0.079_678),
            (5, 50, 0.107_843_1, 0.039_194, 0.205_355),
        ] {
            let r = jeffreys(x, n);
            for (got, expected) in [(r.mean, mean), (r.low, low), (r.high, high)] {
                assert!((got - expected).abs() < 6e-7, "{x}/{n}: {got} is not {expected}");
            }
        }
        // The lower ends that the convention replaces.
        for (n, low) in [(10.0, 4.789e-5), (30.0, 1.623e-5)] {
            assert!((beta_quantile(0.025, 0.5, n + 0.5) / low - 1.0).abs() < 2e-4);
        }
    }

    #[test]
    fn all_failed_and_nothing_known() {
        let all = jeffreys(4, 4);
        assert!(all.high == 1.0 && (all.low - (1.0 - jeffreys(0, 4).high)).abs() < 1e-12);
        let none = jeffreys(0, 0);
        assert_eq!((none.mean, none.low, none.high), (0.5, 0.0, 1.0));
        assert_eq!(jeffreys(9, 4), all);
    }
}
