//! The layer at a height.

use crate::estimate::LayerEstimate;

/// The layer that is being laid at a height.
pub(super) fn layer_at(layers: &[LayerEstimate], z_mm: f64) -> Option<&LayerEstimate> {
    layers.get(index_at(layers, z_mm))
}

/// The index of the layer that reaches a height; one past the last above all of them.
pub(super) fn index_at(layers: &[LayerEstimate], z_mm: f64) -> usize {
    layers.partition_point(|l| l.top_mm < z_mm - 1e-9)
}

#[cfg(test)]
pub(super) fn layer(top_mm: f64, natural_s: f64) -> LayerEstimate {
    LayerEstimate {
        top_mm,
        natural_s,
        minimum_s: Some(15.0),
        time_s: natural_s,
        slowing_s: 0.0,
        waiting_s: 0.0,
        unserved_s: 0.0,
        headroom: Some(natural_s / 15.0),
        volume_mm3: 1.0,
        copies: std::sync::Arc::from([0_u32]),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_height_belongs_to_the_layer_that_reaches_it() {
        let layers: Vec<_> = (1..=10).map(|i| layer(f64::from(i) * 0.2, 20.0)).collect();
        assert_eq!(layer_at(&layers, 0.0).map(|l| l.top_mm), Some(0.2));
        assert_eq!(layer_at(&layers, 0.4).map(|l| l.top_mm), Some(0.4));
        assert_eq!(layer_at(&layers, 5.0), None);
    }
}
