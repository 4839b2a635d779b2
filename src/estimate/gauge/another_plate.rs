//! Is this machine code of this plate at all?

use super::{Measured, Remark};
use crate::{estimate::PlateEstimate, finding::Level};

/// Times as long or as short as this come of other speeds, not of other parts. Common practice, no source.
const TIME: f64 = 3.0;
/// Filament: walls, infill and support may be set otherwise. Common practice, no source.
const FILAMENT: f64 = 1.6;
/// Heights and widths are the parts' own.
const LENGTH: f64 = 1.05;
/// Differences that count for nothing, mm: a layer or two, a bead or two.
const SLIP_MM: f64 = 3.0;

/// Width and depth of the box round all copies of a plate, mm.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct PlateSize {
    /// Without their footings.
    pub bare_mm: [f64; 2],
    /// With them: a raft has layers of its own.
    pub footed_mm: [f64; 2],
}

/// A *watch* where a file is plainly not of the plate that it is compared with; it says which figures are too far apart.
pub fn another_plate(size: PlateSize, e: &PlateEstimate, m: &Measured) -> Option<Remark> {
    if m.layers.is_empty() || e.layers.is_empty() {
        return None;
    }
    let apart = |a: f64, b: f64, by: f64| a > 0.0 && b > 0.0 && (a / b > by || b / a > by);
    let longer = |a: f64, b: f64| a > b * LENGTH && a > b + SLIP_MM;
    let mut told = Vec::new();
    let top_mm = m.layers.iter().map(|l| l.z_mm).fold(0.0, f64::max);
    let wanted_mm = e.layers.last().map_or(0.0, |l| l.top_mm);
    if longer(top_mm, wanted_mm) || longer(wanted_mm, top_mm) {
        told.push(format!("{top_mm:.1} mm high instead of {wanted_mm:.1} mm"));
    }
    let beyond = |axis: usize| {
        let laid = m.above_mm[axis];
        laid > 0.0 && (longer(laid, size.footed_mm[axis]) || longer(size.bare_mm[axis], laid))
    };
    if beyond(0) || beyond(1) {
        let ([w, d], [pw, pd]) = (m.above_mm, size.bare_mm);
        told.push(format!("{w:.0} × {d:.0} mm from above instead of {pw:.0} × {pd:.0} mm"));
    }
    // As high, and yet many more or fewer layers: another layer height.
    let (layers, estimated) = (m.layers.len() as f64, e.layers.len() as f64);
    if told.is_empty() && apart(layers, estimated, 1.1) && (layers - estimated).abs() > 3.0 {
        told.push(format!("{layers} layers instead of {estimated}"));
    }
    let (fed, wanted) = (m.filament_mm / 1000.0, e.filament.length_mm / 1000.0);
    if apart(fed, wanted, FILAMENT) {
        told.push(format!("{fed:.1} m of filament instead of {wanted:.1} m"));
    }
    let moving_s = e.time_s - e.items.heat_up_s - e.items.end_s;
    if apart(m.time_s(), moving_s, TIME) {
        told.push(format!("{:.1} times the time", m.time_s() / moving_s));
    }
    (!told.is_empty()).then(|| Remark {
        level: Level::Watch,
        text: format!("this file is probably for another plate, or was made with other settings: {}", told.join("; ")),
    })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::estimate::{
        LayerEstimate,
        gauge::{Basis, DwellUnit, Gauge, beside::tests},
    };

    /// 50 layers of 0.2 mm, 100 × 60 mm, `per_layer_mm` of filament in each.
    fn file(per_layer_mm: f64, width_mm: f64) -> Measured {
        use std::fmt::Write;
        let mut code = "M83\n".to_owned();
        for i in 1..=50 {
            let _ = write!(
                code,
                "G1 Z{:.1} F600\nG1 X{width_mm} Y60 E{per_layer_mm} F1200\nG1 X0 Y0 E0.001\n",
                0.2 * f64::from(i)
            );
        }
        let recipe = crate::document::Recipe::plain(crate::document::RecipeId(1));
        let basis = Basis::of(&recipe, DwellUnit::default()).expect("a plain recipe");
        let mut gauge = Gauge::new(&basis);
        gauge.feed(code.as_bytes());
        gauge.finish().expect("it can be measured")
    }

    #[test]
    fn another_plate_is_told_and_the_same_one_is_not() {
        let size = PlateSize { bare_mm: [100.0, 60.0], footed_mm: [100.0, 60.0] };
        let same = file(10.0, 100.0);
        let layers =
            (1..=50).map(|i| LayerEstimate { top_mm: 0.2 * f64::from(i), ..tests::layer(11.7, 0.0, 0.0, 0.0) });
        let mut e = tests::estimate(layers.collect());
        e.time_s = same.time_s();
        e.filament.length_mm = same.filament_mm;
        assert_eq!(another_plate(size, &e, &same), None);
        let told = |size: PlateSize, m: &Measured| another_plate(size, &e, m).map(|r| r.text).unwrap_or_default();
        assert!(told(size, &file(30.0, 100.0)).contains("1.5 m of filament instead of 0.5 m"));
        assert!(told(size, &file(10.0, 60.0)).contains("60 × 60 mm from above instead of 100 × 60 mm"));
        // On rafts it lies between the two boxes.
        let on_rafts = PlateSize { bare_mm: [80.0, 44.0], footed_mm: [104.0, 68.0] };
        assert_eq!(told(on_rafts, &same), "");
        for layer in &mut e.layers {
            layer.top_mm *= 9.6;
        }
        let low = another_plate(size, &e, &same).map(|r| r.text).unwrap_or_default();
        assert!(low.contains("10.0 mm high instead of 96.0 mm"), "{low}");
        e.time_s = same.time_s() / 4.0;
        let slow = another_plate(size, &e, &same).map(|r| r.text).unwrap_or_default();
        assert!(slow.contains("4.0 times the time"), "{slow}");
    }
}
