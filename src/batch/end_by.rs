//! How sure a plate is to end by a time.

use super::{
    normal::{normal_quantile, normal_share},
    real_time::real_time_factors,
};
use crate::document::Assumptions;

/// Between this quantile and its opposite lie 95 of 100.
const Z_95: f64 = 1.959_963_984_540_054;

/// How the real time of a plate spreads round its estimate: real = estimate · f, f lognormal with median 1, 95 of 100 between the factors
/// of [`real_time_factors`]. Both the form and the spread are assumed.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct TimeSpread {
    /// Standard deviation of ln f.
    sigma: f64,
}

impl TimeSpread {
    /// The spread that a job assumes: the interval of [`real_time_factors`].
    pub fn of(assumed: &Assumptions) -> Self {
        Self { sigma: real_time_factors(assumed).1.ln() / Z_95 }
    }
    /// Earliest and latest end that 95 of 100 plates of this estimate keep to, s.
    pub fn range_s(self, estimate_s: f64) -> (f64, f64) {
        let factor = (self.sigma * Z_95).exp();
        (estimate_s / factor, estimate_s * factor)
    }
    /// Chance that a plate of this estimate takes no longer than so many seconds.
    pub fn chance_within(self, estimate_s: f64, available_s: f64) -> f64 {
        if available_s <= 0.0 {
            return 0.0;
        }
        if estimate_s <= 0.0 {
            return 1.0;
        }
        let ln = (available_s / estimate_s).ln();
        if self.sigma > 0.0 {
            normal_share(ln / self.sigma)
        } else if ln >= 0.0 {
            1.0
        } else {
            0.0
        }
    }
    /// The longest estimate of a plate that ends within so many seconds with this chance, s.
    pub fn longest_s(self, available_s: f64, chance: f64) -> f64 {
        let z = normal_quantile(chance);
        let shorter = if self.sigma > 0.0 { (-z * self.sigma).exp() } else { 1.0 };
        available_s * shorter
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn of(time_spread_percent: f64) -> TimeSpread {
        TimeSpread::of(&Assumptions { time_spread_percent, ..Assumptions::default() })
    }

    /// 10 %: σ = ln 1.1 / 1.959964 = 0.0486286 (by hand); scipy.stats.lognorm 1.17.1 for the chances.
    #[test]
    fn ten_percent() {
        let spread = of(10.0);
        let (least, most) = spread.range_s(36_000.0);
        assert!((least - 36_000.0 / 1.1).abs() < 1e-6 && (most - 39_600.0).abs() < 1e-6);
        for (available_s, chance) in [(36_000.0, 0.5), (39_600.0, 0.975), (36_000.0 / 1.1, 0.025)] {
            assert!((spread.chance_within(36_000.0, available_s) - chance).abs() < 1e-9);
        }
        let longest = spread.longest_s(36_000.0, 0.9);
        assert!((longest - 36_000.0 * (-1.281_551_565_5_f64 * 0.048_628_624).exp()).abs() < 0.01, "{longest}");
        assert!((spread.chance_within(longest, 36_000.0) - 0.9).abs() < 1e-9);
        assert_eq!(spread.longest_s(36_000.0, 0.5), 36_000.0);
    }

    #[test]
    fn no_spread_and_no_time() {
        let none = of(f64::NAN);
        assert_eq!(
            (none.chance_within(10.0, 10.0), none.chance_within(10.1, 10.0), none.longest_s(7.0, 0.99)),
            (1.0, 0.0, 7.0)
        );
        let some = of(20.0);
        assert_eq!(
            (some.chance_within(10.0, 0.0), some.chance_within(0.0, 5.0), some.chance_within(5.0, -1.0)),
            (0.0, 1.0, 0.0)
        );
    }
}
