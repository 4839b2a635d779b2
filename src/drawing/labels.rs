//! Room for words on a drawing: no two of them on each other.

use std::collections::HashMap;

use super::{Anchor, Mark, text};
use crate::geom::{Bounds, Point};

/// Width of a cell of the look-up table, screen points: about as wide as a label.
const CELL_PT: f64 = 40.0;
/// A box over more cells than this is looked at one by one.
const MOST_CELLS: f64 = 256.0;
/// Directions tried round what a label belongs to, the nearest to reading habit first.
const DIRECTIONS: [(f64, f64); 12] = [
    (1.0, 1.0),
    (1.0, 0.0),
    (0.0, 1.0),
    (0.0, -1.0),
    (-1.0, 1.0),
    (-1.0, 0.0),
    (1.0, -1.0),
    (-1.0, -1.0),
    (0.5, 1.0),
    (-0.5, 1.0),
    (0.5, -1.0),
    (-0.5, -1.0),
];

/// Boxes already taken, bed millimetres.
#[derive(Debug, Clone, PartialEq)]
pub struct Labels {
    mm_per_pt: f64,
    cells: HashMap<(i32, i32), Vec<Bounds>>,
    wide: Vec<Bounds>,
    room: Bounds,
}

impl Labels {
    /// Nothing taken yet. `mm_per_pt`: millimetres of the bed to one screen point.
    pub fn new(mm_per_pt: f64) -> Self {
        let mm_per_pt = if mm_per_pt.is_finite() && mm_per_pt > 0.0 { mm_per_pt } else { 1.0 };
        let far = Point::new(f64::INFINITY, f64::INFINITY);
        Self { mm_per_pt, cells: HashMap::new(), wide: Vec::new(), room: Bounds::new(-far, far) }
    }
    /// From now on labels are led to places within `room` only: the frame of a sheet.
    pub fn keep_within(&mut self, room: Bounds) {
        self.room = room;
    }
    /// Where labels may be led to.
    pub fn room(&self) -> Bounds {
        self.room
    }
    /// Millimetres of the bed to one screen point.
    pub fn mm_per_pt(&self) -> f64 {
        self.mm_per_pt
    }
    /// Takes a box: nothing is put there any more.
    pub fn take(&mut self, b: Bounds) {
        match self.keys(b) {
            Some(keys) => keys.into_iter().for_each(|key| self.cells.entry(key).or_default().push(b)),
            None => self.wide.push(b),
        }
    }
    /// Takes the boxes of all texts among `marks`.
    pub fn take_texts(&mut self, marks: &[Mark]) {
        let mm_per_pt = self.mm_per_pt;
        marks.iter().filter_map(|m| written_box(m, mm_per_pt)).for_each(|b| self.take(b));
    }
    /// Is a box clear of all that is taken?
    pub fn is_free(&self, b: Bounds) -> bool {
        let clear = |taken: &[Bounds]| !taken.iter().any(|t| t.overlaps(b));
        clear(&self.wide)
            && match self.keys(b) {
                Some(keys) => keys.iter().all(|key| self.cells.get(key).is_none_or(|t| clear(t))),
                None => self.cells.values().all(|t| clear(t)),
            }
    }
    /// The nearest free place of a label of this size (mm) beside `thing`, tried at growing distances up to `farthest_pt`.
    pub fn beside(
        &self,
        thing: Bounds,
        size: Point,
        farthest_pt: f64,
        also: impl Fn(Bounds) -> bool,
    ) -> Option<Bounds> {
        let middle = thing.centre();
        let half = Point::new(thing.width() + size.x, thing.height() + size.y) * 0.5;
        let mut out = 3.0;
        while out <= farthest_pt {
            let gap = out * self.mm_per_pt;
            for (x, y) in DIRECTIONS {
                let at = middle + Point::new(x * (half.x + gap), y * (half.y + gap));
                let b = Bounds::new(at - size * 0.5, at + size * 0.5);
                if self.room.contains(b.min) && self.room.contains(b.max) && self.is_free(b) && also(b) {
                    return Some(b);
                }
            }
            out = out * 1.6 + 4.0;
        }
        None
    }
    fn keys(&self, b: Bounds) -> Option<Vec<(i32, i32)>> {
        let cell = CELL_PT * self.mm_per_pt;
        let (low, high) = (b.min * (1.0 / cell), b.max * (1.0 / cell));
        let cells = (high.x - low.x + 1.0) * (high.y - low.y + 1.0);
        if !cells.is_finite() || cells > MOST_CELLS || low.x.abs().max(low.y.abs()) > 1e8 {
            return None;
        }
        let span = |low: f64, high: f64| low.floor() as i32..=high.floor() as i32;
        Some(span(low.x, high.x).flat_map(|x| span(low.y, high.y).map(move |y| (x, y))).collect())
    }
}

/// The box of a line of text, mm; `None` for other marks.
pub fn written_box(mark: &Mark, mm_per_pt: f64) -> Option<Bounds> {
    /// Height of capitals as a share of the size. Source: Inter's own metrics (2048 of 2816 units).
    const CAPS: f64 = 0.727;
    let Mark::Text { at, anchor, text, size_pt, bold, .. } = mark else { return None };
    let (wide, high) = (text::width_pt(text, *size_pt, *bold) * mm_per_pt, f64::from(*size_pt) * mm_per_pt);
    let left = match anchor {
        Anchor::Start => at.x,
        Anchor::Middle | Anchor::Centre => at.x - wide / 2.0,
        Anchor::End => at.x - wide,
    };
    let middle = if *anchor == Anchor::Centre { at.y } else { at.y + CAPS / 2.0 * high };
    Some(Bounds::new(Point::new(left, middle - high / 2.0), Point::new(left + wide, middle + high / 2.0)))
}

/// Where a line from `from` to a label ends: the nearest point of its box.
pub(super) fn nearest_of(label: Bounds, from: Point) -> Point {
    Point::new(from.x.clamp(label.min.x, label.max.x), from.y.clamp(label.min.y, label.max.y))
}

#[cfg(test)]
mod tests {
    use super::*;

    fn square(x: f64, y: f64, side: f64) -> Bounds {
        Bounds::new(Point::new(x, y), Point::new(x + side, y + side))
    }

    #[test]
    fn what_is_taken_is_not_free_whatever_its_size() {
        let mut labels = Labels::new(0.5);
        labels.take(square(0.0, 0.0, 10.0));
        labels.take(square(5000.0, 0.0, 4000.0));
        assert!(!labels.is_free(square(9.0, 9.0, 3.0)));
        assert!(labels.is_free(square(11.0, 0.0, 3.0)));
        assert!(!labels.is_free(square(8000.0, 3000.0, 1.0)), "wide boxes count");
        assert!(!labels.is_free(square(-9000.0, -9000.0, 9500.0)), "and wide labels meet small ones");
    }

    #[test]
    fn a_label_goes_beside_and_farther_out_where_it_is_full() {
        let mut labels = Labels::new(1.0);
        let thing = square(100.0, 100.0, 4.0);
        let size = Point::new(20.0, 8.0);
        let mut before = 0.0;
        let mut placed: Vec<Bounds> = Vec::new();
        for _ in 0..20 {
            let at = labels.beside(thing, size, 200.0, |_| true).expect("there is room");
            assert!(placed.iter().all(|p| !p.overlaps(at)), "{at:?} in {placed:?}");
            labels.take(at);
            placed.push(at);
            before = f64::max(before, at.distance(thing));
        }
        assert!(before > 20.0, "the last ones are farther out: {before}");
        assert_eq!(labels.beside(thing, size, 200.0, |_| false), None);
    }
}
