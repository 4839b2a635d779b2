//! Side outline of a part: what it stands on, and the way of its centre of mass.

use std::sync::Arc;

use super::{Anchor, Dash, Ink, Mark, Scene, ruler::ruler_steps_mm, scene::PT_MM};
use crate::{
    geom::{Bounds, Point, Region},
    stability::SideView,
};

/// Room for the ruler on the left, below the bed, and all round, mm on paper.
const ROOM_MM: [f64; 3] = [12.0, 6.0, 4.0];
/// Room above the part for the words of the line, mm on paper.
const WORDS_MM: f64 = 4.5;
/// Letters, points.
const LETTERS_PT: f32 = 9.0;

/// What the line says from which on a part could tip over.
pub fn tips_words(height_mm: f64) -> String {
    format!("could tip over above {height_mm:.0} mm")
}

/// A part from the side on `width_mm` × `height_mm` of paper, its lower left corner at the origin; `hue` is the part's. As large as there
/// is room; nothing of a part of nothing.
pub fn side_outline(view: &SideView, hue: usize, width_mm: f64, height_mm: f64) -> Scene {
    let paper = Bounds::new(Point::default(), Point::new(width_mm, height_mm));
    let [left, below, round] = ROOM_MM;
    let above = if view.tips_above_mm.is_some() { round.max(WORDS_MM) } else { round };
    let room = Bounds::new(Point::new(left, below), Point::new(width_mm - round, height_mm - above));
    let (b, mut marks) = (view.bounds(), Vec::new());
    let scale = (room.width() / b.width()).min(room.height() / b.max.y);
    if b.is_empty() || room.is_empty() || !(scale > 0.0 && scale.is_finite()) {
        return Scene { view: paper, marks };
    }
    let middle = 0.5 * (b.min.x + b.max.x);
    let at = |p: Point| Point::new(room.centre().x + (p.x - middle) * scale, room.min.y + p.y * scale);
    let area = |r: &Region| Arc::new(r.map(at));
    let bed = [room.min.x, room.max.x].map(|x| Point::new(x, room.min.y));
    marks.push(Mark::line(bed[0], bed[1], Ink::Ink, 1.2));
    ruler(&mut marks, &room, b.max.y, scale);
    if !view.footing.is_empty() {
        marks.push(Mark::Fill { region: area(&view.footing), ink: Ink::Faint, opacity: 0.3 });
        marks.push(outline(area(&view.footing), Ink::Faint, Dash::DashDot));
    }
    marks.push(Mark::Fill { region: area(&view.outline), ink: Ink::Part(hue), opacity: 0.25 });
    marks.push(outline(area(&view.outline), Ink::PartLine(hue), Dash::Solid));
    for &[from, to] in &view.contact {
        marks.push(Mark::line(at(Point::new(from, 0.0)), at(Point::new(to, 0.0)), Ink::Ink, 3.0));
    }
    // Beyond these lines nothing holds it.
    for x in view.holds.into_iter().flatten() {
        let points = vec![at(Point::new(x, 0.0)), at(Point::new(x, b.max.y))];
        marks.push(Mark::Stroke { points, closed: false, ink: Ink::Faint, width_pt: 0.8, dash: Dash::Dotted });
    }
    if view.path.len() > 1 {
        let points = view.path.iter().map(|&p| at(p)).collect();
        marks.push(Mark::Stroke { points, closed: false, ink: Ink::Accent, width_pt: 1.4, dash: Dash::Dashed });
    }
    if let Some(z) = view.tips_above_mm {
        let [a, c] = [room.min.x, room.max.x].map(|x| Point::new(x, room.min.y + z * scale));
        marks.push(Mark::Stroke {
            points: vec![a, c],
            closed: false,
            ink: Ink::Watch,
            width_pt: 1.2,
            dash: Dash::Dashed,
        });
        // Above the part, where no line runs through the words.
        marks.push(text(&tips_words(z), room.max + Point::new(0.0, 1.2), Anchor::End, Ink::Watch));
    }
    Scene { view: paper, marks }
}

fn ruler(marks: &mut Vec<Mark>, room: &Bounds, top_mm: f64, scale: f64) {
    let step = ruler_steps_mm(PT_MM / scale).1;
    for v in (0..).map(|k| f64::from(k) * step).take_while(|v| *v <= top_mm) {
        let foot = Point::new(room.min.x, room.min.y + v * scale);
        marks.push(Mark::line(foot, foot - Point::new(1.0, 0.0), Ink::Ink, 0.8));
        marks.push(text(&format!("{v}"), foot - Point::new(1.6, 1.0), Anchor::End, Ink::Faint));
    }
    marks.push(text("mm", room.min - Point::new(1.6, 5.0), Anchor::End, Ink::Faint));
}

fn outline(region: Arc<Region>, ink: Ink, dash: Dash) -> Mark {
    Mark::Outline { region, ink, width_pt: 1.0, dash }
}

fn text(words: &str, at: Point, anchor: Anchor, ink: Ink) -> Mark {
    Mark::Text { at, anchor, text: words.into(), size_pt: LETTERS_PT, bold: false, ink }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::geom::Bounds;

    fn block(x: [f64; 2], y: [f64; 2]) -> Region {
        Region::rectangle(Bounds::new(Point::new(x[0], y[0]), Point::new(x[1], y[1])))
    }

    fn leaning() -> SideView {
        SideView {
            outline: block([-5.0, 15.0], [0.0, 60.0]),
            path: vec![Point::new(0.0, 0.2), Point::new(5.0, 60.0)],
            contact: vec![[-5.0, 5.0]],
            footing: block([-9.0, 9.0], [0.0, 0.2]),
            holds: Some([-8.0, 8.0]),
            tips_above_mm: Some(42.0),
        }
    }

    /// 60 mm of part in 90 mm of paper: everything on the paper, the part true to scale, words beside the line.
    #[test]
    fn everything_lies_on_the_paper() {
        let scene = side_outline(&leaning(), 2, 70.0, 90.0);
        let words: Vec<&str> = scene
            .marks
            .iter()
            .filter_map(|m| if let Mark::Text { text, .. } = m { Some(text.as_str()) } else { None })
            .collect();
        assert!(
            words.contains(&"could tip over above 42 mm") && words.contains(&"mm") && words.contains(&"0"),
            "{words:?}"
        );
        let mut fills =
            scene.marks.iter().filter_map(|m| if let Mark::Fill { region, .. } = m { Some(region) } else { None });
        let part = fills.nth(1).map(|r| r.bounds()).expect("the part");
        assert!((part.width() / part.height() - 20.0 / 60.0).abs() < 1e-9);
        assert!(part.min.x >= 12.0 && part.max.x <= 66.0 && part.min.y >= 6.0 - 1e-9 && part.max.y <= 86.0 + 1e-9);
        for m in &scene.marks {
            if let Mark::Stroke { points, .. } = m {
                assert!(points.iter().all(|p| scene.view.grown(1e-9).contains(*p)), "{m:?}");
            }
        }
    }

    /// The words lie on the paper and on nothing that is drawn, however the part fills it.
    #[test]
    fn words_of_the_line_run_across_nothing() {
        for (x, y) in [([-5.0, 15.0], [0.0, 60.0]), ([-40.0, 40.0], [0.0, 30.0]), ([-2.0, 2.0], [0.0, 90.0])] {
            let view = SideView { outline: block(x, y), holds: None, tips_above_mm: Some(y[1] * 0.7), ..leaning() };
            let scene = side_outline(&SideView { path: Vec::new(), ..view }, 0, 60.0, 40.0);
            let mut words =
                scene.marks.iter().filter(|m| matches!(m, Mark::Text { text, .. } if text.starts_with("could")));
            let words = words.find_map(|m| super::super::written_box(m, PT_MM)).expect("it is written");
            assert!(scene.view.contains(words.min) && scene.view.contains(words.max), "{words:?}");
            for m in &scene.marks {
                let drawn = match m {
                    Mark::Fill { region, .. } | Mark::Outline { region, .. } => region.bounds(),
                    Mark::Stroke { points, .. } => Bounds::of(points.iter().copied()),
                    _ => continue,
                };
                assert!(!drawn.overlaps(words), "{m:?} {words:?}");
            }
        }
    }

    #[test]
    fn nothing_and_no_room() {
        assert!(side_outline(&SideView::default(), 0, 70.0, 90.0).marks.is_empty());
        assert!(side_outline(&leaning(), 0, 5.0, 5.0).marks.is_empty());
        let flat = SideView { outline: block([-5.0, 5.0], [0.0, 1e-300]), ..SideView::default() };
        for m in side_outline(&flat, 0, 70.0, 90.0).marks {
            if let Mark::Stroke { points, .. } = m {
                assert!(points.iter().all(|p| p.is_finite()));
            }
        }
    }
}
