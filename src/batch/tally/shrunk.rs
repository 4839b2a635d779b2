//! Rates of several groups, drawn towards what they have in common: a group of few copies says little by itself.

use super::{
    beta::{beta_quantile, ln_beta},
    rate::{Rate, jeffreys},
};

/// As many groups say how far groups differ.
const LEAST_GROUPS: usize = 3;
/// Copies that the common rate counts for where groups are too few to tell. Assumed.
const STATED_COPIES: f64 = 10.0;
/// Within these the strength is looked for.
const STRENGTH: (f64, f64) = (2.0, 10_000.0);

/// Where the prior of several rates comes from.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum RateMethod {
    /// Beta-binomial empirical Bayes: the strength with the greatest marginal likelihood.
    EmpiricalBayes,
    /// Groups are too few: the common rate counts as a stated number of copies.
    Stated,
}

impl RateMethod {
    /// As reports write it.
    pub fn words(self) -> &'static str {
        match self {
            Self::EmpiricalBayes => "beta-binomial empirical Bayes, greatest marginal likelihood",
            Self::Stated => "stated prior: the common rate counts as 10 copies",
        }
    }
}

/// What is believed of a group's rate before its own copies are counted: a beta distribution.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct RatePrior {
    /// Its mean, 0 to 1: the rate of all groups together (Jeffreys).
    pub mean: f64,
    /// Copies that it counts for.
    pub strength: f64,
    /// Where it comes from.
    pub method: RateMethod,
}

/// A rate drawn towards that of all groups.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct ShrunkRate {
    /// Mean, 0 to 1.
    pub mean: f64,
    /// Equal-tailed 95 % interval.
    pub low: f64,
    /// Equal-tailed 95 % interval.
    pub high: f64,
}

/// Each group's own rate (Jeffreys), the same drawn towards what the groups have in common, and the prior that does it.
///
/// The prior's mean is the rate of all groups together; its strength maximises the marginal likelihood of the counts, a beta-binomial distribution each,
/// between 2 and 10 000 copies. With fewer than three groups it is 10 copies, stated. A single group keeps its own rate.
pub fn shrunk_rates(counts: &[(usize, usize)]) -> (Vec<(Rate, ShrunkRate)>, RatePrior) {
    let known: Vec<(usize, usize)> = counts.iter().copied().filter(|(_, of)| *of > 0).collect();
    let (failed, of) = known.iter().fold((0, 0), |(x, n), (failed, of)| (x + failed.min(of), n + of));
    let mean = jeffreys(failed, of).mean;
    let prior = if known.len() >= LEAST_GROUPS {
        RatePrior { mean, strength: likeliest(&known, mean), method: RateMethod::EmpiricalBayes }
    } else {
        RatePrior { mean, strength: STATED_COPIES, method: RateMethod::Stated }
    };
    let rate = |(failed, of): (usize, usize)| {
        let own = jeffreys(failed, of);
        if known.len() == 1 && of > 0 {
            return (own, ShrunkRate { mean: own.mean, low: own.low, high: own.high });
        }
        let a = own.failed as f64 + prior.mean * prior.strength;
        let b = (of - own.failed) as f64 + (1.0 - prior.mean) * prior.strength;
        // The convention at no failure and at all is for a group's own rate: here others have their say.
        (own, ShrunkRate { mean: a / (a + b), low: beta_quantile(0.025, a, b), high: beta_quantile(0.975, a, b) })
    };
    (counts.iter().map(|c| rate(*c)).collect(), prior)
}

/// The strength with the greatest marginal likelihood: on a grid first, which may have several tops, then between its neighbours.
fn likeliest(counts: &[(usize, usize)], mean: f64) -> f64 {
    const STEPS: u32 = 48;
    let ln_likelihood = |ln_strength: f64| -> f64 {
        let s = ln_strength.exp();
        let (a, b) = (mean * s, (1.0 - mean) * s);
        let ln_prior = ln_beta(a, b);
        counts.iter().map(|(x, n)| ln_beta(a + *x as f64, b + (n - x.min(n)) as f64) - ln_prior).sum()
    };
    let (from, to) = (STRENGTH.0.ln(), STRENGTH.1.ln());
    let at = |i: u32| from + (to - from) * f64::from(i) / f64::from(STEPS);
    let best = (0..=STEPS).max_by(|a, b| ln_likelihood(at(*a)).total_cmp(&ln_likelihood(at(*b)))).unwrap_or(0);
    let (mut low, mut high) = (at(best.saturating_sub(1)), at((best + 1).min(STEPS)));
    let golden = f64::midpoint(5.0_f64.sqrt(), -1.0);
    for _ in 0..60 {
        let (left, right) = (high - golden * (high - low), low + golden * (high - low));
        if ln_likelihood(left) > ln_likelihood(right) {
            high = right;
        } else {
            low = left;
        }
    }
    f64::midpoint(low, high).exp()
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Beta(1, 9) and 2 of 18: Beta(3, 25), mean 0.107143, 95 % 0.023527 to 0.242898 (scipy.stats.beta 1.17.1).
    #[test]
    fn a_stated_prior_worked_out() {
        let (low, high) = (beta_quantile(0.025, 3.0, 25.0), beta_quantile(0.975, 3.0, 25.0));
        assert!((low - 0.023_527).abs() < 1e-6 && (high - 0.242_898).abs() < 1e-6);
        // Two groups whose common rate is 10 %: Jeffreys of 1.5 / 15 is 0.1.
        let (rates, prior) = shrunk_rates(&[(1, 7), (0, 7)]);
        assert_eq!((prior.strength, prior.method), (10.0, RateMethod::Stated));
        assert!((prior.mean - 0.1).abs() < 1e-12);
        assert!((rates[0].1.mean - 2.0 / 17.0).abs() < 1e-12 && (rates[1].1.mean - 1.0 / 17.0).abs() < 1e-12);
    }

    /// Groups with the same rate are drawn together; groups that differ widely keep their own.
    #[test]
    fn alike_and_unlike() {
        let (alike, prior) = shrunk_rates(&[(5, 100), (6, 100), (4, 100), (5, 100)]);
        assert!(prior.strength > 5000.0 && prior.method == RateMethod::EmpiricalBayes, "{prior:?}");
        assert!(alike.iter().all(|(_, s)| (s.mean - prior.mean).abs() < 2e-4));
        let (unlike, prior) = shrunk_rates(&[(1, 200), (100, 200), (5, 200), (60, 200)]);
        assert!(prior.strength < 10.0, "{prior:?}");
        assert!(unlike.iter().all(|(own, s)| (s.mean - own.mean).abs() < 0.02));
    }

    #[test]
    fn a_single_group_and_none() {
        let (one, _) = shrunk_rates(&[(1, 20)]);
        assert!((one[0].1.mean - one[0].0.mean).abs() < 1e-12);
        assert!(shrunk_rates(&[]).0.is_empty());
        let (nothing, _) = shrunk_rates(&[(0, 0), (0, 0), (0, 0)]);
        assert!(nothing.iter().all(|(_, s)| s.mean.is_finite()));
    }
}
