//! Volume to length, mass and cost; what a spool has left.

use crate::document::{Machine, Material};

/// Filament of one plate.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct Filament {
    /// Volume, mm³.
    pub volume_mm3: f64,
    /// Length fed, mm.
    pub length_mm: f64,
    /// Mass, g.
    pub mass_g: f64,
    /// Price in the shop's own currency.
    pub cost: f64,
}

impl Filament {
    /// So many times as much.
    #[must_use]
    pub fn times(self, n: f64) -> Self {
        Self {
            volume_mm3: n * self.volume_mm3,
            length_mm: n * self.length_mm,
            mass_g: n * self.mass_g,
            cost: n * self.cost,
        }
    }
}

/// Cross-section of a filament, mm²: π d²/4.
pub fn cross_section_mm2(diameter_mm: f64) -> f64 {
    std::f64::consts::PI * diameter_mm * diameter_mm / 4.0
}

/// Length, mass and price of a volume.
pub fn filament(volume_mm3: f64, machine: &Machine, material: &Material) -> Filament {
    let mass_g = volume_mm3 * material.density_g_cm3 / 1000.0;
    Filament {
        volume_mm3,
        length_mm: volume_mm3 / cross_section_mm2(machine.filament_mm),
        mass_g,
        cost: mass_g * material.cost_per_kg / 1000.0,
    }
}

/// Length of one kilogram, m: 1000/(ρ A).
pub fn metres_per_kilogram(density_g_cm3: f64, diameter_mm: f64) -> f64 {
    1000.0 / (density_g_cm3 * cross_section_mm2(diameter_mm))
}

/// Least and greatest value.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Interval {
    /// Least value.
    pub least: f64,
    /// Greatest value.
    pub most: f64,
}

/// Mass really used, g, where the filament's diameter may be off by `tolerance_mm` either way: the machine feeds a length, so
/// the mass goes with the square of the diameter.
pub fn mass_interval_g(mass_g: f64, diameter_mm: f64, tolerance_mm: f64) -> Interval {
    let share = |d: f64| (d.max(0.0) / diameter_mm).powi(2);
    Interval { least: mass_g * share(diameter_mm - tolerance_mm), most: mass_g * share(diameter_mm + tolerance_mm) }
}

/// What a spool of `grams_left` has left after `mass_g`, g; negative where it runs out.
pub fn spool_left_g(grams_left: f64, mass_g: f64, diameter_mm: f64, tolerance_mm: f64) -> Interval {
    let used = mass_interval_g(mass_g, diameter_mm, tolerance_mm);
    Interval { least: grams_left - used.most, most: grams_left - used.least }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Metres per kilogram, computed by script from 1000/(ρ A).
    #[test]
    fn table_of_lengths() {
        let rho = [1.24, 1.27, 1.04, 1.07, 1.13, 1.01, 1.20, 1.21];
        let thin = [335.28, 327.36, 399.76, 388.55, 367.92, 411.64, 346.46, 343.60];
        let thick = [126.42, 123.43, 150.73, 146.50, 138.72, 155.20, 130.63, 129.55];
        for i in 0..rho.len() {
            assert!((metres_per_kilogram(rho[i], 1.75) - thin[i]).abs() < 0.0051, "{i}");
            assert!((metres_per_kilogram(rho[i], 2.85) - thick[i]).abs() < 0.0051, "{i}");
        }
        assert!((cross_section_mm2(1.75) - 2.405_282).abs() < 5e-7);
        assert!((cross_section_mm2(2.85) - 6.379_397).abs() < 5e-7);
        // PLA: 2.98255 and 7.91045 g/m.
        assert!((1000.0 / metres_per_kilogram(1.24, 1.75) - 2.982_55).abs() < 5e-6);
        assert!((1000.0 / metres_per_kilogram(1.24, 2.85) - 7.910_45).abs() < 1e-5);
    }

    /// Mass against diameter: 1.80 for 1.75 is +5.796 %, 1.70 −5.633 %, ±0.02 +2.299/−2.273 % (computed by script).
    #[test]
    fn diameter_tolerance() {
        for (tolerance, most, least) in [(0.05, 5.796, -5.633), (0.02, 2.299, -2.273)] {
            let i = mass_interval_g(100.0, 1.75, tolerance);
            assert!((i.most - 100.0 - most).abs() < 6e-4 && (i.least - 100.0 - least).abs() < 6e-4, "{i:?}");
        }
        let left = spool_left_g(101.0, 100.0, 1.75, 0.02);
        assert!(left.least < 0.0 && left.most > 0.0);
    }
}
