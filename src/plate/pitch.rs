//! How close copies of a part lie side by side.

use crate::document::{Footing, Margins};

use super::PartShape;

/// Distance of the middles of two copies side by side the narrow way, as close as the margins allow by their boxes, mm.
pub fn pitch_mm(shape: &PartShape, footing: Footing, margins: &Margins) -> f64 {
    let narrow = |b: crate::geom::Bounds| if b.is_empty() { 0.0 } else { b.width().min(b.height()) };
    let shadows = narrow(shape.shadow.bounds()) + margins.gap_mm;
    // Footings that may merge reach up to a neighbour's contact.
    let reach =
        if margins.footings_may_merge { footing.width_mm() } else { 2.0 * footing.width_mm() + margins.footing_gap_mm };
    shadows.max(narrow(shape.contact.bounds()) + reach)
}
