//! Which way up a part stands.

use serde::{Deserialize, Serialize};

/// Which way up: the file's mesh is scaled (shrinkage), mirrored or not, turned by `rotation`, then set down so that
/// its lowest point is at z = 0 and the middle of its box in plan is at x = y = 0. That middle is the pose's origin.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct Pose {
    /// A proper rotation, row by row, for row vectors: p' = p R (as a 3MF transform is written).
    pub rotation: [[f64; 3]; 3],
    /// Mirror image (x → −x in the file's coordinates, before the rotation): left and right hand parts.
    pub mirrored: bool,
    /// Size in percent of the file's, to allow for shrinkage.
    pub scale_percent: f64,
}

impl Default for Pose {
    fn default() -> Self {
        Self { rotation: [[1.0, 0.0, 0.0], [0.0, 1.0, 0.0], [0.0, 0.0, 1.0]], mirrored: false, scale_percent: 100.0 }
    }
}

impl Pose {
    /// As in the file.
    pub fn as_filed() -> Self {
        Self::default()
    }
    /// Turned about X, then about Y, in degrees, counter-clockwise seen from the positive end of the axis.
    #[must_use]
    pub fn turned_deg(x_deg: f64, y_deg: f64) -> Self {
        let (sx, cx) = sin_cos_deg(x_deg);
        let (sy, cy) = sin_cos_deg(y_deg);
        // Row vectors: p Rx Ry.
        let rx = [[1.0, 0.0, 0.0], [0.0, cx, sx], [0.0, -sx, cx]];
        let ry = [[cy, 0.0, -sy], [0.0, 1.0, 0.0], [sy, 0.0, cy]];
        Self { rotation: multiply(&rx, &ry), ..Self::default() }
    }
    /// `self`, then another turn about X and Y.
    #[must_use]
    pub fn then_turned_deg(self, x_deg: f64, y_deg: f64) -> Self {
        Self { rotation: multiply(&self.rotation, &Self::turned_deg(x_deg, y_deg).rotation), ..self }
    }
    /// `self`, then a turn about Z in degrees, counter-clockwise seen from above.
    #[must_use]
    pub fn then_turned_about_z_deg(self, z_deg: f64) -> Self {
        let (s, c) = sin_cos_deg(z_deg);
        // Row vectors.
        let rz = [[c, s, 0.0], [-s, c, 0.0], [0.0, 0.0, 1.0]];
        Self { rotation: multiply(&self.rotation, &rz), ..self }
    }
    /// The pose turned so that `normal` (a direction in the posed part, pointing out of it) points down.
    #[must_use]
    pub fn laid_on(self, normal: [f64; 3]) -> Self {
        Self { rotation: multiply(&self.rotation, &rotation_between(normal, [0.0, 0.0, -1.0])), ..self }
    }
    /// The pose of the other hand: the mirror image, about an upright plane, of the part as it stands.
    #[must_use]
    pub fn other_hand(self) -> Self {
        let mut rotation = self.rotation;
        for (i, row) in rotation.iter_mut().enumerate() {
            for (j, v) in row.iter_mut().enumerate() {
                // No "-0".
                *v = if (i == 0) == (j == 0) { *v } else { 0.0 - *v };
            }
        }
        Self { rotation, mirrored: !self.mirrored, ..self }
    }
    /// The linear map from file millimetres to posed millimetres, row vectors; `unit_mm` is the file unit in mm.
    pub fn linear(&self, unit_mm: f64) -> [[f64; 3]; 3] {
        let k = self.scale_percent / 100.0 * unit_mm;
        let mut m = self.rotation.map(|r| r.map(|v| v * k));
        if self.mirrored {
            m[0] = m[0].map(|v| -v);
        }
        m
    }
}

/// Sine and cosine, exact at quarter turns.
fn sin_cos_deg(deg: f64) -> (f64, f64) {
    let quarter = deg / 90.0;
    if quarter == quarter.round() {
        return match (quarter as i64).rem_euclid(4) {
            0 => (0.0, 1.0),
            1 => (1.0, 0.0),
            2 => (0.0, -1.0),
            _ => (-1.0, 0.0),
        };
    }
    deg.to_radians().sin_cos()
}

fn multiply(a: &[[f64; 3]; 3], b: &[[f64; 3]; 3]) -> [[f64; 3]; 3] {
    let mut m = [[0.0; 3]; 3];
    for (i, row) in m.iter_mut().enumerate() {
        for (j, v) in row.iter_mut().enumerate() {
            *v = (0..3).map(|k| a[i][k] * b[k][j]).sum();
        }
    }
    m
}

/// The least rotation that takes direction `from` to direction `to` (row vectors). Source: Rodrigues' formula.
fn rotation_between(from: [f64; 3], to: [f64; 3]) -> [[f64; 3]; 3] {
    let norm = |v: [f64; 3]| {
        let l = (v[0] * v[0] + v[1] * v[1] + v[2] * v[2]).sqrt().max(1e-300);
        v.map(|c| c / l)
    };
    let (a, b) = (norm(from), norm(to));
    let c = a[0] * b[0] + a[1] * b[1] + a[2] * b[2];
    if c > 1.0 - 1e-12 {
        return Pose::default().rotation;
    }
    if c < -1.0 + 1e-12 {
        // Opposite: half a turn about X.
        return [[1.0, 0.0, 0.0], [0.0, -1.0, 0.0], [0.0, 0.0, -1.0]];
    }
    let v = [a[1] * b[2] - a[2] * b[1], a[2] * b[0] - a[0] * b[2], a[0] * b[1] - a[1] * b[0]];
    let k = 1.0 / (1.0 + c);
    // Column form: I + [v]× + [v]×² k; transposed for row vectors.
    let col = [
        [c + k * v[0] * v[0], k * v[0] * v[1] - v[2], k * v[0] * v[2] + v[1]],
        [k * v[0] * v[1] + v[2], c + k * v[1] * v[1], k * v[1] * v[2] - v[0]],
        [k * v[0] * v[2] - v[1], k * v[1] * v[2] + v[0], c + k * v[2] * v[2]],
    ];
    let mut m = [[0.0; 3]; 3];
    for i in 0..3 {
        for j in 0..3 {
            m[i][j] = col[j][i];
        }
    }
    m
}

#[cfg(test)]
mod tests {
    use super::*;

    /// A point sent through the other hand's pose lies where the mirror (x to -x) sends it after the pose itself.
    #[test]
    fn the_other_hand_stands_as_its_mirror_image() {
        let pose = Pose { scale_percent: 101.0, ..Pose::turned_deg(30.0, 75.0).then_turned_about_z_deg(20.0) };
        for pose in [pose, Pose { mirrored: true, ..pose }] {
            let through = |pose: Pose, p: [f64; 3]| -> [f64; 3] {
                let m = pose.linear(1.0);
                std::array::from_fn(|j| (0..3).map(|i| p[i] * m[i][j]).sum())
            };
            let (a, b) = (through(pose, [3.0, 5.0, 7.0]), through(pose.other_hand(), [3.0, 5.0, 7.0]));
            for (a, b) in [(-a[0], b[0]), (a[1], b[1]), (a[2], b[2])] {
                assert!((a - b).abs() < 1e-12, "{a} {b}");
            }
            assert_eq!(pose.other_hand().other_hand(), pose);
        }
    }
}
