//! Fisher's exact test.

use statrs::function::gamma::ln_gamma;

/// Two-sided p value of Fisher's exact test: how likely counts at least as unequal are if both sides fail with the same chance. Each side is
/// (failed, of). Two-sided as the sum of all tables that are no likelier than this one.
pub fn fisher_exact(one: (usize, usize), other: (usize, usize)) -> f64 {
    let (a, n1) = (one.0.min(one.1), one.1);
    let (c, n2) = (other.0.min(other.1), other.1);
    let failed = a + c;
    if failed == 0 || failed == n1 + n2 || n1 == 0 || n2 == 0 {
        return 1.0;
    }
    let ln_ways =
        |n: usize, k: usize| ln_gamma(n as f64 + 1.0) - ln_gamma(k as f64 + 1.0) - ln_gamma((n - k) as f64 + 1.0);
    let total = ln_ways(n1 + n2, failed);
    let ln_chance = |k: usize| ln_ways(n1, k) + ln_ways(n2, failed - k) - total;
    let here = ln_chance(a);
    // Tables that are equally likely differ by rounding.
    let no_likelier = |ln: f64| ln <= here + 1e-7;
    let least = failed.saturating_sub(n2);
    (least..=failed.min(n1)).map(ln_chance).filter(|ln| no_likelier(*ln)).map(f64::exp).sum::<f64>().min(1.0)
}

#[cfg(test)]
mod tests {
    use super::*;

    /// The lady tasting tea, 3 of 4 and 1 of 4: 34/70 (Fisher, The Design of Experiments); 1/11 against 9/12: by `scipy.stats.fisher_exact` 1.17.1.
    #[test]
    fn known_tables() {
        assert!((fisher_exact((3, 4), (1, 4)) - 34.0 / 70.0).abs() < 1e-9);
        assert!((fisher_exact((4, 4), (0, 4)) - 2.0 / 70.0).abs() < 1e-9);
        assert!((fisher_exact((1, 10), (11, 14)) - 0.002_759_456).abs() < 1e-8);
    }

    #[test]
    fn nothing_to_compare() {
        assert_eq!(fisher_exact((0, 5), (0, 9)), 1.0);
        assert_eq!(fisher_exact((5, 5), (9, 9)), 1.0);
        assert_eq!(fisher_exact((0, 0), (3, 9)), 1.0);
        assert!(fisher_exact((5000, 60_000), (5200, 60_000)) > 0.01);
    }
}
