//! Parts larger than every bed: found before any work is put into their layers.

use crate::{
    document::{Job, Machine, Part},
    finding::{Finding, FindingKind, Level},
    plate::PartShape,
};

/// How a part is larger than every bed, whatever way it is rotated about Z.
#[derive(Debug, Clone, PartialEq)]
pub(in crate::session) struct BeyondBeds {
    kind: FindingKind,
    /// "6096 × 3048 × 1524 mm, 5784 mm longer than …".
    by: String,
}

/// `None` for a part that some bed may hold, and where there is no bed. A part is only named when it surely fits none: its box is
/// longer than the longest line on any bed, or it is taller than any machine takes.
pub(in crate::session) fn beyond_beds(job: &Job, shape: &PartShape) -> Option<BeyondBeds> {
    let longest = |m: &Machine| {
        let (width, depth) = m.bed.size_mm();
        width.hypot(depth)
    };
    let largest = job.machines.iter().max_by(|a, b| longest(a).total_cmp(&longest(b)))?;
    let tallest = job.machines.iter().max_by(|a, b| a.height_mm.total_cmp(&b.height_mm))?;
    let b = shape.shadow.bounds();
    let (width, depth, height) = (b.width(), b.height(), shape.height_mm);
    let (over, too_tall) = (width.max(depth) - longest(largest), height - tallest.height_mm);
    let size = format!("{} × {} × {} mm", mm(width), mm(depth), mm(height));
    if over > 0.0 {
        let (bed_width, bed_depth) = largest.bed.size_mm();
        let by = format!(
            "{size}, {} mm longer than the diagonal of the largest bed ({}, {} × {} mm)",
            mm(over),
            largest.name,
            mm(bed_width),
            mm(bed_depth)
        );
        return Some(BeyondBeds { kind: FindingKind::OffBed, by });
    }
    let by = || {
        format!(
            "{size}, {} mm too tall for every machine ({} takes {} mm)",
            mm(too_tall),
            tallest.name,
            mm(tallest.height_mm)
        )
    };
    (too_tall > 0.0).then(|| BeyondBeds { kind: FindingKind::TooTall, by: by() })
}

impl BeyondBeds {
    /// Why there is no time for the part.
    pub(in crate::session) fn why(&self, part: &Part) -> String {
        format!("{} {} measures {}: no time is estimated for it", part.letter, part.name, self.by)
    }
    /// The finding.
    pub(super) fn finding(&self, part: &Part) -> Finding {
        Finding {
            level: Level::Watch,
            kind: self.kind,
            plate: None,
            copies: Vec::new(),
            height_mm: None,
            text: format!("{} {} measures {}: check its unit and scale", part.letter, part.name, self.by),
            remedy: None,
            more: Vec::new(),
        }
    }
}

/// Whole millimetres, tenths below ten; very large ones by their power of ten.
fn mm(v: f64) -> String {
    if v >= 1e7 {
        format!("{v:.1e}")
    } else if v < 10.0 {
        format!("{v:.1}")
    } else {
        format!("{v:.0}")
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::{
        document::{BedShape, MachineId, Shop},
        geom::{Bounds, Outline, Point, Region},
    };

    fn by(beds: &[(f64, f64, f64)], size: [f64; 3]) -> Option<String> {
        let starter = Shop::starter().machines.remove(0);
        let machines = beds.iter().zip(1..).map(|(&(width_mm, depth_mm, height_mm), n)| Machine {
            id: MachineId(n),
            name: format!("Bench {n}"),
            bed: BedShape::Rectangle { width_mm, depth_mm },
            height_mm,
            ..starter.clone()
        });
        let job = Job { machines: machines.collect(), ..Job::default() };
        let plan = Region::rectangle(Bounds::new(Point::default(), Point::new(size[0], size[1])));
        let outline = Outline::new(plan);
        let shape = PartShape {
            shadow: outline.clone(),
            contact: outline,
            height_mm: size[2],
            shift_mm: [0.0; 3],
            own_mirror: false,
        };
        beyond_beds(&job, &shape).map(|b| b.by)
    }

    /// By hand: 300 × 400 mm has a diagonal of 500 mm.
    #[test]
    fn beyond_every_bed_and_by_how_much() {
        let beds = [(200.0, 200.0, 500.0), (300.0, 400.0, 190.0)];
        assert_eq!(by(&beds, [499.0, 20.0, 499.0]), None);
        assert_eq!(
            by(&beds, [20.0, 6096.0, 40.0]).as_deref(),
            Some("20 × 6096 × 40 mm, 5596 mm longer than the diagonal of the largest bed (Bench 2, 300 × 400 mm)")
        );
        assert_eq!(
            by(&beds, [20.0, 20.0, 508.5]).as_deref(),
            Some("20 × 20 × 508 mm, 8.5 mm too tall for every machine (Bench 1 takes 500 mm)")
        );
        assert_eq!(by(&[], [1e9, 1e9, 1e9]), None, "without a bed nothing is beyond one");
        assert!(by(&beds, [2e35, 1.0, 1.0]).is_some_and(|b| b.starts_with("2.0e35 × 1.0 × 1.0 mm, 2.0e35 mm longer")));
    }
}
