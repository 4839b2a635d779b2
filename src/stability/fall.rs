//! Reach of a fall: what a copy would strike or drag along.

use crate::geom::{Outline, Placement, Region, offset};

/// How far the circle may be off, mm.
const TOLERANCE_MM: f64 = 0.05;

/// A copy on a plate, as a fall sees it. Everything where it lies on the plate.
#[derive(Debug, Clone, Copy)]
pub struct Standing<'a> {
    /// Outline of all heights from above.
    pub shadow: &'a Region,
    /// Its height, its raft included, mm.
    pub height_mm: f64,
}

/// What a fall reaches.
#[derive(Debug, Clone, PartialEq)]
pub struct Fall {
    /// Everything within its height of its contact.
    pub reach: Region,
    /// Of the other copies, by their place in the list: those it would strike or drag along, nearest first.
    pub strikes: Vec<usize>,
    /// Those within its reach that are finished and stand lower than the nozzle has come, nearest first: it would fall across them.
    pub lower: Vec<usize>,
}

/// What a copy would strike that falls at `height_mm` above the bed: it reaches so far round its contact. `others` are the other copies
/// of the plate; the nozzle has come to the same height everywhere, and what stands lower is finished.
pub fn fall(contact: &Region, height_mm: f64, others: &[Standing<'_>]) -> Fall {
    let height_mm = if height_mm.is_finite() { height_mm.max(0.0) } else { 0.0 };
    if contact.is_empty() || contact.vertices().any(|p| !p.is_finite()) {
        return Fall { reach: Region::EMPTY, strikes: Vec::new(), lower: Vec::new() };
    }
    let (here, at) = (Outline::new(contact.clone()), Placement::default());
    let mut near: Vec<(f64, usize)> = Vec::new();
    for (i, other) in others.iter().enumerate() {
        if !contact.bounds().grown(height_mm).overlaps(other.shadow.bounds()) {
            continue;
        }
        let far = here.distance_within(at, &Outline::new(other.shadow.clone()), at, height_mm + 1.0);
        if far <= height_mm {
            near.push((far, i));
        }
    }
    near.sort_by(|a, b| a.0.total_cmp(&b.0).then(a.1.cmp(&b.1)));
    let (lower, strikes): (Vec<_>, Vec<_>) = near.iter().map(|n| n.1).partition(|&i| others[i].height_mm < height_mm);
    Fall { reach: offset::grow(contact, height_mm, TOLERANCE_MM), strikes, lower }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::{
        geom::Point,
        stability::samples::{at, square},
    };

    /// Contact of 10 mm, falling at 40 mm: reach 45 mm from its middle. Area of the reach: 100 + 40 · 40 + π 40².
    #[test]
    fn neighbours_within_the_height() {
        let places = [(30.0, 0.0), (0.0, 54.9), (0.0, -55.2), (20.0, 0.0), (200.0, 0.0), (50.0, 50.0)];
        let shadows = places.map(|(x, y)| at(square(20.0), x, y));
        let heights = [60.0, 40.0, 60.0, 12.0, 90.0, 90.0];
        let others: Vec<Standing<'_>> =
            shadows.iter().zip(heights).map(|(shadow, height_mm)| Standing { shadow, height_mm }).collect();
        let f = fall(&square(10.0), 40.0, &others);
        assert_eq!((f.strikes, f.lower), (vec![0, 1], vec![3]));
        let area = 100.0 + 1600.0 + std::f64::consts::PI * 1600.0;
        assert!((f.reach.area() / area - 1.0).abs() < 3e-3, "{}", f.reach.area());
    }

    #[test]
    fn nothing_and_nonsense() {
        let shadow = square(5.0);
        let others = [Standing { shadow: &shadow, height_mm: f64::NAN }];
        assert!(fall(&Region::EMPTY, 10.0, &others).reach.is_empty());
        assert!(fall(&square(4.0).map(|p| Point::new(f64::NAN, p.y)), 10.0, &others).strikes.is_empty());
        for height in [f64::NAN, -3.0, f64::INFINITY] {
            let f = fall(&at(square(4.0), 50.0, 0.0), height, &others);
            assert!(f.strikes.is_empty() && f.lower.is_empty());
        }
        assert!(fall(&square(4.0), 10.0, &[Standing { shadow: &Region::EMPTY, height_mm: 5.0 }]).lower.is_empty());
    }
}
