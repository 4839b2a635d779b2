//! Whether copies fail more often on an old surface.

use super::super::normal::normal_share;
use crate::document::PlateOutcome;

/// Bounds of the bins: plates since the surface was refreshed.
const BINS: [(u32, u32); 4] = [(0, 4), (5, 9), (10, 19), (20, u32::MAX)];

/// Copies that came loose, tipped over or warped, by the age of the surface.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct SurfaceBin {
    /// Plates since the surface was refreshed, from.
    pub from: u32,
    /// To; the last bin has no end.
    pub to: u32,
    /// Copies that failed so.
    pub failed: usize,
    /// Copies.
    pub of: usize,
}

/// Do copies come loose more often the older the surface is?
#[derive(Debug, Clone, PartialEq)]
pub struct SurfaceTrend {
    /// By age; empty bins are left out.
    pub bins: Vec<SurfaceBin>,
    /// z of the Cochran–Armitage test for a trend, the number of plates as its score; more than 0 where failures grow with age.
    pub z: f64,
    /// Its two-sided p value.
    pub p: f64,
}

/// The trend over plates whose surface's age is known; `None` where none is, or all are of the same age.
pub(super) fn trend(outcomes: &[PlateOutcome]) -> Option<SurfaceTrend> {
    let known = || outcomes.iter().filter(|o| !o.is_spoilt()).filter_map(|o| Some((o, o.since_surface?)));
    let mut bins = BINS.map(|(from, to)| SurfaceBin { from, to, failed: 0, of: 0 });
    let (mut n, mut failed, mut score, mut squares, mut with) = (0.0, 0.0, 0.0, 0.0, 0.0);
    for (o, since) in known() {
        let bad: usize = o.causes().iter().filter(|(c, _)| c.is_of_adhesion()).map(|(_, n)| n).sum();
        let (bad, all) = (bad.min(o.copies.len()), o.copies.len());
        if let Some(bin) = bins.iter_mut().find(|b| (b.from..=b.to).contains(&since)) {
            bin.failed += bad;
            bin.of += all;
        }
        let (x, k, b) = (f64::from(since), all as f64, bad as f64);
        n += k;
        failed += b;
        score += k * x;
        squares += k * x * x;
        with += b * x;
    }
    if n == 0.0 {
        return None;
    }
    let share = failed / n;
    let variance = share * (1.0 - share) * (squares - score * score / n);
    let z = if variance > 0.0 { (with - share * score) / variance.sqrt() } else { return None };
    let bins = bins.into_iter().filter(|b| b.of > 0).collect();
    Some(SurfaceTrend { bins, z, p: (2.0 * normal_share(-z.abs())).min(1.0) })
}
