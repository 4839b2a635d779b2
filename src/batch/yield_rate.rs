//! The best number of copies where any failure spoils the plate, by a straight line of time.

use super::yield_good::good_all_or_none;

/// More copies are not looked at.
const MOST: usize = 100_000;

/// The number of copies with the most good ones an hour, and that rate per second, where a plate of n takes `once_s` + n · `each_s` and
/// any failure spoils it: the greatest of n pⁿ/(t₀ + n t₁). `None` where times are no times.
///
/// A rule of thumb: real plate times are no straight line.
pub fn best_count_all_or_none(p: f64, once_s: f64, each_s: f64) -> Option<(usize, f64)> {
    if !(once_s >= 0.0 && each_s > 0.0 && once_s.is_finite() && each_s.is_finite()) {
        return None;
    }
    let rate = |n: usize| good_all_or_none(n, p) / (once_s + n as f64 * each_s);
    let mut best = (1, rate(1));
    for n in 2..=MOST {
        let here = rate(n);
        if here <= best.1 {
            // One maximum: the logarithm, ln n + n ln p − ln(t₀ + n t₁), has a derivative with one zero.
            break;
        }
        best = (n, here);
    }
    Some(best)
}

#[cfg(test)]
mod tests {
    use super::*;

    /// t₀ = 0.5 h, t₁ = 1 h, by trying every n (computed by script).
    #[test]
    fn worked_numbers() {
        for (p, n, per_hour) in [(0.98, 5, 0.821_746), (0.95, 3, 0.734_893), (0.90, 2, 0.648)] {
            let (best, rate) = best_count_all_or_none(p, 1800.0, 3600.0).expect("times");
            assert!(best == n && (rate * 3600.0 - per_hour).abs() < 1e-6, "{p}: {best}, {}", rate * 3600.0);
        }
    }

    #[test]
    fn nonsense_is_no_answer() {
        assert_eq!(best_count_all_or_none(0.9, f64::NAN, 1.0), None);
        assert_eq!(best_count_all_or_none(0.9, 1.0, 0.0), None);
        assert_eq!(best_count_all_or_none(f64::NAN, 1.0, 1.0).map(|b| b.0), Some(1));
    }
}
