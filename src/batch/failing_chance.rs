//! How likely a copy is to let go.

/// The chance that a copy lets go: `base` (0 to 1) where its margin against tipping over is 1 or more, and `base` ÷ margin below that.
///
/// An assumption of ours, no source: it ranks footings, it predicts nothing. Both a margin and a base that are no numbers count as the
/// worst that they can be.
pub fn failing_chance(base: f64, margin: f64) -> f64 {
    let base = if base.is_nan() { 1.0 } else { base.clamp(0.0, 1.0) };
    if base == 0.0 {
        return 0.0;
    }
    let margin = if margin.is_nan() { 0.0 } else { margin.clamp(0.0, 1.0) };
    (base / margin).min(1.0)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn it_rises_as_the_margin_falls() {
        let told = [2.0, 1.0, 0.5, 0.1, 0.01, 0.0, -3.0].map(|m| failing_chance(0.02, m));
        for (got, expected) in told.into_iter().zip([0.02, 0.02, 0.04, 0.2, 1.0, 1.0, 1.0]) {
            assert!((got - expected).abs() < 1e-12, "{told:?}");
        }
        assert_eq!(
            [failing_chance(0.0, 0.0), failing_chance(f64::NAN, 2.0), failing_chance(0.1, f64::NAN)],
            [0.0, 1.0, 1.0]
        );
    }
}
