//! What another footing costs beside the present one.

use crate::words;

/// Below these, a difference is none.
const NO_S: f64 = 0.5;
const NO_G: f64 = 0.05;
const NO_MM2: f64 = 0.5;

/// What a footing costs one copy beside the one that it has: differences, which may be below 0, and the hand work after it.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct FootingCost {
    /// More time at the recipe's speeds, s; layer changes under a raft, which the plate has once, and slowing are left out.
    pub time_s: f64,
    /// More filament, g.
    pub mass_g: f64,
    /// More bed, under the shadow and the footing together, mm².
    pub area_mm2: f64,
    /// Hand work to take it off, s.
    pub clean_up_s: f64,
}

impl FootingCost {
    /// "+ 4 min, + 1.2 g, + 310 mm² each, clean-up 1 min".
    pub fn words(&self) -> String {
        let signed = |v: f64, none: f64, word: &dyn Fn(f64) -> String| {
            let sign = if v < 0.0 { "−" } else { "+" };
            if v.abs() < none { None } else { Some(format!("{sign} {}", word(v.abs()))) }
        };
        let differences: Vec<String> = [
            signed(self.time_s, NO_S, &words::time),
            signed(self.mass_g, NO_G, &words::mass),
            signed(self.area_mm2, NO_MM2, &|v| format!("{v:.0} mm²")),
        ]
        .into_iter()
        .flatten()
        .collect();
        let each =
            if differences.is_empty() { "the same time and filament".into() } else { differences.join(", ") + " each" };
        if self.clean_up_s < NO_S { each } else { format!("{each}, clean-up {}", words::time(self.clean_up_s)) }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn in_words() {
        let cost = FootingCost { time_s: 240.0, mass_g: 1.2, area_mm2: 310.2, clean_up_s: 60.0 };
        assert_eq!(cost.words(), "+ 4 min, + 1.2 g, + 310 mm² each, clean-up 1 min");
        let less = FootingCost { time_s: -30.0, mass_g: -0.3, area_mm2: 0.1, clean_up_s: 0.0 };
        assert_eq!(less.words(), "− 30 s, − 0.3 g each");
        let none = FootingCost { time_s: 0.1, mass_g: 0.0, area_mm2: 0.0, clean_up_s: 0.0 };
        assert_eq!(none.words(), "the same time and filament");
    }
}
