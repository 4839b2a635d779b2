//! A way to lay a part down, drawn.

use crate::{
    document::Pose,
    geom::{Region, simplify},
    mesh::{self, TriMesh},
};

/// Outlines are kept as exact as this share of the part's size: a small drawing shows no more.
const SHARE: f64 = 1e-3;

/// A part laid down one way, as a small drawing shows it; millimetres, the part's own.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct PoseView {
    /// Outline from above.
    pub plan: Region,
    /// Outline from the front: x runs across as in the plan, y is the height above the bed.
    pub side: Region,
}

impl PoseView {
    /// The view of a mesh in millimetres after `normal`, a direction in it, was turned to point down. Nothing for a mesh without triangles
    /// or a direction that is none.
    pub fn new(mesh: &TriMesh, normal: [f64; 3]) -> Self {
        let length = normal.iter().map(|c| c * c).sum::<f64>();
        if mesh.triangles.is_empty() || !(length > 0.0 && length.is_finite()) {
            return Self::default();
        }
        let laid = mesh.posed(&Pose::default().laid_on(normal).rotation).0;
        // Seen from the front: what is up on the bed is up in the drawing, what is far away lies deep.
        let front = laid.mapped(|[x, y, z]| [x, z, -y]);
        let (plan, side) = rayon::join(|| mesh::shadow(&laid), || mesh::shadow(&front));
        let size = plan.bounds().width().max(plan.bounds().height()).max(side.bounds().height());
        Self { plan: simplify::outward(&plan, size * SHARE), side: simplify::outward(&side, size * SHARE) }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::mesh::shapes::{block, cone};

    /// A box of 20 × 10 × 5 stood on its end: 10 × 5 from above, 20 high.
    #[test]
    fn a_box_on_its_end() {
        let view = PoseView::new(&block([3.0, 4.0, 5.0], [20.0, 10.0, 5.0]), [1.0, 0.0, 0.0]);
        let (plan, side) = (view.plan.bounds(), view.side.bounds());
        let mut sides = [plan.width(), plan.height()];
        sides.sort_by(f64::total_cmp);
        assert!((sides[0] - 5.0).abs() < 0.05 && (sides[1] - 10.0).abs() < 0.05, "{plan:?}");
        assert!((side.height() - 20.0).abs() < 0.1 && side.min.y.abs() < 0.05, "{side:?}");
        assert!((side.width() - plan.width()).abs() < 0.1, "both are as wide");
    }

    /// A cone on its base: a disc from above, a triangle from the front, its point up.
    #[test]
    fn a_cone_points_up() {
        let view = PoseView::new(&cone(10.0, 30.0, 64), [0.0, 0.0, -1.0]);
        assert!((view.plan.area() / (std::f64::consts::PI * 100.0) - 1.0).abs() < 0.02);
        assert!((view.side.area() / 300.0 - 1.0).abs() < 0.02);
        let upper: f64 = view.side.outer_vertices().filter(|p| p.y > 20.0).map(|p| p.x.abs()).fold(0.0, f64::max);
        assert!(upper < 4.0, "{upper}");
    }

    #[test]
    fn nothing_is_no_drawing() {
        assert_eq!(PoseView::new(&TriMesh::default(), [0.0, 0.0, -1.0]), PoseView::default());
        for none in [[0.0; 3], [f64::NAN, 0.0, 1.0], [f64::INFINITY, 0.0, 0.0]] {
            assert_eq!(PoseView::new(&block([0.0; 3], [1.0; 3]), none), PoseView::default());
        }
    }
}
