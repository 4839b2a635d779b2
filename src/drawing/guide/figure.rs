//! Which drawings there are.

use super::{footings, heights, sheet, way, week};
use crate::drawing::Scene;

/// A drawing of the guide.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Figure {
    /// From a mesh over the plate and its times to the files for the machine.
    Way,
    /// A bed with copies, and what its lines mean.
    Sheet,
    /// A height strip.
    Heights,
    /// A part bare, with a brim, on a raft.
    Footings,
    /// Plates on two machines over two days.
    Week,
}

impl Figure {
    /// All of them.
    pub const ALL: [Self; 5] = [Self::Way, Self::Sheet, Self::Heights, Self::Footings, Self::Week];

    /// What it shows, for those who do not see it.
    pub fn words(self) -> &'static str {
        match self {
            Self::Way => {
                "Drawing: a mesh, a plate filled with it, the plate's layer times over height, a drawing that goes to the machine"
            }
            Self::Sheet => {
                "Drawing: a bed with five copies. Dash-dot lines round a copy are half the gap and the footing, a single-hatched corner is a \
                 keep-out, a cross-hatched patch is a conflict with its depth"
            }
            Self::Heights => {
                "Drawing: a height strip. Above 34 mm one copy is left, its layers are shorter than the minimum layer time, and dots mark them"
            }
            Self::Footings => {
                "Drawing: a peg from the side, bare, with a brim and on a raft. Bare it could tip over above 31 mm, with a brim above 74 mm"
            }
            Self::Week => {
                "Drawing: a timeline of two machines. Short plates run while somebody is there, the longest runs over night"
            }
        }
    }
    /// Height for its width.
    pub fn aspect(self) -> f64 {
        match self {
            Self::Way => 0.26,
            Self::Sheet => 0.42,
            Self::Heights => 0.36,
            Self::Footings => 0.40,
            Self::Week => 0.28,
        }
    }
}

/// The drawing on `width_mm` × `height_mm` of paper, its lower left corner at the origin.
pub fn figure(which: Figure, width_mm: f64, height_mm: f64) -> Scene {
    match which {
        Figure::Way => way::way(width_mm, height_mm),
        Figure::Sheet => sheet::sheet(width_mm, height_mm),
        Figure::Heights => heights::heights(width_mm, height_mm),
        Figure::Footings => footings::footings(width_mm, height_mm),
        Figure::Week => week::week(width_mm, height_mm),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::{
        drawing::{Mark, written_box},
        geom::Bounds,
    };

    /// The least width that the guide gives a drawing, mm: 460 points.
    const LEAST_MM: f64 = 460.0 * crate::drawing::PT_MM;

    /// At every width the guide may have: something is drawn, and no words leave the paper.
    #[test]
    fn figures_fill_their_paper_and_stay_on_it() {
        for which in Figure::ALL {
            for width_mm in [LEAST_MM, 160.0, 220.0] {
                let height_mm = width_mm * which.aspect();
                let scene = figure(which, width_mm, height_mm);
                assert!(scene.marks.len() > 8, "{which:?}");
                assert!((scene.view.width() - width_mm).abs() < 1e-9);
                let paper = Bounds::new(scene.view.min, scene.view.max).grown(1.5);
                for mark in scene.marks.iter().filter(|m| matches!(m, Mark::Text { .. })) {
                    let b = written_box(mark, crate::drawing::PT_MM).expect("it is text");
                    assert!(paper.contains(b.min) && paper.contains(b.max), "{which:?} at {width_mm}: {mark:?}");
                }
            }
            for side in [0.0, 1.0] {
                figure(which, side, side);
            }
        }
    }
}
