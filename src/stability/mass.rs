//! Mass over height: what a part weighs and where its centre of mass lies while it grows.

use rayon::prelude::*;
use serde::{Deserialize, Serialize};

use super::{MidAirStart, mid_air};
use crate::{
    geom::{Point, Region, modulus, moments},
    watch::Watch,
};

/// One layer of a part as it stands, and all of the part up to the layer's top.
#[derive(Debug, Clone, Copy, PartialEq, Default, Serialize, Deserialize)]
pub struct MassLayer {
    /// Its underside above the part's lowest point, mm.
    pub bottom_mm: f64,
    /// Its top, mm.
    pub top_mm: f64,
    /// Area of its section, mm².
    pub area_mm2: f64,
    /// Least second moment of its section, mm⁴.
    pub inertia_mm4: f64,
    /// Least section modulus of its section, mm³.
    pub modulus_mm3: f64,
    /// Volume of the part up to the top of this layer, mm³.
    pub volume_mm3: f64,
    /// Centre of mass, in plan, of the part up to the top of this layer.
    pub centre: Point,
}

/// A part's mass over height, in its pose and in its own coordinates: what judging starts from. It depends on mesh, pose and layer
/// heights, not on footing, material or assumptions.
#[derive(Debug, Clone, PartialEq, Default, Serialize, Deserialize)]
pub struct MassProfile {
    layers: Vec<MassLayer>,
    starts: Vec<MidAirStart>,
}

impl MassProfile {
    /// Measures the sections. `sections[i]` is the part's in the layer whose top is `tops_mm[i]`, ascending, from the bed at 0; where
    /// the numbers of both differ, the shorter counts. What lies within a bead's width of the layer below is held by it. A section
    /// that holds something else than numbers counts as nothing. On all cores; `None` when cancelled.
    pub fn new(sections: &[Region], tops_mm: &[f64], bead_mm: f64, watch: &dyn Watch) -> Option<Self> {
        let n = sections.len().min(tops_mm.len());
        let measured: Vec<(Measured, Vec<MidAirStart>)> = (0..n)
            .into_par_iter()
            .map(|i| {
                if watch.cancelled() {
                    return None;
                }
                let starts = if i == 0 || tops_mm[i - 1].is_nan() {
                    Vec::new()
                } else {
                    mid_air::starts(&sections[i], &sections[i - 1], tops_mm[i - 1], bead_mm)
                };
                Some((Measured::of(&sections[i]), starts))
            })
            .collect::<Option<_>>()?;
        let mut layers = Vec::with_capacity(n);
        let (mut bottom_mm, mut volume_mm3, mut sum) = (0.0_f64, 0.0, Point::default());
        for ((m, _), &top) in measured.iter().zip(tops_mm) {
            // Tops that do not ascend make layers of no height.
            let top_mm = if top.is_finite() { top.max(bottom_mm) } else { bottom_mm };
            let volume = m.area_mm2 * (top_mm - bottom_mm);
            volume_mm3 += volume;
            sum += m.centroid * volume;
            let centre = if volume_mm3 > 0.0 { sum * (1.0 / volume_mm3) } else { m.centroid };
            let (area_mm2, inertia_mm4, modulus_mm3) = (m.area_mm2, m.inertia_mm4, m.modulus_mm3);
            layers.push(MassLayer { bottom_mm, top_mm, area_mm2, inertia_mm4, modulus_mm3, volume_mm3, centre });
            bottom_mm = top_mm;
        }
        Some(Self { layers, starts: measured.into_iter().flat_map(|m| m.1).collect() })
    }
    /// Its layers from the bottom.
    pub fn layers(&self) -> &[MassLayer] {
        &self.layers
    }
    /// What starts in mid-air, from the bottom.
    pub fn starts(&self) -> &[MidAirStart] {
        &self.starts
    }
    /// Top of its topmost layer that holds anything, mm; 0 for nothing.
    pub fn height_mm(&self) -> f64 {
        self.layers.iter().rev().find(|l| l.area_mm2 > 0.0).map_or(0.0, |l| l.top_mm)
    }
    /// Volume of all layers, mm³.
    pub fn volume_mm3(&self) -> f64 {
        self.layers.last().map_or(0.0, |l| l.volume_mm3)
    }
}

/// What one section is like.
#[derive(Default)]
struct Measured {
    area_mm2: f64,
    centroid: Point,
    inertia_mm4: f64,
    modulus_mm3: f64,
}

impl Measured {
    fn of(section: &Region) -> Self {
        let m = moments::moments(section);
        if !(m.area > 0.0 && [m.area, m.xx, m.xy, m.yy].iter().all(|v| v.is_finite()) && m.centroid.is_finite()) {
            return Self::default();
        }
        Self {
            area_mm2: m.area,
            centroid: m.centroid,
            inertia_mm4: m.least_mm4(),
            modulus_mm3: modulus::least_modulus_with(&m, section.outer_vertices()),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::{
        stability::samples::{leaning, measured, prism, square},
        watch::Quiet,
    };

    #[test]
    fn a_prism_and_a_step() {
        let p = measured(&prism(square(10.0), 500));
        assert_eq!(p.layers().len(), 500);
        assert!((p.height_mm() - 100.0).abs() < 1e-9 && (p.volume_mm3() - 10_000.0).abs() < 1e-6);
        let l = p.layers()[249];
        assert!((l.top_mm - 50.0).abs() < 1e-9 && (l.volume_mm3 - 5000.0).abs() < 1e-6);
        assert!((l.inertia_mm4 - 833.333_333).abs() < 1e-5 && (l.modulus_mm3 - 117.851).abs() < 1e-3);
        assert!(l.centre.length() < 1e-12 && p.starts().is_empty());
    }

    /// The centre of a leaning column of height z lies z / 2 · tan φ off.
    #[test]
    fn the_centre_of_a_leaning_column() {
        let p = measured(&leaning(10.0, 45.0, 100));
        let l = p.layers()[99];
        assert!((l.centre.x - l.top_mm / 2.0).abs() < 1e-9, "{l:?}");
    }

    #[test]
    fn nonsense_counts_as_nothing() {
        let bad = square(10.0).map(|p| if p.x > 0.0 { Point::new(f64::NAN, p.y) } else { p });
        let sections = [square(10.0), bad, Region::EMPTY, square(10.0)];
        let p = MassProfile::new(&sections, &[0.2, 0.4, f64::NAN, 0.3, 9.0], 0.45, &Quiet).expect("not cancelled");
        assert_eq!(p.layers().len(), 4);
        assert!((p.volume_mm3() - 20.0).abs() < 1e-9, "{:?}", p.layers());
        assert!(p.layers().iter().all(|l| l.centre.is_finite()));
        let none = MassProfile::new(&[], &[], 0.45, &Quiet).expect("not cancelled");
        assert_eq!((none.height_mm(), none.volume_mm3()), (0.0, 0.0));
    }

    #[test]
    fn stops_when_told() {
        struct Stop;
        impl Watch for Stop {
            fn cancelled(&self) -> bool {
                true
            }
        }
        assert!(MassProfile::new(&prism(square(1.0), 3), &[0.2, 0.4, 0.6], 0.45, &Stop).is_none());
    }
}
