//! The binomial distribution.

use super::yield_good::chance;

/// ln of the chance that exactly `k` of `n` succeed, each with chance `p` strictly between 0 and 1.
fn ln_exactly(n: usize, k: usize, p: f64) -> f64 {
    let few = k.min(n - k);
    let ways: f64 = (1..=few).map(|i| ((n - few + i) as f64 / i as f64).ln()).sum();
    ways + k as f64 * p.ln() + (n - k) as f64 * (-p).ln_1p()
}

/// Chances that 0, 1 … `n` of `n` succeed, each with chance `p`.
pub fn binomial_shares(n: usize, p: f64) -> Vec<f64> {
    let p = chance(p);
    let mut shares = vec![0.0; n + 1];
    if p == 0.0 {
        shares[0] = 1.0;
    } else if p == 1.0 {
        shares[n] = 1.0;
    } else {
        // From the likeliest count outwards: each is a quotient of its neighbour, and none underflows too early.
        let top = ((n + 1) as f64 * p).floor().clamp(0.0, n as f64) as usize;
        let odds = p / (1.0 - p);
        shares[top] = ln_exactly(n, top, p).exp();
        for k in top..n {
            shares[k + 1] = shares[k] * (n - k) as f64 / (k + 1) as f64 * odds;
        }
        for k in (0..top).rev() {
            shares[k] = shares[k + 1] * (k + 1) as f64 / (n - k) as f64 / odds;
        }
    }
    shares
}

/// Chance that at least `r` of `n` succeed, each with chance `p`.
pub fn at_least(n: usize, r: usize, p: f64) -> f64 {
    if r > n { 0.0 } else { binomial_shares(n, p)[r..].iter().sum::<f64>().min(1.0) }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn near(value: f64, wanted: f64, tolerance: f64) {
        assert!((value - wanted).abs() <= tolerance, "{value} is not {wanted}");
    }

    /// 12 copies at 98 % (scipy.stats.binom 1.17.1): exactly one bad, at least 11 good.
    #[test]
    fn twelve_copies() {
        near(binomial_shares(12, 0.98)[11], 0.192_175_5, 5e-8);
        near(at_least(12, 11, 0.98), 0.976_892_2, 5e-8);
        near(at_least(12, 12, 0.98), 0.784_716_7, 5e-8);
    }

    /// The sum is 1 and the mean n p (definition), also where pⁿ is far below the least double.
    #[test]
    fn sums_and_means() {
        for (n, p) in [(1, 0.5), (40, 0.02), (5000, 0.3), (20_000, 0.999)] {
            let shares = binomial_shares(n, p);
            near(shares.iter().sum(), 1.0, 1e-9);
            near(shares.iter().zip(0..).map(|(s, k)| s * f64::from(k)).sum::<f64>() / (n as f64 * p), 1.0, 1e-9);
        }
        assert_eq!(
            (at_least(3, 4, 1.0), at_least(3, 3, 1.0), at_least(3, 0, 0.0), at_least(3, 1, 0.0)),
            (0.0, 1.0, 1.0, 0.0)
        );
        assert_eq!(at_least(0, 0, f64::NAN), 1.0);
    }
}
