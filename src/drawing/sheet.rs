//! The whole sheet: bed, rulers, copies, conflicts, frame and title block on a page.

use std::sync::Arc;

use super::{
    Dash, DrawnBed, DrawnConflict, DrawnCopy, DrawnPart, Ink, Labels, Mark, Paper, PaperLayout, Scene, TitleBlock,
    all_conflict_marks, bed_marks, conflict_labels, copy_labels, copy_marks, parts_list, ruler_marks,
    scene::PT_MM,
    skirt_marks,
    title::{TITLE_HEIGHT_MM, TITLE_WIDTH_MM, title_block},
};
use crate::geom::{Bounds, Point, Region};

/// Labels are made as small as this, paper points: what is written can be read with a glass, or with the file enlarged.
const LEAST_LABEL_PT: f32 = 0.5;

/// Everything on a sheet. Plain values, filled alike by the window and the writers.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct SheetInput {
    /// The bed.
    pub bed: DrawnBed,
    /// The copies, back to front.
    pub copies: Vec<DrawnCopy>,
    /// The copies' twins, pale, on a plate that is printed twice at once.
    pub twins: Vec<DrawnCopy>,
    /// Lines of the skirt, bed millimetres.
    pub skirt: Vec<Arc<Region>>,
    /// Conflicts.
    pub conflicts: Vec<DrawnConflict>,
    /// The title block; its scale is written by [`sheet`].
    pub title: TitleBlock,
    /// What the letters stand for.
    pub parts: Vec<DrawnPart>,
    /// The page.
    pub paper: Paper,
}

impl SheetInput {
    /// Where the bed lies on the page.
    pub fn layout(&self) -> PaperLayout {
        self.paper.layout(self.bed.outline.bounds())
    }
}

/// The sheet in millimetres of paper: its view is the page, its lower left corner the origin.
pub fn sheet(input: &SheetInput) -> Scene {
    let layout = input.layout();
    let mm_per_pt = PT_MM * layout.scale;
    let bed = input.bed.outline.bounds();
    let view = bed.grown(1e3 * mm_per_pt);
    let mut scene = Scene { view: layout.page, marks: Vec::new() };
    let page = Region::rectangle(layout.page);
    scene.marks.push(Mark::Fill { region: Arc::new(page), ink: Ink::Paper, opacity: 1.0 });
    let frame = Region::rectangle(layout.frame);
    scene.marks.push(Mark::Outline { region: Arc::new(frame), ink: Ink::Ink, width_pt: 1.8, dash: Dash::Solid });
    let mut on_bed = bed_marks(&input.bed, view, mm_per_pt);
    let rulers = ruler_marks(bed, view, mm_per_pt);
    on_bed.extend(rulers.iter().cloned());
    on_bed.extend(skirt_marks(&input.skirt));
    on_bed.extend(input.twins.iter().chain(&input.copies).flat_map(|c| copy_marks(c, mm_per_pt)));
    on_bed.extend(all_conflict_marks(&input.conflicts, bed, mm_per_pt));
    let mut labels = Labels::new(mm_per_pt);
    // Labels stay within the frame, above the title block, and off the numbers of the rulers.
    let on_bed_mm = |p: Point| (p - layout.bed_at) * layout.scale;
    let least = layout.frame.min + Point::new(1.0, TITLE_HEIGHT_MM + 1.0);
    labels.keep_within(Bounds::new(on_bed_mm(least), on_bed_mm(layout.frame.max - Point::new(1.0, 1.0))));
    labels.take_texts(&rulers);
    on_bed.extend(copy_labels(input.copies.iter().chain(&input.twins), &mut labels, LEAST_LABEL_PT));
    on_bed.extend(conflict_labels(&input.conflicts, 0, bed, &mut labels));
    scene.add(Scene { view, marks: on_bed }, 1.0 / layout.scale, layout.bed_at);
    let title = TitleBlock { scale: layout.scale_words(), ..input.title.clone() };
    let corner = Point::new(layout.frame.max.x - TITLE_WIDTH_MM, layout.frame.min.y);
    scene.add(title_block(&title), 1.0, corner);
    let free = Bounds::new(layout.frame.min, Point::new(corner.x, layout.frame.min.y + TITLE_HEIGHT_MM));
    scene.add(parts_list(&input.parts, free.width(), free.height()), 1.0, free.min);
    scene
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::document::{Machine, MachineId};

    #[test]
    fn a_copy_lies_on_paper_where_the_layout_says() {
        let machine = Machine::rectangular(MachineId(1), "Bench 2", 240.0, 200.0, 190.0);
        let at = Bounds::new(Point::new(30.0, 40.0), Point::new(60.0, 90.0));
        let copy = DrawnCopy {
            name: "A 1".into(),
            letter: "A".into(),
            shadow: Arc::new(Region::rectangle(at)),
            ..DrawnCopy::default()
        };
        let input =
            SheetInput { bed: DrawnBed::of_machine(&machine, 4.0, 0.01), copies: vec![copy], ..SheetInput::default() };
        let layout = input.layout();
        let scene = sheet(&input);
        let drawn = scene
            .marks
            .iter()
            .find_map(|m| match m {
                Mark::Fill { region, ink: Ink::Part(0), .. } => Some(region.bounds()),
                _ => None,
            })
            .expect("the copy is filled");
        assert!(drawn.min.distance(layout.on_paper(at.min)) < 1e-9);
        assert!(drawn.max.distance(layout.on_paper(at.max)) < 1e-9);
        assert!((drawn.width() - 20.0).abs() < 1e-9, "30 mm at 1 : 1.5");
        assert!(scene.marks.iter().any(|m| matches!(m, Mark::Text { text, .. } if text == "1 : 1.5")));
    }
}
