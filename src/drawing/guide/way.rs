//! From a mesh to what goes to the machine.

use std::sync::Arc;

use super::marks::{bracket, paper, text};
use crate::{
    drawing::{Anchor, Dash, DrawnBed, DrawnCopy, Ink, Mark, Scene, small_plate},
    geom::{Bounds, Placement, Point, Polygon, Region},
};

/// Words under the four drawings.
const WORDS: [&str; 4] = ["mesh", "plate", "time and cooling", "drawing, files"];
/// Room for words below, mm on paper.
const WORDS_MM: f64 = 6.0;
/// Between two drawings, mm on paper: an arrow.
const ARROW_MM: f64 = 12.0;

pub(super) fn way(width_mm: f64, height_mm: f64) -> Scene {
    let mut scene = Scene { view: paper(width_mm, height_mm), marks: Vec::new() };
    let each = (width_mm - 3.0 * ARROW_MM) / 4.0;
    let high = height_mm - WORDS_MM;
    if each < 5.0 || high < 5.0 {
        return scene;
    }
    let drawings = [mesh(each, high), plate(each, high), times(each, high), page(each, high)];
    for (n, (drawing, words)) in drawings.into_iter().zip(WORDS).enumerate() {
        let left = n as f64 * (each + ARROW_MM);
        scene.add(drawing, 1.0, Point::new(left, WORDS_MM));
        scene.marks.push(text(words, Point::new(left + each / 2.0, 1.5), Anchor::Middle, Ink::Ink));
        if n > 0 {
            arrow(&mut scene.marks, Point::new(left - ARROW_MM + 2.0, WORDS_MM + high / 2.0), ARROW_MM - 4.0);
        }
    }
    scene
}

fn arrow(marks: &mut Vec<Mark>, from: Point, length_mm: f64) {
    let to = from + Point::new(length_mm, 0.0);
    marks.push(Mark::line(from, to, Ink::Faint, 1.4));
    for up in [1.4, -1.4] {
        marks.push(Mark::line(to, to + Point::new(-1.8, up), Ink::Faint, 1.4));
    }
}

/// A bracket in triangles, slanted.
fn mesh(width_mm: f64, height_mm: f64) -> Scene {
    let p = Point::new;
    // Front face, its thickness to the upper right, and the triangles of both.
    let face = [p(0.0, 0.0), p(30.0, 0.0), p(30.0, 9.0), p(9.0, 9.0), p(9.0, 30.0), p(0.0, 30.0)];
    let deep = p(9.0, 6.0);
    let scale = (width_mm / 43.0).min(height_mm / 40.0);
    let at = p((width_mm - 39.0 * scale) / 2.0, (height_mm - 36.0 * scale) / 2.0);
    let on = |q: Point| q * scale + at;
    let ink = Ink::PartLine(1);
    let mut marks = Vec::new();
    let outer = [
        p(0.0, 0.0),
        p(30.0, 0.0),
        p(39.0, 6.0),
        p(39.0, 15.0),
        p(18.0, 15.0),
        p(18.0, 36.0),
        p(9.0, 36.0),
        p(0.0, 30.0),
    ];
    let region: Region = Polygon::simple(outer.map(on).to_vec()).into();
    marks.push(Mark::Fill { region: Arc::new(region), ink: Ink::Part(1), opacity: 0.3 });
    let mut line = |a: Point, b: Point, width_pt: f32| marks.push(Mark::line(on(a), on(b), ink, width_pt));
    for (n, &corner) in face.iter().enumerate() {
        line(corner, face[(n + 1) % face.len()], 1.4);
    }
    let seen = [(1, 2), (2, 3), (3, 4), (4, 5)];
    for (a, b) in seen {
        line(face[a] + deep, face[b] + deep, 1.4);
        line(face[a], face[b] + deep, 0.8);
    }
    for &corner in &face[1..] {
        line(corner, corner + deep, 1.4);
    }
    for (a, b) in [(0, 2), (0, 3), (0, 4)] {
        line(face[a], face[b], 0.8);
    }
    Scene { view: paper(width_mm, height_mm), marks }
}

fn plate(width_mm: f64, height_mm: f64) -> Scene {
    let bed = Bounds::new(Point::default(), Point::new(120.0, 100.0));
    let drawn = DrawnBed { outline: Arc::new(Region::rectangle(bed)), ..DrawnBed::default() };
    let places = (0..6).map(|n| (12.0 + f64::from(n % 3) * 36.0, 12.0 + f64::from(n / 3) * 40.0));
    let copies: Vec<DrawnCopy> = places
        .map(|(x, y)| DrawnCopy {
            hue: 1,
            shadow: Arc::new(bracket().placed(Placement::at(x, y))),
            ..DrawnCopy::default()
        })
        .collect();
    small_plate(&drawn, &copies, width_mm, height_mm)
}

/// Layer times over height, small.
fn times(width_mm: f64, height_mm: f64) -> Scene {
    let at = |x: f64, y: f64| Point::new((0.1 + 0.84 * x) * width_mm, (0.12 + 0.76 * y) * height_mm);
    let steps = [(0.0, 0.9), (0.25, 0.9), (0.25, 0.6), (0.7, 0.6), (0.7, 0.18), (1.0, 0.18)].map(|(x, y)| at(x, y));
    let area = steps.iter().copied().chain([at(1.0, 0.0), at(0.0, 0.0)]).collect();
    let stroke = |points: Vec<Point>, ink, width_pt, dash| Mark::Stroke { points, closed: false, ink, width_pt, dash };
    let marks = vec![
        Mark::Fill { region: Arc::new(Polygon::simple(area).into()), ink: Ink::Part(1), opacity: 0.25 },
        stroke(steps.to_vec(), Ink::Ink, 1.4, Dash::Solid),
        stroke(vec![at(0.0, 0.4), at(1.0, 0.4)], Ink::Watch, 1.4, Dash::Dashed),
        stroke(vec![at(0.0, 1.0), at(0.0, 0.0), at(1.0, 0.0)], Ink::Ink, 1.0, Dash::Solid),
    ];
    Scene { view: paper(width_mm, height_mm), marks }
}

/// A page with a plate and its title block.
fn page(width_mm: f64, height_mm: f64) -> Scene {
    // ISO 216: the sides of a lying sheet are as the square root of two to one.
    let high = (height_mm * 0.9).min(width_mm * 0.9 / std::f64::consts::SQRT_2);
    let wide = high * std::f64::consts::SQRT_2;
    let low = Point::new((width_mm - wide) / 2.0, (height_mm - high) / 2.0);
    let sheet = Bounds::new(low, low + Point::new(wide, high));
    let block = Bounds::new(Point::new(sheet.max.x - 0.45 * wide, low.y), Point::new(sheet.max.x, low.y + 0.24 * high));
    let outline = |b: Bounds| Mark::Outline {
        region: Arc::new(Region::rectangle(b)),
        ink: Ink::Ink,
        width_pt: 1.2,
        dash: Dash::Solid,
    };
    let mut marks =
        vec![Mark::Fill { region: Arc::new(Region::rectangle(sheet)), ink: Ink::Bed, opacity: 1.0 }, outline(sheet)];
    let mut scene = Scene { view: paper(width_mm, height_mm), marks: Vec::new() };
    let room = high - 0.24 * high;
    // Its round is too wide for a page so small.
    let small = plate(1.5 * wide, 1.5 * room);
    marks.push(outline(block));
    let middle = block.centre().y;
    marks.push(Mark::line(Point::new(block.min.x, middle), Point::new(block.max.x, middle), Ink::Ink, 0.8));
    scene.marks = marks;
    scene.add(small, 1.0 / 1.5, low + Point::new(0.0, 0.24 * high));
    scene
}
