//! Ways to lay a part down that differ in nothing but a turn.

use super::PoseChoice;

/// So many of those that are alike are kept: a part and its opposite face often are.
const KEPT: usize = 2;
/// Numbers this near are alike, as a share.
const NEAR: f64 = 0.01;

/// The ranked choices without the third and further ones that are alike: the sides of a round part fill a list otherwise. The part as it
/// stands, which points down along −Z, is always kept.
pub fn without_alike(ranked: Vec<PoseChoice>) -> Vec<PoseChoice> {
    let mut kept: Vec<PoseChoice> = Vec::new();
    for choice in ranked {
        let twins = kept.iter().filter(|k| are_alike(k, &choice)).count();
        if twins < KEPT || choice.normal[2] < -0.999_999 {
            kept.push(choice);
        }
    }
    kept
}

fn are_alike(a: &PoseChoice, b: &PoseChoice) -> bool {
    // Down to tenths of a square millimetre nobody sees a difference.
    let near = |x: f64, y: f64| (x - y).abs() <= NEAR * x.abs().max(y.abs()) + 0.1;
    let numbers = |p: &PoseChoice| [p.contact_mm2, p.height_mm, p.overhang_mm2, p.size_mm[0], p.size_mm[1]];
    a.is_balanced == b.is_balanced && numbers(a).into_iter().zip(numbers(b)).all(|(x, y)| near(x, y))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::{
        mesh::shapes::{block, prism},
        stability::{conditions::tests::worked, poses},
        watch::Quiet,
    };

    /// A round rod of 48 sides lies on any of them: two are listed, and its two ends. A block has three pairs of faces.
    #[test]
    fn sides_of_a_rod_are_listed_twice_and_a_block_keeps_its_faces() {
        let ring: Vec<[f64; 2]> = (0..48)
            .map(|i| (f64::from(i) * std::f64::consts::TAU / 48.0).sin_cos())
            .map(|(s, c)| [4.0 * c, 4.0 * s])
            .collect();
        let rod = prism(&ring, 60.0);
        let all = poses(&rod, &[], &worked(), 50.0, &Quiet).expect("not cancelled");
        assert_eq!(all.len(), 50);
        let few = without_alike(all.clone());
        assert_eq!(few.len(), 4, "{few:?}");
        assert_eq!(few[0], all[0], "the best stays the best");
        let mut upright = few.iter().filter(|p| p.height_mm > 59.0);
        assert!(upright.next().is_some() && upright.next().is_some());
        let all = poses(&block([0.0; 3], [30.0, 20.0, 10.0]), &[], &worked(), 50.0, &Quiet).expect("not cancelled");
        assert_eq!(without_alike(all.clone()), all);
    }
}
