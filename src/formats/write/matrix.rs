//! From a file's own coordinates to bed millimetres.

use crate::{
    document::{Copy, FileUnit, Pose},
    geom::Placement,
    plate::PlateTwin,
};

/// Three rows of a linear map and a row of translation, for row vectors, as a 3MF transform:
/// x' = x m00 + y m10 + z m20 + m30 and so on.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Matrix(pub [[f64; 3]; 4]);

impl Matrix {
    /// The point sent through the map.
    pub fn apply(&self, p: [f64; 3]) -> [f64; 3] {
        let m = &self.0;
        std::array::from_fn(|j| p[0] * m[0][j] + p[1] * m[1][j] + p[2] * m[2][j] + m[3][j])
    }
    /// The twelve numbers row by row; no negative zeros.
    pub fn numbers(&self) -> [f64; 12] {
        std::array::from_fn(|i| self.0[i / 3][i % 3] + 0.0)
    }
    /// Determinant of the linear part: negative for a mirror image.
    pub fn determinant(&self) -> f64 {
        let [a, b, c, _] = self.0;
        a[0] * (b[1] * c[2] - b[2] * c[1]) - a[1] * (b[0] * c[2] - b[2] * c[0]) + a[2] * (b[0] * c[1] - b[1] * c[0])
    }
    /// From a file's own coordinates to a part as it stands: turned, scaled, and moved to its origin.
    pub fn posed(pose: &Pose, unit: FileUnit, shift_mm: [f64; 3]) -> Self {
        let [a, b, c] = pose.linear(unit.mm());
        Self([a, b, c, shift_mm])
    }
    /// A turn about Z and a move.
    pub fn placed(at: Placement) -> Self {
        let (c, s) = at.cos_sin();
        Self([[c, s, 0.0], [-s, c, 0.0], [0.0, 0.0, 1.0], [at.x, at.y, 0.0]])
    }
    /// The mirror image about the plane x = 0.
    pub fn mirror() -> Self {
        Self([[-1.0, 0.0, 0.0], [0.0, 1.0, 0.0], [0.0, 0.0, 1.0], [0.0; 3]])
    }
    /// First `self`, then `next`.
    #[must_use]
    pub fn then(&self, next: &Self) -> Self {
        let n = &next.0;
        Self(std::array::from_fn(|i| {
            std::array::from_fn(|j| {
                let moved = if i == 3 { n[3][j] } else { 0.0 };
                (0..3).map(|k| self.0[i][k] * n[k][j]).sum::<f64>() + moved
            })
        }))
    }
    /// Moved up.
    #[must_use]
    pub fn raised(mut self, by_mm: f64) -> Self {
        self.0[3][2] += by_mm;
        self
    }
}

/// The matrix of a copy: it maps its file's own coordinates to bed millimetres and alone is enough to place it.
/// `shift_mm` is [`crate::plate::PartShape::shift_mm`].
pub fn file_to_bed(pose: &Pose, unit: FileUnit, shift_mm: [f64; 3], copy: &Copy) -> Matrix {
    Matrix::posed(pose, unit, shift_mm).then(&Matrix::placed(copy.placement()))
}

/// The matrix of a copy's twin, on a plate that is printed twice at once: of a handed one it mirrors.
pub(super) fn file_to_twin(pose: &Pose, unit: FileUnit, shift_mm: [f64; 3], copy: &Copy, twin: &PlateTwin) -> Matrix {
    let posed = Matrix::posed(pose, unit, shift_mm);
    let posed = if twin.is_handed() { posed.then(&Matrix::mirror()) } else { posed };
    posed.then(&Matrix::placed(twin.placement(copy.placement())))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::document::{Carriages, CopyId, Machine, MachineId, PartId, Twin};

    /// A box 20 × 10 × 5 turned a quarter about Z is written
    /// "0 1 0 -1 0 0 0 0 1 tx ty tz" (3MF Core specification, 4.1).
    #[test]
    fn a_quarter_turn_is_written_as_the_specification_has_it() {
        let copy = Copy {
            id: CopyId(1),
            part: PartId(2),
            number: 1,
            x_mm: 110.0,
            y_mm: 95.0,
            turn_deg: 90.0,
            locked: false,
            footing: None,
        };
        let m = file_to_bed(&Pose::default(), FileUnit::Millimeter, [0.0; 3], &copy);
        assert_eq!(m.numbers(), [0.0, 1.0, 0.0, -1.0, 0.0, 0.0, 0.0, 0.0, 1.0, 110.0, 95.0, 0.0]);
        assert_eq!(m.apply([20.0, 10.0, 5.0]), [100.0, 115.0, 5.0]);
        assert_eq!(m.determinant(), 1.0);
    }

    #[test]
    fn unit_scale_mirror_and_shift_come_first() {
        let pose = Pose { mirrored: true, scale_percent: 101.0, ..Pose::default() };
        let m = Matrix::posed(&pose, FileUnit::Inch, [1.0, 2.0, 3.0]);
        let p = m.apply([1.0, 1.0, 1.0]);
        for (got, want) in p.into_iter().zip([1.0 - 25.654, 27.654, 28.654]) {
            assert!((got - want).abs() < 1e-12, "{got} {want}");
        }
        assert!(m.determinant() < 0.0);
        assert_eq!(m.raised(0.8).apply([1.0, 1.0, 1.0])[2], p[2] + 0.8);
    }

    /// By hand, on a bed 240 wide: (20, 10, 5), turned a quarter, lies at (100, 115, 5); its shifted twin 120 farther on, its
    /// handed one at 240 − 100.
    #[test]
    fn twins_lie_in_the_other_half() {
        let mut machine = Machine::rectangular(MachineId(1), "Bench 2", 240.0, 200.0, 190.0);
        machine.carriages = Some(Carriages { strip_mm: 20.0 });
        let copy = Copy {
            id: CopyId(1),
            part: PartId(2),
            number: 1,
            x_mm: 110.0,
            y_mm: 95.0,
            turn_deg: 90.0,
            locked: false,
            footing: None,
        };
        for (kind, x, determinant) in [(Twin::Shifted, 220.0, 1.0), (Twin::Handed, 140.0, -1.0)] {
            let twin = PlateTwin::on(&machine, kind).expect("two carriages");
            let m = file_to_twin(&Pose::default(), FileUnit::Millimeter, [0.0; 3], &copy, &twin);
            for (a, b) in m.apply([20.0, 10.0, 5.0]).into_iter().zip([x, 115.0, 5.0]) {
                assert!((a - b).abs() < 1e-12, "{kind:?} {a} {b}");
            }
            assert!((m.determinant() - determinant).abs() < 1e-12);
        }
    }
}
