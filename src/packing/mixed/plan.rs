//! A layout while it is being searched for.

use crate::geom::{Bounds, Placement, Point};
use crate::packing::{Aim, Item, Layout, bodies::zone_table::ZoneTable};

/// Edges this near are in line, mm.
pub(in crate::packing) const IN_LINE_MM: f64 = 1e-6;

/// Free copies by bed: variant and where its origin lies.
#[derive(Debug, Clone, Default)]
pub(in crate::packing) struct Plan {
    pub(in crate::packing) beds: Vec<Vec<(usize, Point)>>,
}

impl Plan {
    pub(in crate::packing) fn new(beds: usize) -> Self {
        Self { beds: vec![Vec::new(); beds] }
    }
    /// Class of a bed: its own, or that of the first copy on it.
    pub(in crate::packing) fn class(&self, table: &ZoneTable<'_>, bed: usize) -> Option<u32> {
        let p = table.problem;
        p.beds[bed].class.or_else(|| {
            let fixed = p.beds[bed].fixed.iter().find_map(|i| p.shapes.get(i.shape));
            fixed
                .map(|s| s.class)
                .or_else(|| self.beds[bed].first().map(|&(v, _)| p.shapes[table.variants[v].shape].class))
        })
    }
    /// A layout as a plan, where the table has all its turns.
    pub(in crate::packing) fn of(layout: &Layout, table: &ZoneTable<'_>) -> Option<Self> {
        let spot = |i: &Item| {
            let known = table.of_shape.get(i.shape)?.iter().copied();
            known.into_iter().find(|&v| table.variants[v].turn_rad == i.at.turn_rad).map(|v| (v, i.at.origin()))
        };
        let mut plan = Self::new(table.problem.beds.len());
        for (bed, items) in layout.beds.iter().enumerate() {
            *plan.beds.get_mut(bed)? = items.iter().map(spot).collect::<Option<_>>()?;
        }
        Some(plan)
    }
    /// The same plan in the variants of another table of the same problem, which has all the turns of this one.
    pub(in crate::packing) fn translated(&self, from: &ZoneTable<'_>, to: &ZoneTable<'_>) -> Self {
        let spot = |&(v, at): &(usize, Point)| {
            let v = &from.variants[v];
            let same = to.of_shape[v.shape].iter().copied().find(|&w| to.variants[w].turn_rad == v.turn_rad)?;
            Some((same, at))
        };
        Self { beds: self.beds.iter().map(|b| b.iter().filter_map(spot).collect()).collect() }
    }
    /// Copies placed, by shape.
    pub(in crate::packing) fn counts(&self, table: &ZoneTable<'_>) -> Vec<usize> {
        let mut n = vec![0; table.problem.shapes.len()];
        for &(v, _) in self.beds.iter().flatten() {
            n[table.variants[v].shape] += 1;
        }
        n
    }
    /// Copies asked for and not placed, by shape.
    pub(in crate::packing) fn missing(&self, table: &ZoneTable<'_>) -> Vec<usize> {
        let placed = self.counts(table);
        let asked = |s: usize| match &table.problem.aim {
            Aim::Pack { counts } if table.bodies[s].usable => counts.get(s).copied().unwrap_or(0),
            _ => 0,
        };
        placed.iter().enumerate().map(|(s, n)| asked(s).saturating_sub(*n)).collect()
    }
    /// Of a queue of all copies asked for, what is not placed.
    pub(in crate::packing) fn rest_of(&self, queue: &[usize], table: &ZoneTable<'_>) -> Vec<usize> {
        let mut missing = self.missing(table);
        let take = |s: &usize| {
            let take = missing[*s] > 0;
            missing[*s] = missing[*s].saturating_sub(1);
            take
        };
        queue.iter().copied().filter(take).collect()
    }
    pub(in crate::packing) fn layout(&self, table: &ZoneTable<'_>) -> Layout {
        let beds = (0..self.beds.len()).map(|b| self.items(table, b));
        let unplaced = match &table.problem.aim {
            Aim::Pack { counts } => {
                counts.iter().zip(self.counts(table)).map(|(&want, got)| want.saturating_sub(got)).collect()
            }
            Aim::TopUp { .. } => Vec::new(),
        };
        Layout { beds: beds.collect(), unplaced }
    }
    /// The free copies of a bed.
    pub(in crate::packing) fn items(&self, table: &ZoneTable<'_>, bed: usize) -> Vec<Item> {
        self.beds[bed].iter().map(|&(v, at)| item(table, v, at)).collect()
    }
    /// Box round the free copies of a bed.
    pub(in crate::packing) fn bounds(&self, table: &ZoneTable<'_>, bed: usize) -> Bounds {
        self.beds[bed].iter().fold(Bounds::EMPTY, |b, &(v, at)| b.union(table.variants[v].bounds.moved(at)))
    }
    /// Lines along which front and left edges of a bed's copies lie: few where they lie in rows.
    fn lines(&self, table: &ZoneTable<'_>, bed: usize) -> usize {
        let boxes = || self.beds[bed].iter().map(|&(v, at)| table.variants[v].bounds.moved(at).min);
        let different = |mut edges: Vec<f64>| {
            edges.sort_by(f64::total_cmp);
            1 + edges.windows(2).filter(|w| w[1] - w[0] > IN_LINE_MM).count()
        };
        different(boxes().map(|p| p.x).collect()) + different(boxes().map(|p| p.y).collect())
    }
    /// How good: compared number by number, less is better.
    pub(in crate::packing) fn score(&self, table: &ZoneTable<'_>) -> Score {
        let used: Vec<usize> = (0..self.beds.len()).filter(|&b| !self.beds[b].is_empty()).collect();
        let boxes: f64 = used
            .iter()
            .map(|&b| {
                let b = self.bounds(table, b);
                b.width() * b.height()
            })
            .sum();
        let count = self.beds.iter().map(Vec::len).sum::<usize>() as f64;
        let lines = used.iter().map(|&b| self.lines(table, b)).sum::<usize>() as f64;
        match &table.problem.aim {
            Aim::Pack { counts } => {
                let wanted: usize = counts.iter().sum();
                let occupied =
                    (0..self.beds.len()).filter(|&b| !self.beds[b].is_empty() || !table.fixed[b].is_empty()).count();
                let last = used.last().map_or(0.0, |&b| {
                    self.beds[b].iter().map(|&(v, _)| table.bodies[table.variants[v].shape].weight).sum()
                });
                let last_copies = used.last().map_or(0, |&b| self.beds[b].len());
                let last = if used.len() > 1 { [last, last_copies as f64] } else { [0.0, 0.0] };
                Score([wanted as f64 - count, occupied as f64, last[0], last[1], boxes, lines])
            }
            Aim::TopUp { shares, at_most, .. } => {
                let placed = self.counts(table);
                let least = |s: usize| table.problem.aim.least(s);
                let short: usize = (0..placed.len()).map(|s| least(s).saturating_sub(placed[s])).sum();
                let sets = (0..placed.len())
                    .filter(|&s| share(shares, s) > 0.0 && placed[s] < at_most.get(s).copied().unwrap_or(0))
                    .map(|s| placed[s].saturating_sub(least(s)) as f64 / share(shares, s))
                    .fold(f64::INFINITY, f64::min);
                let sets = if sets.is_finite() { sets } else { f64::from(u32::MAX) };
                Score([short as f64, -sets, -count, boxes, lines, 0.0])
            }
        }
    }
}

/// A variant at a place.
pub(in crate::packing) fn item(table: &ZoneTable<'_>, variant: usize, at: Point) -> Item {
    let v = &table.variants[variant];
    Item { shape: v.shape, at: Placement::new(at.x, at.y, v.turn_rad) }
}

fn share(shares: &[f64], s: usize) -> f64 {
    shares.get(s).copied().filter(|x| x.is_finite()).unwrap_or(0.0)
}

/// Numbers compared in turn; less is better.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(in crate::packing) struct Score(pub(in crate::packing) [f64; 6]);

impl Score {
    /// Better, and not only by rounding?
    pub(in crate::packing) fn beats(&self, other: &Self) -> bool {
        for (a, b) in self.0.iter().zip(&other.0) {
            if (a - b).abs() > 1e-6 * (1.0 + b.abs().min(1e6)) {
                return a < b;
            }
        }
        false
    }
}
