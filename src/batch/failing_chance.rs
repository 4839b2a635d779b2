//! How likely a copy is to let go.

/// The chance, 0 to 1, that a copy lets go: `percent`, as assumed or learned, where its margin against tipping over is 1 or more, and that ÷ margin below.
///
/// An assumption of ours, no source: it ranks footings, it predicts nothing. A margin and a share that are no numbers count as the
/// worst that they can be.
pub fn failing_chance(percent: f64, margin: f64) -> f64 {
    let share = percent / 100.0;
    let share = if share.is_nan() { 1.0 } else { share.clamp(0.0, 1.0) };
    if share == 0.0 {
        return 0.0;
    }
    let margin = if margin.is_nan() { 0.0 } else { margin.clamp(0.0, 1.0) };
    (share / margin).min(1.0)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn it_rises_as_the_margin_falls() {
        let told = [2.0, 1.0, 0.5, 0.1, 0.01, 0.0, -3.0].map(|m| failing_chance(2.0, m));
        for (got, expected) in told.into_iter().zip([0.02, 0.02, 0.04, 0.2, 1.0, 1.0, 1.0]) {
            assert!((got - expected).abs() < 1e-12, "{told:?}");
        }
        let odd = [failing_chance(0.0, 0.0), failing_chance(f64::NAN, 2.0), failing_chance(10.0, f64::NAN)];
        assert_eq!(odd, [0.0, 1.0, 1.0]);
    }
}
