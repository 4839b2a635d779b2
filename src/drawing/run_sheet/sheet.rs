//! The run sheet of a plate.

use super::{
    figure,
    flow::{Block, Flow},
    given::{Fact, RunSheetGiven},
    lines::Face,
    page::{Pages, Piece, Role},
    paper::PrintPaper,
    table,
};
use crate::drawing::{Ink, Mark, SheetInput};
use crate::geom::Point;

/// Width of the column of figures beside the drawing, mm.
const FACTS_MM: f64 = 60.0;
/// The drawing of a bed gets at least so much height, mm.
const LEAST_BED_MM: f64 = 74.0;

/// The pages of a plate's run sheet: one where all of it fits.
pub fn run_sheet(given: &RunSheetGiven, input: &SheetInput, paper: PrintPaper) -> Pages {
    let name = format!("Plate {} of {} on {}", given.plate, given.plates, given.machine);
    let mut flow = Flow::new(paper.size_mm(), name.clone());
    let width = flow.width_mm();
    flow.put(Block::text(Role::Heading(1), Face::TITLE, &name, width, 2), 0.5);
    flow.put(Block::text(Role::Paragraph, Face::BODY, &about(given, input), width, 2), 0.5);
    if !given.same_machines.is_empty() {
        let words = format!("The same files serve {}: identical in what matters.", listed(&given.same_machines));
        flow.put(Block::text(Role::Paragraph, Face::BODY, &words, width, 2), 0.5);
    }
    flow.put(Block { pieces: Vec::new(), height_mm: 1.5 }, 0.0);
    // Figures and boxes beside the drawing, the rest of it below.
    let mut beside = facts(&given.facts, FACTS_MM - 5.0);
    beside.below(checks(&given.checks, FACTS_MM - 5.0), 2.0);
    let look = list("Where to look first", &given.look, width);
    let cautions = cautions(&given.cautions, width);
    let below_mm = look.height_mm + cautions.height_mm + table::height_mm(given.causes.len()) + 9.0;
    let (_, parts_mm) = figure::parts(input, width - 4.0);
    let bed_width = width - FACTS_MM;
    let left_mm = flow.left_mm() - below_mm - parts_mm - 2.0 - crate::drawing::TITLE_HEIGHT_MM;
    let least_mm = LEAST_BED_MM.max(beside.height_mm + 4.0);
    let bed_mm = left_mm.clamp(least_mm, figure::most_height_mm(input, bed_width).max(least_mm));
    flow.put(figure::figure(input, width, (bed_width, bed_mm), beside), 3.0);
    flow.put(look, 2.0);
    flow.put(cautions, 2.5);
    table::put(&mut flow, &given.causes);
    flow.finish(format!("Run sheet: {}, {name}", given.head.job), &given.head)
}

/// The line under the title.
fn about(given: &RunSheetGiven, input: &SheetInput) -> String {
    let title = &input.title;
    let more = [&title.material, &title.recipe].into_iter().filter(|w| !w.is_empty());
    std::iter::once(given.head.words()).chain(more.cloned()).collect::<Vec<_>>().join(" · ")
}

/// "Bench 3 and Bench 4".
fn listed(names: &[String]) -> String {
    match names {
        [] => String::new(),
        [one] => one.clone(),
        [some @ .., last] => format!("{} and {last}", some.join(", ")),
    }
}

/// Figures under one another: name, figure, notes.
fn facts(facts: &[Fact], width_mm: f64) -> Block {
    let mut all = Block::default();
    for fact in facts {
        let mut one = Block::text(Role::Paragraph, Face::NAME, &fact.name, width_mm, 2);
        if fact.value.is_empty() {
            // A line to write on.
            let y = -7.5;
            let line = Mark::line(Point::new(0.0, y), Point::new(width_mm, y), Ink::Ink, 0.8);
            one.below(Block { pieces: vec![Piece::new(Role::Layout, vec![line])], height_mm: 8.0 }, 0.0);
        }
        one.below(Block::text(Role::Paragraph, Face::VALUE, &fact.value, width_mm, 2), 0.0);
        for note in &fact.notes {
            one.below(Block::text(Role::Paragraph, Face::SMALL, note, width_mm, 4), 0.2);
        }
        all.below(one, 1.6);
    }
    all
}

fn headed(words: &str, width_mm: f64) -> Block {
    Block::text(Role::Heading(2), Face::HEADING, words, width_mm, 1)
}

/// A heading and items under one another.
fn list(words: &str, items: &[String], width_mm: f64) -> Block {
    const INDENT_MM: f64 = 4.5;
    if items.is_empty() {
        return Block::default();
    }
    let mut all = headed(words, width_mm);
    for item in items {
        let mut one = Block::text(Role::Item, Face::BODY, item, width_mm - INDENT_MM, 3);
        for piece in &mut one.pieces {
            let marks = std::mem::take(&mut piece.marks);
            piece.marks = marks.into_iter().map(|m| m.moved(1.0, Point::new(INDENT_MM, 0.0))).collect();
            let y = -Face::BODY.down_mm() * 0.62;
            piece.marks.insert(0, Mark::line(Point::new(0.5, y), Point::new(3.0, y), Ink::Ink, 1.4));
        }
        all.below(one, 0.3);
    }
    all
}

/// A heading and boxes to tick.
fn checks(items: &[String], width_mm: f64) -> Block {
    const INDENT_MM: f64 = 6.0;
    if items.is_empty() {
        return Block::default();
    }
    let mut all = headed("Checklist", width_mm);
    for item in items {
        let mut one = Block::text(Role::Item, Face::SMALL, item, width_mm - INDENT_MM, 3);
        one.height_mm = one.height_mm.max(4.6);
        for piece in &mut one.pieces {
            let marks = std::mem::take(&mut piece.marks);
            piece.marks = marks.into_iter().map(|m| m.moved(1.0, Point::new(INDENT_MM, 0.0))).collect();
            piece.marks.insert(0, table::tick_box(Point::new(0.3, -0.3)));
        }
        all.below(one, 0.4);
    }
    all
}

fn cautions(items: &[String], width_mm: f64) -> Block {
    if items.is_empty() {
        return Block::default();
    }
    let mut all = headed("Mind", width_mm);
    for item in items {
        all.below(Block::text(Role::Paragraph, Face::SMALL, item, width_mm, 4), 0.3);
    }
    all
}

#[cfg(test)]
mod tests {
    use std::sync::Arc;

    use super::*;
    use crate::{
        document::{Machine, MachineId},
        drawing::{DrawnBed, DrawnCopy, DrawnPart, TitleBlock, run_sheet::PageHead},
        geom::{Bounds, Region},
    };

    /// So many copies of 12 × 9 mm in rows on a bed of 240 × 200 mm.
    fn plate(count: usize) -> SheetInput {
        let machine = Machine::rectangular(MachineId(1), "Bench 2", 240.0, 200.0, 190.0);
        let copy = |i: usize| {
            let at = Point::new(8.0 + 15.0 * (i % 15) as f64, 8.0 + 12.0 * (i / 15) as f64);
            DrawnCopy {
                name: format!("A {}", i + 1),
                letter: "A".into(),
                shadow: Arc::new(Region::rectangle(Bounds::new(at, at + Point::new(12.0, 9.0)))),
                ..DrawnCopy::default()
            }
        };
        SheetInput {
            bed: DrawnBed::of_machine(&machine, 4.0, 0.01),
            copies: (0..count).map(copy).collect(),
            title: TitleBlock { machine: "Bench 2".into(), ..TitleBlock::default() },
            parts: vec![DrawnPart { letter: "A".into(), name: "frame spacer".into(), hue: 0, count }],
            ..SheetInput::default()
        }
    }

    fn given(long: usize) -> RunSheetGiven {
        let text = |words: &str| format!("{words} {}", "and more of the same ".repeat(long));
        RunSheetGiven {
            head: PageHead { job: text("Hive fittings"), revision: "3f9a2c1b".into(), date: "2026-12-01".into() },
            plate: 3,
            plates: 12,
            machine: "Bench 2".into(),
            same_machines: vec!["Bench 3".into()],
            facts: ["Start", "End", "Filament"]
                .map(|n| Fact { name: n.into(), value: "Mon 8 Mar 08:05".into(), notes: vec![text("between")] })
                .into(),
            look: (0..4).map(|_| text("A 12 (frame spacer): margin 0.8 at 62 mm, Tue 02:10")).collect(),
            checks: (0..7).map(|_| text("Bed surface clean")).collect(),
            cautions: (0..4).map(|_| text("Heated parts burn skin.")).collect(),
            causes: (0..4 + long).map(|_| text("came loose")).collect(),
        }
    }

    fn texts(pages: &Pages) -> Vec<String> {
        let of = |m: &Mark| if let Mark::Text { text, .. } = m { Some(text.clone()) } else { None };
        pages.pages.iter().flat_map(|p| &p.pieces).flat_map(|p| &p.marks).filter_map(of).collect()
    }

    /// Where a line of text can have ink.
    fn ink(mark: &Mark) -> Option<Bounds> {
        crate::drawing::written_box(mark, crate::drawing::PT_MM)
    }

    #[test]
    fn every_copy_is_numbered_and_an_ordinary_plate_takes_one_page() {
        for paper in PrintPaper::ALL {
            for count in [1, 12, 120, 200] {
                let pages = run_sheet(&given(0), &plate(count), paper);
                assert_eq!(pages.pages.len(), 1, "{paper:?}");
                let all = texts(&pages);
                for i in 1..=count {
                    assert!(all.iter().any(|t| *t == format!("A {i}")), "A {i} of {count} on {paper:?}");
                }
            }
        }
    }

    #[test]
    fn long_texts_flow_on_and_nothing_leaves_the_page_or_lies_on_other_text() {
        for paper in PrintPaper::ALL {
            for long in [0, 1, 4, 30] {
                let pages = run_sheet(&given(long), &plate(12), paper);
                for (n, page) in pages.pages.iter().enumerate() {
                    let (width, height) = page.size_mm;
                    let room = Bounds::new(Point::new(8.0, 8.0), Point::new(width - 8.0, height - 8.0));
                    let boxes: Vec<(Bounds, &Mark)> = page
                        .pieces
                        .iter()
                        .filter(|p| !matches!(p.role, Role::Figure(_)))
                        .flat_map(|p| &p.marks)
                        .filter_map(|m| Some((ink(m)?, m)))
                        .collect();
                    for (i, (a, mark)) in boxes.iter().enumerate() {
                        assert!(room.contains(a.min) && room.contains(a.max), "{mark:?} on page {n} of {long}");
                        let a = a.grown(-0.4);
                        for (b, other) in &boxes[i + 1..] {
                            assert!(!a.overlaps(b.grown(-0.4)), "{mark:?} and {other:?} on page {n} of {long}");
                        }
                    }
                }
                assert!(long < 30 || pages.pages.len() > 1);
            }
        }
    }

    #[test]
    fn copies_beside_the_bed_are_named_and_not_drawn_over_the_page() {
        let mut input = plate(3);
        let far = |x: f64| Arc::new(Region::rectangle(Bounds::new(Point::new(x, 20.0), Point::new(x + 12.0, 30.0))));
        input.copies[1].shadow = far(300.0);
        input.copies[2].shadow = far(1e7);
        let pages = run_sheet(&given(0), &input, PrintPaper::A4);
        let all = texts(&pages);
        assert!(all.iter().any(|t| t == "Beside the bed, not drawn: A 2, A 3"), "{all:?}");
        assert!(all.iter().any(|t| t == "A 1") && !all.iter().any(|t| t == "A 2"));
        for mark in pages.pages.iter().flat_map(|p| &p.pieces).flat_map(|p| &p.marks) {
            if let Mark::Fill { region, .. } = mark {
                let b = region.bounds();
                assert!(b.min.x > 0.0 && b.max.x < 210.0 && b.min.y > 0.0 && b.max.y < 297.0, "{b:?}");
            }
        }
    }
}
