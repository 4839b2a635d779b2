//! A first layout of very many copies at once: rows of their boxes, the deepest first.

use std::f64::consts::FRAC_PI_2;

use crate::{
    geom::{Bounds, Placement, Point},
    packing::{
        Aim, Item, Layout, Problem,
        judge::{
            ground::Ground,
            quick_check::{clear, lies_on},
        },
    },
};

/// More copies than these, or more different shapes, are laid in rows first: zones of all pairs take their time.
const COPIES: usize = 1500;
const SHAPES: usize = 60;
/// More different shapes than these are laid in rows alone: a table of all pairs would not go into memory.
const MOST_SHAPES: usize = 300;
/// Steps past what is in the way, as a share of a copy's width, and at least, mm.
const STEP: f64 = 0.25;
const LEAST_STEP_MM: f64 = 1.0;

/// A shape asked for, the way round in which its box is lower first.
struct Asked {
    shape: usize,
    left: usize,
    ways: Vec<(f64, Bounds)>,
}

fn different(problem: &Problem) -> (usize, usize) {
    let Aim::Pack { counts } = &problem.aim else { return (0, 0) };
    (counts.iter().filter(|n| **n > 0).count(), counts.iter().sum())
}

/// So many copies or shapes that the first layout is laid in rows?
pub(in crate::packing) fn is_crowd(problem: &Problem) -> bool {
    let (shapes, copies) = different(problem);
    shapes > SHAPES || copies > COPIES
}

/// Are there too many shapes for anything else?
pub(in crate::packing) fn are_all(problem: &Problem) -> bool {
    different(problem).0 > MOST_SHAPES
}

/// Rows of boxes on one bed after another (Pack only); what has no room is left over.
pub(in crate::packing) fn laid(problem: &Problem) -> Layout {
    let mut layout = Layout { beds: vec![Vec::new(); problem.beds.len()], unplaced: vec![0; problem.shapes.len()] };
    let Aim::Pack { counts } = &problem.aim else { return layout };
    let mut asked: Vec<Asked> = Vec::new();
    for (shape, &left) in counts.iter().enumerate().take(problem.shapes.len()) {
        let ways = ways(problem, shape);
        if left > 0 && !ways.is_empty() {
            asked.push(Asked { shape, left, ways });
        } else {
            layout.unplaced[shape] = left;
        }
    }
    let depth = |a: &Asked| a.ways[0].1.height();
    asked.sort_by(|a, b| depth(b).total_cmp(&depth(a)).then(a.shape.cmp(&b.shape)));
    for bed in 0..problem.beds.len() {
        if asked.iter().all(|a| a.left == 0) {
            break;
        }
        layout.beds[bed] = rows(problem, bed, &mut asked);
    }
    for a in asked {
        layout.unplaced[a.shape] = a.left;
    }
    layout
}

/// Unturned and, where allowed, turned by a quarter.
fn ways(problem: &Problem, shape: usize) -> Vec<(f64, Bounds)> {
    let s = &problem.shapes[shape];
    let outlines = [s.shadow.region(), s.contact.region(), s.footing.region()];
    let finite = outlines.iter().all(|r| r.vertices().all(Point::is_finite));
    if !finite || !s.height_mm.is_finite() || s.shadow.region().area() <= 1e-6 {
        return Vec::new();
    }
    let quarter = s.turn_step_rad.is_none_or(|step| {
        let steps = FRAC_PI_2 / step;
        step > 0.0 && (steps - steps.round()).abs() < 1e-9 && steps >= 0.5
    });
    let turns = if quarter { vec![0.0, FRAC_PI_2] } else { vec![0.0] };
    let area = |turn: f64| {
        let at = Placement::new(0.0, 0.0, turn);
        s.shadow.bounds_at(at).union(s.footing.bounds_at(at))
    };
    let mut ways: Vec<(f64, Bounds)> = turns.into_iter().map(|t| (t, area(t))).collect();
    ways.sort_by(|a, b| a.1.height().total_cmp(&b.1.height()));
    ways
}

/// Fills a bed from the front to the back.
fn rows(problem: &Problem, bed: usize, asked: &mut [Asked]) -> Vec<Item> {
    let b = &problem.beds[bed];
    let room = b.room.bounds();
    let gap_mm = problem.gap_mm.max(problem.footing_gap_mm).max(0.0);
    let known = |i: &&Item| i.shape < problem.shapes.len() && i.at.origin().is_finite();
    let fixed: Vec<&Item> = b.fixed.iter().filter(known).collect();
    let plain =
        b.keep_outs.is_empty() && fixed.is_empty() && (b.room.area() - room.width() * room.height()).abs() < 1e-9;
    let ground = Ground::new(b);
    let free =
        |item: Item| plain || lies_on(&ground, problem, bed, item) && fixed.iter().all(|&&f| clear(problem, item, f));
    // A bed of no class takes that of the first copy on it.
    let mut class = b.class.or_else(|| fixed.first().map(|f| problem.shapes[f.shape].class));
    let mut out = Vec::new();
    let mut y = room.min.y;
    while y < room.max.y {
        let (mut x, mut depth) = (room.min.x, 0.0);
        let mut least = f64::INFINITY;
        for a in asked.iter_mut().filter(|a| a.left > 0) {
            let s = &problem.shapes[a.shape];
            if s.height_mm > b.height_mm + 1e-9 || class.is_some_and(|c| c != s.class) {
                continue;
            }
            // Rows are as deep as the first copy in them.
            let fits = |o: &Bounds| y + o.height() <= room.max.y && (depth == 0.0 || o.height() <= depth);
            let Some(&(turn, own)) = a.ways.iter().find(|(_, o)| fits(o) && o.width() <= room.width()) else {
                continue;
            };
            least = least.min(own.height());
            while a.left > 0 && x + own.width() <= room.max.x {
                let at = Point::new(x, y) - own.min;
                let item = Item { shape: a.shape, at: Placement::new(at.x, at.y, turn) };
                if free(item) {
                    out.push(item);
                    a.left -= 1;
                    class = Some(s.class);
                    depth = if depth == 0.0 { own.height() } else { depth };
                    x += own.width() + gap_mm;
                } else {
                    x += (STEP * own.width()).max(LEAST_STEP_MM);
                }
            }
        }
        if least.is_infinite() {
            break; // nothing is left that could lie here
        }
        y += if depth > 0.0 { depth + gap_mm } else { (STEP * least).max(LEAST_STEP_MM) };
    }
    out
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::{
        geom::{Outline, Polygon, Region, disc},
        packing::{Bed, Shape, verify},
        rng::Rng,
    };

    fn shape(outline: impl Into<Region>, class: u32) -> Shape {
        let o = Outline::new(outline.into());
        let turn_step_rad = Some(FRAC_PI_2);
        Shape { shadow: o.clone(), contact: o.clone(), footing: o, turn_step_rad, class, height_mm: 5.0 }
    }

    /// Triangles and discs of two classes on round beds, on beds with a keep-out and on beds with a copy that stays.
    #[test]
    fn rows_are_valid_on_any_bed() {
        let mut rng = Rng::new(5);
        let shapes: Vec<Shape> = (0..80)
            .map(|k| {
                let r = rng.between(2.0, 9.0);
                shape(disc::regular(Point::new(rng.between(-9.0, 9.0), 3.0), r, 3 + k % 5), u32::from(k % 3 == 0))
            })
            .collect();
        let room = Region::rectangle(Bounds::new(Point::new(5.0, 5.0), Point::new(125.0, 95.0)));
        let clip = Polygon::rectangle(Bounds::new(Point::new(40.0, 0.0), Point::new(60.0, 30.0)));
        let bed =
            |room: Region| Bed { room, keep_outs: vec![], fixed: vec![], class: None, height_mm: 9.0, twin: None };
        let mut beds =
            vec![bed(disc::inside(Point::new(60.0, 60.0), 60.0, 0.01).into()), bed(room.clone()), bed(room.clone())];
        beds[1].keep_outs = vec![clip.into()];
        beds[2].fixed = vec![Item { shape: 0, at: Placement::at(60.0, 50.0) }];
        beds.extend((0..12).map(|_| bed(room.clone())));
        let counts = vec![3; shapes.len()];
        let problem = Problem {
            shapes,
            beds,
            gap_mm: 2.0,
            footing_gap_mm: 0.0,
            footings_may_merge: false,
            aim: Aim::Pack { counts },
        };
        assert!(is_crowd(&problem) && !are_all(&problem));
        let layout = laid(&problem);
        assert_eq!(verify(&problem, &layout), Ok(()));
        assert_eq!(layout.unplaced.iter().sum::<usize>(), 0);
        assert!(
            layout.beds[..3].iter().all(|b| b.len() > 8),
            "{:?}",
            layout.beds.iter().map(Vec::len).collect::<Vec<_>>()
        );
    }

    /// 400 different shapes, more than are searched for in any other way: all of them placed, and by rows alone.
    #[test]
    fn very_many_shapes_are_placed_at_once() {
        let shapes: Vec<Shape> = (0..400)
            .map(|k| {
                shape(Polygon::rectangle(Bounds::new(Point::default(), Point::new(4.0 + 0.02 * f64::from(k), 6.0))), 0)
            })
            .collect();
        let room = Region::rectangle(Bounds::new(Point::default(), Point::new(240.0, 200.0)));
        let bed = Bed { room, keep_outs: vec![], fixed: vec![], class: Some(0), height_mm: 9.0, twin: None };
        let problem = Problem {
            shapes,
            beds: vec![bed; 3],
            gap_mm: 2.0,
            footing_gap_mm: 0.0,
            footings_may_merge: false,
            aim: Aim::Pack { counts: vec![2; 400] },
        };
        assert!(are_all(&problem));
        let layout = crate::packing::solve(&problem, 1, None, &crate::watch::Quiet);
        assert_eq!(verify(&problem, &layout), Ok(()));
        assert_eq!(layout.count(), 800);
        // Boxes of 10 × 8 with their gap on average: 800 of them are 64 000 mm², and a bed has 48 000.
        assert!(layout.beds[2].is_empty());
    }
}
