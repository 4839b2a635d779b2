//! Beds and the areas of them that must stay free.

use serde::{Deserialize, Serialize};

use crate::geom::{Bounds, Point, Polygon, Region, disc};

/// The outline of a bed. The origin is its front left corner (of the box round it, for a round one).
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(tag = "kind", rename_all = "snake_case")]
pub enum BedShape {
    /// Width across, depth away from the person.
    Rectangle {
        /// Along x.
        width_mm: f64,
        /// Along y.
        depth_mm: f64,
    },
    /// A disc.
    Round {
        /// Its diameter.
        diameter_mm: f64,
    },
    /// Any simple polygon.
    Polygon {
        /// Counter-clockwise.
        outline: Vec<Point>,
    },
}

impl BedShape {
    /// Width and depth of the box round it, mm.
    pub fn size_mm(&self) -> (f64, f64) {
        match self {
            Self::Rectangle { width_mm, depth_mm } => (*width_mm, *depth_mm),
            Self::Round { diameter_mm } => (*diameter_mm, *diameter_mm),
            Self::Polygon { outline } => {
                let b = Bounds::of(outline.iter().copied());
                (b.max.x.max(0.0), b.max.y.max(0.0))
            }
        }
    }
    /// The least box round it, mm; of no size where a polygon has no corner.
    pub fn bounds(&self) -> Bounds {
        match self {
            Self::Polygon { outline } if !outline.is_empty() => Bounds::of(outline.iter().copied()),
            _ => {
                let (width, depth) = self.size_mm();
                Bounds::new(Point::default(), Point::new(width, depth))
            }
        }
    }
    /// Its outline as a polygon; a round bed's lies inside the circle by at most `tolerance_mm`.
    pub fn outline(&self, tolerance_mm: f64) -> Polygon {
        match self {
            Self::Rectangle { width_mm, depth_mm } => {
                Polygon::rectangle(Bounds::new(Point::default(), Point::new(*width_mm, *depth_mm)))
            }
            Self::Round { diameter_mm } => {
                let r = diameter_mm / 2.0;
                disc::inside(Point::new(r, r), r, tolerance_mm)
            }
            Self::Polygon { outline } => Polygon::simple(outline.clone()),
        }
    }
}

/// An area that neither a shadow nor a footing may cover.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct KeepOut {
    /// What is there: "clip", "purge".
    pub name: String,
    /// Its outline in bed millimetres.
    pub outline: Vec<Point>,
}

impl KeepOut {
    /// Its area as a region.
    pub fn region(&self) -> Region {
        Polygon::simple(self.outline.clone()).into()
    }
}
