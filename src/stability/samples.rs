//! Sections for tests.

use super::MassProfile;
use crate::{
    geom::{Placement, Point, Polygon, Region},
    watch::Quiet,
};

/// A square about the origin.
pub(super) fn square(side: f64) -> Region {
    rectangle(side, side)
}

/// A rectangle about the origin.
pub(super) fn rectangle(width: f64, depth: f64) -> Region {
    let (x, y) = (width / 2.0, depth / 2.0);
    Polygon::simple([[-x, -y], [x, -y], [x, y], [-x, y]].map(Point::from).to_vec()).into()
}

/// The region moved.
#[expect(clippy::needless_pass_by_value, reason = "reads better in tests")]
pub(super) fn at(region: Region, x: f64, y: f64) -> Region {
    region.placed(Placement::at(x, y))
}

/// The same section in so many layers.
pub(super) fn prism(section: Region, layers: usize) -> Vec<Region> {
    vec![section; layers]
}

/// A square column that leans by `deg` from the vertical along x, its lowest edge about the origin; layers of 0.2 mm cut at their
/// middles.
pub(super) fn leaning(side: f64, deg: f64, layers: usize) -> Vec<Region> {
    let offset = |i: usize| (i as f64 + 0.5) * 0.2 * deg.to_radians().tan();
    (0..layers).map(|i| at(square(side), offset(i), 0.0)).collect()
}

/// Tops of layers of 0.2 mm.
pub(super) fn tops(layers: usize) -> Vec<f64> {
    (1..=layers).map(|i| i as f64 * 0.2).collect()
}

/// The profile of sections 0.2 mm apart.
pub(super) fn measured(sections: &[Region]) -> MassProfile {
    MassProfile::new(sections, &tops(sections.len()), 0.45, &Quiet).unwrap_or_default()
}
