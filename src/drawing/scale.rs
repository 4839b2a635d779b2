//! The scale of a band of the height strip: straight from nought, compressed above a knee where a few layers take far longer than the rest.

use super::ruler::ruler_steps_mm;

/// Layers beyond the knee take up no more than this share of the height shown: the first layers, usually.
const FEW: f64 = 0.06;
/// The knee is drawn only where the longest layer takes so many times as long as the rest.
const FAR: f64 = 2.0;
/// Where the knee lies on the scale, as a share of its length.
const KNEE: f64 = 0.78;
/// Room above the longest layer and below the knee.
const AIR: f64 = 1.06;

/// Values of a band on a scale from 0 to 1.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Scale {
    /// The greatest value shown.
    pub longest: f64,
    /// The value at the upper edge.
    pub most: f64,
    /// Above this value the scale is compressed; `None` where it is straight throughout.
    pub knee: Option<f64>,
}

impl Scale {
    /// From nought to `most`, without a knee.
    pub fn straight(most: f64) -> Self {
        Self { longest: most, most, knee: None }
    }
    /// The scale that shows every layer in full: `layers` are the heights (mm) and times (s) shown, `minimum_s` the longest
    /// minimum layer time. What is not finite is left out.
    ///
    /// The first layers often take several times as long as all others. On a straight scale those would lie flat at its foot;
    /// so where layers of less than 6 % of the height take more than twice the time of all others, the scale has a knee.
    pub fn of_times(layers: impl IntoIterator<Item = (f64, f64)>, minimum_s: f64) -> Self {
        let mut layers: Vec<(f64, f64)> =
            layers.into_iter().filter(|(mm, s)| mm.is_finite() && s.is_finite() && *mm > 0.0).collect();
        layers.sort_by(|a, b| b.1.total_cmp(&a.1));
        let minimum_s = if minimum_s.is_finite() { minimum_s.max(0.0) } else { 0.0 };
        let longest = layers.first().map_or(0.0, |l| l.1).max(minimum_s);
        let most = (longest * AIR).max(0.1);
        let few_mm = layers.iter().map(|l| l.0).sum::<f64>() * FEW;
        let mut passed_mm = 0.0;
        let rest_s = layers.iter().find_map(|(mm, s)| {
            passed_mm += mm;
            (passed_mm > few_mm).then_some(*s)
        });
        let knee = rest_s.map(|rest| rest.max(minimum_s) * AIR).filter(|knee| *knee > 0.0 && longest > FAR * knee);
        Self { longest, most, knee }
    }
    /// Where a value lies, from 0 at the foot of the scale to 1 at its head; what is beyond it lies at its ends.
    pub fn share(&self, value: f64) -> f64 {
        let share = match self.knee {
            Some(knee) if value > knee => KNEE + (value - knee) / (self.most - knee) * (1.0 - KNEE),
            Some(knee) => value / knee * KNEE,
            None => value / self.most,
        };
        share.clamp(0.0, 1.0)
    }
    /// Where the knee lies, as [`Self::share`].
    pub fn knee_share(&self) -> Option<f64> {
        self.knee.map(|_| KNEE)
    }
    /// The values with a tick: round ones from nought up to the knee, `points` being the length of the scale in points,
    /// and the longest one above it.
    pub fn ticks(&self, points: f64) -> Vec<f64> {
        let (straight, points) = match self.knee {
            Some(knee) => (knee, points * KNEE),
            None => (self.most, points),
        };
        let mut ticks = round_values(straight, points);
        ticks.extend(self.knee.map(|_| self.longest));
        ticks
    }
}

/// Round values from nought up to `most`, as many as can be told apart on so many points; closer together rather than
/// nought alone.
pub fn round_values(most: f64, points: f64) -> Vec<f64> {
    let step_at = |spread: f64| ruler_steps_mm(most / points.max(1.0) * spread).1;
    let step = [1.0, 0.5, 0.3].map(step_at).into_iter().find(|s| *s <= most).unwrap_or(most);
    let step = if points / (most / step) > 110.0 { step / 2.0 } else { step };
    (0..=200).map(|k| f64::from(k) * step).take_while(|v| *v <= most).collect()
}

/// A value of a scale in words: no more places than it needs.
pub fn tick_words(value: f64) -> String {
    if value >= 90.0 { format!("{value:.0}") } else { format!("{}", (value * 10.0).round() / 10.0) }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_few_long_layers_do_not_press_the_rest_flat_and_are_not_cut() {
        // The first layer of 100 takes twenty times as long as any other.
        let layers = (0..100).map(|i| (0.2, if i == 0 { 800.0 } else { 40.0 }));
        let scale = Scale::of_times(layers, 15.0);
        assert!(scale.knee.is_some_and(|k| (k - 42.4).abs() < 1e-9), "{scale:?}");
        assert!(scale.share(40.0) > 0.7 && scale.share(15.0) > 0.25, "the others fill most of it");
        assert!(scale.share(800.0) > 0.95 && scale.share(800.0) < 1.0, "the first one is within");
        assert!(scale.share(41.0) < scale.share(100.0) && scale.share(100.0) < scale.share(800.0));
        let ticks = scale.ticks(60.0);
        assert_eq!(ticks.last(), Some(&800.0));
        assert!(ticks.len() > 2 && ticks[ticks.len() - 2] <= 42.4, "{ticks:?}");
    }

    #[test]
    fn without_such_layers_the_scale_is_straight() {
        // A tenth of the height is more than a few layers; twice as long is not far.
        for (long, times) in [(10, 20.0), (1, 1.9)] {
            let layers = (0..100).map(|i| (0.2, if i < long { 40.0 * times } else { 40.0 }));
            let scale = Scale::of_times(layers, 0.0);
            assert_eq!(scale.knee, None);
            assert!((scale.share(20.0) * 2.0 - scale.share(40.0)).abs() < 1e-12);
        }
        // A minimum near the longest layer keeps it straight as well: it must be seen too.
        assert_eq!(Scale::of_times((0..100).map(|i| (0.2, if i == 0 { 800.0 } else { 40.0 })), 600.0).knee, None);
    }

    #[test]
    fn ticks_say_no_more_than_they_need() {
        assert_eq!([0.0, 0.1 + 0.2, 20.0, 812.4].map(tick_words), ["0", "0.3", "20", "812"]);
    }

    #[test]
    fn nothing_and_nonsense_give_a_scale_all_the_same() {
        for scale in [Scale::of_times([], 0.0), Scale::of_times([(0.2, f64::NAN), (f64::INFINITY, 3.0)], f64::NAN)] {
            assert_eq!(scale, Scale { longest: 0.0, most: 0.1, knee: None });
            assert!(scale.ticks(50.0).len() > 1);
        }
    }
}
