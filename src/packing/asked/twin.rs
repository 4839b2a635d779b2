//! Beds on which a copy implies another: two carriages that work side by side, each on its half.

use crate::geom::{Bounds, Placement, Point, Region, boolean};

/// Every copy on the bed, free or fixed, has a twin. Copies lie in the first half, as seen from the left, and twins in
/// the other; a strip between them stays free.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Twin {
    /// The same again, farther along x.
    Shifted {
        /// How far, mm; more than 0.
        by_mm: f64,
        /// Least width of the strip between the halves, mm; never under the clearances.
        strip_mm: f64,
    },
    /// Its mirror image about an upright line.
    Handed {
        /// Where the line crosses x, mm.
        axis_mm: f64,
        /// Least width of the strip between the halves, mm; never under the clearances.
        strip_mm: f64,
    },
}

impl Twin {
    /// Where the twin of a copy lies. A handed one is of the shape's mirror image about its y axis ([`Region::mirrored`]).
    pub fn placement(self, at: Placement) -> Placement {
        match self {
            Self::Shifted { by_mm, .. } => Placement { x: at.x + by_mm, ..at },
            Self::Handed { axis_mm, .. } => Placement { x: 2.0 * axis_mm - at.x, turn_rad: -at.turn_rad, ..at },
        }
    }

    /// Is the twin a mirror image?
    pub fn is_handed(self) -> bool {
        matches!(self, Self::Handed { .. })
    }

    /// The twin of what covers this region of the bed.
    pub fn region(self, region: &Region) -> Region {
        match self {
            Self::Shifted { by_mm, .. } => region.placed(Placement::at(by_mm, 0.0)),
            Self::Handed { axis_mm, .. } => region.mirrored().placed(Placement::at(2.0 * axis_mm, 0.0)),
        }
    }

    /// What has its twin on this region of the bed.
    pub fn region_back(self, region: &Region) -> Region {
        match self {
            Self::Shifted { by_mm, .. } => region.placed(Placement::at(-by_mm, 0.0)),
            Self::Handed { .. } => self.region(region),
        }
    }

    /// Where the half of the copies ends, so that none is nearer to a twin than `clearance_mm`.
    pub fn end_mm(self, room: Bounds, clearance_mm: f64) -> f64 {
        match self {
            Self::Shifted { by_mm, strip_mm } => room.min.x + by_mm - strip_mm.max(clearance_mm),
            Self::Handed { axis_mm, strip_mm } => axis_mm - 0.5 * strip_mm.max(clearance_mm),
        }
    }

    /// Of the room of a bed, where copies may lie: short of the strip, and where their twins lie in the room too.
    pub fn half(self, room: &Region, clearance_mm: f64) -> Region {
        let reach = room.bounds();
        let far = Point::new(self.end_mm(reach, clearance_mm), reach.max.y + 1.0);
        let first = Bounds::new(reach.min - Point::new(1.0, 1.0), far);
        // The strip may take it all.
        if reach.is_empty() || first.max.x <= reach.min.x {
            return Region::EMPTY;
        }
        let both = boolean::intersection(room, &self.region_back(room));
        boolean::intersection(&both, &Region::rectangle(first))
    }
}
