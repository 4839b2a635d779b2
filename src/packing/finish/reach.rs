//! What falls of copies on a bed would strike.

use crate::geom::Bounds;
use crate::packing::{Item, Problem};

/// Copies whose falls are looked at: those that reach farthest.
const MOST: usize = 40;

/// Falls of copies on a bed.
pub(super) struct Reach<'a> {
    problem: &'a Problem,
    bed: usize,
    /// Height at which a copy of each shape could fall, mm; `None` where it stands firmly, or nobody knows.
    falls_mm: &'a [Option<f64>],
}

impl<'a> Reach<'a> {
    pub(super) fn new(problem: &'a Problem, bed: usize, falls_mm: &'a [Option<f64>]) -> Self {
        Self { problem, bed, falls_mm }
    }

    /// The height at which a copy could fall, mm.
    pub(super) fn fall_mm(&self, item: Item) -> Option<f64> {
        self.falls_mm.get(item.shape).copied().flatten().filter(|f| f.is_finite() && *f > 0.0)
    }

    /// Could any of these fall?
    pub(super) fn any(&self, items: &[Item]) -> bool {
        items.iter().any(|i| self.fall_mm(*i).is_some())
    }

    /// How many copies falls would strike, each counted once for every copy that reaches it: 1, and up to 1 more the deeper it lies
    /// within the reach. A fall reaches as far round the contact as it is high, and strikes what is at least as high; copies that stay
    /// where they are count, too. Of outlines their boxes are taken: what is clear by them is clear.
    pub(super) fn struck(&self, items: &[Item]) -> f64 {
        let shapes = &self.problem.shapes;
        let fixed = self.problem.beds[self.bed].fixed.iter().filter(|i| i.shape < shapes.len());
        let all: Vec<(Item, Bounds)> =
            items.iter().chain(fixed).map(|&i| (i, shapes[i.shape].shadow.bounds_at(i.at))).collect();
        let mut falling: Vec<(f64, usize)> =
            items.iter().enumerate().filter_map(|(n, i)| Some((self.fall_mm(*i)?, n))).collect();
        falling.sort_by(|a, b| b.0.total_cmp(&a.0).then(a.1.cmp(&b.1)));
        falling.truncate(MOST);
        let mut sum = 0.0;
        for (fall_mm, n) in falling {
            let contact = shapes[items[n].shape].contact.bounds_at(items[n].at);
            for (k, (other, shadow)) in all.iter().enumerate() {
                let far = gap(contact, *shadow);
                if k != n && far <= fall_mm && shapes[other.shape].height_mm >= fall_mm {
                    sum += 2.0 - far / fall_mm;
                }
            }
        }
        sum
    }
}

/// Distance between two boxes, 0 where they overlap.
fn gap(a: Bounds, b: Bounds) -> f64 {
    let along = |a0: f64, a1: f64, b0: f64, b1: f64| (b0 - a1).max(a0 - b1).max(0.0);
    along(a.min.x, a.max.x, b.min.x, b.max.x).hypot(along(a.min.y, a.max.y, b.min.y, b.max.y))
}
