//! Copies made of equal squares, such as L's and T's: [`cells`] put to use.

use crate::packing::{
    Layout,
    bodies::contacts::CONTACT_MM,
    bodies::inner_fit::SLACK_MM,
    bodies::zone_table::ZoneTable,
    regular::cells::{self, Beam, COLUMNS, Piece, PieceAt, ROWS},
    regular::lattice_search::Pattern,
};
use crate::{
    geom::{Bounds, Placement, Point, Region},
    watch::Watch,
};

/// Rows of the field at most.
const FIELD_ROWS: usize = 400;
/// Wider and wider beams, by what a step in the border weighs.
const BEAMS: [(usize, f64); 7] =
    [(200, 0.3), (200, 0.15), (2000, 0.3), (2000, 0.15), (2000, 0.6), (12_000, 0.3), (12_000, 0.15)];

/// A variant's outline with half the gap round it, corners square: turned, on its squares.
struct Figure {
    variant: usize,
    /// From the origin to the lower left corner of its box.
    corner: Point,
    region: Region,
}

impl Figure {
    /// `None` where an edge is at a slant.
    fn new(table: &ZoneTable<'_>, variant: usize) -> Option<Self> {
        let v = &table.variants[variant];
        let by = 0.5 * table.problem.gap_mm.max(0.0);
        let turned = table.problem.shapes[v.shape].shadow.region().placed(Placement::new(0.0, 0.0, v.turn_rad));
        let mut region = turned;
        for l in region.polygons.iter_mut().flat_map(|p| std::iter::once(&mut p.outer).chain(&mut p.holes)) {
            let n = l.len();
            let out = |a: Point, b: Point| {
                let d = b - a;
                let straight = d.x.abs() < 1e-7 || d.y.abs() < 1e-7;
                straight.then(|| {
                    if d.x.abs() < 1e-7 { Point::new(d.y.signum(), 0.0) } else { Point::new(0.0, -d.x.signum()) }
                })
            };
            let moved: Option<Vec<Point>> = (0..n)
                .map(|i| {
                    let (a, b, c) = (l[(i + n - 1) % n], l[i], l[(i + 1) % n]);
                    let (u, w) = (out(a, b)?, out(b, c)?);
                    // On a straight line both say the same.
                    let both = if u == w { u } else { u + w };
                    Some(b + both * by)
                })
                .collect();
            *l = moved?;
        }
        let corner = region.bounds().min;
        Some(Self { variant, corner, region })
    }
    fn lines(&self) -> impl Iterator<Item = f64> + '_ {
        self.region.vertices().flat_map(|p| [p.x - self.corner.x, p.y - self.corner.y])
    }
    /// Rows of its squares.
    fn rows(&self, unit: f64) -> Vec<u64> {
        let b = self.region.bounds();
        let count = |length: f64| (length / unit).round() as usize;
        let inside = |p: Point| {
            let crossings = self
                .region
                .edges()
                .filter(|(a, b)| (a.y > p.y) != (b.y > p.y) && a.x + (b.x - a.x) * (p.y - a.y) / (b.y - a.y) > p.x);
            crossings.count() % 2 == 1
        };
        let square = |i: usize, j: usize| self.corner + Point::new(i as f64 + 0.5, j as f64 + 0.5) * unit;
        (0..count(b.height()))
            .map(|j| (0..count(b.width())).filter(|&i| inside(square(i, j))).fold(0, |row, i| row | 1 << i))
            .collect()
    }
}

/// The greatest length of which all are multiples, to 1e-6 mm; `None` where the longest has more of it than fit.
fn unit(lengths: impl Iterator<Item = f64>) -> Option<f64> {
    let mut unit = 0.0_f64;
    let mut longest = 0.0_f64;
    for length in lengths {
        let (mut a, mut b) = (unit.max(length), unit.min(length));
        longest = longest.max(length);
        for _ in 0..40 {
            if b < 1e-6 {
                break;
            }
            (a, b) = (b, a % b);
            if a - b < 1e-6 {
                b = 0.0;
            }
        }
        unit = a;
    }
    (unit > 1e-3 && longest / unit <= ROWS as f64 + 0.5).then_some(unit)
}

/// As many copies of a shape on a bed as are found, more than `beat` and at most `most`. `None` where it is not made
/// of squares or no more are found.
pub(in crate::packing) fn best(
    table: &ZoneTable<'_>,
    bed: usize,
    shape: usize,
    [mut beat, most]: [usize; 2],
    watch: &dyn Watch<Layout>,
) -> Option<Pattern> {
    if !table.bodies[shape].footing_within_shadow {
        return None;
    }
    let figures: Vec<Figure> = table.of_shape[shape].iter().filter_map(|&v| Figure::new(table, v)).collect();
    let unit = unit(figures.iter().flat_map(Figure::lines))?;
    let origins = |f: &Figure| {
        let sites = &table.inner_fit(bed, f.variant).sites;
        sites.iter().fold(Bounds::EMPTY, |b, s| b.union(s.bounds)).grown(-SLACK_MM).moved(f.corner)
    };
    // The room with half the gap round it.
    let field = figures
        .iter()
        .map(|f| (origins(f), f.region.bounds()))
        .filter(|(o, _)| !o.is_empty())
        .fold(Bounds::EMPTY, |b, (o, f)| b.union(Bounds::new(o.min, o.max + Point::new(f.width(), f.height()))));
    if figures.is_empty() || field.is_empty() {
        return None;
    }
    let [across, up] = [field.width(), field.height()].map(|l| (l / unit + 1e-6) as usize);
    let swapped = across > up;
    let [columns, rows] = if swapped { [up, across] } else { [across, up] };
    if columns > COLUMNS || rows > FIELD_ROWS {
        return None;
    }
    let place = |f: &Figure, column: usize, row: usize| {
        let [i, j] = if swapped { [row, column] } else { [column, row] };
        field.min + Point::new(i as f64, j as f64) * unit - f.corner
    };
    let pieces: Vec<Piece> = figures
        .iter()
        .map(|f| {
            let shape_rows = f.rows(unit);
            let shape_rows = if swapped { transposed(&shape_rows) } else { shape_rows };
            let inner_fit = table.inner_fit(bed, f.variant);
            let free = |p: Point| {
                inner_fit.holds(p, CONTACT_MM)
                    && !table.fixed[bed].iter().any(|&(w, at)| table.pair(w, f.variant).blocks(p - at, CONTACT_MM))
            };
            let allowed = (0..rows)
                .map(|r| (0..columns).filter(|&c| free(place(f, c, r))).fold(0, |bits, c| bits | 1 << c))
                .collect();
            Piece { rows: shape_rows, allowed }
        })
        .collect();
    let mut laid: Vec<PieceAt> = Vec::new();
    for (width, smooth) in BEAMS {
        let found = cells::fill([columns, rows], &pieces, [beat, most], Beam { width, smooth }, &|| watch.cancelled());
        if found.len() > beat {
            beat = found.len();
            laid = found;
        }
        if watch.cancelled() || beat >= most {
            break;
        }
    }
    let copies = laid.iter().map(|&(i, c, r)| (table.variants[figures[i].variant].turn_rad, place(&figures[i], c, r)));
    (!laid.is_empty()).then(|| Pattern { copies: copies.collect() })
}

fn transposed(rows: &[u64]) -> Vec<u64> {
    let wide = rows.iter().map(|r| u64::BITS - r.leading_zeros()).max().unwrap_or(0);
    (0..wide)
        .map(|i| rows.iter().enumerate().filter(|(_, r)| **r >> i & 1 == 1).fold(0, |bits, (j, _)| bits | 1 << j))
        .collect()
}
