//! Worked cases of thin places: as many beads across as the place is wide, timed as such, and nothing lost.

use proptest::prelude::*;

use super::{
    motion::tests::{Piece, slow_simulation},
    *,
};
use crate::{
    document::{Recipe, RecipeId},
    geom::{Bounds, Point, Polygon, Region, boolean, disc, samples::star},
    mesh::shapes,
    watch::Quiet,
};

const BEAD: f64 = 0.45;
const HEIGHT: f64 = 0.2;
const SPEED: f64 = 60.0;

/// All at one speed, laid solid, no time to speed up: time is length over speed.
fn steady(walls: u32) -> Recipe {
    Recipe {
        bead_width_mm: BEAD,
        layer_height_mm: HEIGHT,
        first_layer_mm: HEIGHT,
        walls,
        infill: 1.0,
        wall_mm_s: SPEED,
        solid_mm_s: SPEED,
        infill_mm_s: SPEED,
        first_layer_mm_s: SPEED,
        flow_mm3_s: 100.0,
        acceleration_mm_s2: 1e6,
        junction_deviation_mm: 10.0,
        ..Recipe::plain(RecipeId(1))
    }
}

/// What each of the sections takes as a layer of its own.
fn laid(sections: &[Region], recipe: &Recipe) -> Vec<LayerWork> {
    let spans: Vec<LayerSpan> = (0..sections.len()).map(|i| layer_span(recipe, i)).collect();
    Profile::compute(sections, &spans, recipe, &Quiet).expect("the recipe is sound").layers().to_vec()
}

fn one(section: &Region, recipe: &Recipe) -> LayerWork {
    laid(std::slice::from_ref(section), recipe)[0]
}

/// Laying beads, s.
fn beads_s(work: &LayerWork) -> f64 {
    work.walls.time_s + work.solid.time_s + work.infill.time_s
}

/// The count of beads that is nearest to a thickness.
fn beads(thick_mm: f64) -> f64 {
    (thick_mm / BEAD).round().max(1.0)
}

fn ring(outer: Polygon, hole: Polygon) -> Region {
    let mut hole = hole.outer;
    hole.reverse();
    Polygon { outer: outer.outer, holes: vec![hole] }.into()
}

/// A square tube with this wall.
fn shell(side: f64, wall: f64) -> Region {
    let square = |half: f64| Polygon::rectangle(Bounds::new(Point::new(-half, -half), Point::new(half, half)));
    ring(square(side / 2.0), square(side / 2.0 - wall))
}

/// 0.3, 0.35 … 3 mm.
fn walls() -> impl Iterator<Item = f64> {
    (6..=60).map(|i| 0.05 * f64::from(i))
}

fn close(what: &str, value: f64, wanted: f64, share: f64) {
    assert!((value / wanted - 1.0).abs() <= share, "{what}: {value} is not {wanted} within {share}");
}

/// Mass closes: beads fill the section, which is thinned before paths are laid; a crumb of a tenth of a bead's square may be left out.
fn closes(what: &str, work: &LayerWork, section: &Region) {
    let (volume, wanted) = (work.volume_mm3(), work.area_mm2 * HEIGHT);
    assert!((volume - wanted).abs() <= 1e-3 * wanted + 0.1 * BEAD * BEAD * HEIGHT, "{what}: {volume} for {wanted}");
    let thinned = (work.area_mm2 - section.area()).abs();
    assert!(thinned <= SECTION_TOLERANCE_MM * section.perimeter(), "{what}: {thinned} mm²");
}

/// By hand: area ÷ width of evenly widened beads ÷ speed, whether the walls alone fill it or three walls and solid lines do.
#[test]
fn a_shell_takes_its_area_over_bead_and_speed() {
    for count in [3, 4] {
        let recipe = steady(count);
        for wall in walls() {
            let (section, what) = (shell(30.0, wall), format!("{count} walls, {wall} mm"));
            let work = one(&section, &recipe);
            let even = wall / beads(wall);
            close(&what, beads_s(&work), section.area() / even / SPEED, 0.03);
            closes(&what, &work, &section);
        }
    }
}

/// The same with real acceleration: each bead a square loop from rest to rest, timed by simulation in small steps.
#[test]
fn a_shell_takes_the_time_of_its_loops() {
    let recipe = Recipe { acceleration_mm_s2: 1500.0, junction_deviation_mm: 0.02, ..steady(4) };
    for wall in walls() {
        let count = beads(wall) as usize;
        let loops = (0..count).map(|j| {
            let side = 30.0 - 2.0 * wall * (j as f64 + 0.5) / count as f64;
            let along = [Point::new(1.0, 0.0), Point::new(0.0, 1.0), Point::new(-1.0, 0.0), Point::new(0.0, -1.0)];
            let piece =
                |d| Piece { length_mm: side, speed_mm_s: SPEED, acceleration_mm_s2: 1500.0, sets_out: d, arrives: d };
            slow_simulation(&along.map(piece), 0.02)
        });
        close(&format!("{wall} mm"), beads_s(&one(&shell(30.0, wall), &recipe)), loops.sum(), 0.03);
    }
}

/// Where the flow is the limit, time is volume over flow, whatever the widths.
#[test]
fn a_shell_at_the_flow_limit_takes_its_volume_over_flow() {
    let recipe = Recipe { flow_mm3_s: 2.0, ..steady(4) };
    for wall in walls() {
        let section = shell(30.0, wall);
        close(&format!("{wall} mm"), beads_s(&one(&section, &recipe)), section.area() * HEIGHT / 2.0, 0.01);
    }
}

/// A plate with a wall of 1.1 mm at it, with flow enough for a bead of nominal width and no more: in the wall both beads are
/// 0.55 mm wide and go at 0.45 ÷ 0.55 of the speed, on the plate all keep it.
#[test]
fn only_widened_beads_are_slowed_by_the_flow() {
    let (wall, long) = (1.1, 40.0);
    let plate = Region::rectangle(Bounds::new(Point::new(-12.0, -6.0), Point::new(0.0, 6.0)));
    let bar = Region::rectangle(Bounds::new(Point::new(-1.0, -wall / 2.0), Point::new(long, wall / 2.0)));
    let section = boolean::union([&plate, &bar]);
    let free = one(&section, &steady(3));
    let bound = one(&section, &Recipe { flow_mm3_s: SPEED * BEAD * HEIGHT, ..steady(3) });
    close("slowed", bound.walls.time_s - free.walls.time_s, 2.0 * long / SPEED * (0.55 / BEAD - 1.0), 0.05);
}

/// From nothing to 1.5 mm over 30 mm: one bead from half a bead's width on, two from 0.675 mm, three from 1.125 mm; none before.
#[test]
fn a_wedge_has_one_two_and_three_beads() {
    let wedge: Region =
        Polygon::simple(vec![Point::new(0.0, 0.0), Point::new(30.0, -0.75), Point::new(30.0, 0.75)]).into();
    let work = one(&wedge, &steady(4));
    // ∫ beads dx, in steps of 1 µm; half a bead is left out of each bead at the blunt end and its two sides are linked.
    let sum = (0..30_000).map(|i| 0.001 * (f64::from(i) + 0.5)).filter(|x| x / 20.0 >= BEAD / 2.0);
    let wanted = sum.map(|x| 0.001 * beads(x / 20.0)).sum::<f64>();
    close("length", work.walls.length_mm, wanted, 0.03);
    close("time", beads_s(&work), wanted / SPEED, 0.03);
    closes("wedge", &work, &wedge);
}

/// Round shells, a little different on every layer as meshes are: no layer has other beads than the one before, though the wall is
/// just one, two or three beads thick.
#[test]
fn a_funnel_has_no_jumps() {
    let recipe = Recipe { acceleration_mm_s2: 1500.0, junction_deviation_mm: 0.02, ..steady(3) };
    for wall in [BEAD, 2.0 * BEAD, 0.905, 3.0 * BEAD, 2.0] {
        let sections: Vec<Region> = (0..40_u32)
            .map(|i| {
                let r = 20.0 - 0.3 * f64::from(i);
                let sides = 180 + (i * 37 % 23) as usize;
                ring(disc::regular(Point::default(), r, sides), disc::regular(Point::default(), r - wall, sides + 31))
            })
            .collect();
        let works = laid(&sections, &recipe);
        let per_mm = |i: usize| beads_s(&works[i]) / sections[i].perimeter();
        for i in 0..sections.len() {
            let what = format!("{wall} mm, layer {i}");
            close(
                &what,
                works[i].walls.length_mm + works[i].solid.length_mm,
                beads(wall) * sections[i].perimeter() / 2.0,
                0.03,
            );
            closes(&what, &works[i], &sections[i]);
            if i > 0 {
                close(&what, per_mm(i), per_mm(i - 1), 0.05);
            }
        }
    }
}

/// A torus, layer by layer: what is thinner than its walls has the nearest count of beads, the rest its area's.
#[test]
fn a_torus_has_the_beads_of_its_thickness() {
    let body = shapes::torus(14.0, 5.0, 120, 96);
    let heights: Vec<f64> = (0..100).map(|i| -5.0 + 0.1 * (f64::from(i) + 0.5)).collect();
    let sections = crate::mesh::sections(&body, &heights, &Quiet).expect("not cancelled");
    let works = laid(&sections, &steady(3));
    for (i, (section, work)) in sections.iter().zip(&works).enumerate() {
        // Of a ring, the thickness is 2 A / P and the length of the middle P / 2.
        let (area, around) = (section.area(), section.perimeter());
        let thick = 2.0 * area / around;
        let wanted = if thick < 6.5 * BEAD { beads(thick) * around / 2.0 } else { area / BEAD };
        close(&format!("layer {i}, {thick} mm"), beads_s(work), wanted / SPEED, 0.05);
        closes(&format!("layer {i}"), work, section);
    }
}

/// A cone to its tip: no layer stands out from its two neighbours by more than 5 % of a layer's time, its change included.
#[test]
fn a_cone_tip_has_no_jumps() {
    for slope in [0.03, 0.08, 0.2] {
        let recipe = Recipe { acceleration_mm_s2: 1500.0, junction_deviation_mm: 0.02, ..steady(3) };
        let sections: Vec<Region> =
            (1..60).map(|i| disc::regular(Point::default(), slope * f64::from(i), 90).into()).collect();
        let works = laid(&sections, &recipe);
        let times: Vec<f64> = works.iter().map(|w| w.time_s() + recipe.layer_change_s).collect();
        for (i, w) in times.windows(3).enumerate() {
            close(&format!("slope {slope}, layer {}", i + 1), w[1], w[0].midpoint(w[2]), 0.05);
        }
        for (work, section) in works.iter().zip(&sections) {
            closes(&format!("slope {slope}"), work, section);
        }
    }
}

/// Ten thousand corners of thin places, and forty thousand: teeth of one bead and a half, a border of noise, a lattice, teeth of 6 µm.
/// They end, and nothing is lost.
#[test]
fn ten_thousand_corners_are_bounded() {
    let teeth = (0..2500).flat_map(|i| {
        let x = 1.4 * f64::from(i);
        [(x, 0.0), (x, 12.0), (x + 0.7, 12.0), (x + 0.7, 0.0)].map(|(x, y)| Point::new(x, y))
    });
    let comb = Polygon::simple(teeth.chain([Point::new(3499.3, -0.5), Point::new(0.0, -0.5)]).collect());
    let mut state = 1_u32;
    let mut random = || {
        state = state.wrapping_mul(1_664_525).wrapping_add(1_013_904_223);
        f64::from(state >> 8) / f64::from(1_u32 << 24)
    };
    let noisy =
        (0..10_000).map(|i| Point::new(100.0 + 0.6 * random(), 0.0).turned(f64::from(i) * std::f64::consts::TAU / 1e4));
    let noisy = Polygon::simple(noisy.collect());
    let holes = (0..2500).map(|i| {
        let at = Point::new(4.0 * f64::from(i % 50), 4.0 * f64::from(i / 50));
        let mut hole = Polygon::rectangle(Bounds::new(at, at + Point::new(3.5, 3.2))).outer;
        hole.reverse();
        hole
    });
    let outer = Polygon::rectangle(Bounds::new(Point::new(-0.5, -0.5), Point::new(200.0, 200.0))).outer;
    let lattice = Polygon { outer, holes: holes.collect() };
    // Ten thousand teeth far finer than any bead, as long as a dozen of them.
    let fine = (0..10_000).flat_map(|i| {
        let x = 0.012 * f64::from(i);
        [(x, 0.0), (x, 5.0), (x + 0.006, 5.0), (x + 0.006, 0.0)].map(|(x, y)| Point::new(x, y))
    });
    let mut fine: Vec<Point> = fine.chain([Point::new(120.0, -6.0), Point::new(0.0, -6.0)]).collect();
    fine.reverse();
    let fine = Polygon::simple(fine);
    for (name, polygon) in [("comb", comb), ("noise", noisy), ("lattice", lattice), ("fine comb", fine)] {
        let section: Region = polygon.into();
        let work = one(&section, &steady(3));
        closes(name, &work, &section);
    }
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(120))]
    /// Any outline, large or so small that all of it is thin: mass closes, and times are numbers.
    #[test]
    fn mass_closes_whatever_the_shape(shape in star(), scale in 0.05..1.0f64, bore in 0.0..3.0f64, count in 0..6u32) {
        let section = boolean::difference(&shape, &disc::regular(Point::default(), bore, 24).into()).map(|p| p * scale);
        let work = one(&section, &steady(count));
        closes("shape", &work, &section);
        prop_assert!(work.time_s().is_finite() && work.slowest_s() >= work.time_s());
    }
}
