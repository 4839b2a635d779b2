//! What keys held down and small numbers mean to the hand.

use egui::Ui;

use crate::{geom::Point, session::Landing};

/// How a drag ends with the keys that are held down.
pub(super) fn landing(ui: &Ui) -> Landing {
    let keys = ui.input(|i| i.modifiers);
    if keys.alt {
        Landing::NearestFree
    } else if keys.command {
        Landing::PushAside
    } else {
        Landing::There
    }
}

pub(super) fn additive(ui: &Ui) -> bool {
    ui.input(|i| i.modifiers.shift || i.modifiers.command)
}

pub(super) fn angle(v: Point) -> f64 {
    v.y.atan2(v.x)
}

pub(super) fn round_to(v: f64, step: f64) -> f64 {
    let rounded = (v / step).round() * step;
    // Back to as few digits as were meant.
    (rounded * 1000.0).round() / 1000.0
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn steps_are_round_numbers() {
        assert_eq!(round_to(12.349_999, 0.1), 12.3);
        assert_eq!(round_to(-0.04, 0.1), 0.0);
        assert_eq!(round_to(47.4, 5.0), 45.0);
        assert_eq!(round_to(0.123_4, 0.01), 0.12);
    }
}
