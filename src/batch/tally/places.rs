//! Where on the bed copies fail.

use super::fisher::fisher_exact;
use crate::document::PlateOutcome;

/// Cells along each side of the bed in which failures are counted.
const CELLS: usize = 6;
/// Copies closer to the middle than this share of the way to the edge lie on the inner half of the bed's area: √½.
const INNER: f64 = std::f64::consts::FRAC_1_SQRT_2;

/// Two sides of the bed compared.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct HalfTest {
    /// "left".
    pub one: &'static str,
    /// "right".
    pub other: &'static str,
    /// Failed copies, and copies, on the one.
    pub on_one: (usize, usize),
    /// The same on the other.
    pub on_other: (usize, usize),
    /// Fisher's exact test, two-sided: how likely counts at least as unequal are if the place does not matter.
    pub p: f64,
}

/// A cell of the bed, and what was printed in it.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Spot {
    /// Its middle as a share of the bed's width and depth, 0 to 1.
    pub x: f64,
    /// As above.
    pub y: f64,
    /// Copies that failed there.
    pub failed: usize,
    /// Copies printed there.
    pub of: usize,
}

/// Where on the bed copies fail.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Places {
    /// Left and right, front and back, inside and outside.
    pub tests: Vec<HalfTest>,
    /// Cells in which anything was printed.
    pub spots: Vec<Spot>,
}

/// Counts by place, of plates of which each copy is known to be good or bad and which were not lost at once.
pub(super) fn places<'a>(outcomes: impl Iterator<Item = &'a PlateOutcome>) -> Places {
    let mut sides = [[(0, 0); 2]; 3];
    let mut cells = vec![(0, 0); CELLS * CELLS];
    for o in outcomes.filter(|o| o.knows_each() && !o.is_spoilt()) {
        let [x0, y0, x1, y1] = o.bed_mm;
        if !(x1 > x0 && y1 > y0) {
            continue;
        }
        let lost = o.good() == 0;
        for c in &o.copies {
            let (x, y) = ((c.x_mm - x0) / (x1 - x0), (c.y_mm - y0) / (y1 - y0));
            if !x.is_finite() || !y.is_finite() {
                continue;
            }
            let out = (2.0 * x - 1.0).abs().max((2.0 * y - 1.0).abs());
            let failed = usize::from(lost || c.bad.is_some());
            let add = |(f, n): &mut (usize, usize)| {
                *f += failed;
                *n += 1;
            };
            for (side, is_other) in sides.iter_mut().zip([x >= 0.5, y >= 0.5, out >= INNER]) {
                add(&mut side[usize::from(is_other)]);
            }
            let cell = |v: f64| ((v * CELLS as f64).floor().clamp(0.0, (CELLS - 1) as f64)) as usize;
            add(&mut cells[cell(y) * CELLS + cell(x)]);
        }
    }
    let names = [("left", "right"), ("front", "back"), ("inside", "outside")];
    let test = |((one, other), [on_one, on_other]): ((&'static str, &'static str), [(usize, usize); 2])| HalfTest {
        one,
        other,
        on_one,
        on_other,
        p: fisher_exact(on_one, on_other),
    };
    let middle = |i: usize| (i as f64 + 0.5) / CELLS as f64;
    let spot =
        |(i, (failed, of)): (usize, (usize, usize))| Spot { x: middle(i % CELLS), y: middle(i / CELLS), failed, of };
    Places {
        tests: names.into_iter().zip(sides).map(test).filter(|t| t.on_one.1 + t.on_other.1 > 0).collect(),
        spots: cells.into_iter().enumerate().filter(|(_, (_, of))| *of > 0).map(spot).collect(),
    }
}
