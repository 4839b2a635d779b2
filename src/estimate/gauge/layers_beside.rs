//! Layer by layer: an estimate beside a measurement.

use super::Measured;
use crate::estimate::{LayerEstimate, PlateEstimate};

/// Heights that differ by less are the same, mm: files round to as little as two decimals, and no layer is so thin.
const SAME_MM: f64 = 0.006;

/// A height at which the estimate, the file or both lay something.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct LayerBeside {
    /// Top of the layer, mm.
    pub z_mm: f64,
    /// Estimated at the recipe's speeds, s; `None` where the estimate has no layer.
    pub natural_s: Option<f64>,
    /// Estimated with slowing and waiting for it to cool, s; likewise.
    pub estimated_s: Option<f64>,
    /// Measured, s; `None` where the file has no layer. Of several at one height (parts made one after another) the sum.
    pub measured_s: Option<f64>,
}

/// An estimate's layers beside those of a measurement, from the bed up. Where heights differ, each stands alone.
pub fn layers_beside(e: Option<&PlateEstimate>, m: &Measured) -> Vec<LayerBeside> {
    let mut laid: Vec<(f64, f64)> = m.layers.iter().map(|l| (l.z_mm, l.time_s)).collect();
    laid.sort_by(|a, b| a.0.total_cmp(&b.0));
    laid.dedup_by(|next, kept| {
        let same = next.0 - kept.0 < SAME_MM;
        if same {
            kept.1 += next.1;
        }
        same
    });
    let estimated: &[LayerEstimate] = e.map_or(&[], |e| &e.layers);
    let (mut estimated, mut laid) = (estimated.iter().peekable(), laid.into_iter().peekable());
    let mut all = Vec::with_capacity(estimated.len().max(laid.len()));
    loop {
        let (below, above) = match (estimated.peek(), laid.peek()) {
            (None, None) => return all,
            (Some(l), None) => (Some(l.top_mm), None),
            (Some(l), Some(p)) if (l.top_mm - p.0).abs() < SAME_MM => (Some(l.top_mm), Some(p.0)),
            (Some(l), Some(p)) if l.top_mm < p.0 => (Some(l.top_mm), None),
            (_, Some(p)) => (None, Some(p.0)),
        };
        let layer = below.and_then(|_| estimated.next());
        let measured = above.and_then(|_| laid.next());
        all.push(LayerBeside {
            z_mm: below.or(above).unwrap_or_default(),
            natural_s: layer.map(|l| l.natural_s),
            estimated_s: layer.map(|l| l.time_s),
            measured_s: measured.map(|p| p.1),
        });
    }
}

#[cfg(test)]
mod tests {
    use super::{
        super::{
            Basis, DwellUnit, Gauge,
            beside::tests::{estimate, layer},
        },
        *,
    };
    use crate::document::{Recipe, RecipeId};

    /// Two parts one after the other, and a layer of another height than the estimate's.
    #[test]
    fn layers_meet_at_their_heights() {
        let basis = Basis::of(&Recipe::plain(RecipeId(1)), DwellUnit::Milliseconds).expect("a plain recipe's numbers");
        let mut gauge = Gauge::new(&basis);
        gauge.feed(b"M83\nG1 F600\nG1 Z0.2\nG1 X9 E1\nG1 Z0.405\nG1 X0 E1\nG1 X50 Z0.2\nG1 X59 E1\nG1 Z0.5\nG1 X0 E1");
        let m = gauge.finish().expect("it is machine code");
        let heights: Vec<f64> = m.layers.iter().map(|l| l.z_mm).collect();
        assert_eq!(heights, [0.2, 0.405, 0.2, 0.5]);
        let time = |i: usize| m.layers[i].time_s;
        let e = estimate([0.2, 0.4, 0.6].map(|top_mm| LayerEstimate { top_mm, ..layer(8.0, 9.0, 1.0, 0.0) }).into());
        let (natural_s, estimated_s) = (Some(8.0), Some(9.0));
        let wanted = [
            LayerBeside { z_mm: 0.2, natural_s, estimated_s, measured_s: Some(time(0) + time(2)) },
            LayerBeside { z_mm: 0.4, natural_s, estimated_s, measured_s: Some(time(1)) },
            LayerBeside { z_mm: 0.5, natural_s: None, estimated_s: None, measured_s: Some(time(3)) },
            LayerBeside { z_mm: 0.6, natural_s, estimated_s, measured_s: None },
        ];
        assert_eq!(layers_beside(Some(&e), &m), wanted);
        let alone = layers_beside(None, &m);
        assert_eq!(alone.iter().map(|l| l.z_mm).collect::<Vec<_>>(), [0.2, 0.405, 0.5]);
        assert!(alone.iter().all(|l| l.natural_s.is_none() && l.estimated_s.is_none()));
    }
}
