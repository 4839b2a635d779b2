//! Sizes that hint at another unit.

use crate::mesh::{Fault, FaultKind};

/// No bed holds so much, mm. Common practice, no source.
const BEYOND_BEDS_MM: f64 = 5000.0;

/// Sizes that hint at another unit: greatest extent under 1 mm, or beyond the bed's; and meshes that are flat.
///
/// `bounds` are in the file's unit, `unit_mm` is that unit in mm, `bed_mm` the usable width, depth and height, where
/// they are known. A mesh fits the bed when its sorted extents do, so a part that would fit lying down is not suspicious.
pub fn suspicious_size(bounds: [[f64; 3]; 2], unit_mm: f64, bed_mm: Option<[f64; 3]>) -> Option<Fault> {
    let mut extents = [0, 1, 2].map(|k: usize| (bounds[1][k] - bounds[0][k]) * unit_mm);
    let axis = ["X", "Y", "Z"];
    let fault = |text: String| Some(Fault::new(FaultKind::SuspiciousSize, 1, text));
    let size = extents.map(short).join(" × ");
    if let Some(flat) = (0..3).find(|&k| extents[k] == 0.0) {
        return fault(format!("The mesh is flat in {}: {size} mm.", axis[flat]));
    }
    extents.sort_by(f64::total_cmp);
    let greatest = extents[2];
    if greatest < 1.0 {
        return fault(format!(
            "The mesh measures {size} mm. Is its unit the inch ({} mm) or the metre ({} mm)?",
            short(greatest / unit_mm * 25.4),
            short(greatest / unit_mm * 1000.0)
        ));
    }
    let mut bed = bed_mm.unwrap_or([BEYOND_BEDS_MM; 3]);
    bed.sort_by(f64::total_cmp);
    if extents.iter().zip(bed).any(|(e, b)| *e > b) {
        let beds = if bed_mm.is_some() { "the bed" } else { "any bed" };
        return fault(format!(
            "The mesh measures {size} mm, more than {beds} holds. Check its unit, or whether it was scaled up from inches \
             (÷ 25.4: {} mm) or metres (÷ 1000: {} mm).",
            short(greatest / 25.4),
            short(greatest / 1000.0)
        ));
    }
    None
}

/// Up to four significant digits.
fn short(v: f64) -> String {
    if v == 0.0 {
        return "0".to_owned();
    }
    if v.abs() >= 1e7 || v.abs() < 1e-4 {
        return format!("{v:.2e}");
    }
    let digits = (3 - v.abs().log10().floor() as i32).max(0) as usize;
    let text = format!("{v:.digits$}");
    if text.contains('.') { text.trim_end_matches('0').trim_end_matches('.').to_owned() } else { text }
}
