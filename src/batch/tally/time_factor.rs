//! Actual ÷ estimated time.

use super::beta::t_quantile;

/// What is believed of a time factor before plates are counted: the logarithm of actual ÷ estimated is normal about 0, with these weights.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct FactorPrior {
    /// Plates that it counts for, each as long as estimated.
    pub plates: f64,
    /// Degrees of freedom of what is believed of the spread.
    pub freedom: f64,
    /// That spread: standard deviation of the logarithm.
    pub deviation: f64,
}

impl FactorPrior {
    /// Stated, no source: one plate as long as estimated, and times that spread by 10 % (95 of 100 within) as if four plates had shown it.
    pub const STATED: Self = Self { plates: 1.0, freedom: 4.0, deviation: 0.048_628 };
}

/// A time factor learned from plates: actual ÷ estimated, log-normal.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct TimeFactor {
    /// Plates.
    pub plates: usize,
    /// Geometric mean of what was measured.
    pub measured: f64,
    /// Student's 95 % interval of it; `None` for a single plate.
    pub measured_range: Option<(f64, f64)>,
    /// Drawn towards 1 by the prior: what is offered.
    pub factor: f64,
    /// Its 95 % interval.
    pub low: f64,
    /// Its 95 % interval.
    pub high: f64,
}

impl TimeFactor {
    /// From ratios above 0; others are left out. `None` where there is none.
    ///
    /// With y the logarithms, n of them, and the prior normal-inverse-chi-square: κ = κ₀ + n, mean n ȳ / κ, ν = ν₀ + n,
    /// ν s² = ν₀ s₀² + Σ(y − ȳ)² + κ₀ n ȳ² / κ; the mean is t-distributed with ν degrees of freedom and scale s / √κ (the textbook conjugate
    /// analysis of the normal distribution).
    pub fn of(ratios: &[f64], prior: FactorPrior) -> Option<Self> {
        let ln: Vec<f64> = ratios.iter().filter(|r| r.is_finite() && **r > 0.0).map(|r| r.ln()).collect();
        let n = ln.len() as f64;
        if ln.is_empty() {
            return None;
        }
        let mean = ln.iter().sum::<f64>() / n;
        let squares: f64 = ln.iter().map(|y| (y - mean) * (y - mean)).sum();
        let measured_range = (ln.len() > 1).then(|| {
            let half = t_quantile(0.975, n - 1.0) * (squares / (n - 1.0) / n).sqrt();
            ((mean - half).exp(), (mean + half).exp())
        });
        let weight = prior.plates + n;
        let drawn = n * mean / weight;
        let freedom = prior.freedom + n;
        let all = prior.freedom * prior.deviation * prior.deviation + squares + prior.plates * n * mean * mean / weight;
        let half = t_quantile(0.975, freedom) * (all / freedom / weight).sqrt();
        Some(Self {
            plates: ln.len(),
            measured: mean.exp(),
            measured_range,
            factor: drawn.exp(),
            low: (drawn - half).exp(),
            high: (drawn + half).exp(),
        })
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Ratios 1, e^0.1, e^0.2: mean of logarithms 0.1, standard deviation 0.1, half width 4.302653 × 0.1 / √3 = 0.248414 (t table). Drawn
    /// towards 1 by one plate: 0.3 / 4 = 0.075.
    #[test]
    fn by_hand() {
        let ratios = [0.0_f64, 0.1, 0.2].map(f64::exp);
        let f = TimeFactor::of(&ratios, FactorPrior::STATED).expect("there are some");
        let (low, high) = f.measured_range.expect("three plates");
        assert!((f.measured.ln() - 0.1).abs() < 1e-12);
        assert!((low.ln() - (0.1 - 0.248_413_8)).abs() < 1e-6 && (high.ln() - (0.1 + 0.248_413_8)).abs() < 1e-6);
        assert!((f.factor.ln() - 0.075).abs() < 1e-12);
        // 4 × 0.048628² + 0.02 + 3 × 0.01 / 4 = 0.036959; ν 7, κ 4: 2.364624 × √(0.036959 / 7 / 4) = 0.085909.
        assert!((f.high.ln() - 0.075 - 0.085_909).abs() < 2e-6, "{}", f.high.ln() - 0.075);
    }

    #[test]
    fn one_plate_many_plates_and_nonsense() {
        let one = TimeFactor::of(&[1.5], FactorPrior::STATED).expect("one");
        assert!(one.measured_range.is_none() && (one.factor - 1.5_f64.sqrt()).abs() < 1e-12);
        assert!(one.low < one.factor && one.factor < one.high);
        let many = TimeFactor::of(&vec![1.5; 1000], FactorPrior::STATED).expect("many");
        assert!((many.factor - 1.5).abs() < 1e-3 && many.high - many.low < 0.01);
        assert_eq!(TimeFactor::of(&[f64::NAN, -1.0, 0.0], FactorPrior::STATED), None);
        assert!((FactorPrior::STATED.deviation - 1.1_f64.ln() / 1.96).abs() < 1e-5);
    }
}
