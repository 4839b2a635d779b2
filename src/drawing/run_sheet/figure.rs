//! The drawing on a run sheet: the bed with every copy numbered, what the letters stand for, the title block.

use std::{collections::BTreeMap, sync::Arc};

use super::{
    fill,
    flow::Block,
    lines::Face,
    page::{Piece, Role},
};
use crate::drawing::{
    Dash, DrawnConflict, DrawnCopy, DrawnPart, Ink, Labels, Mark, PT_MM, Scene, SheetInput, TITLE_HEIGHT_MM,
    TITLE_WIDTH_MM, TitleBlock, all_conflict_marks, bed_marks, conflict_labels, copy_labels, copy_marks, paper,
    ruler_marks, skirt_marks, title_block, written_box,
};
use crate::geom::{Bounds, Point, Region};

/// Labels are made as small as this, points: what is written can be read with a glass, or with the file enlarged.
const LEAST_LABEL_PT: f32 = 0.5;
/// With more copies than this, lines to labels beside them would be a thicket: the labels lie within their copies, however small.
const MOST_LED: usize = 48;
/// So much larger than on the screen: a sheet of paper is read at arm's length (common practice, no source).
const LARGER: f64 = 1.35;
/// Room for the rulers, and on the other sides for labels, mm.
const RULER_MM: (f64, f64) = (12.0, 8.0);
const CLEAR_MM: f64 = 4.0;
/// A line of the list of parts, mm.
const PART_MM: f64 = 5.6;
/// Lines of parts beyond this many are counted in the last.
const MOST_ROWS: usize = 5;

/// Which ground each letter has.
fn grounds(input: &SheetInput) -> BTreeMap<&str, usize> {
    let mut letters: Vec<&str> = Vec::new();
    let of_parts = input.parts.iter().map(|p| p.letter.as_str());
    let of_copies = input.copies.iter().chain(&input.twins).map(|c| c.letter.as_str());
    for letter in of_parts.chain(of_copies) {
        if !letters.contains(&letter) {
            letters.push(letter);
        }
    }
    letters.into_iter().enumerate().map(|(n, letter)| (letter, n)).collect()
}

/// A copy with the ground of its part in place of its colour.
fn copy(copy: &DrawnCopy, grounds: &BTreeMap<&str, usize>, mm_per_pt: f64, marks: &mut Vec<Mark>) {
    let n = grounds.get(copy.letter.as_str()).copied().unwrap_or(0);
    for mark in copy_marks(copy, mm_per_pt) {
        match mark {
            Mark::Fill { region, .. } if Arc::ptr_eq(&region, &copy.shadow) => {
                marks.extend(fill::ground(if copy.ghost { 0 } else { n }, &region));
            }
            Mark::Fill { .. } => {}
            other => marks.push(other),
        }
    }
}

/// How high a drawing can be before it is no larger for it, mm, on paper of a width.
pub(super) fn most_height_mm(input: &SheetInput, width_mm: f64) -> f64 {
    let b = input.bed.outline.bounds();
    if b.is_empty() {
        return 40.0;
    }
    let room = width_mm - RULER_MM.0 - CLEAR_MM;
    let scale = paper::scale_of(b.width() / room.max(1.0));
    b.height() / scale + RULER_MM.1 + CLEAR_MM + 2.0
}

/// The bed on so much paper, its upper left corner at the origin; and its scale.
pub(super) fn bed(input: &SheetInput, width_mm: f64, height_mm: f64) -> (Vec<Mark>, String) {
    let b = input.bed.outline.bounds();
    let room = Bounds::new(Point::new(RULER_MM.0, RULER_MM.1 - height_mm), Point::new(width_mm - CLEAR_MM, -CLEAR_MM));
    if b.is_empty() || room.width() < 1.0 || room.height() < 1.0 {
        return (Vec::new(), String::new());
    }
    let scale = paper::scale_of((b.width() / room.width()).max(b.height() / room.height()));
    let mm_per_pt = PT_MM * scale;
    let at = room.centre() - b.centre() * (1.0 / scale);
    let view = b.grown(1e3 * mm_per_pt);
    let grounds = grounds(input);
    let mut marks = bed_marks(&input.bed, view, mm_per_pt);
    let rulers = ruler_marks(b, view, mm_per_pt);
    marks.extend(rulers.iter().cloned());
    marks.extend(skirt_marks(&input.skirt));
    let on_bed = |p: Point| (p - at) * scale;
    let (low, high) = (Point::new(0.5, 0.5 - height_mm), Point::new(width_mm - 0.5, -0.5));
    let box_mm = Bounds::new(on_bed(low), on_bed(high));
    // What lies beside the bed would be drawn over the rest of the page.
    let within = |r: &Region| {
        let b = r.bounds();
        r.is_empty() || box_mm.contains(b.min) && box_mm.contains(b.max)
    };
    let is_shown = |c: &&DrawnCopy| {
        [Some(&c.shadow), c.footing.as_ref(), c.gap_ring.as_ref()].into_iter().flatten().all(|r| within(r))
    };
    let is_near = |c: &&DrawnConflict| {
        within(&c.region) && c.between.into_iter().flatten().chain(c.at).all(|p| box_mm.contains(p))
    };
    let (shown, beyond): (Vec<&DrawnCopy>, Vec<&DrawnCopy>) =
        input.copies.iter().chain(&input.twins).partition(is_shown);
    for c in &shown {
        copy(c, &grounds, mm_per_pt, &mut marks);
    }
    let conflicts: Vec<DrawnConflict> = input.conflicts.iter().filter(is_near).cloned().collect();
    marks.extend(all_conflict_marks(&conflicts, b, mm_per_pt));
    let mut labels = Labels::new(mm_per_pt * LARGER);
    labels.keep_within(box_mm);
    // Off the rulers, ticks and all.
    let (left, low) = (RULER_MM.0 * scale, RULER_MM.1 * scale);
    labels.take(Bounds::new(b.min - Point::new(left, low), Point::new(b.max.x, b.min.y)));
    labels.take(Bounds::new(b.min - Point::new(left, low), Point::new(b.min.x, b.max.y)));
    labels.take_texts(&rulers);
    if shown.len() > MOST_LED {
        labels.keep_within(Bounds::EMPTY);
    }
    let mut written = copy_labels(shown, &mut labels, LEAST_LABEL_PT / LARGER as f32);
    labels.keep_within(box_mm);
    written.extend(conflict_labels(&conflicts, 0, b, &mut labels));
    // A hatch under a number makes it hard to read.
    for mark in written.into_iter().map(larger) {
        if let Some(b) = written_box(&mark, mm_per_pt) {
            let region = Arc::new(Region::rectangle(b));
            marks.push(Mark::Fill { region, ink: Ink::Paper, opacity: 0.85 });
        }
        marks.push(mark);
    }
    let mut scene =
        Scene { view: Bounds::new(Point::new(0.0, -height_mm), Point::new(width_mm, 0.0)), marks: Vec::new() };
    scene.add(Scene { view, marks }, 1.0 / scale, at);
    if !beyond.is_empty() {
        let names: Vec<&str> = beyond.iter().map(|c| c.name.as_str()).collect();
        let words = format!("Beside the bed, not drawn: {}", names.join(", "));
        let (lines, _) = Face::SMALL.block(Face::SMALL.lines(&words, width_mm - 4.0, 3));
        scene.marks.extend(lines.into_iter().map(|m| m.moved(1.0, Point::new(2.0, -1.0))));
    }
    (scene.marks, paper::scale_words(scale))
}

/// A label in the size it has on paper.
fn larger(mark: Mark) -> Mark {
    match mark {
        Mark::Text { at, anchor, text, size_pt, bold, ink } => {
            Mark::Text { at, anchor, text, size_pt: size_pt * LARGER as f32, bold, ink }
        }
        other => other,
    }
}

/// What the letters stand for, in columns, its upper left corner at the origin; and its height, mm.
pub(super) fn parts(input: &SheetInput, width_mm: f64) -> (Vec<Mark>, f64) {
    const PATCH_MM: f64 = 7.0;
    let columns = input.parts.len().clamp(1, 3);
    let column_mm = width_mm / columns as f64;
    let grounds = grounds(input);
    let rows = input.parts.len().div_ceil(columns).min(MOST_ROWS);
    let shown = if input.parts.len() > rows * columns { rows * columns - 1 } else { input.parts.len() };
    let place = |i: usize| Point::new((i % columns) as f64 * column_mm, -PART_MM * (i / columns) as f64);
    let mut marks = Vec::new();
    for (i, part) in input.parts.iter().take(shown).enumerate() {
        let DrawnPart { letter, name, count, .. } = part;
        let at = place(i);
        let patch = Bounds::new(at - Point::new(0.0, PART_MM - 0.8), at + Point::new(PATCH_MM, -0.4));
        let region = Arc::new(Region::rectangle(patch));
        marks.extend(fill::ground(grounds.get(letter.as_str()).copied().unwrap_or(0), &region));
        marks.push(Mark::Outline { region, ink: Ink::Ink, width_pt: 0.8, dash: Dash::Solid });
        let room = column_mm - PATCH_MM - 5.0;
        let words = Face::SMALL.fitted(&format!("{letter}  {count} × {name}"), room);
        marks.push(Face::SMALL.line(at + Point::new(PATCH_MM + 2.0, -0.9), words));
    }
    if shown < input.parts.len() {
        let copies: usize = input.parts[shown..].iter().map(|p| p.count).sum();
        let words = format!("and {} more parts, {copies} copies", input.parts.len() - shown);
        marks.push(Face::SMALL.line(place(shown) - Point::new(0.0, 0.9), Face::SMALL.fitted(&words, column_mm)));
    }
    (marks, rows as f64 * PART_MM)
}

/// The title block stretched to a width, its top at 0; and its height, mm.
pub(super) fn title(input: &SheetInput, scale: String, width_mm: f64) -> (Vec<Mark>, f64) {
    let block = title_block(&TitleBlock { scale, ..input.title.clone() });
    let by = width_mm / TITLE_WIDTH_MM;
    let mut scene = Scene { view: block.view, marks: Vec::new() };
    scene.add(block, by, Point::new(0.0, -TITLE_HEIGHT_MM * by));
    (scene.marks, TITLE_HEIGHT_MM * by)
}

/// What the drawing shows, in words: machine, bed, and each part with its copies.
fn alternative(input: &SheetInput) -> String {
    let b = input.bed.outline.bounds();
    let parts: Vec<String> = input.parts.iter().map(|p| format!("{} of {} ({})", p.count, p.name, p.letter)).collect();
    let what = if parts.is_empty() { "nothing on it".to_owned() } else { parts.join(", ") };
    format!(
        "The bed of {}, {:.0} by {:.0} mm, seen from above, its front at the bottom, with every copy numbered: {what}.",
        input.title.machine,
        b.width(),
        b.height()
    )
}

/// The drawing in its frame, with `beside` to its right: bed, parts and title block.
pub(super) fn figure(input: &SheetInput, width_mm: f64, bed_mm: (f64, f64), beside: Block) -> Block {
    let (mut marks, scale) = bed(input, bed_mm.0, bed_mm.1);
    let upper_mm = bed_mm.1.max(beside.height_mm + 4.0);
    let (list, list_mm) = parts(input, width_mm - 4.0);
    marks.extend(list.into_iter().map(|m| m.moved(1.0, Point::new(2.0, -upper_mm - 1.0))));
    let down = upper_mm + list_mm + 2.0;
    let (block, block_mm) = title(input, scale, width_mm);
    marks.extend(block.into_iter().map(|m| m.moved(1.0, Point::new(0.0, -down))));
    let height_mm = down + block_mm;
    let frame = Bounds::new(Point::new(0.0, -height_mm), Point::new(width_mm, 0.0));
    let rule = |a, b| Mark::line(a, b, Ink::Ink, 0.7);
    marks.push(rule(Point::new(bed_mm.0, 0.0), Point::new(bed_mm.0, -upper_mm)));
    marks.push(rule(Point::new(0.0, -upper_mm), Point::new(width_mm, -upper_mm)));
    marks.push(rule(Point::new(0.0, -down), Point::new(width_mm, -down)));
    let region = Arc::new(Region::rectangle(frame));
    marks.push(Mark::Outline { region, ink: Ink::Ink, width_pt: 1.8, dash: Dash::Solid });
    let mut pieces = vec![Piece::new(Role::Figure(alternative(input)), marks)];
    pieces.extend(beside.moved(Point::new(bed_mm.0 + 2.5, -2.5)));
    Block { pieces, height_mm }
}
