//! A single bead along the middle of a thin place.

use crate::geom::{Point, Polygon, Region, boolean, offset};

use super::thin::{CRUMB, inset, keeps, length};

/// A place filled by one bead along its middle.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Strip {
    /// Its border, outer loop first; the bead's motion is taken along all of it.
    pub(super) border: Vec<Vec<Point>>,
    /// Length of the middle line.
    pub(super) length_mm: f64,
    /// Width of the bead: area over length.
    pub(super) width_mm: f64,
}

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
        let border = || piece.loops().cloned().collect();
        (length_mm > 0.0).then(|| Self { border: border(), length_mm, width_mm: area / length_mm })
    }

    /// Area that its bead covers, mm².
    pub(super) fn area_mm2(&self) -> f64 {
        self.length_mm * self.width_mm
    }

    /// The beads of a thin piece: none where all of it is thinner than half a bead. What tapers below that adds to the bead it
    /// tapers from, unless that grew wider than two: then it has a bead of its own width. All together have the area of the piece.
    pub(super) fn along(piece: &Polygon, bead_mm: f64) -> Vec<Self> {
        let (whole, by_mm): (Region, f64) = (piece.clone().into(), bead_mm / 4.0);
        let core = inset(&whole, by_mm, bead_mm);
        let made = if keeps(&whole, &core, by_mm, bead_mm) {
            whole.clone()
        } else {
            boolean::intersection_quick(&whole, &offset::outset(&core, by_mm * 1.001))
        };
        let worth = |r: &Region| {
            let pieces = r.polygons.iter().filter(|p| p.area() > CRUMB * bead_mm * bead_mm);
            pieces.filter_map(Self::of).collect::<Vec<Self>>()
        };
        let mut strips = worth(&made);
        let scale = |strips: &[Self]| piece.area() / strips.iter().map(Self::area_mm2).sum::<f64>();
        let most_mm = strips.iter().map(|s| s.width_mm).fold(0.0, f64::max);
        if most_mm * scale(&strips) > 2.0 * bead_mm {
            strips.extend(worth(&boolean::difference_quick(&whole, &made)));
        }
        let scale = scale(&strips);
        for s in &mut strips {
            s.width_mm *= scale;
        }
        strips
    }
}
