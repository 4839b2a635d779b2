//! Good copies expected of a plate, where all copies succeed with the same chance.

/// A chance from 0 to 1, whatever was given; what is no number is 0.
pub(super) fn chance(p: f64) -> f64 {
    if p.is_nan() { 0.0 } else { p.clamp(0.0, 1.0) }
}

/// Chance that all of `n` copies are good: pⁿ.
pub fn all_good(n: usize, p: f64) -> f64 {
    chance(p).powf(n as f64)
}

/// Good copies expected of `n` where each fails by itself: n p. The mean of the binomial distribution.
pub fn good_each_alone(n: usize, p: f64) -> f64 {
    n as f64 * chance(p)
}

/// Good copies expected of `n` where any failure spoils all of them: n pⁿ.
pub fn good_all_or_none(n: usize, p: f64) -> f64 {
    n as f64 * all_good(n, p)
}

/// Good copies expected of `n` that are printed one after another, where a failure ends the plate: those before it are good. p (1 − pⁿ)/(1 − p).
pub fn good_in_turn(n: usize, p: f64) -> f64 {
    let p = chance(p);
    // Near 1 the quotient is 0 / 0: its limit is n.
    if p > 1.0 - 1e-12 { n as f64 } else { p * (1.0 - all_good(n, p)) / (1.0 - p) }
}

/// What is left of expected good copies where a common cause spoils whole plates with chance `q`: (1 − q) times as many.
pub fn with_common_cause(good: f64, q: f64) -> f64 {
    good * (1.0 - chance(q))
}

#[cfg(test)]
mod tests {
    use super::*;

    fn near(value: f64, wanted: f64, tolerance: f64) {
        assert!((value - wanted).abs() <= tolerance, "{value} is not {wanted}");
    }

    /// 12 copies at 98 % (scipy.stats.binom, 1.17.1): n p, pⁿ, n pⁿ, two plates of 6, one after another, and 5 % common causes.
    #[test]
    fn twelve_copies() {
        near(good_each_alone(12, 0.98), 11.76, 1e-12);
        near(all_good(12, 0.98), 0.784_716_7, 5e-8);
        near(good_all_or_none(12, 0.98), 9.416_601, 5e-7);
        near(2.0 * good_all_or_none(6, 0.98), 10.630_109, 5e-7);
        near(good_in_turn(12, 0.98), 10.548_881, 5e-7);
        near(with_common_cause(good_each_alone(12, 0.98), 0.05), 11.172, 1e-9);
    }

    /// n pⁿ is greatest at n = −1/ln p (calculus): 49.498 at 98 %, where 49 and 50 are equal, 18.20848 both.
    #[test]
    fn the_greatest_plate_that_any_failure_spoils() {
        near(-1.0 / 0.98_f64.ln(), 49.498, 5e-4);
        for n in [49, 50] {
            near(good_all_or_none(n, 0.98), 18.208_48, 5e-6);
        }
        assert!(good_all_or_none(48, 0.98) < 18.208_4 && good_all_or_none(51, 0.98) < 18.208_4);
        // 100 good ones take 100 / 9.416601 plates of 12 on the average.
        near(100.0 / good_all_or_none(12, 0.98), 10.6195, 5e-5);
    }

    #[test]
    fn sure_hopeless_and_nonsense() {
        assert_eq!(good_in_turn(7, 1.0), 7.0);
        near(good_in_turn(7, 1.0 - 1e-9), 7.0, 1e-6);
        assert_eq!((good_in_turn(7, 0.0), good_in_turn(0, 0.5), good_each_alone(0, 0.5)), (0.0, 0.0, 0.0));
        assert_eq!((all_good(3, f64::NAN), all_good(0, 0.5), all_good(3, 7.0)), (0.0, 1.0, 1.0));
    }
}
