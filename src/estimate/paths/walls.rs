//! Wall loops by inset, with as many beads across a place as it is wide.
//!
//! A place gets the number of beads nearest to its thickness in bead widths. Loops are laid at the nominal width from the border
//! inwards; what is left in the middle goes to the innermost: a pair of loops of 0.75 to 1.25 widths each, or one bead of 0.5 to
//! 1.5. What is thinner than half a bead is not made: its volume goes to the bead beside it. Nothing but a place that is all by
//! itself as thin as that gets a bead of its own width. Widths from half to double and counts by rounding: Kuipers et al. 2020, "A
//! framework for adaptive width control of dense contour-parallel toolpaths in FDM", Computer-Aided Design 128, 102907. Their
//! medial axis is not drawn here: places are told apart by insets and outsets with sharp corners, so that corners are no thin places.

use crate::geom::{Outline, Placement, Point, Polygon, Region, offset};

use super::{
    ring::Ring,
    strip::Strip,
    thin::{CRUMB, inset, keeps, length, thickness_mm, thinner},
};

/// The walls of one island and what lies inside them.
#[derive(Debug, Clone, Default)]
pub(super) struct Walls {
    pub(super) rings: Vec<Ring>,
    pub(super) strips: Vec<Strip>,
    pub(super) inside: Vec<Polygon>,
}

/// A quarter of a bead, and a trifle: at just one and a half or two and a half beads no rounding decides, it is the fewer.
const QUARTER: f64 = 0.251;
/// Legs of loops that are not as wide all round are cut into pieces no longer than this many bead widths.
const PIECE: f64 = 2.0;
/// Pieces in one loop, at most.
const MOST_PIECES: usize = 20_000;

/// `count` loops inside `island`, each `bead` wide where there is room. Loop i's centre line is inset by (i + ½) bead.
///
/// Volume closes by construction: what one level of loops takes away is the area of its beads together. `None` where `cancelled`,
/// asked at every level of every piece, says so.
pub(super) fn walls(island: &Polygon, bead: f64, count: usize, cancelled: &dyn Fn() -> bool) -> Option<Walls> {
    if let Some(laid) = roomy(island, bead, count) {
        return Some(laid);
    }
    let mut out = Walls::default();
    let mut todo = vec![(island.clone(), 0)];
    while let Some((piece, depth)) = todo.pop() {
        if cancelled() {
            return None;
        }
        if depth == count {
            out.inside.push(piece);
        } else {
            todo.extend(level(&piece, bead, &mut out).into_iter().map(|p| (p, depth + 1)));
        }
    }
    Some(out)
}

/// Where all loops go in with half a bead to spare: told by one inset.
fn roomy(island: &Polygon, bead: f64, count: usize) -> Option<Walls> {
    let mut left: Region = island.clone().into();
    let deep_mm = (count as f64 + QUARTER) * bead;
    let deep = offset::inset(&left, deep_mm);
    if deep.is_empty() || !keeps(&left, &deep, deep_mm, bead) {
        return None;
    }
    let mut out = Walls::default();
    for _ in 0..count {
        let centre = inset(&left, bead / 2.0, bead);
        let next = inset(&centre, bead / 2.0, bead);
        let width_mm = (left.area() - next.area()) / centre.perimeter();
        out.rings.extend(loops(centre).map(|points| Ring::even(points, width_mm)));
        left = next;
    }
    out.inside = left.polygons;
    Some(out)
}

/// One level of beads along the border of `piece`; what they leave for the next.
fn level(piece: &Polygon, bead: f64, out: &mut Walls) -> Vec<Polygon> {
    let (half, quarter) = (bead / 2.0, bead * QUARTER);
    let whole: Region = piece.clone().into();
    let mut centre = inset(&whole, half, bead);
    let mut core = inset(&centre, quarter, bead);
    // What is no thicker than a bead and a half: one bead.
    let mut single = Vec::new();
    if !(keeps(&whole, &centre, half, bead) && keeps(&centre, &core, quarter, bead)) {
        core = without_bulges(core, piece.area(), bead);
        single = if core.is_empty() { vec![piece.clone()] } else { thinner(&whole, &core, half + quarter, bead) };
        if !single.is_empty() {
            // Loops only where there are two beads.
            centre = if core.is_empty() { Region::EMPTY } else { offset::outset(&core, quarter) };
        }
    }
    let around_mm = centre.perimeter();
    let mut rest = whole.area();
    let mut unmade = Vec::new();
    for thin in &single {
        let strips = Strip::along(thin, bead);
        if strips.is_empty() {
            unmade.extend(Strip::of(thin));
        }
        rest -= strips.iter().map(Strip::area_mm2).sum::<f64>();
        out.strips.extend(strips);
    }
    if around_mm == 0.0 {
        out.strips.extend(unmade);
        return Vec::new();
    }
    // What is no thicker than two beads and a half: no more than these two.
    let next = inset(&core, bead - half - quarter, bead);
    let deep = inset(&next, quarter, bead);
    let two = if keeps(&core, &next, bead - half - quarter, bead) && keeps(&next, &deep, quarter, bead) {
        Vec::new()
    } else {
        thinner(&next, &deep, quarter, bead)
    };
    let mut inner = if two.is_empty() { next } else { offset::outset(&deep, quarter) };
    inner.polygons.retain(|p| p.area() > CRUMB * bead * bead && thickness_mm(p) > 0.1 * bead);
    rest -= inner.area();
    if rest > 2.0 * bead * around_mm {
        // More than the loops can take: they do get beads.
        rest -= unmade.iter().map(Strip::area_mm2).sum::<f64>();
        out.strips.extend(unmade);
    }
    if two.is_empty() || inner.is_empty() {
        let width_mm = (rest / around_mm).max(0.0);
        out.rings.extend(loops(centre).map(|points| Ring::even(points, width_mm)));
    } else {
        out.rings.extend(varied(centre, &inner, rest, bead));
    }
    inner.polygons
}

/// Without the pieces of a core that are no longer than a bead or two in a piece that is much longer: a place a little wider
/// than the rest gets no loop of its own.
fn without_bulges(mut core: Region, area_mm2: f64, bead: f64) -> Region {
    let by = (0.5 + QUARTER) * bead;
    let bulges = |p: &Polygon| p.loops().map(|l| length(l)).sum::<f64>() < 2.0 * bead;
    let reach = |p: &Polygon| p.area() + p.loops().map(|l| length(l)).sum::<f64>() * by + 4.0 * by * by;
    let small: f64 = core.polygons.iter().filter(|p| bulges(p)).map(reach).sum();
    if small > 0.0 && small < area_mm2 / 2.0 {
        core.polygons.retain(|p| !bulges(p));
    }
    core
}

/// Loops that are a bead wide beside `inner` and, where there is none, so wide that all of them fill `rest` mm².
fn varied(centre: Region, inner: &Region, rest: f64, bead: f64) -> Vec<Ring> {
    let inner = Outline::new(inner.clone());
    let beside = |p: Point| inner.border_distance(Placement::at(0.0, 0.0), p).0 < 0.75 * bead;
    let mut cut: Vec<(Vec<Point>, Vec<bool>)> = Vec::new();
    let (mut nominal_mm, mut widened_mm) = (0.0, 0.0);
    for l in loops(centre) {
        let most_mm = (PIECE * bead).max(length(&l) / MOST_PIECES as f64);
        let (mut points, mut wide) = (Vec::new(), Vec::new());
        for (i, &a) in l.iter().enumerate() {
            let b = l[(i + 1) % l.len()];
            let pieces = (a.distance(b) / most_mm).ceil().max(1.0) as usize;
            for k in 0..pieces {
                let at = |k: usize| a.lerp(b, k as f64 / pieces as f64);
                let widened = !beside(at(k).lerp(at(k + 1), 0.5));
                *(if widened { &mut widened_mm } else { &mut nominal_mm }) += at(k).distance(at(k + 1));
                points.push(at(k));
                wide.push(widened);
            }
        }
        cut.push((points, wide));
    }
    // Corners add to either; where that makes too much of the few places that are widened, all are alike.
    let widened = Some((rest - nominal_mm * bead) / widened_mm).filter(|w| (0.6 * bead..=1.5 * bead).contains(w));
    let even = rest / (nominal_mm + widened_mm);
    let width = |wide: bool| widened.map_or(even, |w| if wide { w } else { bead });
    cut.into_iter().map(|(points, wide)| Ring::varied(points, wide.into_iter().map(width).collect())).collect()
}

/// All loops of a region.
fn loops(region: Region) -> impl Iterator<Item = Vec<Point>> {
    region.polygons.into_iter().flat_map(|p| std::iter::once(p.outer).chain(p.holes))
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

    fn laid(island: &Polygon, bead: f64, count: usize) -> Walls {
        walls(island, bead, count, &|| false).expect("not cancelled")
    }

    fn filled(w: &Walls) -> f64 {
        w.rings.iter().map(Ring::area_mm2).sum::<f64>()
            + w.strips.iter().map(Strip::area_mm2).sum::<f64>()
            + w.inside.iter().map(Polygon::area).sum::<f64>()
    }

    /// Block of 20 mm, bead 0.45 mm, two walls: loops 78.2 and 74.6 mm, 18.2 × 18.2 mm inside (computed by script).
    #[test]
    fn loops_of_a_block() {
        let w = laid(&block(20.0, 20.0), 0.45, 2);
        let mut lengths: Vec<f64> = w.rings.iter().map(|r| length(&r.points)).collect();
        lengths.sort_by(f64::total_cmp);
        near(lengths[0], 74.6, 1e-6);
        near(lengths[1], 78.2, 1e-6);
        near(w.inside[0].area(), 331.24, 1e-5);
        assert!(w.rings.iter().all(|r| (r.width_mm(0) - 0.45).abs() < 1e-6), "{:?}", w.rings);
        assert!(w.strips.is_empty());
    }

    /// Cylinder of 20 mm, two walls: 61.4181 and 58.5907 mm (2π(r − d)).
    #[test]
    fn loops_of_a_cylinder() {
        let w = laid(&disc::regular(Point::default(), 10.0, 720), 0.45, 2);
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

    /// Beads of a bar: as many as its width calls for, between half and double the nominal width, and nothing lost.
    #[test]
    fn bars_of_any_width_close() {
        for i in 4..60 {
            let width = 0.07 * f64::from(i);
            let bar = block(width, 40.0);
            let w = laid(&bar, 0.45, 3);
            near(filled(&w) / bar.area(), 1.0, 1e-3);
            let widths = w.rings.iter().map(|r| r.width_mm(0)).chain(w.strips.iter().map(|s| s.width_mm));
            assert!(widths.clone().all(|v| (0.5 * 0.45..2.0 * 0.45).contains(&v)), "{width}: {w:?}");
            if width < 6.5 * 0.45 {
                let beads = w.rings.iter().map(|r| length(&r.points)).sum::<f64>()
                    + w.strips.iter().map(|s| s.length_mm).sum::<f64>();
                near(beads / 40.0, (width / 0.45).round(), 0.04 * (width / 0.45).round());
                assert!(w.inside.is_empty(), "{width}: {w:?}");
            }
        }
        // Just one bead thick: laid once.
        let w = laid(&block(0.45, 40.0), 0.45, 3);
        assert_eq!((w.rings.len(), w.strips.len()), (0, 1));
        // Alone and thinner than half a bead: one bead of that width all the same.
        let w = laid(&block(0.15, 40.0), 0.45, 3);
        near(w.strips[0].width_mm, 0.15, 1e-6);
        // A bar of 0.3 mm is one bead, 0.3 mm wide and as long as the bar.
        let w = laid(&block(0.3, 40.0), 0.45, 3);
        assert!(w.rings.is_empty());
        near(w.strips[0].width_mm, 0.3, 1e-6);
        near(w.strips[0].length_mm, 40.0, 1e-6);
    }

    /// A hexagon whose inset by half a bead is just nothing gets a bead all the same. Found by random outlines.
    #[test]
    fn what_vanishes_at_half_a_bead_is_laid() {
        for off in [-1e-9, 0.0, 1e-9, 1e-4] {
            let radius = (0.225 + off) / (std::f64::consts::PI / 6.0).cos();
            let hexagon = disc::regular(Point::default(), radius, 6);
            for count in 1..4 {
                near(filled(&laid(&hexagon, 0.45, count)) / hexagon.area(), 1.0, 1e-9);
            }
        }
    }

    #[test]
    fn stops_when_told() {
        assert!(walls(&block(0.3, 40.0), 0.45, 3, &|| true).is_none());
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
        let w = laid(&p, 0.45, 2);
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
        let w = laid(&tube, 0.45, 2);
        near(w.strips[0].length_mm, std::f64::consts::TAU * 4.85, 0.01);
        near(w.strips[0].width_mm, 0.3, 0.001);
    }

    /// A block with a fin of 0.2 mm, under half a bead: no bead is made there, the block's first loop takes the volume.
    #[test]
    fn a_fin_of_less_than_half_a_bead_is_not_made() {
        let fin =
            [(0.0, 0.0), (10.0, 0.0), (10.0, 4.9), (18.0, 4.9), (18.0, 5.1), (10.0, 5.1), (10.0, 10.0), (0.0, 10.0)];
        let p = Polygon::simple(fin.map(|(x, y)| Point::new(x, y)).to_vec());
        let w = laid(&p, 0.45, 2);
        near(filled(&w) / p.area(), 1.0, 1e-6);
        assert!(w.strips.is_empty(), "{:?}", w.strips);
        let outer = &w.rings[0];
        near(length(&outer.points), 4.0 * 9.55, 1e-3);
        near(outer.width_mm(0), 0.45 + 8.0 * 0.2 / (4.0 * 9.55), 1e-3);
        // A pin with a fin so long that the pin's loop grew wider than two beads: the fin gets a bead of its own.
        let pin = fin.map(|(x, y)| {
            Point::new(if x < 1.0 { 9.2 } else { x }, if (4.0..6.0).contains(&y) { y } else { 4.6 + 0.08 * y })
        });
        let w = laid(&Polygon::simple(pin.to_vec()), 0.45, 2);
        assert!(w.strips.iter().any(|s| (s.width_mm - 0.2).abs() < 0.01), "{w:?}");
    }
}
