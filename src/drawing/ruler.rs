//! Rulers in millimetres along the lower and the left edge of the bed.

use std::sync::Arc;

use super::{Anchor, Ink, Mark};
use crate::geom::{Bounds, Point, Region};

/// Room that the lower ruler takes, screen points.
pub const LOWER_PT: f64 = 24.0;
/// Room that the left ruler takes, screen points.
pub const LEFT_PT: f64 = 40.0;

const SIZE_PT: f32 = 10.5;

/// Distances of ticks and of numbers at a scale, mm: 1, 2 or 5 times a power of ten.
pub fn ruler_steps_mm(mm_per_pt: f64) -> (f64, f64) {
    (nice(mm_per_pt * 7.0), nice(mm_per_pt * 48.0))
}

/// The least of 1, 2, 5 × 10ⁿ that is not below `least`.
fn nice(least: f64) -> f64 {
    if !least.is_finite() || least <= 0.0 {
        return 1.0;
    }
    let power = 10_f64.powf(least.log10().floor());
    [1.0, 2.0, 5.0, 10.0].into_iter().map(|k| k * power).find(|v| *v >= least * (1.0 - 1e-9)).unwrap_or(power * 10.0)
}

/// A number of millimetres as a ruler writes it: no more places than the step needs.
fn number(v: f64, step: f64) -> String {
    let places = (-step.log10().floor()).clamp(0.0, 6.0) as usize;
    let v = if v == 0.0 { 0.0 } else { v };
    format!("{v:.places$}")
}

/// Ticks and numbers along the lower and left edges of `bed`. Where such an edge is out of sight, its ruler stays at
/// the edge of `view` on a strip of paper. `mm_per_pt`: millimetres of the bed to one screen point.
pub fn ruler_marks(bed: Bounds, view: Bounds, mm_per_pt: f64) -> Vec<Mark> {
    let mut marks = Vec::new();
    let seen = Bounds::new(
        Point::new(bed.min.x.max(view.min.x), bed.min.y.max(view.min.y)),
        Point::new(bed.max.x.min(view.max.x), bed.max.y.min(view.max.y)),
    );
    if seen.is_empty() || !mm_per_pt.is_finite() || mm_per_pt <= 0.0 {
        return marks;
    }
    let pt = |v: f64| v * mm_per_pt;
    let (tick, labelled) = ruler_steps_mm(mm_per_pt);
    let y0 = bed.min.y.max(view.min.y + pt(LOWER_PT));
    let x0 = bed.min.x.max(view.min.x + pt(LEFT_PT));
    for (stuck, low, high) in
        [(y0 > bed.min.y, view.min, Point::new(view.max.x, y0)), (x0 > bed.min.x, view.min, Point::new(x0, view.max.y))]
    {
        if stuck {
            let strip = Arc::new(Region::rectangle(Bounds::new(low, high)));
            marks.push(Mark::Fill { region: strip, ink: Ink::Paper, opacity: 0.92 });
        }
    }
    let at = |across: bool, along: f64, out_pt: f64| {
        if across { Point::new(along, y0 - pt(out_pt)) } else { Point::new(x0 - pt(out_pt), along) }
    };
    for across in [true, false] {
        let (low, high) = if across { (seen.min.x.max(x0), seen.max.x) } else { (seen.min.y.max(y0), seen.max.y) };
        let text = |text: String, at: Point, anchor: Anchor| Mark::Text {
            at,
            anchor,
            text,
            size_pt: SIZE_PT,
            bold: false,
            ink: Ink::Faint,
        };
        let mut unit_at = high;
        let mut k = (low / tick - 1e-9).ceil();
        while k * tick <= high + 1e-9 {
            let v = k * tick;
            let long = (v / labelled - (v / labelled).round()).abs() < 1e-6;
            marks.push(Mark::line(at(across, v, 0.0), at(across, v, if long { 8.0 } else { 4.5 }), Ink::Ink, 0.8));
            if long && across {
                let digits = number(v, labelled);
                // Clear of a long last number.
                unit_at = unit_at.max(v + pt(3.1 * (digits.len() as f64 - 3.0)));
                marks.push(text(digits, at(true, v, 18.5), Anchor::Middle));
            } else if long {
                marks.push(text(number(v, labelled), at(false, v, 11.0) - Point::new(0.0, pt(3.8)), Anchor::End));
            }
            k += 1.0;
        }
        if across {
            marks.push(text("mm".into(), at(true, unit_at, 18.5) + Point::new(pt(14.0), 0.0), Anchor::Start));
        }
        marks.push(Mark::line(at(across, low, 0.0), at(across, high, 0.0), Ink::Ink, 0.8));
    }
    marks
}

#[cfg(test)]
mod tests {
    use super::*;

    fn texts(marks: &[Mark]) -> Vec<&str> {
        marks.iter().filter_map(|m| if let Mark::Text { text, .. } = m { Some(text.as_str()) } else { None }).collect()
    }

    #[test]
    fn steps_are_1_2_5() {
        assert_eq!(ruler_steps_mm(0.5), (5.0, 50.0));
        assert_eq!(ruler_steps_mm(0.39), (5.0, 20.0));
        assert_eq!(ruler_steps_mm(0.01), (0.1, 0.5));
        assert_eq!(ruler_steps_mm(f64::NAN), (1.0, 1.0));
    }

    #[test]
    fn numbers_run_from_0_to_the_end() {
        let bed = Bounds::new(Point::default(), Point::new(240.0, 200.0));
        let marks = ruler_marks(bed, bed.grown(30.0), 0.5);
        assert_eq!(texts(&marks), ["0", "50", "100", "150", "200", "mm", "0", "50", "100", "150", "200"]);
    }

    #[test]
    fn fine_numbers_have_the_places_they_need() {
        let bed = Bounds::new(Point::default(), Point::new(240.0, 200.0));
        let view = Bounds::new(Point::new(100.0, 100.0), Point::new(102.0, 101.0));
        let marks = ruler_marks(bed, view, 0.005);
        assert!(texts(&marks).contains(&"101.0") || texts(&marks).contains(&"100.5"), "{:?}", texts(&marks));
        assert!(matches!(marks[0], Mark::Fill { ink: Ink::Paper, .. }));
    }
}
