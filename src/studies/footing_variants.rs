//! The footings compared by default.

use crate::document::Footing;

/// The margin that the suggested footing reaches: the safety factor is in the margin already.
pub const MARGIN_WANTED: f64 = 1.0;

/// Widths of brims, mm. Common practice, no source.
const BRIMS_MM: [f64; 3] = [3.0, 5.0, 8.0];
/// Width of the raft, mm. Common practice, no source.
const RAFT_MM: f64 = 3.0;

/// Bare, brims of 3, 5 and 8 mm, a raft of 3 mm, and the footing that is suggested where it is another one; by kind and width.
pub fn footing_variants(suggested: Footing) -> Vec<Footing> {
    let mut all = vec![Footing::Bare];
    all.extend(BRIMS_MM.map(|width_mm| Footing::Brim { width_mm }));
    all.push(Footing::Raft { width_mm: RAFT_MM });
    if !all.contains(&suggested) {
        all.push(suggested);
    }
    let place = |f: &Footing| match f {
        Footing::Bare => 0,
        Footing::Brim { .. } => 1,
        Footing::Raft { .. } => 2,
    };
    all.sort_by(|a, b| place(a).cmp(&place(b)).then(a.width_mm().total_cmp(&b.width_mm())));
    all
}
