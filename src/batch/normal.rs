//! The normal distribution.

/// Beyond this many standard deviations nothing is left in double precision.
const FAR: f64 = 38.0;

/// Share of a standard normal distribution below `z`, 0 to 1; the same as Φ(z). A `z` that is no number counts as 0.
///
/// Marsaglia's series about 0 (J. Stat. Softw. 11(4), 2004); in the tails the continued fraction of Mills' ratio (Abramowitz and Stegun
/// 26.2.14, from memory).
pub fn normal_share(z: f64) -> f64 {
    if z.is_nan() {
        return 0.5;
    }
    let x = z.abs().min(FAR);
    let density = (-0.5 * x * x).exp() / std::f64::consts::TAU.sqrt();
    let above = if x < 5.0 {
        let (mut term, mut sum, mut k) = (x, x, 1.0);
        while term > 1e-18 * sum {
            k += 2.0;
            term *= x * x / k;
            sum += term;
        }
        0.5 - density * sum
    } else {
        let ratio = (1..=60).rev().fold(x, |rest, k| x + f64::from(k) / rest);
        density / ratio
    };
    if z > 0.0 { 1.0 - above } else { above }
}

/// The `z` below which this share of a standard normal distribution lies; infinite for 0 and 1, 0 for what is no number.
pub fn normal_quantile(share: f64) -> f64 {
    if share.is_nan() {
        return 0.0;
    }
    if share <= 0.0 {
        return f64::NEG_INFINITY;
    }
    if share >= 1.0 {
        return f64::INFINITY;
    }
    let (mut low, mut high) = (-FAR, FAR);
    for _ in 0..80 {
        let middle = f64::midpoint(low, high);
        if normal_share(middle) < share {
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

    /// scipy.stats.norm, 1.17.1: cdf and ppf.
    #[test]
    fn shares_and_quantiles() {
        for (z, share) in [
            (0.0, 0.5),
            (1.0, 0.841_344_746_068_542_9),
            (-1.959_963_984_540_054, 0.025),
            (-5.5, 1.898_956_246_588_772e-8),
            (-10.0, 7.619_853_024_160_525e-24),
        ] {
            assert!((normal_share(z) / share - 1.0).abs() < 1e-10, "{z}: {}", normal_share(z));
        }
        for (share, z) in [(0.9, 1.281_551_565_544_600_4), (0.975, 1.959_963_984_540_054), (0.5, 0.0)] {
            assert!((normal_quantile(share) - z).abs() < 1e-12, "{share}: {}", normal_quantile(share));
        }
    }

    #[test]
    fn nonsense_is_harmless() {
        assert_eq!((normal_share(f64::NAN), normal_quantile(f64::NAN)), (0.5, 0.0));
        assert_eq!((normal_share(f64::INFINITY), normal_share(f64::NEG_INFINITY) < 1e-300), (1.0, true));
        assert_eq!((normal_quantile(0.0), normal_quantile(2.0)), (f64::NEG_INFINITY, f64::INFINITY));
    }
}
