//! The engine as a whole.
//!
//! - here: plain shapes, beds and tasks
//! - `worked`: small tasks whose answer is worked by hand
//! - `published`: values that others have published or proved
//! - `rectangles`: how many equal rectangles fit a rectangle, for the bench too
//! - `nearest_cases`: nearest free places, written down for a judge from outside
//! - `random`: whatever the task: valid, bounded, the same again, and valid where it is cancelled
//! - `trouble`: bad input, very many copies, and whether [`verify`] sees every breach

mod nearest_cases;
mod published;
mod random;
pub(super) mod rectangles;
mod trouble;
mod worked;

use super::*;
use crate::rng::Rng;
use crate::{
    geom::{Bounds, Outline, Placement, Point, Polygon, Region, boolean, disc, hull, moments, offset},
    watch::{Quiet, Watch},
};

fn shape(shadow: impl Into<Region>, step_deg: Option<f64>) -> Shape {
    let o = Outline::new(shadow.into());
    Shape {
        shadow: o.clone(),
        contact: o.clone(),
        footing: o,
        turn_step_rad: step_deg.map(f64::to_radians),
        class: 0,
        height_mm: 10.0,
    }
}
fn rectangle(w: f64, h: f64) -> Region {
    Region::rectangle(Bounds::new(Point::default(), Point::new(w, h)))
}
fn bed(room: Region) -> Bed {
    Bed { room, keep_outs: vec![], fixed: vec![], class: None, height_mm: 200.0, twin: None }
}
fn pack(shapes: Vec<Shape>, beds: Vec<Bed>, gap_mm: f64, counts: Vec<usize>) -> Problem {
    Problem { shapes, beds, gap_mm, footing_gap_mm: 0.0, footings_may_merge: false, aim: Aim::Pack { counts } }
}
fn top_up(shape: Shape, bed: Bed, gap_mm: f64) -> Problem {
    let aim = Aim::TopUp { shares: vec![1.0], at_most: vec![100_000], there: vec![] };
    Problem { aim, ..pack(vec![shape], vec![bed], gap_mm, vec![0]) }
}
fn solved(p: &Problem, seed: u64, rounds: u64) -> Layout {
    let l = solve(p, seed, Some(rounds), &Quiet);
    assert_eq!(verify(p, &l), Ok(()));
    l
}
