//! The chi-square distribution.

use statrs::function::gamma::checked_gamma_lr;

/// The value below which this share of a chi-square distribution with so many degrees of freedom lies.
pub fn chi_square_quantile(share: f64, freedom: f64) -> f64 {
    if freedom.is_nan() || freedom <= 0.0 || !(0.0..1.0).contains(&share) {
        return f64::NAN;
    }
    let below = |x: f64| checked_gamma_lr(freedom / 2.0, x / 2.0).unwrap_or(f64::NAN);
    let (mut low, mut high) = (0.0, freedom + 40.0 * freedom.sqrt() + 100.0);
    for _ in 0..120 {
        let middle = f64::midpoint(low, high);
        if below(middle) < share {
            low = middle;
        } else {
            high = middle;
        }
    }
    f64::midpoint(low, high)
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Any table of the distribution; for 2 degrees of freedom −2 ln(1 − share).
    #[test]
    fn a_table() {
        for (share, freedom, x) in [
            (0.975, 2.0, -2.0 * 0.025_f64.ln()),
            (0.025, 4.0, 0.484_419),
            (0.975, 4.0, 11.143_287),
            (0.025, 30.0, 16.790_772),
            (0.95, 1.0, 3.841_459),
        ] {
            assert!((chi_square_quantile(share, freedom) - x).abs() < 1e-5 * x, "{share} {freedom}");
        }
        assert!(chi_square_quantile(0.5, 0.0).is_nan() && chi_square_quantile(f64::NAN, 3.0).is_nan());
    }
}
