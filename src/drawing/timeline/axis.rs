//! Days and hours. A day in which clocks are changed is an hour shorter or longer.

use jiff::civil::Time;

use super::{DrawnTimeline, TimelineFrame};
use crate::{
    drawing::{Anchor, Ink, Mark, PT_MM, text},
    geom::Point,
};

/// Hours between two ticks, where they are told apart.
const HOURS: [i8; 5] = [1, 2, 3, 6, 12];
/// Least distance between two hours that are written, points.
const HOUR_PT: f64 = 30.0;
/// Days drawn at most.
const MOST_DAYS: usize = 800;
/// Letters.
const SIZE_PT: f32 = 10.5;

/// The lines of days and hours, to lie behind the bars, and what is written over them; no hour is written where something else stands.
pub(super) fn marks(t: &DrawnTimeline, frame: &TimelineFrame, taken: Option<(f64, f64)>) -> Vec<Mark> {
    let mut marks = Vec::new();
    let (plot, span) = (frame.plot(), frame.span);
    let pt_per_hour = frame.mm_per_s() * 3600.0 / PT_MM;
    let step = HOURS.into_iter().find(|h| f64::from(*h) * pt_per_hour >= HOUR_PT);
    let day_pt = 24.0 * pt_per_hour;
    // Days that are written: each, or every second, third …
    let every = (34.0 / day_pt.max(0.01)).ceil().max(1.0) as usize;
    let top = plot.max.y;
    let (hour_y, day_y) = (top + 4.0 * PT_MM, top + 21.0 * PT_MM);
    let mut date = t.calendar.at(span.from_s).date();
    for n in 0..MOST_DAYS {
        let at = |hour: i8| t.calendar.second_of_local(date.to_datetime(Time::constant(hour, 0, 0, 0)));
        let next = date.tomorrow().ok();
        let end = next.and_then(|d| t.calendar.second_of_local(d.to_datetime(Time::midnight())));
        let (Some(from_s), Some(to_s)) = (at(0), end) else { break };
        if from_s > span.to_s {
            break;
        }
        if from_s >= span.from_s {
            let x = frame.x(from_s);
            let (a, b) = (Point::new(x, plot.min.y), Point::new(x, frame.height_mm - 2.0 * PT_MM));
            marks.push(Mark::line(a, b, Ink::Faint, 0.8));
        }
        let (left, right) = (frame.x(from_s.max(span.from_s)), frame.x(to_s.min(span.to_s)));
        let room_pt = (right - left) / PT_MM - 6.0;
        let long = date.strftime("%a %-d %b").to_string();
        let short = date.strftime("%-d %b").to_string();
        let fits =
            |words: &str| text::width_pt(words, SIZE_PT, true) <= room_pt.max(if every > 1 { 34.0 } else { 0.0 });
        if n % every == 0
            && let Some(words) = [long, short, date.day().to_string()].into_iter().find(|w| fits(w))
        {
            let at = Point::new(left + 4.0 * PT_MM, day_y);
            marks.push(Mark::Text {
                at,
                anchor: Anchor::Start,
                text: words,
                size_pt: SIZE_PT,
                bold: true,
                ink: Ink::Ink,
            });
        }
        if let Some(step) = step {
            let mut last = None;
            for hour in (0..24).step_by(step as usize) {
                let Some(s) = at(hour as i8).filter(|s| span.from_s <= *s && *s <= span.to_s) else { continue };
                // Two hours on one place: clocks skipped one of them.
                if last.replace(s) == Some(s) {
                    continue;
                }
                let x = frame.x(s);
                if hour != 0 {
                    marks.push(Mark::line(Point::new(x, plot.min.y), Point::new(x, top), Ink::Grid, 0.6));
                }
                marks.push(Mark::line(Point::new(x, top), Point::new(x, top + 2.5 * PT_MM), Ink::Faint, 0.8));
                let words = format!("{hour:02}:00");
                let half = text::width_pt(&words, 9.0, false) * PT_MM / 2.0;
                // Midnight is where the day's line stands.
                let is_free = hour != 0 && taken.is_none_or(|(from, to)| x + half < from || to < x - half);
                if is_free && x - half >= frame.names_mm && x + half <= frame.width_mm {
                    let at = Point::new(x, hour_y);
                    let anchor = Anchor::Middle;
                    marks.push(Mark::Text { at, anchor, text: words, size_pt: 9.0, bold: false, ink: Ink::Faint });
                }
            }
        }
        let Some(next) = next else { break };
        date = next;
    }
    marks.push(Mark::line(Point::new(0.0, top), Point::new(frame.width_mm, top), Ink::Ink, 0.9));
    marks
}
