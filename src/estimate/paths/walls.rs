//! Wall loops by inset; what is left thinner than a bead gets a bead of its own width.

use crate::geom::{Point, Polygon, Region, boolean, offset, simplify};

/// Closed loops laid with one bead width: the border of what one inset leaves of one island.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Ring {
    /// Centre lines, not closed by a repeated point.
    pub(super) points: Vec<Point>,
    /// Width of its bead: the area it has to fill over its length, so that volume closes.
    pub(super) width_mm: f64,
}

/// A piece thinner than a bead, filled by one bead along its middle.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Strip {
    /// Its border; the bead's motion is taken along it.
    pub(super) border: Vec<Point>,
    /// Length of the middle line.
    pub(super) length_mm: f64,
    /// Width of the bead: area over length.
    pub(super) width_mm: f64,
}

/// The walls of one island and what lies inside them.
#[derive(Debug, Clone, Default)]
pub(super) struct Walls {
    pub(super) rings: Vec<Ring>,
    pub(super) strips: Vec<Strip>,
    pub(super) inside: Vec<Polygon>,
}

/// Pieces under this share of a squared bead width are not printed for themselves; their area goes to the loop beside them.
const CRUMB: f64 = 0.1;

impl Strip {
    /// Takes the piece as a band: length L and width t from area A = L t and perimeter P = 2 (L + t).
    pub(super) fn of(piece: &Polygon) -> Option<Self> {
        let area = piece.area();
        let half = piece.loops().map(|l| length(l)).sum::<f64>() / 2.0;
        if area <= 0.0 || half <= 0.0 || half.is_nan() {
            return None;
        }
        // A closed band has no ends: P = 2 L.
        let ends = if piece.holes.is_empty() { 1.0 } else { 0.0 };
        let thickness = if ends > 0.0 { (half - (half * half - 4.0 * area).max(0.0).sqrt()) / 2.0 } else { 0.0 };
        let length_mm = half - thickness;
        (length_mm > 0.0).then(|| Self { border: piece.outer.clone(), length_mm, width_mm: area / length_mm })
    }
}

/// Length of a closed loop, mm.
pub(super) fn length(points: &[Point]) -> f64 {
    let n = points.len();
    (0..n).map(|i| points[i].distance(points[(i + 1) % n])).sum()
}

/// `count` loops inside `island`, each `bead` wide where there is room. Loop i's centre line is inset by (i + ½) bead.
///
/// Volume closes by construction: what one inset takes away is the area of its loops and strips together.
pub(super) fn walls(island: &Polygon, bead: f64, count: usize) -> Walls {
    let mut out = Walls::default();
    let mut todo = vec![(island.clone(), 0)];
    while let Some((piece, depth)) = todo.pop() {
        if depth == count {
            out.inside.push(piece);
            continue;
        }
        let whole: Region = piece.clone().into();
        let centre = inset(&whole, bead / 2.0);
        let length_mm = centre.perimeter();
        if length_mm < 0.1 * bead {
            out.strips.extend(Strip::of(&piece));
            continue;
        }
        let lost = lost(&whole, &centre, bead);
        let mut rest = whole.area() - lost.iter().map(Polygon::area).sum::<f64>();
        for q in inset(&centre, bead / 2.0).polygons {
            let area = q.area();
            if area > CRUMB * bead * bead {
                rest -= area;
                todo.push((q, depth + 1));
            }
        }
        let width_mm = (rest / length_mm).max(0.0);
        out.strips.extend(lost.iter().filter_map(Strip::of));
        out.rings.extend(
            centre
                .polygons
                .into_iter()
                .flat_map(|p| std::iter::once(p.outer).chain(p.holes).map(move |points| Ring { points, width_mm })),
        );
    }
    out
}

/// An inset without the crumbs of its corners: vertices that no head would feel only cost time.
fn inset(region: &Region, by: f64) -> Region {
    simplify::within(&offset::inset(region, by), by * 1e-3)
}

/// What a loop along `centre` does not reach of `whole`: fins and corners thinner than a bead.
fn lost(whole: &Region, centre: &Region, bead: f64) -> Vec<Polygon> {
    // Where no edge vanishes, the area between is the mean of both perimeters times the distance (P is linear in it), and
    // the perimeter falls by what the corners say. Only where either fails is it worth looking.
    let between = whole.perimeter().midpoint(centre.perimeter()) * bead / 2.0;
    let area_off = (whole.area() - centre.area() - between).abs();
    let perimeter_off = (whole.perimeter() - centre.perimeter() - bead * corner_sum(whole)).abs();
    if area_off < 0.2 * CRUMB * bead * bead && perimeter_off < 0.2 * bead {
        return Vec::new();
    }
    let reached = offset::outset(centre, bead / 2.0 * 1.001);
    let mut pieces = boolean::difference_quick(whole, &reached).polygons;
    pieces.retain(|p| p.area() > CRUMB * bead * bead && Strip::of(p).is_some_and(|s| s.width_mm > 0.1 * bead));
    pieces
}

/// Σ tan(e/2) over all corners, e the turn at each: half of what the perimeter loses per distance of inset. Source: textbook
/// geometry, P(d) = P − 2 d Σ tan(e/2).
fn corner_sum(region: &Region) -> f64 {
    let mut sum = 0.0;
    for l in region.loops() {
        let n = l.len();
        for i in 0..n {
            let (a, b, c) = (l[(i + n - 1) % n], l[i], l[(i + 1) % n]);
            let (u, v) = ((b - a).normalized(), (c - b).normalized());
            // tan(e/2) = sin e / (1 + cos e)
            sum += u.cross(v) / (1.0 + u.dot(v)).max(1e-3);
        }
    }
    sum
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::geom::{Bounds, disc};

    fn near(value: f64, wanted: f64, tolerance: f64) {
        assert!((value - wanted).abs() <= tolerance, "{value} is not {wanted} ± {tolerance}");
    }

    fn block(width: f64, depth: f64) -> Polygon {
        Polygon::rectangle(Bounds::new(Point::default(), Point::new(width, depth)))
    }

    fn filled(w: &Walls) -> f64 {
        w.rings.iter().map(|r| length(&r.points) * r.width_mm).sum::<f64>()
            + w.strips.iter().map(|s| s.length_mm * s.width_mm).sum::<f64>()
            + w.inside.iter().map(Polygon::area).sum::<f64>()
    }

    /// Block of 20 mm, bead 0.45 mm, two walls: loops 78.2 and 74.6 mm, 18.2 × 18.2 mm inside (computed by script).
    #[test]
    fn loops_of_a_block() {
        let w = walls(&block(20.0, 20.0), 0.45, 2);
        let mut lengths: Vec<f64> = w.rings.iter().map(|r| length(&r.points)).collect();
        lengths.sort_by(f64::total_cmp);
        near(lengths[0], 74.6, 1e-6);
        near(lengths[1], 78.2, 1e-6);
        near(w.inside[0].area(), 331.24, 1e-5);
        assert!(w.rings.iter().all(|r| (r.width_mm - 0.45).abs() < 1e-6), "{:?}", w.rings);
        assert!(w.strips.is_empty());
    }

    /// Cylinder of 20 mm, two walls: 61.4181 and 58.5907 mm (2π(r − d)).
    #[test]
    fn loops_of_a_cylinder() {
        let w = walls(&disc::regular(Point::default(), 10.0, 720), 0.45, 2);
        near(length(&w.rings[0].points), 61.4181, 1e-3);
        near(length(&w.rings[1].points), 58.5907, 1e-3);
    }

    /// The L-polygon inset by 2 mm keeps sharp corners: 276 mm² (shapely 2.2.0, mitred).
    #[test]
    fn inset_of_an_l() {
        let l = [(0.0, 0.0), (30.0, 0.0), (30.0, 10.0), (10.0, 10.0), (10.0, 30.0), (0.0, 30.0)];
        let region: Region = Polygon::simple(l.map(|(x, y)| Point::new(x, y)).to_vec()).into();
        near(offset::inset(&region, 2.0).area(), 276.0, 1e-6);
        // Outward with round corners: 1173.17 mm² (same source); our chords lie outside the arcs, by at most 0.003 mm.
        let grown = offset::grow(&region, 5.0, 1e-4).area();
        assert!((1173.165..1173.165 + 0.003 * 39.3).contains(&grown), "{grown}");
    }

    /// Nothing lost, nothing negative, whatever the width of a bar.
    #[test]
    fn bars_of_any_width_close() {
        for i in 1..60 {
            let width = 0.07 * f64::from(i);
            let bar = block(width, 40.0);
            let w = walls(&bar, 0.45, 3);
            near(filled(&w) / bar.area(), 1.0, 1e-3);
            assert!(w.rings.iter().all(|r| r.width_mm > 0.0 && r.width_mm < 0.4501), "{width}: {:?}", w.rings);
            assert!(w.strips.iter().all(|s| s.width_mm > 0.0 && s.width_mm < 0.47), "{width}: {:?}", w.strips);
        }
        // A bar of 0.3 mm is one bead, 0.3 mm wide and as long as the bar.
        let w = walls(&block(0.3, 40.0), 0.45, 3);
        assert!(w.rings.is_empty());
        near(w.strips[0].width_mm, 0.3, 1e-6);
        near(w.strips[0].length_mm, 40.0, 1e-6);
    }

    /// A block with a fin of 0.3 mm: the fin is a strip of its own.
    #[test]
    fn a_fin_is_a_strip() {
        let fin = [
            (0.0, 0.0),
            (10.0, 0.0),
            (10.0, 4.85),
            (18.0, 4.85),
            (18.0, 5.15),
            (10.0, 5.15),
            (10.0, 10.0),
            (0.0, 10.0),
        ];
        let p = Polygon::simple(fin.map(|(x, y)| Point::new(x, y)).to_vec());
        let w = walls(&p, 0.45, 2);
        near(filled(&w) / p.area(), 1.0, 1e-3);
        assert_eq!(w.strips.len(), 1, "{:?}", w.strips);
        near(w.strips[0].width_mm, 0.3, 0.03);
        near(w.strips[0].length_mm, 8.0, 0.3);
    }

    /// A thin tube is one closed strip.
    #[test]
    fn a_thin_tube() {
        let mut tube = disc::regular(Point::default(), 5.0, 360);
        let mut hole = disc::regular(Point::default(), 4.7, 360).outer;
        hole.reverse();
        tube.holes.push(hole);
        let w = walls(&tube, 0.45, 2);
        near(w.strips[0].length_mm, std::f64::consts::TAU * 4.85, 0.01);
        near(w.strips[0].width_mm, 0.3, 0.001);
    }
}
