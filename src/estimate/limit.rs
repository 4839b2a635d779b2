//! What a layer's time comes from.

use super::LayerEstimate;

/// What decides how long a layer of a plate takes.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Limit {
    /// Its own beads and moves: it takes its natural time.
    OwnWork,
    /// The minimum layer time: beads are laid slower until it is served.
    Slowing,
    /// The minimum layer time: the least speed does not serve it, and the rest is waited for.
    Waiting,
    /// The least speed: it does not serve the minimum layer time, and the recipe does not wait.
    LeastSpeed,
}

impl Limit {
    /// The word of `estimate --json`.
    pub fn word(self) -> &'static str {
        match self {
            Self::OwnWork => "own-work",
            Self::Slowing => "slowing",
            Self::Waiting => "waiting",
            Self::LeastSpeed => "least-speed",
        }
    }
}

impl LayerEstimate {
    /// What its time comes from. Less than 1e-9 s is rounding.
    pub fn limit(&self) -> Limit {
        let any = |seconds: f64| seconds > 1e-9;
        if any(self.unserved_s) {
            Limit::LeastSpeed
        } else if any(self.waiting_s) {
            Limit::Waiting
        } else if any(self.slowing_s) {
            Limit::Slowing
        } else {
            Limit::OwnWork
        }
    }
    /// The same in words, to follow "decided by".
    pub fn limit_words(&self) -> String {
        match self.limit() {
            Limit::OwnWork => "its own beads and moves".to_owned(),
            Limit::Slowing => "the minimum layer time, by slowing".to_owned(),
            Limit::Waiting => format!("the minimum layer time, {:.1} s of it by waiting", self.waiting_s),
            Limit::LeastSpeed => format!("the minimum speed, {:.1} s too short to cool", self.unserved_s),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_is_missing_counts_before_what_is_waited_for_and_slowed() {
        let layer = |slowing_s, waiting_s, unserved_s| LayerEstimate {
            top_mm: 0.2,
            natural_s: 5.0,
            minimum_s: Some(15.0),
            time_s: 5.0 + slowing_s + waiting_s,
            slowing_s,
            waiting_s,
            unserved_s,
            headroom: Some(5.0 / 15.0),
            volume_mm3: 1.0,
            copies: [0].into(),
        };
        for (layer, limit, words) in [
            (layer(0.0, 0.0, 0.0), Limit::OwnWork, "its own beads and moves"),
            (layer(10.0, 0.0, 0.0), Limit::Slowing, "the minimum layer time, by slowing"),
            (layer(4.0, 6.0, 0.0), Limit::Waiting, "the minimum layer time, 6.0 s of it by waiting"),
            (layer(4.0, 0.0, 6.0), Limit::LeastSpeed, "the minimum speed, 6.0 s too short to cool"),
        ] {
            assert_eq!((layer.limit(), layer.limit_words().as_str()), (limit, words));
        }
    }
}
