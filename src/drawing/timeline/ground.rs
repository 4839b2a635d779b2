//! Attended hours, downtimes and rows: what lies behind the bars.

use std::sync::Arc;

use super::{DrawnTimeline, TimelineFrame};
use crate::{
    batch::sequence::Window,
    drawing::{Anchor, Hatch, Ink, Mark, PT_MM, text},
    geom::{Bounds, Point, Region},
};

/// How much of the ink lies over hours in which nobody is there.
const NIGHT: f32 = 0.6;

fn fill(b: Bounds, ink: Ink, opacity: f32) -> Mark {
    Mark::Fill { region: Arc::new(Region::rectangle(b)), ink, opacity }
}

/// The hours in which somebody is there, light; the others, darker.
pub(super) fn hours(t: &DrawnTimeline, frame: &TimelineFrame) -> Vec<Mark> {
    let plot = frame.plot();
    let mut marks = vec![fill(plot, Ink::Bed, 1.0)];
    let mut night = |w: Window| {
        let from_s = w.from_s.max(frame.span.from_s);
        let to_s = w.to_s.min(frame.span.to_s);
        if from_s < to_s {
            let b = Bounds::new(Point::new(frame.x(from_s), plot.min.y), Point::new(frame.x(to_s), plot.max.y));
            marks.push(fill(b, Ink::Grid, NIGHT));
        }
    };
    // Of the time before the plan nobody knows who was there.
    let mut from_s = 0;
    for w in t.calendar.attended() {
        night(Window::new(from_s, w.from_s));
        from_s = w.to_s;
        if from_s > frame.span.to_s {
            break;
        }
    }
    night(Window::new(from_s, i64::MAX));
    marks
}

/// Names of machines, lines between rows, downtimes.
pub(super) fn rows(t: &DrawnTimeline, frame: &TimelineFrame) -> Vec<Mark> {
    let mut marks = Vec::new();
    for (n, row) in t.rows.iter().enumerate().take(frame.rows) {
        let r = frame.row(n);
        for (w, why) in &row.down {
            let (from_s, to_s) = (w.from_s.max(frame.span.from_s), w.to_s.min(frame.span.to_s));
            if from_s >= to_s {
                continue;
            }
            let b = Bounds::new(Point::new(frame.x(from_s), r.min.y), Point::new(frame.x(to_s), r.max.y));
            marks.push(Mark::Pattern { region: Arc::new(Region::rectangle(b)), hatch: Hatch::Single, ink: Ink::Faint });
            let words = if why.is_empty() { "down".to_owned() } else { format!("down: {why}") };
            let fits = |w: &String| text::width_pt(w, 9.5, false) <= b.width() / PT_MM - 8.0;
            if let Some(words) = [words, "down".to_owned()].into_iter().find(fits) {
                let at = Point::new(b.min.x + 4.0 * PT_MM, r.min.y + 3.0 * PT_MM);
                // On a ground of its own, or the hatch runs through the letters.
                let wide = text::width_pt(&words, 9.5, false) * PT_MM;
                let under =
                    Bounds::new(at - Point::new(1.5, 1.0) * PT_MM, at + Point::new(wide + 2.0 * PT_MM, 9.0 * PT_MM));
                marks.push(fill(under, Ink::Bed, 1.0));
                marks.push(Mark::Text {
                    at,
                    anchor: Anchor::Start,
                    text: words,
                    size_pt: 9.5,
                    bold: false,
                    ink: Ink::Faint,
                });
            }
        }
        marks.push(Mark::line(r.min, Point::new(r.max.x, r.min.y), Ink::Grid, 1.0));
        let name = text::fitted(&row.name, 11.5, true, frame.names_mm / PT_MM - 10.0);
        let at = Point::new(4.0 * PT_MM, r.centre().y - 4.0 * PT_MM);
        marks.push(Mark::Text { at, anchor: Anchor::Start, text: name, size_pt: 11.5, bold: true, ink: Ink::Ink });
    }
    marks
}
