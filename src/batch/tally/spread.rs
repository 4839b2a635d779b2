//! How far real times are from each other.

use super::{beta::t_quantile, chi_square::chi_square_quantile};

/// Degrees of freedom below which nothing is offered.
const LEAST_FREEDOM: usize = 4;

/// How far real times of plates are from what their recipe and machine lead to expect, %: 95 of 100 end within it.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Spread {
    /// Plates that tell.
    pub plates: usize,
    /// Degrees of freedom: plates less groups.
    pub freedom: usize,
    /// The spread, %.
    pub percent: f64,
    /// Its 95 % interval.
    pub low: f64,
    /// Its 95 % interval.
    pub high: f64,
}

impl Spread {
    /// From ratios of plates, a group for each recipe and machine. The error says how many plates are missing.
    ///
    /// Pooled standard deviation s of the logarithms; e^(t s) − 1 with Student's t; the interval from the chi-square distribution of s² with the normal
    /// 1.96 in place of t.
    pub fn of<'a>(groups: impl Iterator<Item = &'a [f64]>) -> Result<Self, String> {
        let (mut plates, mut freedom, mut squares) = (0, 0, 0.0);
        for ratios in groups {
            let ln: Vec<f64> = ratios.iter().filter(|r| r.is_finite() && **r > 0.0).map(|r| r.ln()).collect();
            if ln.len() < 2 {
                continue;
            }
            let mean = ln.iter().sum::<f64>() / ln.len() as f64;
            squares += ln.iter().map(|y| (y - mean) * (y - mean)).sum::<f64>();
            plates += ln.len();
            freedom += ln.len() - 1;
        }
        if freedom < LEAST_FREEDOM {
            return Err(format!(
                "The spread of times needs {} more plates of a recipe and machine that were tallied before.",
                LEAST_FREEDOM - freedom
            ));
        }
        let f = freedom as f64;
        let deviation = (squares / f).sqrt();
        let percent = |k: f64| 100.0 * (k * deviation).exp_m1();
        let chi = |share| (f / chi_square_quantile(share, f)).sqrt();
        Ok(Self {
            plates,
            freedom,
            percent: percent(t_quantile(0.975, f)),
            low: percent(1.959_964 * chi(0.975)),
            high: percent(1.959_964 * chi(0.025)),
        })
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Six plates, logarithms −0.05 and 0.05 three times each: s² = 6 × 0.0025 / 5, s = 0.0547723; t(5) = 2.570582: 15.12 %. chi-square (5): 0.831212 and
    /// 12.832502 (tables): 6.93 % and 30.12 %.
    #[test]
    fn by_hand() {
        let ratios = [-0.05_f64, 0.05, -0.05, 0.05, -0.05, 0.05].map(f64::exp);
        let s = Spread::of([&ratios[..]].into_iter()).expect("enough");
        assert_eq!((s.plates, s.freedom), (6, 5));
        for (got, expected) in [(s.percent, 15.12), (s.low, 6.93), (s.high, 30.12)] {
            assert!((got - expected).abs() < 0.005, "{got} is not {expected}");
        }
    }

    #[test]
    fn too_few() {
        let told = Spread::of([&[1.0, 1.1][..], &[1.2][..]].into_iter()).expect_err("one degree of freedom");
        assert!(told.contains("3 more plates"), "{told}");
    }
}
