//! The beta distribution and, from it, Student's t.

use statrs::function::gamma::ln_gamma;

/// Steps of the continued fraction: it needs about the square root of the greater of a and b, and a tally counts below 10⁷ copies.
const MOST_STEPS: usize = 20_000;

/// ln of the beta function.
pub(super) fn ln_beta(a: f64, b: f64) -> f64 {
    ln_gamma(a) + ln_gamma(b) - ln_gamma(a + b)
}

/// Share of a beta distribution below `x`, 0 to 1: the regularised incomplete beta function. `a` and `b` are more than 0; else it is no number.
///
/// Continued fraction by Lentz's method (NIST Digital Library of Mathematical Functions 8.17.22, from memory). The library's own function stops after
/// 140 steps: too early for ten thousand plates.
pub fn beta_share(x: f64, a: f64, b: f64) -> f64 {
    if x.is_nan() || !(a > 0.0 && b > 0.0) {
        return f64::NAN;
    }
    if x <= 0.0 {
        return 0.0;
    }
    if x >= 1.0 {
        return 1.0;
    }
    if x > (a + 1.0) / (a + b + 2.0) { 1.0 - lower(1.0 - x, b, a) } else { lower(x, a, b) }
}

fn lower(x: f64, a: f64, b: f64) -> f64 {
    const TINY: f64 = 1e-300;
    let far = |v: f64| if v.abs() < TINY { TINY } else { v };
    let front = (a * x.ln() + b * (-x).ln_1p() - ln_beta(a, b)).exp() / a;
    let mut c = 1.0;
    let mut d = 1.0 / far(1.0 - (a + b) * x / (a + 1.0));
    let mut h = d;
    for m in 1..MOST_STEPS {
        let m = m as f64;
        let even = m * (b - m) * x / ((a + 2.0 * m - 1.0) * (a + 2.0 * m));
        let odd = -(a + m) * (a + b + m) * x / ((a + 2.0 * m) * (a + 2.0 * m + 1.0));
        let mut step = 1.0;
        for term in [even, odd] {
            d = 1.0 / far(1.0 + term * d);
            c = far(1.0 + term / c);
            step = c * d;
            h *= step;
        }
        if (step - 1.0).abs() < 1e-15 {
            break;
        }
    }
    (front * h).clamp(0.0, 1.0)
}

/// The `x` below which this share of a beta distribution lies.
pub fn beta_quantile(share: f64, a: f64, b: f64) -> f64 {
    if share.is_nan() || !(a > 0.0 && b > 0.0) {
        return f64::NAN;
    }
    let (mut low, mut high) = (0.0_f64, 1.0_f64);
    // Small ones first: halving from 1 alone would leave few digits of a quantile of 1e-12.
    for _ in 0..200 {
        let middle = if high < 1e-3 && low > 0.0 { (low * high).sqrt() } else { f64::midpoint(low, high) };
        if middle <= low || middle >= high {
            break;
        }
        if beta_share(middle, a, b) < share {
            low = middle;
        } else {
            high = middle;
        }
    }
    f64::midpoint(low, high)
}

/// The `t` below which this share of Student's distribution with so many degrees of freedom lies.
pub fn t_quantile(share: f64, freedom: f64) -> f64 {
    if share.is_nan() || freedom.is_nan() || freedom <= 0.0 {
        return f64::NAN;
    }
    let tail = 2.0 * share.min(1.0 - share);
    let x = beta_quantile(tail, freedom / 2.0, 0.5);
    let t = (freedom * (1.0 - x) / x).sqrt();
    if share < 0.5 { -t } else { t }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn near(value: f64, wanted: f64, relative: f64) {
        assert!((value - wanted).abs() <= relative * wanted.abs(), "{value} is not {wanted}");
    }

    /// Closed forms: I(x; 1, b) = 1 − (1 − x)ᵇ, I(x; a, 1) = xᵃ, I(1/2; a, a) = 1/2, I(x; 1/2, 1/2) = 2/π arcsin √x.
    #[test]
    fn closed_forms() {
        for x in [1e-6, 0.01, 0.3, 0.5, 0.9, 0.999_9] {
            for k in [0.5, 1.0, 3.0, 40.0] {
                near(beta_share(x, k, 1.0), x.powf(k), 1e-12);
                near(beta_share(x, 1.0, k), -(k * (-x).ln_1p()).exp_m1(), 1e-11);
            }
            near(beta_share(x, 0.5, 0.5), 2.0 / std::f64::consts::PI * x.sqrt().asin(), 1e-12);
        }
        for a in [0.5, 7.0, 1000.0, 60_000.0] {
            near(beta_share(0.5, a, a), 0.5, 1e-9);
        }
    }

    /// Student's t: 12.7062, 4.3027, 2.2281 and 1.9600 at 97.5 % with 1, 2, 10 and very many degrees of freedom (any table of it).
    #[test]
    fn student() {
        for (freedom, t) in [(1.0, 12.706_204_7), (2.0, 4.302_652_7), (10.0, 2.228_138_9), (1e6, 1.959_966_4)] {
            near(t_quantile(0.975, freedom), t, 1e-7);
            near(t_quantile(0.025, freedom), -t, 1e-7);
        }
    }

    #[test]
    fn there_and_back_and_nonsense() {
        for (a, b) in [(0.5, 10.5), (1.5, 19.5), (300.5, 99_700.5), (0.5, 120_000.5)] {
            for share in [0.025, 0.5, 0.975] {
                near(beta_share(beta_quantile(share, a, b), a, b), share, 1e-8);
            }
        }
        assert!(beta_share(f64::NAN, 1.0, 1.0).is_nan() && beta_quantile(0.5, -1.0, 2.0).is_nan());
        assert!(t_quantile(0.9, 0.0).is_nan());
        assert_eq!((beta_share(-1.0, 2.0, 2.0), beta_share(2.0, 2.0, 2.0)), (0.0, 1.0));
    }
}
