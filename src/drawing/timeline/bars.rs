//! One run: hand work, print, cooling, waiting, removal; the range of its end; what is late or runs out.

use std::sync::Arc;

use super::{DrawnRun, RunLook, TimelineFrame};
use crate::{
    batch::sequence::Window,
    drawing::{Anchor, Dash, FILL_OPACITY, Hatch, Ink, Mark, PT_MM, text},
    geom::{Bounds, Point, Polygon, Region},
};

/// Hand work is drawn at least so wide, points.
const LEAST_PT: f64 = 2.0;

fn written(at: Point, anchor: Anchor, text: String, bold: bool, ink: Ink) -> Mark {
    Mark::Text { at, anchor, text, size_pt: 10.5, bold, ink }
}

/// All marks of a run, back to front. Below the bars of its row something is written up to `written_mm`.
pub(super) fn marks(run: &DrawnRun, now_s: i64, frame: &TimelineFrame, written_mm: &mut f64) -> Vec<Mark> {
    let mut marks = Vec::new();
    let part = |hue| (Ink::Part(hue), Ink::PartLine(hue));
    let over = matches!(run.look, RunLook::Ended | RunLook::Failed);
    let (fill, line) = if over { (Ink::Grid, Ink::Faint) } else { part(run.hue) };
    if let (Some(cool_s), false) = (run.cool_s, over) {
        cooling(run, cool_s, fill, line, frame, &mut marks);
    }
    if let Some(b) = frame.bar(run.row, run.print, LEAST_PT) {
        let region = Arc::new(Region::rectangle(b));
        // The bar covers the hours behind it, or its hue would change with them.
        marks.push(Mark::Fill { region: region.clone(), ink: Ink::Bed, opacity: 1.0 });
        marks.push(Mark::Fill { region: region.clone(), ink: fill, opacity: FILL_OPACITY });
        if run.look == RunLook::Running
            && let Some(done) = frame.bar(run.row, Window::new(run.print.from_s, now_s.min(run.print.to_s)), 0.0)
        {
            marks.push(Mark::Fill { region: Arc::new(Region::rectangle(done)), ink: fill, opacity: FILL_OPACITY });
        }
        if run.late.is_some() {
            marks.push(Mark::Pattern { region: region.clone(), hatch: Hatch::Single, ink: Ink::Watch });
        }
        if run.look == RunLook::Failed {
            marks.push(Mark::Pattern { region: region.clone(), hatch: Hatch::Cross, ink: Ink::Faint });
        }
        let (ink, width_pt) = match (run.selected, run.look) {
            (true, _) => (Ink::Accent, 2.2),
            (false, RunLook::Running) => (line, 1.8),
            _ => (line, 1.0),
        };
        let dash = if run.look == RunLook::Ended { Dash::Dashed } else { Dash::Solid };
        marks.push(Mark::Outline { region, ink, width_pt, dash });
        if run.fixed {
            let side = 5.0 * PT_MM;
            let dot =
                Bounds::new(Point::new(b.min.x, b.max.y - side), Point::new((b.min.x + side).min(b.max.x), b.max.y));
            marks.push(Mark::Fill { region: Arc::new(Region::rectangle(dot)), ink: Ink::Ink, opacity: 1.0 });
        }
        label(run, b, &mut marks);
        below(run, b, frame, &mut marks, written_mm);
    }
    for work in [run.preparing, run.removal].into_iter().flatten().filter(|w| w.length_s() > 0) {
        if let Some(b) = frame.bar(run.row, work, LEAST_PT) {
            marks.push(Mark::Fill { region: Arc::new(Region::rectangle(b)), ink: Ink::Ink, opacity: 0.85 });
        }
    }
    marks
}

/// A wedge while the bed cools, and a dotted line while the parts wait for somebody.
fn cooling(run: &DrawnRun, cool_s: i64, fill: Ink, line: Ink, frame: &TimelineFrame, marks: &mut Vec<Mark>) {
    if let Some(b) = frame.bar(run.row, Window::new(run.print.to_s, cool_s), 0.0).filter(|b| b.width() > 0.5 * PT_MM) {
        let wedge = Polygon::simple(vec![b.min, Point::new(b.max.x, b.min.y), Point::new(b.min.x, b.max.y)]);
        marks.push(Mark::Fill { region: Arc::new(wedge.into()), ink: fill, opacity: FILL_OPACITY });
        let edge = vec![Point::new(b.min.x, b.max.y), Point::new(b.max.x, b.min.y)];
        marks.push(Mark::Stroke { points: edge, closed: false, ink: line, width_pt: 0.8, dash: Dash::Solid });
    }
    let until_s = run.removal.map_or(i64::MAX, |w| w.from_s);
    if until_s > cool_s
        && let Some(b) = frame.bar(run.row, Window::new(cool_s, until_s), 0.0)
    {
        let points = vec![b.min, Point::new(b.max.x, b.min.y)];
        marks.push(Mark::Stroke { points, closed: false, ink: line, width_pt: 1.2, dash: Dash::Dotted });
    }
}

/// Number and copies, as much of them as there is room for.
fn label(run: &DrawnRun, b: Bounds, marks: &mut Vec<Mark>) {
    let state = match run.look {
        RunLook::Ended => " ended",
        RunLook::Failed => " failed",
        RunLook::Planned | RunLook::Running => "",
    };
    let count = run.copies.split(' ').next().unwrap_or_default();
    let room_pt = b.width() / PT_MM - 6.0;
    let words = [
        format!("{}{state} · {}", run.name, run.copies),
        format!("{}{state} · {count}", run.name),
        format!("{}{state}", run.name),
        run.name.clone(),
    ];
    if let Some(words) = words.into_iter().find(|w| text::width_pt(w, 10.5, true) <= room_pt) {
        let ink = if state.is_empty() { Ink::Ink } else { Ink::Faint };
        if run.late.is_some() {
            // On a ground of its own, or the hatch runs through the letters.
            let wide = text::width_pt(&words, 10.5, true) * PT_MM + 4.0 * PT_MM;
            let half = Point::new(wide / 2.0, 7.0 * PT_MM);
            let under = Bounds::new(b.centre() - half, b.centre() + half);
            marks.push(Mark::Fill { region: Arc::new(Region::rectangle(under)), ink: Ink::Bed, opacity: 1.0 });
        }
        marks.push(written(b.centre(), Anchor::Centre, words, true, ink));
    }
}

/// Below the bar: between which times it ends, by how much it is late, where its spool runs out.
fn below(run: &DrawnRun, b: Bounds, frame: &TimelineFrame, marks: &mut Vec<Mark>, written_mm: &mut f64) {
    let shown = |s: i64| frame.span.from_s <= s && s <= frame.span.to_s;
    let row = frame.row(run.row);
    let free = b.min.y - row.min.y;
    if let Some(range) = run.end_range.filter(|r| shown(r.from_s) || shown(r.to_s)) {
        let y = b.min.y - free * 0.2;
        let (left, right) = (frame.x(range.from_s.max(frame.span.from_s)), frame.x(range.to_s.min(frame.span.to_s)));
        let tick = 2.0 * PT_MM;
        marks.push(Mark::line(Point::new(left, y), Point::new(right, y), Ink::Ink, 1.0));
        for (s, x) in [(range.from_s, left), (range.to_s, right)] {
            if shown(s) {
                marks.push(Mark::line(Point::new(x, y - tick), Point::new(x, y + tick), Ink::Ink, 1.0));
            }
        }
    }
    let y = row.min.y + free * 0.10;
    if let Some((s, words)) = run.spool_out.as_ref().filter(|(s, _)| shown(*s)) {
        let x = frame.x(*s);
        let tip = Point::new(x, b.min.y);
        let side = 4.0 * PT_MM;
        let mark =
            Polygon::simple(vec![tip, tip + Point::new(-side, -1.6 * side), tip + Point::new(side, -1.6 * side)]);
        marks.push(Mark::line(Point::new(x, b.min.y), Point::new(x, b.max.y), Ink::Watch, 1.6));
        marks.push(Mark::Fill { region: Arc::new(mark.into()), ink: Ink::Watch, opacity: 1.0 });
        let wide = text::width_pt(words, 10.5, false) * PT_MM;
        let at = (x + side + 2.0 * PT_MM).min(frame.width_mm - wide).max(frame.names_mm);
        // Where something stands already the mark alone has to do.
        if at > *written_mm {
            marks.push(written(Point::new(at, y), Anchor::Start, words.clone(), false, Ink::Watch));
            *written_mm = at + wide + 4.0 * PT_MM;
        }
    }
    if let Some(late) = &run.late {
        let left = (b.min.x + 2.0 * PT_MM).max(*written_mm);
        let words = text::fitted(late, 10.5, true, (frame.width_mm - left) / PT_MM);
        *written_mm = left + text::width_pt(&words, 10.5, true) * PT_MM + 4.0 * PT_MM;
        marks.push(written(Point::new(left, y), Anchor::Start, words, true, Ink::Watch));
    }
}
