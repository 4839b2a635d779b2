//! The mesh that benches of a million triangles share.

use std::f64::consts::TAU;

/// A torus with waves on it, 1000 × 500 quads, as a binary STL of 50 MB.
pub(crate) fn stl() -> Vec<u8> {
    let (around, about) = (1000_u32, 500_u32);
    let at = |i: u32, j: u32| {
        let (u, v) = (TAU * f64::from(i % around) / f64::from(around), TAU * f64::from(j % about) / f64::from(about));
        let minor = 10.0 + 0.6 * (u * 20.0).sin() * (v * 7.0).cos();
        let r = 40.0 + minor * v.cos();
        [(r * u.cos()) as f32, (r * u.sin()) as f32, (minor * v.sin()) as f32]
    };
    let mut bytes = vec![0_u8; 80];
    bytes.extend((around * about * 2).to_le_bytes());
    for i in 0..around {
        for j in 0..about {
            let (a, b, c, d) = (at(i, j), at(i + 1, j), at(i + 1, j + 1), at(i, j + 1));
            for t in [[a, b, c], [a, c, d]] {
                bytes.extend([0_u8; 12]);
                t.iter().flatten().for_each(|v| bytes.extend(v.to_le_bytes()));
                bytes.extend([0_u8; 2]);
            }
        }
    }
    bytes
}
