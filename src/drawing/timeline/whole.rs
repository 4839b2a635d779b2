//! All of the timeline.

use super::{DrawnTimeline, TimelineFrame, axis, bars, ground};
use crate::{
    drawing::{Anchor, Ink, Mark, PT_MM, Scene, text},
    geom::{Bounds, Point},
};

/// A timeline on its frame.
pub fn timeline(t: &DrawnTimeline, frame: &TimelineFrame) -> Scene {
    let view = Bounds::new(Point::default(), Point::new(frame.width_mm, frame.height_mm));
    let now = (frame.span.from_s <= t.now_s && t.now_s <= frame.span.to_s).then(|| {
        let words = format!("now {}", t.calendar.at(t.now_s).strftime("%H:%M"));
        let wide = text::width_pt(&words, 10.0, true) * PT_MM;
        let x = frame.x(t.now_s);
        (words, x, (x + 3.0 * PT_MM).min(frame.width_mm - wide), wide)
    });
    let taken = now.as_ref().map(|(_, x, left, wide)| (x.min(*left) - 2.0 * PT_MM, left + wide + 2.0 * PT_MM));
    let mut marks = ground::hours(t, frame);
    marks.extend(axis::marks(t, frame, taken));
    marks.extend(ground::rows(t, frame));
    let mut runs: Vec<_> = t.runs.iter().filter(|r| r.row < frame.rows).collect();
    runs.sort_by_key(|r| r.print.from_s);
    // How far something is written below the bars of each row.
    let mut written = vec![f64::NEG_INFINITY; frame.rows];
    for run in runs {
        marks.extend(bars::marks(run, t.now_s, frame, &mut written[run.row]));
    }
    if let Some((words, x, left, _)) = now {
        let plot = frame.plot();
        marks.push(Mark::line(Point::new(x, plot.min.y), Point::new(x, plot.max.y + 12.0 * PT_MM), Ink::Accent, 1.6));
        let at = Point::new(left, plot.max.y + 4.0 * PT_MM);
        marks.push(Mark::Text { at, anchor: Anchor::Start, text: words, size_pt: 10.0, bold: true, ink: Ink::Accent });
    }
    Scene { view, marks }
}

#[cfg(test)]
mod tests {
    use std::sync::Arc;

    use jiff::civil::date;

    use super::{
        super::{DrawnRow, DrawnRun, RunLook},
        *,
    };
    use crate::{
        batch::{Calendar, sequence::Window, zone_of},
        document::{ClockTime, Hours, Span},
        drawing::Hatch,
    };

    const HOUR: i64 = 3600;

    fn calendar(day: jiff::civil::Date) -> Arc<Calendar> {
        let at = |h| ClockTime::new(h, 0).expect("a time of day");
        let week = std::array::from_fn(|_| vec![Span { from: at(8), to: at(17) }]);
        let hours = Hours { time_zone: "Europe/Lisbon".into(), week, ..Hours::default() };
        let start = day.at(0, 0, 0, 0).to_zoned_datetime(zone_of(&hours)).expect("a time").timestamp();
        Arc::new(Calendar::new(&hours, start, 5))
    }

    fn run(name: &str, row: usize, from_h: i64, to_h: i64) -> DrawnRun {
        DrawnRun {
            name: name.into(),
            copies: "12 copies".into(),
            row,
            hue: 1,
            look: RunLook::Planned,
            preparing: Some(Window::new(from_h * HOUR - 300, from_h * HOUR)),
            print: Window::new(from_h * HOUR, to_h * HOUR),
            cool_s: Some(to_h * HOUR + 600),
            removal: Some(Window::new(to_h * HOUR + 600, to_h * HOUR + 900)),
            end_range: Some(Window::new(to_h * HOUR - 1000, to_h * HOUR + 1000)),
            late: None,
            spool_out: None,
            fixed: false,
            selected: false,
        }
    }

    fn sheet(day: jiff::civil::Date, runs: Vec<DrawnRun>, span: Window) -> (DrawnTimeline, TimelineFrame) {
        let rows = vec![DrawnRow { name: "Bench 1".into(), down: Vec::new() }; 3];
        let t = DrawnTimeline { calendar: calendar(day), rows, runs, now_s: 2 * HOUR };
        (t, TimelineFrame { width_mm: 300.0, height_mm: 60.0, names_mm: 25.0, rows: 3, span })
    }

    fn texts(scene: &Scene) -> Vec<(String, Point)> {
        let of = |m: &Mark| match m {
            Mark::Text { text, at, .. } => Some((text.clone(), *at)),
            _ => None,
        };
        scene.marks.iter().filter_map(of).collect()
    }

    /// Clocks go forward on 28 March 2027 and back on 31 October 2027 in Lisbon (IANA time zone database).
    #[test]
    fn days_of_23_and_25_hours_are_as_wide_as_they_are_long() {
        for (day, hours) in [(date(2027, 3, 28), 23), (date(2027, 10, 31), 25), (date(2027, 6, 1), 24)] {
            let (t, frame) = sheet(day, Vec::new(), Window::new(0, 48 * HOUR));
            let scene = timeline(&t, &frame);
            let all = texts(&scene);
            let days: Vec<f64> = all
                .iter()
                .filter(|(w, _)| w.len() > 7 && !w.contains(':') && !w.contains("Bench"))
                .map(|(_, at)| at.x)
                .collect();
            assert!((days[1] - days[0] - frame.mm_per_s() * (hours * HOUR) as f64).abs() < 1e-6, "{day}: {all:?}");
            let noon = all.iter().find(|(w, _)| w == "12:00").expect("noon").1.x;
            assert!((noon - frame.x((hours - 12) * HOUR)).abs() < 1e-6, "{day}");
        }
    }

    #[test]
    fn words_and_patterns_say_what_is_late_and_what_runs_out() {
        let mut late = run("3", 0, 9, 20);
        late.late = Some("late 3 h 20 min".into());
        late.spool_out = Some((15 * HOUR, "spool out 15:00".into()));
        let failed = DrawnRun { look: RunLook::Failed, ..run("4", 1, 3, 6) };
        let (t, frame) = sheet(date(2027, 6, 1), vec![late, failed, run("5", 2, 30, 31)], Window::new(0, 24 * HOUR));
        let scene = timeline(&t, &frame);
        let all: Vec<String> = texts(&scene).into_iter().map(|t| t.0).collect();
        for words in ["3 · 12 copies", "late 3 h 20 min", "spool out 15:00", "4 failed · 12 copies", "now 02:00"] {
            assert!(all.iter().any(|w| w == words), "{words}: {all:?}");
        }
        assert!(!all.iter().any(|w| w.starts_with("5 ·")), "beyond what is shown");
        let patterns: Vec<(Hatch, Ink)> = scene
            .marks
            .iter()
            .filter_map(|m| match m {
                Mark::Pattern { hatch, ink, .. } => Some((*hatch, *ink)),
                _ => None,
            })
            .collect();
        assert_eq!(patterns, [(Hatch::Cross, Ink::Faint), (Hatch::Single, Ink::Watch)]);
    }

    #[test]
    fn nothing_is_written_or_drawn_beyond_the_frame() {
        let mut runs: Vec<DrawnRun> = (0..40).map(|n| run("7", (n % 3) as usize, 2 * n, 2 * n + 1)).collect();
        runs[5].late = Some("late 3 h 20 min".into());
        for span in [Window::new(0, 80 * HOUR), Window::new(-5 * HOUR, 3 * HOUR), Window::new(0, 900 * 24 * HOUR)] {
            let (t, frame) = sheet(date(2027, 3, 27), runs.clone(), span);
            let scene = timeline(&t, &frame);
            for (words, at) in texts(&scene) {
                assert!(scene.view.grown(1e-9).contains(at), "{words} at {at:?}");
            }
            for m in &scene.marks {
                if let Mark::Fill { region, .. } = m {
                    let b = region.bounds();
                    assert!(b.min.x >= -1e-9 && b.max.x <= frame.width_mm + 3.0, "{b:?} {span:?}");
                }
            }
        }
    }
}
