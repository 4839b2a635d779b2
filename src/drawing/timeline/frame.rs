//! Where seconds and rows lie on the paper.

use crate::{
    batch::sequence::Window,
    drawing::PT_MM,
    geom::{Bounds, Point},
};

/// Height of the axis above the rows, points.
const AXIS_PT: f64 = 38.0;
/// Share of a row's height that its bars take, from the top.
const BAR: f64 = 0.60;
/// Free above the bars, points.
const ABOVE_PT: f64 = 3.0;

/// Where seconds and rows lie: x to the right, y up, the lower left corner at the origin, mm on paper.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct TimelineFrame {
    /// Width, mm.
    pub width_mm: f64,
    /// Height, mm.
    pub height_mm: f64,
    /// Room for names on the left, mm.
    pub names_mm: f64,
    /// Number of rows.
    pub rows: usize,
    /// What is shown, s from the start of the plan.
    pub span: Window,
}

impl TimelineFrame {
    /// Height of a timeline with rows of so many points, mm.
    pub fn height_mm_of(rows: usize, row_pt: f64) -> f64 {
        (AXIS_PT + rows as f64 * row_pt) * PT_MM
    }
    /// Points left for each row on so much height, mm.
    pub fn row_pt_of(rows: usize, height_mm: f64) -> f64 {
        (height_mm / PT_MM - AXIS_PT) / rows.max(1) as f64
    }
    /// The area of the bars.
    pub fn plot(&self) -> Bounds {
        let top = self.height_mm - AXIS_PT * PT_MM;
        Bounds::new(Point::new(self.names_mm, 0.0), Point::new(self.width_mm, top))
    }
    /// Millimetres to one second.
    pub fn mm_per_s(&self) -> f64 {
        (self.width_mm - self.names_mm) / self.span.length_s().max(1) as f64
    }
    /// Where a time lies; beyond what is shown too.
    pub fn x(&self, s: i64) -> f64 {
        self.names_mm + s.saturating_sub(self.span.from_s) as f64 * self.mm_per_s()
    }
    /// The time at a place.
    pub fn second_at(&self, x_mm: f64) -> i64 {
        let per = self.mm_per_s();
        if per > 0.0 { self.span.from_s + ((x_mm - self.names_mm) / per).round() as i64 } else { self.span.from_s }
    }
    /// A row.
    pub fn row(&self, n: usize) -> Bounds {
        let plot = self.plot();
        let each = plot.height() / self.rows.max(1) as f64;
        let top = plot.max.y - n as f64 * each;
        Bounds::new(Point::new(0.0, top - each), Point::new(self.width_mm, top))
    }
    /// The row at a height; `None` above and below all.
    pub fn row_at(&self, y_mm: f64) -> Option<usize> {
        let plot = self.plot();
        let each = plot.height() / self.rows.max(1) as f64;
        let n = ((plot.max.y - y_mm) / each).floor();
        (n >= 0.0 && (n as usize) < self.rows).then_some(n as usize)
    }
    /// A bar in a row, at least so wide (points), cut to what is shown; `None` where nothing of it is.
    pub fn bar(&self, row: usize, time: Window, least_pt: f64) -> Option<Bounds> {
        if time.to_s < self.span.from_s || time.from_s > self.span.to_s || row >= self.rows {
            return None;
        }
        let r = self.row(row);
        let high = r.max.y - ABOVE_PT * PT_MM;
        let low = high - (r.height() - ABOVE_PT * PT_MM) * BAR;
        let left = self.x(time.from_s).clamp(self.names_mm, self.width_mm);
        let right = self.x(time.to_s).clamp(self.names_mm, self.width_mm).max(left + least_pt * PT_MM);
        Some(Bounds::new(Point::new(left, low), Point::new(right, high)))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn seconds_and_rows_there_and_back() {
        let frame = TimelineFrame {
            width_mm: 220.0,
            height_mm: 100.0,
            names_mm: 20.0,
            rows: 4,
            span: Window::new(-3600, 86_400),
        };
        for s in [-3600, 0, 40_000, 86_400] {
            assert!((frame.second_at(frame.x(s)) - s).abs() <= 1);
        }
        for n in 0..4 {
            assert_eq!(frame.row_at(frame.row(n).centre().y), Some(n));
        }
        assert_eq!((frame.row_at(-1.0), frame.row_at(99.0)), (None, None));
        let bar = frame.bar(2, Window::new(0, 3600), 2.0).expect("it is shown");
        assert!(frame.row(2).min.y < bar.min.y && bar.max.y < frame.row(2).max.y);
        assert!((bar.width() - 200.0 / 25.0).abs() < 1e-9);
        assert_eq!(frame.bar(2, Window::new(90_000, 99_000), 2.0), None);
        // What is never taken off waits to the end of what is shown.
        let waits = frame.bar(1, Window::new(0, i64::MAX), 0.0).expect("it is shown");
        assert!((waits.max.x - 220.0).abs() < 1e-9 && waits.min.x > 20.0, "{waits:?}");
        assert!(frame.bar(0, Window::new(10, 11), 2.0).is_some_and(|b| (b.width() - 2.0 * PT_MM).abs() < 1e-9));
        let rows = TimelineFrame::row_pt_of(4, TimelineFrame::height_mm_of(4, 31.0));
        assert!((rows - 31.0).abs() < 1e-9);
    }
}
