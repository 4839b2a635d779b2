//! The timeline on paper: a page a week.

use super::{
    flow::{Block, Flow},
    lines::Face,
    page::{PageHead, Pages, Piece, Role},
    paper::PrintPaper,
    table,
};
use crate::{
    batch::sequence::Window,
    drawing::{DrawnRun, DrawnTimeline, RunLook, TimelineFrame, timeline},
    geom::Point,
};

/// A week, s.
const WEEK_S: i64 = 7 * 86_400;
/// No more weeks than this are printed.
const MOST_WEEKS: i64 = 8;
/// Machines on one page.
const ROWS: usize = 14;
/// Height of a machine's row, mm, where there is room for it.
const ROW_MM: f64 = 18.0;
/// What the patterns mean.
const KEY: &str = "Grey ground: nobody is there. Black: somebody works at the machine. Bracket under a bar: 95 of 100 such prints end in it. \
                   Dotted line: parts wait on the bed.";
/// Room for the machines' names, mm.
const NAMES_MM: f64 = 28.0;

/// The timeline in pages of a week, lying, the first beginning where the plan does. `note` stands under the title of each.
pub fn timeline_pages(t: &DrawnTimeline, head: &PageHead, note: &str, paper: PrintPaper) -> Pages {
    let (width, height) = paper.size_mm();
    let whole = t.whole();
    let weeks = ((whole.length_s() - 1).div_euclid(WEEK_S) + 1).clamp(1, MOST_WEEKS);
    let mut all = Pages { title: format!("Timeline: {}", head.job), pages: Vec::new() };
    for week in 0..weeks {
        let from_s = whole.from_s + week * WEEK_S;
        let to_s = if weeks == 1 { whole.to_s } else { from_s + WEEK_S };
        let span = Window::new(from_s, to_s);
        for first in (0..t.rows.len().max(1)).step_by(ROWS) {
            let rows = t.rows.len().saturating_sub(first).min(ROWS);
            let on_page = |r: &&DrawnRun| r.row >= first && r.row < first + rows;
            let part = DrawnTimeline {
                rows: t.rows[first..first + rows].to_vec(),
                runs: t.runs.iter().filter(on_page).map(|r| DrawnRun { row: r.row - first, ..r.clone() }).collect(),
                ..t.clone()
            };
            all = all.then(one_page(&part, head, note, span, (height, width)));
        }
    }
    all
}

fn one_page(t: &DrawnTimeline, head: &PageHead, note: &str, span: Window, size_mm: (f64, f64)) -> Pages {
    let day = |s: i64| t.calendar.at(s).strftime("%a %-d %b %Y").to_string();
    let name = format!("Timeline, {} to {}", day(span.from_s), day(span.to_s - 1));
    let mut flow = Flow::new(size_mm, name.clone());
    let width_mm = flow.width_mm();
    flow.put(Block::text(Role::Heading(1), Face::TITLE, &name, width_mm, 1), 0.5);
    let about = [head.words(), note.to_owned()].into_iter().filter(|w| !w.is_empty()).collect::<Vec<_>>().join(" · ");
    flow.put(Block::text(Role::Paragraph, Face::BODY, &about, width_mm, 2), 3.0);
    let rows = t.rows.len();
    let row_pt = ROW_MM / crate::drawing::PT_MM;
    let height_mm = TimelineFrame::height_mm_of(rows, row_pt).min(flow.left_mm() - 1.0);
    let frame = TimelineFrame { width_mm, height_mm, names_mm: NAMES_MM, rows, span };
    let marks = timeline(t, &frame).marks.into_iter().map(|m| m.moved(1.0, Point::new(0.0, -height_mm))).collect();
    let figure = Piece::new(Role::Figure(alternative(t, span)), marks);
    flow.put(Block { pieces: vec![figure], height_mm }, 1.5);
    flow.put(Block::text(Role::Paragraph, Face::SMALL, KEY, width_mm, 2), 3.0);
    let heads = ["Plate", "Machine", "Copies", "Prepare", "Print from", "to", "95 of 100 end", "Take off", "Notes"];
    table::listing(&mut flow, &heads, &[8.0, 22.0, 14.0, 16.0, 16.0, 16.0, 30.0, 16.0, 26.0], &rows_of(t, span));
    flow.finish(name, head)
}

/// A row for each plate that is shown, in the order of their prints.
fn rows_of(t: &DrawnTimeline, span: Window) -> Vec<Vec<String>> {
    let mut shown: Vec<&DrawnRun> =
        t.runs.iter().filter(|r| r.print.to_s > span.from_s && r.print.from_s < span.to_s).collect();
    shown.sort_by_key(|r| (r.print.from_s, r.row));
    let clock = |s: i64| t.calendar.words(s);
    let row = |r: &DrawnRun| {
        let look = match r.look {
            RunLook::Planned => None,
            RunLook::Running => Some("running".to_owned()),
            RunLook::Ended => Some("ended".to_owned()),
            RunLook::Failed => Some("failed".to_owned()),
        };
        let notes = [look, r.late.clone(), r.spool_out.as_ref().map(|s| s.1.clone())];
        vec![
            r.name.clone(),
            t.rows.get(r.row).map_or_else(String::new, |m| m.name.clone()),
            r.copies.clone(),
            r.preparing.map_or_else(String::new, |w| clock(w.from_s)),
            clock(r.print.from_s),
            clock(r.print.to_s),
            r.end_range.map_or_else(String::new, |w| format!("{} to {}", clock(w.from_s), clock(w.to_s))),
            r.removal.map_or_else(String::new, |w| clock(w.from_s)),
            notes.into_iter().flatten().collect::<Vec<_>>().join(", "),
        ]
    };
    shown.into_iter().map(row).collect()
}

/// The runs in words.
fn alternative(t: &DrawnTimeline, span: Window) -> String {
    let shown = t.runs.iter().filter(|r| r.print.to_s > span.from_s && r.print.from_s < span.to_s);
    let runs: Vec<String> = shown
        .map(|r| {
            let machine = t.rows.get(r.row).map_or("", |m| m.name.as_str());
            let (from, to) = (t.calendar.words(r.print.from_s), t.calendar.words(r.print.to_s));
            let late = r.late.as_ref().map_or_else(String::new, |l| format!(", {l}"));
            format!("plate {} on {machine}, {from} to {to}, {}{late}", r.name, r.copies)
        })
        .collect();
    if runs.is_empty() { "No plate runs in this week.".to_owned() } else { format!("Plates: {}.", runs.join("; ")) }
}
