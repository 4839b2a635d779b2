//! What starts in mid-air.

use super::{Look, LookKind};
use crate::stability::MassProfile;

pub(super) fn look(mass: &MassProfile) -> Option<Look> {
    let starts = mass.starts();
    let lowest = starts.first()?;
    let area: f64 = starts.iter().map(|s| s.area_mm2).sum();
    let more = match starts.len() {
        1 => String::new(),
        2 => ", and 1 more region above it".into(),
        n => format!(", and {} more regions above it", n - 1),
    };
    Some(Look {
        kind: LookKind::MidAir,
        height_mm: lowest.height_mm,
        value: area,
        threshold: 0.0,
        text: format!(
            "starts in mid-air at {:.1} mm: {:.1} mm² with nothing under them{more}",
            lowest.height_mm, lowest.area_mm2
        ),
        why: "No support is set: the first beads there hang free.".into(),
    })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::{
        geom::Region,
        stability::samples::{at, measured, prism, square},
    };

    fn both(a: &Region, b: &Region) -> Region {
        Region { polygons: a.polygons.iter().chain(&b.polygons).cloned().collect() }
    }

    /// A shell that floats from 2 mm on beside a block, and one that overlaps the block.
    #[test]
    fn floating_and_overlapping_shells() {
        let (block, aside) = (square(10.0), at(square(4.0), 20.0, 0.0));
        let floating = [prism(block.clone(), 10), prism(both(&block, &aside), 10)].concat();
        let told = look(&measured(&floating)).expect("it floats");
        assert_eq!(told.text, "starts in mid-air at 2.0 mm: 16.0 mm² with nothing under them");
        let hook = [floating, prism(both(&both(&block, &aside), &at(square(3.0), 30.0, 0.0)), 5)].concat();
        assert!(look(&measured(&hook)).expect("two").text.ends_with(", and 1 more region above it"));
        let overlapping = [prism(block.clone(), 10), prism(both(&block, &at(square(4.0), 5.0, 0.0)), 10)].concat();
        assert_eq!(look(&measured(&overlapping)), None);
    }

    #[test]
    fn above_a_gap_everything_does() {
        let sections = [prism(square(10.0), 5), prism(Region::EMPTY, 5), prism(square(10.0), 5)].concat();
        assert_eq!(look(&measured(&sections)).map(|l| (l.value * 10.0).round()), Some(1000.0));
    }
}
