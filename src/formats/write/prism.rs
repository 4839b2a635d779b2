//! Upright prisms over regions.

use crate::{
    geom::{Region, triangulate},
    mesh::TriMesh,
};

/// The body between two heights over a region; empty for a region without area.
pub(super) fn prism(region: &Region, from_mm: f64, to_mm: f64) -> TriMesh {
    let flat = triangulate(region);
    let n = flat.points.len() as u32;
    let level = |z: f64| flat.points.iter().map(move |p| [p.x, p.y, z]);
    let vertices = level(from_mm).chain(level(to_mm)).collect();
    let mut triangles = Vec::with_capacity(flat.triangles.len() * 2 + flat.points.len() * 2);
    for &[a, b, c] in &flat.triangles {
        triangles.push([a, c, b]);
        triangles.push([a + n, b + n, c + n]);
    }
    if !flat.triangles.is_empty() {
        for l in &flat.loops {
            for (i, &a) in l.iter().enumerate() {
                let b = l[(i + 1) % l.len()];
                triangles.push([a, b, b + n]);
                triangles.push([a, b + n, a + n]);
            }
        }
    }
    TriMesh { vertices, triangles }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::{
        formats::write::solid::Solid,
        geom::{Bounds, Point, boolean, disc},
    };

    #[test]
    fn a_ring_prism_is_closed_and_has_its_volume() {
        let ring = boolean::difference(
            &disc::inside(Point::new(5.0, 5.0), 20.0, 0.01).into(),
            &Region::rectangle(Bounds::new(Point::default(), Point::new(10.0, 10.0))),
        );
        let m = prism(&ring, 0.0, 0.2);
        let solid = Solid::new("ring", m.vertices.iter().copied(), &m.triangles, false).expect("writable");
        assert!(solid.sound);
        assert!((solid.volume_mm3() - ring.area() * 0.2).abs() < 1e-3);
        assert!(prism(&Region::EMPTY, 0.0, 1.0).triangles.is_empty());
    }
}
