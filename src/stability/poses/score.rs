//! The score by which poses rank.

use super::PoseChoice;

/// Weights of the score, which add up to 1: how firmly it stands, how little of it needs support, how low it is. Our own choice, no
/// source.
///
/// - stands: m / (1 + m) of the margin m at the top without a footing, and 0 where the centre of mass is not over the contact
/// - support: 1 − overhang ÷ half the surface (no body shows more than that from below)
/// - low: the least height of all candidates ÷ its own
pub const SCORE_WEIGHTS: [f64; 3] = [0.4, 0.4, 0.2];

/// Two scores count as the same below this difference: rounding decides nothing.
const SAME: f64 = 1e-9;

/// Gives scores and puts the best first.
pub(super) fn ranked(mut all: Vec<PoseChoice>, surface_mm2: f64) -> Vec<PoseChoice> {
    let lowest = all.iter().map(|p| p.height_mm).filter(|h| *h > 0.0).fold(f64::INFINITY, f64::min);
    for p in &mut all {
        let stands = if p.is_balanced { p.margin / (1.0 + p.margin) } else { 0.0 };
        let hangs = 2.0 * p.overhang_mm2 / surface_mm2;
        let support = if hangs.is_finite() { (1.0 - hangs).clamp(0.0, 1.0) } else { 1.0 };
        let low = if p.height_mm > 0.0 { lowest / p.height_mm } else { 1.0 };
        p.score = SCORE_WEIGHTS[0] * stands + SCORE_WEIGHTS[1] * support + SCORE_WEIGHTS[2] * low;
    }
    let steps = |score: f64| (score / SAME).round();
    all.sort_by(|a, b| {
        let by_score = steps(b.score).total_cmp(&steps(a.score));
        let by_contact = || steps(b.contact_mm2).total_cmp(&steps(a.contact_mm2));
        let by_height = || steps(a.height_mm).total_cmp(&steps(b.height_mm));
        let by_normal = || {
            let axes = a.normal.iter().zip(&b.normal).map(|(a, b)| a.total_cmp(b));
            axes.fold(std::cmp::Ordering::Equal, std::cmp::Ordering::then)
        };
        by_score.then_with(by_contact).then_with(by_height).then_with(by_normal)
    });
    all
}
