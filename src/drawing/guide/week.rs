//! Plates of two machines over two days.

use std::sync::Arc;

use jiff::civil::date;

use super::marks::paper;
use crate::{
    batch::{Calendar, sequence::Window, zone_of},
    document::Hours,
    drawing::{DrawnRow, DrawnRun, DrawnTimeline, RunLook, Scene, TimelineFrame, timeline},
};

const HOUR_S: i64 = 3600;
/// Room for names on the left, mm.
const NAMES_MM: f64 = 18.0;
/// Plates: number, machine, hour of the start, hours, copies, hue, how far it is. Counted from midnight of the first day.
const RUNS: [(&str, usize, f64, f64, &str, usize, RunLook); 5] = [
    ("1", 0, 8.5, 3.5, "12 copies", 1, RunLook::Ended),
    ("2", 0, 12.5, 3.6, "8 copies", 3, RunLook::Running),
    ("3", 0, 16.6, 15.0, "30 copies", 1, RunLook::Planned),
    ("4", 1, 8.8, 7.0, "16 copies", 2, RunLook::Running),
    ("5", 1, 16.4, 14.0, "24 copies", 2, RunLook::Planned),
];

pub(super) fn week(width_mm: f64, height_mm: f64) -> Scene {
    let hours = Hours { time_zone: "UTC".into(), ..Hours::default() };
    // A Tuesday: the example's hours are those of weekdays.
    let start = date(2026, 12, 1).at(0, 0, 0, 0).to_zoned_datetime(zone_of(&hours));
    let Ok(start) = start else { return Scene { view: paper(width_mm, height_mm), marks: Vec::new() } };
    if width_mm < 2.0 * NAMES_MM || height_mm < 20.0 {
        return Scene { view: paper(width_mm, height_mm), marks: Vec::new() };
    }
    let rows = ["Bench 1", "Bench 2"].map(|name| DrawnRow { name: name.into(), down: Vec::new() }).to_vec();
    let t = DrawnTimeline {
        calendar: Arc::new(Calendar::new(&hours, start.timestamp(), 3)),
        rows,
        runs: RUNS.into_iter().map(run).collect(),
        now_s: 14 * HOUR_S,
    };
    let span = Window::new(7 * HOUR_S, 34 * HOUR_S);
    timeline(&t, &TimelineFrame { width_mm, height_mm, names_mm: NAMES_MM, rows: 2, span })
}

fn run((name, row, from_h, hours, copies, hue, look): (&str, usize, f64, f64, &str, usize, RunLook)) -> DrawnRun {
    let s = |h: f64| (h * HOUR_S as f64).round() as i64;
    let (from, to) = (s(from_h), s(from_h + hours));
    let ended = look == RunLook::Ended;
    // What ends in the night is taken off once somebody is there again, at 8.
    let cool = to + 900;
    let removal = if to > 24 * HOUR_S { cool.max(32 * HOUR_S) } else { cool };
    DrawnRun {
        name: name.into(),
        copies: copies.into(),
        row,
        hue,
        look,
        preparing: Some(Window::new(from - 600, from)),
        print: Window::new(from, to),
        cool_s: Some(cool),
        removal: Some(Window::new(removal, removal + 600)),
        end_range: (!ended).then(|| Window::new(to - s(hours * 0.08), to + s(hours * 0.08))),
        late: None,
        spool_out: None,
        fixed: false,
        selected: false,
    }
}
