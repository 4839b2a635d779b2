//! What the next plate may bring.

use super::{beta::ln_beta, rate::Rate};
use statrs::function::gamma::ln_gamma;

/// What a plate of so many copies may bring, each failing with a chance that is only known as far as the tally shows it.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct NextPlate {
    /// Copies on it.
    pub copies: usize,
    /// Copies that fail, on the average.
    pub mean_bad: f64,
    /// Chance that none fails.
    pub all_good: f64,
    /// Chance that at most one fails.
    pub at_most_one_bad: f64,
}

impl NextPlate {
    /// The beta-binomial distribution after these counts, under Jeffreys' prior. Plates lost at once are not in it.
    pub fn after(rate: &Rate, copies: usize) -> Self {
        let (a, b) = (rate.failed as f64 + 0.5, (rate.of - rate.failed) as f64 + 0.5);
        let n = copies as f64;
        let chance = |k: f64| {
            let ln_ways = ln_gamma(n + 1.0) - ln_gamma(k + 1.0) - ln_gamma(n - k + 1.0);
            (ln_ways + ln_beta(a + k, b + n - k) - ln_beta(a, b)).exp().min(1.0)
        };
        let all_good = chance(0.0);
        let one = if copies > 0 { chance(1.0) } else { 0.0 };
        Self { copies, mean_bad: n * a / (a + b), all_good, at_most_one_bad: (all_good + one).min(1.0) }
    }
}

#[cfg(test)]
mod tests {
    use super::super::rate::jeffreys;
    use super::*;

    /// After 1 failure of 20, the next 12: mean 0.857143, none 0.490548, at most one 0.780052 (scipy.stats.betabinom 1.17.1).
    #[test]
    fn twelve_after_twenty() {
        let next = NextPlate::after(&jeffreys(1, 20), 12);
        for (got, expected) in
            [(next.mean_bad, 0.857_143), (next.all_good, 0.490_548), (next.at_most_one_bad, 0.780_052)]
        {
            assert!((got - expected).abs() < 6e-7, "{got} is not {expected}");
        }
        let none = NextPlate::after(&jeffreys(1, 20), 0);
        assert_eq!((none.mean_bad, none.all_good, none.at_most_one_bad), (0.0, 1.0, 1.0));
    }
}
