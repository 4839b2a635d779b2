//! Worked cases and properties of whole parts and plates. Cases "computed by script" come from the formulas named beside them.

use std::sync::Arc;

use proptest::prelude::*;

use super::{fixtures::*, *};
use crate::{
    document::{CopyId, Footing, LayerFloor, Recipe, RecipeId, Support},
    geom::{Bounds, Placement, Point, Polygon, Region, disc},
    mesh::shapes,
    watch::{Quiet, Watch},
};

fn near(value: f64, wanted: f64, tolerance: f64) {
    assert!((value - wanted).abs() <= tolerance, "{value} is not {wanted} ± {tolerance}");
}

fn block(width: f64, depth: f64) -> Region {
    Region::rectangle(Bounds::new(Point::new(-width / 2.0, -depth / 2.0), Point::new(width / 2.0, depth / 2.0)))
}

fn plain() -> Recipe {
    Recipe::plain(RecipeId(1))
}

fn compute(sections: &[Region], recipe: &Recipe) -> Profile {
    let spans: Vec<LayerSpan> = (0..sections.len()).map(|i| layer_span(recipe, i)).collect();
    Profile::compute(sections, &spans, recipe, &Quiet).expect("the recipe is sound")
}

fn prism(section: &Region, layers: usize, recipe: &Recipe) -> Profile {
    compute(&vec![section.clone(); layers], recipe)
}

fn copies(profile: &Arc<Profile>, footing: &Arc<FootingProfile>, places: &[Placement]) -> Vec<PlateCopy> {
    places
        .iter()
        .enumerate()
        .map(|(i, &placement)| PlateCopy {
            copy: CopyId(i as u32),
            profile: profile.clone(),
            footing: footing.clone(),
            placement,
        })
        .collect()
}

fn row(n: usize, pitch: f64) -> Vec<Placement> {
    (0..n).map(|i| Placement::at(20.0 + pitch * i as f64, 30.0)).collect()
}

fn estimate(copies: &[PlateCopy], recipe: &Recipe, tour: Tour<'_>) -> PlateEstimate {
    let (machine, material) = (bench(), pla());
    plate(&PlateInput { machine: &machine, material: &material, recipe, copies }, tour).expect("all numbers are sound")
}

/// Speeds of 60 mm/s everywhere, no time to speed up: lengths over speed.
fn naive() -> Recipe {
    Recipe {
        walls: 2,
        infill: 0.15,
        wall_mm_s: 60.0,
        solid_mm_s: 60.0,
        infill_mm_s: 60.0,
        first_layer_mm_s: 60.0,
        acceleration_mm_s2: 1e6,
        travel_mm_s: 5000.0,
        travel_acceleration_mm_s2: 1e6,
        junction_deviation_mm: 10.0,
        layer_change_s: 0.0,
        retraction_mm: 0.0,
        purge_mm3: 0.0,
        floor: LayerFloor::None,
        ..plain()
    }
}

/// Block 20 × 20 × 20 mm, bead 0.45, layers 0.2, 2 walls, 15 %, 4 + 4 solid (computed by script: loops by inset, L = A/w).
#[test]
fn block_of_twenty() {
    let recipe = naive();
    let p = prism(&block(20.0, 20.0), 100, &recipe);
    let (solid, sparse) = (p.layers()[1], p.layers()[50]);
    near(solid.walls.length_mm, 152.8, 1e-4);
    near(solid.solid.length_mm, 736.089, 5e-4);
    near(solid.infill.length_mm, 0.0, 0.0);
    near(sparse.infill.length_mm, 110.413, 5e-4);
    near(sparse.walls.length_mm + sparse.infill.length_mm, 263.213, 5e-4);
    let solid_layers = p.layers().iter().filter(|l| l.solid.length_mm > 0.0).count();
    assert_eq!(solid_layers, 8);
    let total: f64 = p.layers().iter().map(|l| l.walls.length_mm + l.solid.length_mm + l.infill.length_mm).sum();
    near(total, 31_326.74, 0.01);
    near(p.volume_mm3(), 2819.41, 0.01);
    // At 60 mm/s: 522.11 s, 14.815 and 4.387 s a layer.
    let laid: f64 = p.layers().iter().map(|l| l.walls.time_s + l.solid.time_s + l.infill.time_s).sum();
    near(laid, 522.11, 0.3);
    near(solid.walls.time_s + solid.solid.time_s, 14.815, 0.01);
    near(sparse.walls.time_s + sparse.infill.time_s, 4.387, 0.005);

    let (bare, p) = (Arc::new(FootingProfile::none()), Arc::new(p));
    let e = estimate(&copies(&p, &bare, &row(1, 0.0)), &recipe, Tour::Exact);
    near(e.filament.mass_g, 3.4961, 5e-5);
    near(e.filament.length_mm, 1172.17, 0.01);
    near(e.path.bead_mm, 31_326.74, 0.01);
    // Two of them: twice the beads and the moves within, on each layer 30 mm from one to the other, and one arrival.
    let two = estimate(&copies(&p, &bare, &row(2, 30.0)), &recipe, Tour::Exact);
    near(two.path.bead_mm, 62_653.48, 0.02);
    let within: f64 = p.layers().iter().map(|l| 2.0 * l.travel_mm + l.arrival_mm).sum();
    near(two.path.travel_mm, within + 100.0 * 30.0, 1e-6);
    assert!(within > 0.0);
}

/// The same with a floor of 8 s a layer, waited for: 8 × 14.815 + 92 × 8 = 854.52 s.
#[test]
fn block_with_a_floor() {
    let recipe = Recipe { floor: LayerFloor::Typed { seconds: 8.0 }, wait_when_short: true, ..naive() };
    let p = Arc::new(prism(&block(20.0, 20.0), 100, &recipe));
    let e = estimate(&copies(&p, &Arc::new(FootingProfile::none()), &row(1, 0.0)), &recipe, Tour::Exact);
    let travel: f64 = p.layers().iter().filter(|l| l.solid.length_mm > 0.0).map(|l| l.travel_s).sum();
    // And the moves from layer to layer, where nothing waits.
    let solid = (0..100).filter(|&i| p.layers()[i].solid.length_mm > 0.0);
    let travel = travel + solid.map(|i| e.arrivals_s[i]).sum::<f64>();
    near(e.layers.iter().map(|l| l.time_s).sum::<f64>() - travel, 854.52, 0.15);
    assert_eq!(e.layers.iter().filter(|l| l.minimum_s == Some(8.0)).count(), 100);
    assert_eq!(e.layers.iter().filter(|l| l.slowing_s + l.waiting_s > 0.0).count(), 92);
}

/// Path length × bead area = section area × height within 0.5 % on solid layers, for shapes at least one bead wide.
#[test]
fn volume_closes() {
    let recipe = plain();
    let star = (0..10)
        .map(|i| Point::new(if i % 2 == 0 { 15.0 } else { 6.0 }, 0.0).turned(f64::from(i) * 0.628_318_53))
        .collect();
    let l = [(0.0, 0.0), (30.0, 0.0), (30.0, 10.0), (10.0, 10.0), (10.0, 30.0), (0.0, 30.0)]
        .map(|(x, y)| Point::new(x, y))
        .to_vec();
    let mut ring = disc::regular(Point::default(), 12.0, 200);
    let mut hole = disc::regular(Point::default(), 9.0, 200).outer;
    hole.reverse();
    ring.holes.push(hole);
    let mut shapes: Vec<Region> = vec![
        block(20.0, 20.0),
        disc::regular(Point::default(), 10.0, 400).into(),
        Polygon::simple(star).into(),
        Polygon::simple(l).into(),
        ring.into(),
    ];
    shapes.extend((0..30).map(|i| block(0.45 + 0.1 * f64::from(i), 25.0)));
    for (i, shape) in shapes.iter().enumerate() {
        let p = prism(shape, 4, &recipe);
        let work = p.layers()[1];
        let ratio = work.volume_mm3() / (shape.area() * recipe.layer_height_mm);
        assert!((ratio - 1.0).abs() < 0.005, "shape {i}: {ratio}");
        // Volume could also close with beads of silly widths: they stay between half and double the nominal one.
        let width = work.volume_mm3()
            / recipe.layer_height_mm
            / (work.walls.length_mm + work.solid.length_mm + work.infill.length_mm);
        assert!((0.225..0.9).contains(&width), "shape {i}: mean bead {width}");
    }
}

/// The same for whole bodies cut from meshes, laid solid: Σ path length × bead area = Σ section area × layer height, layer by layer.
#[test]
fn volume_closes_on_bodies() {
    let recipe = Recipe { infill: 1.0, first_layer_mm: 0.3, ..plain() };
    let bodies = [
        ("sphere", shapes::sphere(12.0, 60, 90)),
        ("torus", shapes::torus(14.0, 5.0, 90, 48)),
        ("tilted block", shapes::tilted(&shapes::block([0.0; 3], [18.0, 9.0, 22.0]), 0.4, 0.3)),
        ("star prism", shapes::prism(&shapes::star(7, 14.0, 6.0), 12.0)),
        ("two boxes", shapes::together(&shapes::block([0.0; 3], [10.0; 3]), &shapes::block([5.0; 3], [10.0; 3]))),
    ];
    for (name, body) in bodies {
        let low = body.vertices.iter().map(|v| v[2]).fold(f64::INFINITY, f64::min);
        let high = body.vertices.iter().map(|v| v[2]).fold(f64::NEG_INFINITY, f64::max);
        let spans = layers(&recipe, high - low);
        let heights: Vec<f64> = spans.iter().map(|s| low + s.middle_mm).collect();
        let sections = crate::mesh::sections(&body, &heights, &Quiet).expect("not cancelled");
        let p = Profile::compute(&sections, &spans, &recipe, &Quiet).expect("the recipe is sound");
        for (i, (l, (section, span))) in p.layers().iter().zip(sections.iter().zip(&spans)).enumerate() {
            let wanted = section.area() * span.height_mm();
            let off = (l.volume_mm3() - wanted).abs();
            assert!(
                off <= 0.005 * wanted + 0.1 * 0.45 * 0.45 * 0.3,
                "{name}, layer {i}: {} for {wanted}",
                l.volume_mm3()
            );
        }
    }
}

/// Profiles are kept by what [`profile_recipe`] leaves of a recipe: what it drops must not matter.
#[test]
fn a_profile_depends_on_nothing_that_its_recipe_leaves_out() {
    let busy = Recipe {
        name: "busy".into(),
        layer_change_s: 3.0,
        skirt_loops: 4,
        skirt_gap_mm: 9.0,
        raft_layers: 2,
        purge_mm3: 500.0,
        floor: LayerFloor::Typed { seconds: 40.0 },
        wait_when_short: true,
        time_factor: 1.7,
        infill: 0.3,
        ..plain()
    };
    let kept = profile_recipe(&busy);
    assert_ne!(kept, busy);
    assert_eq!(profile_recipe(&kept), kept);
    assert_eq!(prism(&block(15.0, 9.0), 12, &busy), prism(&block(15.0, 9.0), 12, &kept));
}

/// A spool that ends on the fourth layer of ten says so; one that just lasts does not.
#[test]
fn a_spool_runs_out() {
    let recipe = plain();
    let p = Arc::new(prism(&block(10.0, 10.0), 10, &recipe));
    let e = estimate(&copies(&p, &Arc::new(FootingProfile::none()), &row(1, 0.0)), &recipe, Tour::Exact);
    assert_eq!(runs_out(&e, &pla(), e.filament.mass_g), None);
    let three: f64 = e.layers[..3].iter().map(|l| l.volume_mm3).sum::<f64>() + recipe.purge_mm3 + 0.5;
    let end = runs_out(&e, &pla(), three * 1.24 / 1000.0).expect("it cannot last");
    assert_eq!(end.layer, 3);
    near(end.height_mm, 0.8, 1e-12);
    near(end.after_s, e.items.heat_up_s + e.layers[..3].iter().map(|l| l.time_s).sum::<f64>(), 1e-9);
    assert_eq!(runs_out(&e, &pla(), 0.0).map(|r| r.layer), Some(0));
}

/// A stack of four widths: only what is not covered is solid.
#[test]
fn steps_are_solid_on_top() {
    let recipe = Recipe { solid_top: 3, solid_bottom: 2, ..plain() };
    let mut stack = vec![block(30.0, 30.0); 20];
    stack.extend(vec![block(16.0, 16.0); 20]);
    let p = compute(&stack, &recipe);
    let bead = recipe.bead_width_mm;
    let inside = (30.0 - 2.0 * 3.0 * bead).powi(2);
    for (i, l) in p.layers().iter().enumerate().take(20) {
        let wanted = match i {
            0 | 1 => inside,
            17..=19 => inside - 256.0,
            _ => 0.0,
        };
        near(l.solid.length_mm * bead, wanted, 1.0);
        near(l.infill.length_mm * bead, (inside - wanted) * recipe.infill, 1.0);
    }
    // Above the step nothing hangs over: solid only on top.
    assert_eq!(p.layers()[20].solid.length_mm, 0.0);
    assert!(p.layers()[37].solid.length_mm > 0.0 && p.layers()[36].solid.length_mm == 0.0);
    // Turned over, the step is an overhang and the layers on it are solid.
    stack.reverse();
    let p = compute(&stack, &recipe);
    assert!(p.layers()[20].solid.length_mm > 0.0 && p.layers()[21].solid.length_mm > 0.0);
    assert_eq!(p.layers()[22].solid.length_mm, 0.0);
}

/// Common practice, no source: of a part so small that one copy is slowed, three take the time of one, but for first layers
/// and moves between copies.
#[test]
fn three_take_the_time_of_one() {
    let recipe = Recipe { wait_when_short: true, ..plain() };
    let p = Arc::new(prism(&block(8.0, 8.0), 150, &recipe));
    let bare =
        Arc::new(FootingProfile::compute(&block(8.0, 8.0), Footing::Brim { width_mm: 3.0 }, &recipe).expect("sound"));
    let one = estimate(&copies(&p, &bare, &row(1, 20.0)), &recipe, Tour::Exact);
    let three = estimate(&copies(&p, &bare, &row(3, 20.0)), &recipe, Tour::Exact);
    let many = estimate(&copies(&p, &bare, &row(9, 20.0)), &recipe, Tour::Exact);
    assert!(one.items.slowing_s > 0.0);
    let first = three.layers[0].time_s - one.layers[0].time_s;
    let between =
        three.items.travel_s - 3.0 * one.items.travel_s + three.items.retraction_s - 3.0 * one.items.retraction_s;
    assert!(three.time_s - one.time_s <= first + between + 1e-6, "{} against {}", three.time_s, one.time_s);
    assert!(many.time_s > 1.2 * one.time_s);
    // And the number at which slowing ends says so.
    let until = until(&p, &bare, 17.0, &recipe).expect("a minimum is set");
    assert!(until.nearly_every_layer > 3 && until.every_layer >= until.nearly_every_layer, "{until:?}");
    served_from(&p, &bare, 17.0, &recipe);
}

/// Of copies with this much between their middles, so many end slowing.
fn until(p: &Arc<Profile>, footing: &Arc<FootingProfile>, pitch_mm: f64, recipe: &Recipe) -> Option<CopiesUntil> {
    let [one] = &copies(p, footing, &row(1, 0.0))[..] else { panic!("one copy") };
    copies_until_slowing_ends(one, pitch_mm, &bench(), &pla(), recipe)
}

/// The number told, compared with plates of so many copies in a row and of one fewer: no layer of the one is short, and some of the
/// other; and for all but a twentieth of the layers likewise.
fn served_from(p: &Arc<Profile>, footing: &Arc<FootingProfile>, pitch_mm: f64, recipe: &Recipe) -> CopiesUntil {
    let told = until(p, footing, pitch_mm, recipe).expect("a minimum is set");
    let short = |n: u32| {
        let e = estimate(&copies(p, footing, &row(n as usize, pitch_mm)), recipe, Tour::Exact);
        (e.layers.iter().filter(|l| l.headroom.is_some_and(|h| h < 1.0 - 1e-9)).count(), e.layers.len())
    };
    assert!(told.nearly_every_layer > 1 && told.every_layer >= told.nearly_every_layer, "{told:?}");
    assert_eq!(short(told.every_layer).0, 0, "{told:?}");
    assert!(short(told.every_layer - 1).0 > 0, "{told:?}");
    let (some, all) = short(told.nearly_every_layer);
    assert!(some <= all / 20, "{told:?}: {some} of {all}");
    let (some, all) = short(told.nearly_every_layer - 1);
    assert!(some > all / 20, "{told:?}: {some} of {all}");
    told
}

/// Pegs and rods so small that the moves between them are a good part of their layers: the number is that of the plates, with brims,
/// rafts, a time factor and slow layer changes; and without the moves it would be a sixth higher or more.
#[test]
fn slowing_ends_at_the_number_that_plates_show() {
    let slim = plain();
    for (side_mm, footing, recipe) in [
        (3.0, Footing::Bare, slim.clone()),
        (8.0, Footing::Bare, slim.clone()),
        (8.0, Footing::Brim { width_mm: 3.0 }, Recipe { time_factor: 1.2, ..slim.clone() }),
        (5.0, Footing::Raft { width_mm: 2.0 }, Recipe { layer_change_s: 3.0, ..slim.clone() }),
        (5.0, Footing::Bare, Recipe { floor: LayerFloor::Typed { seconds: 8.0 }, retraction_mm: 4.0, ..slim.clone() }),
    ] {
        let p = Arc::new(prism(&block(side_mm, side_mm), 60, &recipe));
        let footing = Arc::new(FootingProfile::compute(&block(side_mm, side_mm), footing, &recipe).expect("sound"));
        let told = served_from(&p, &footing, side_mm + 3.0, &recipe);
        if side_mm < 4.0 {
            let laid_s = p.layers()[30].time_s();
            let without_moves = ((14.8652 - recipe.layer_change_s) / laid_s).ceil();
            assert!(f64::from(told.nearly_every_layer) < 0.9 * without_moves, "{told:?} of {without_moves}");
        }
    }
}

/// A plate that is estimated has the last word: one that is still slowed asks for more copies, one that is not for no more.
#[test]
fn plates_that_are_estimated_correct_the_number() {
    let recipe = plain();
    let p = Arc::new(prism(&block(8.0, 8.0), 60, &recipe));
    let bare = Arc::new(FootingProfile::none());
    let told = served_from(&p, &bare, 11.0, &recipe);
    let e = |n: u32, pitch_mm| estimate(&copies(&p, &bare, &row(n as usize, pitch_mm)), &recipe, Tour::Exact);
    let (enough, fewer) = (e(told.every_layer, 11.0), e(told.every_layer - 1, 11.0));
    assert_eq!(told.agreeing_with([&enough, &fewer].into_iter()), told);
    // Far apart, fewer copies serve, for the moves between them are long.
    let wide = e(told.every_layer - 1, 150.0);
    let by_wide = told.agreeing_with([&wide].into_iter());
    assert_eq!(by_wide.every_layer, told.every_layer - 1);
    let wrong = CopiesUntil { every_layer: 2, nearly_every_layer: 2 };
    assert_eq!(wrong.agreeing_with([&fewer].into_iter()).every_layer, told.every_layer);
}

/// What another minimum would make of a plate is what the plate with that minimum is estimated at.
#[test]
fn another_minimum_is_tried_as_it_is_estimated() {
    for wait_when_short in [false, true] {
        let recipe = Recipe { wait_when_short, ..plain() };
        let p = Arc::new(prism(&block(8.0, 8.0), 40, &recipe));
        let bare = Arc::new(FootingProfile::none());
        let now = estimate(&copies(&p, &bare, &row(2, 20.0)), &recipe, Tour::Exact);
        let mut before_s = 0.0;
        for seconds in TRIED_S {
            let asked = Recipe { floor: LayerFloor::Typed { seconds }, ..recipe.clone() };
            let e = estimate(&copies(&p, &bare, &row(2, 20.0)), &asked, Tour::Exact);
            let tried = minimum_tried(&now, &recipe, seconds);
            near(tried.time_s, e.time_s, 1e-6);
            near(tried.unserved_s, e.layers.iter().map(|l| l.unserved_s).sum(), 1e-6);
            assert_eq!(tried.short_layers, e.layers.iter().filter(|l| l.headroom.is_some_and(|h| h < 1.0)).count());
            assert!(tried.time_s > before_s);
            before_s = tried.time_s;
        }
    }
}

/// PLA towers of 3 s a layer against 14.865 s need five copies (computed by hand).
#[test]
fn towers_of_three_seconds() {
    // One square loop, no infill: 4 sides in 3 s at the speed that makes it so.
    let recipe = Recipe { walls: 1, infill: 0.0, solid_top: 0, solid_bottom: 0, wall_mm_s: 38.2 / 3.0, ..naive() };
    let recipe = Recipe { floor: LayerFloor::Material, first_layer_mm_s: 38.2 / 3.0, ..recipe };
    let p = Arc::new(prism(&block(10.0, 10.0), 20, &recipe));
    near(p.layers()[5].time_s(), 3.0, 0.001);
    // Moves that take no time, that is.
    let recipe = Recipe { retraction_mm: 0.0, ..recipe };
    assert_eq!(
        until(&p, &Arc::new(FootingProfile::none()), 0.0, &recipe),
        Some(CopiesUntil { every_layer: 5, nearly_every_layer: 5 })
    );
}

/// By size, a layer needs what the greatest need of the parts on it is: wide below, slender above; and the copies that serve it
/// are counted with each layer's own need.
#[test]
fn minimum_by_size_is_the_greatest_of_what_grows() {
    let recipe = Recipe { floor: LayerFloor::MaterialBySize, ..plain() };
    let (wide, tall) =
        (Arc::new(prism(&block(20.0, 20.0), 30, &recipe)), Arc::new(prism(&block(5.0, 5.0), 50, &recipe)));
    let bare = Arc::new(FootingProfile::none());
    let mut all = copies(&wide, &bare, &row(2, 30.0));
    all.extend(copies(&tall, &bare, &[Placement::at(100.0, 100.0)]));
    let e = estimate(&all, &recipe, Tour::Exact);
    // 24.50 and 17.33 s for squares of 20 and 5 mm (see the table of the closed form).
    near(e.layers[10].minimum_s.unwrap_or(f64::NAN), 0.65 * 24.50, 5e-3);
    near(e.layers[40].minimum_s.unwrap_or(f64::NAN), 0.65 * 17.33, 5e-3);
    served_from(&tall, &bare, 8.0, &recipe);
    // A copy of two islands needs what the bulkier one needs, not what a prism of both together would.
    let mut two = block(20.0, 20.0);
    two.polygons.extend(block(5.0, 5.0).map(|p| p + Point::new(40.0, 0.0)).polygons);
    let two = Arc::new(prism(&two, 30, &recipe));
    let e = estimate(&copies(&two, &bare, &row(1, 0.0)), &recipe, Tour::Exact);
    near(e.layers[10].minimum_s.unwrap_or(f64::NAN), 0.65 * 24.50, 5e-3);
    // On a raft of its own width the lowest layers are the raft's.
    let raft = FootingProfile::compute(&block(5.0, 5.0), Footing::Raft { width_mm: 7.5 }, &recipe).expect("sound");
    let e = estimate(&copies(&tall, &Arc::new(raft), &row(1, 0.0)), &recipe, Tour::Exact);
    let (on_raft, above) = (e.layers[1].minimum_s.unwrap_or(0.0), e.layers[10].minimum_s.unwrap_or(0.0));
    assert!(on_raft > 1.3 * above, "{on_raft} {above}");
}

/// A T with arms of 20 × 10 mm on a stem of 4 × 10 × 20 mm: 3200 mm³ of columns (by hand), 15 % of it plastic; the bead's length ×
/// its area is that. Without supports nothing changes but the item.
#[test]
fn supports_of_a_t_close_and_are_priced() {
    let part = [vec![block(4.0, 10.0); 100], vec![block(20.0, 10.0); 15]].concat();
    let recipe = Recipe { support: Some(Support { overhang_deg: 45.0, density: 0.15 }), ..plain() };
    let (with, without) = (compute(&part, &recipe), compute(&part, &plain()));
    let plastic: f64 = with.layers().iter().map(|l| l.support.volume_mm3).sum();
    near(plastic, 0.15 * 3200.0, 0.5);
    let length: f64 = with.layers().iter().map(|l| l.support.length_mm).sum();
    near(length * 0.45 * 0.2, plastic, 1e-6);
    near(with.volume_mm3() - plastic, without.volume_mm3(), 1e-6);
    let bare = Arc::new(FootingProfile::none());
    let of = |p: Profile, r: &Recipe| estimate(&copies(&Arc::new(p), &bare, &row(2, 40.0)), r, Tour::Exact);
    let (dear, cheap) = (of(with, &recipe), of(without, &plain()));
    // 80 mm/s at most; starts and stops cost more.
    assert!(
        dear.items.support_s > 2.0 * length / 80.0 && dear.items.support_s < 6.0 * length / 80.0,
        "{:?}",
        dear.items
    );
    near(cheap.items.support_s, 0.0, 0.0);
    near(dear.items.walls_s, cheap.items.walls_s, 1e-6);
    near(dear.filament.volume_mm3 - cheap.filament.volume_mm3, 2.0 * plastic, 1e-6);
    near(dear.items.total_s(), dear.time_s, 1e-9);
}

/// Four blocks of 30 layers in a row, and blocks of 50 at these places.
fn short_and_tall(recipe: &Recipe, tall_at: &[Placement]) -> Vec<PlateCopy> {
    let (short, tall) = (Arc::new(prism(&block(8.0, 8.0), 30, recipe)), Arc::new(prism(&block(6.0, 6.0), 50, recipe)));
    let bare = Arc::new(FootingProfile::none());
    let mut all = copies(&short, &bare, &row(4, 15.0));
    all.extend(copies(&tall, &bare, tall_at));
    all
}

#[test]
fn the_last_copy_is_priced_with_its_remedy() {
    let recipe = plain();
    let all = short_and_tall(&recipe, &[Placement::at(100.0, 100.0)]);
    let e = estimate(&all, &recipe, Tour::Exact);
    let last = last_copy(&e, &recipe, |_| 9.0).expect("one goes on alone");
    assert_eq!((last.from_layer, last.copy, last.short_layers), (30, 4, 20));
    near(last.from_mm, 6.0, 1e-9);
    near(last.to_mm, 10.0, 1e-9);
    // Short of 14.865 s on each of its layers: what is added and what stays missing make up the difference.
    let natural: f64 = e.layers[30..].iter().map(|l| l.natural_s).sum();
    near(last.slowing_s + last.waiting_s + last.unserved_s, 20.0 * 14.8652 - natural, 0.01);
    // Without it the plate ends so much sooner, but for the layers below.
    near(
        e.layers[..30].iter().map(|l| l.time_s).sum::<f64>() + last.time_s,
        e.layers.iter().map(|l| l.time_s).sum(),
        1e-6,
    );
    // With so many as tall nearly nothing is slowed there; with one fewer it is.
    let slowed = |n: usize| {
        let e = estimate(&short_and_tall(&recipe, &row(n, 9.0)), &recipe, Tour::Exact);
        e.layers[30..].iter().filter(|l| l.headroom.is_some_and(|h| h < 1.0)).count()
    };
    let n = last.copies_needed as usize;
    assert!(n > 1 && slowed(n) <= 1 && slowed(n - 1) > 1, "{n}: {} {}", slowed(n), slowed(n - 1));
    // Equal heights, or enough time: no finding.
    assert_eq!(last_copy(&estimate(&all[..4], &recipe, Tour::Exact), &recipe, |_| 9.0), None);
    let free = Recipe { floor: LayerFloor::None, ..recipe };
    assert_eq!(last_copy(&estimate(&all, &free, Tour::Exact), &free, |_| 9.0), None);
}

/// The number is that of a plate of so many copies beside it, whatever the moves take: with long moves and slow retractions fewer copies
/// serve, and one fewer never does.
#[test]
fn the_last_copy_needs_as_many_as_plates_show() {
    let mut told = Vec::new();
    for (pitch_mm, recipe) in [
        (7.0, plain()),
        (9.0, Recipe { retraction_mm: 6.0, ..plain() }),
        (60.0, plain()),
        (9.0, Recipe { time_factor: 1.3, layer_change_s: 2.0, ..plain() }),
    ] {
        let all = short_and_tall(&recipe, &[Placement::at(100.0, 100.0)]);
        let last = last_copy(&estimate(&all, &recipe, Tour::Exact), &recipe, |_| pitch_mm).expect("one goes on alone");
        let slowed = |n: usize| {
            let e = estimate(&short_and_tall(&recipe, &row(n, pitch_mm)), &recipe, Tour::Exact);
            e.layers[30..].iter().filter(|l| l.headroom.is_some_and(|h| h < 1.0 - 1e-9)).count()
        };
        let n = last.copies_needed as usize;
        assert!(n > 1 && slowed(n) <= 1 && slowed(n - 1) > 1, "{pitch_mm}: {n}: {} {}", slowed(n), slowed(n - 1));
        told.push(n);
    }
    assert!(told[1] < told[0] && told[2] < told[0], "{told:?}");
}

#[test]
fn slowing_waiting_unserved() {
    let seconds = 30.0;
    let floor = LayerFloor::Typed { seconds };
    let slow = Recipe { floor, ..plain() };
    let p = Arc::new(prism(&block(8.0, 8.0), 30, &slow));
    let bare = Arc::new(FootingProfile::none());
    let one = copies(&p, &bare, &row(1, 0.0));
    let e = estimate(&one, &slow, Tour::Exact);
    assert!(e.items.waiting_s == 0.0 && e.layers[10].unserved_s > 0.0);
    near(e.layers[10].time_s + e.layers[10].unserved_s, seconds, 1e-9);
    near(e.layers[10].time_s, p.layers()[10].slowest_s() + slow.layer_change_s + e.arrivals_s[10], 1e-9);
    let waits = Recipe { wait_when_short: true, ..slow };
    let w = estimate(&one, &waits, Tour::Exact);
    near(w.layers[10].time_s, seconds, 1e-9);
    near(w.items.waiting_s, e.layers.iter().map(|l| l.unserved_s).sum(), 1e-9);
    let s = cooling_summary(&e);
    assert_eq!((s.short_layers, s.first_layer_short), (30, true));
    near(s.unserved_s, w.items.waiting_s, 1e-9);
}

/// Between layers there is one move, from where the one ends to where the next begins: of one copy on every layer above the first, of
/// many no more than that, and none where moves are left out.
#[test]
fn layers_are_joined_by_one_move() {
    let recipe = Recipe { floor: LayerFloor::None, ..plain() };
    let p = Arc::new(prism(&block(20.0, 20.0), 30, &recipe));
    let bare = Arc::new(FootingProfile::none());
    let (first, next) = (p.layers()[9], p.layers()[10]);
    near(next.arrival_mm, first.end.distance(next.begin), 1e-9);
    assert!(next.arrival_mm > 1.0 && p.layers()[0].arrival_mm == 0.0);
    let way = motion::rest_to_rest_s(next.arrival_mm, recipe.travel_mm_s, recipe.travel_acceleration_mm_s2);
    for copies in [copies(&p, &bare, &row(1, 30.0)), copies(&p, &bare, &row(5, 30.0))] {
        let (with, without) = (estimate(&copies, &recipe, Tour::Exact), estimate(&copies, &recipe, Tour::None));
        near(with.arrivals_s[10], recipe.time_factor * way, 1e-9);
        assert_eq!((with.arrivals_s[0], without.arrivals_s[10]), (0.0, 0.0));
        if copies.len() == 1 {
            near(with.layers[10].natural_s - without.layers[10].natural_s, with.arrivals_s[10], 1e-9);
            near(with.time_s - without.time_s, with.arrivals_s.iter().sum(), 1e-6);
        }
    }
    // Two islands: the last of one layer, the first of the next; over the gap the filament is drawn back.
    let mut two = block(5.0, 5.0);
    two.polygons.extend(block(5.0, 5.0).map(|p| p + Point::new(40.0, 0.0)).polygons);
    let p = prism(&two, 10, &recipe);
    assert!(p.layers()[1..].iter().all(|l| l.arrival_mm > 30.0 && l.arrival_drawn_back));
}

#[test]
fn only_one_left_above() {
    let recipe = plain();
    let e = estimate(&short_and_tall(&recipe, &[Placement::at(100.0, 100.0)]), &recipe, Tour::Exact);
    assert_eq!(cooling_summary(&e).alone_from, Some(30));
    assert_eq!(e.layers[29].copies.len(), 5);
    assert_eq!(&e.layers[30].copies[..], &[4]);
    assert!(e.layers[40].headroom < e.layers[20].headroom);
}

#[test]
fn footings_cost_time_and_a_raft_lifts() {
    let recipe = plain();
    let section = block(20.0, 20.0);
    let p = Arc::new(prism(&section, 40, &recipe));
    let with = |footing| {
        let f = Arc::new(FootingProfile::compute(&section, footing, &recipe).expect("sound"));
        (estimate(&copies(&p, &f, &row(1, 0.0)), &recipe, Tour::Exact), f)
    };
    let (bare, _) = with(Footing::Bare);
    let (brim, b) = with(Footing::Brim { width_mm: 4.5 });
    let (raft, r) = with(Footing::Raft { width_mm: 4.5 });
    assert_eq!((bare.layers.len(), brim.layers.len(), raft.layers.len()), (40, 40, 44));
    near(bare.items.footing_s, 0.0, 0.0);
    // Steiner: area grown by d is A + P d + π d².
    let grown = 80.0 * 4.5 + std::f64::consts::PI * 4.5 * 4.5;
    near(b.volume_mm3(), grown * 0.2, 0.3);
    near(r.volume_mm3(), (400.0 + grown) * 0.8, 0.5);
    near(r.lift_mm(&recipe), 0.8, 1e-12);
    assert!(raft.items.footing_s > brim.items.footing_s && brim.items.footing_s > 0.0);
    near(
        brim.time_s - bare.time_s,
        brim.items.footing_s + brim.items.travel_s - bare.items.travel_s + brim.items.retraction_s
            - bare.items.retraction_s
            + brim.items.slowing_s
            - bare.items.slowing_s,
        1e-9,
    );
    for width_mm in [f64::NAN, -1.0, 1e9] {
        assert!(FootingProfile::compute(&section, Footing::Brim { width_mm }, &recipe).is_err());
    }
}

#[test]
fn skirt_and_purge_are_counted() {
    let recipe = plain();
    let section = block(20.0, 20.0);
    let p = Arc::new(prism(&section, 10, &recipe));
    let f = Arc::new(FootingProfile::compute(&section, Footing::Bare, &recipe).expect("sound"));
    let without = estimate(&copies(&p, &f, &row(1, 0.0)), &recipe, Tour::Exact);
    let skirt = Recipe { skirt_loops: 2, ..plain() };
    let with = estimate(&copies(&p, &f, &row(1, 0.0)), &skirt, Tour::Exact);
    let length = 2.0 * 80.0 + std::f64::consts::TAU * (5.225 + 5.675);
    near(with.filament.volume_mm3 - without.filament.volume_mm3, length * 0.09, 1e-6);
    assert!(with.items.footing_s > length / 25.0);
    near(without.filament.volume_mm3, p.volume_mm3() + 60.0, 1e-9);
}

/// A skirt is a path like any other: slowed for at its corners, with moves from loop to loop and from there to the first copy.
#[test]
fn a_skirt_is_laid_with_its_corners_and_moves() {
    let (section, bare) = (block(20.0, 20.0), Footing::Bare);
    let p = Arc::new(prism(&section, 10, &plain()));
    let f = Arc::new(FootingProfile::compute(&section, bare, &plain()).expect("sound"));
    let all = copies(&p, &f, &row(1, 0.0));
    // Without a gap, at 150 mm/s: four sides of 20 mm and a round of 0.225 mm, at whose corners the head is slow. By hand, as one
    // straight move from rest to rest: 0.1 s and 7.5 mm to get there, the same at the end.
    let fast = Recipe { skirt_loops: 1, skirt_gap_mm: 0.0, first_layer_mm_s: 150.0, wall_mm_s: 150.0, ..plain() };
    let fast = Recipe { flow_mm3_s: 100.0, ..fast };
    let length = 80.0 + std::f64::consts::TAU * 0.225;
    let straight = 0.2 + (length - 15.0) / 150.0;
    let share = estimate(&all, &fast, Tour::Exact).items.footing_s / straight;
    assert!((1.1..1.5).contains(&share), "{share}");
    // The moves: 1 to 40 mm from the skirt's front left corner to the block, through open air; half a bead to two from loop to loop.
    let with = |skirt_loops| estimate(&all, &Recipe { skirt_loops, ..plain() }, Tour::Exact).items;
    let (none, one, two) = (with(0), with(1), with(2));
    let way = |mm| motion::rest_to_rest_s(mm, 150.0, 2000.0);
    assert!((way(5.0)..way(40.0)).contains(&(one.travel_s - none.travel_s)), "{}", one.travel_s - none.travel_s);
    near(one.retraction_s - none.retraction_s, 2.0 / 35.0, 1e-9);
    assert!((way(0.22)..way(0.9)).contains(&(two.travel_s - one.travel_s)), "{}", two.travel_s - one.travel_s);
    near(two.retraction_s, one.retraction_s, 1e-9);
    // Loops beyond number are laid in groups; their length stays true.
    let many = Recipe { skirt_loops: 1000, ..plain() };
    let (few, many) = (estimate(&all, &plain(), Tour::None), estimate(&all, &many, Tour::None));
    let length = 1000.0 * (80.0 + std::f64::consts::TAU * (5.0 + 0.45 * 500.0));
    near((many.filament.volume_mm3 - few.filament.volume_mm3) / (length * 0.09), 1.0, 1e-9);
    near(many.items.footing_s * 25.0 / length, 1.0, 0.02);
}

#[test]
fn absurd_recipes_are_refused_in_words() {
    let odd = [
        (Recipe { wall_mm_s: 0.0, ..plain() }, "wall speed"),
        (Recipe { layer_height_mm: 0.6, ..plain() }, "layer is 0.6 mm high"),
        (Recipe { infill: 1.5, ..plain() }, "infill density is 1.5"),
        (Recipe { infill: f64::NAN, ..plain() }, "infill density"),
        (Recipe { acceleration_mm_s2: f64::NAN, ..plain() }, "acceleration"),
        (Recipe { flow_mm3_s: -1.0, ..plain() }, "flow"),
        (Recipe { walls: u32::MAX, ..plain() }, "walls"),
        (Recipe { raft_layers: u32::MAX, ..plain() }, "raft"),
        (Recipe { time_factor: 0.0, ..plain() }, "time factor"),
        (Recipe { floor: LayerFloor::Typed { seconds: f64::INFINITY }, ..plain() }, "minimum layer time"),
    ];
    for (recipe, words) in odd {
        let said = check_recipe(&recipe).map_or_else(|e| e.to_string(), |()| "nothing".into());
        assert!(said.contains(words), "{said} should speak of {words}");
        let spans = [layer_span(&plain(), 0)];
        assert!(matches!(Profile::compute(&[block(5.0, 5.0)], &spans, &recipe, &Quiet), Err(ProfileError::Recipe(_))));
        let (machine, material) = (bench(), pla());
        let input = PlateInput { machine: &machine, material: &material, recipe: &recipe, copies: &[] };
        assert!(plate(&input, Tour::Exact).is_err());
    }
}

#[test]
fn strange_sections_are_survived() {
    let recipe = plain();
    let nan = Region::from(Polygon {
        outer: vec![Point::new(f64::NAN, 0.0), Point::new(1.0, 0.0), Point::new(0.0, 1.0)],
        holes: vec![],
    });
    let sections = [block(0.1, 10.0), Region::EMPTY, nan, block(1e-7, 1e-7), block(5.0, 5.0)];
    let p = compute(&sections, &recipe);
    assert_eq!(p.layers().len(), 5);
    assert!(p.layers().iter().all(|l| l.time_s().is_finite() && l.volume_mm3() >= 0.0));
    assert!(p.layers()[1].is_empty() && p.layers()[2].is_empty());
    // Thinner than a bead: one bead of its own width.
    near(p.layers()[0].walls.length_mm, 10.0, 1e-6);
    near(p.layers()[0].volume_mm3(), 1.0 * 0.2, 1e-6);
    let nothing = compute(&[], &recipe);
    let e =
        estimate(&copies(&Arc::new(nothing), &Arc::new(FootingProfile::none()), &row(2, 9.0)), &recipe, Tour::Exact);
    assert_eq!((e.layers.len(), e.time_s), (0, 300.0));
}

/// A part lower than one layer is one solid layer.
#[test]
fn a_part_of_one_layer() {
    let recipe = plain();
    assert_eq!(layers(&recipe, 0.05).len(), 1);
    let p = compute(&[block(10.0, 10.0)], &recipe);
    let only = p.layers()[0];
    assert_eq!((p.layers().len(), only.infill.length_mm), (1, 0.0));
    near(only.volume_mm3(), 100.0 * 0.2, 0.1);
    let none = compute(&[block(10.0, 10.0)], &Recipe { walls: 0, infill: 0.0, ..plain() });
    near(none.layers()[0].volume_mm3(), 100.0 * 0.2, 0.1);
}

/// Coordinates that no bed holds are left out, as those that are no numbers are; up to there they take bounded time.
#[test]
fn absurd_coordinates_are_survived() {
    let sections = [1e6, 1e7, 1e30, 1e300].map(|size| block(size, size));
    let p = compute(&sections, &plain());
    assert!(p.layers().iter().all(|l| l.time_s().is_finite() && l.volume_mm3().is_finite()));
    assert!(p.layers()[0].volume_mm3() > 0.0 && p.layers()[2].is_empty() && p.layers()[3].is_empty());
}

/// Told to stop while islands without number are laid, it stops within the layer.
#[test]
fn one_layer_is_left_in_its_middle() {
    struct After(std::sync::atomic::AtomicUsize);
    impl Watch for After {
        fn cancelled(&self) -> bool {
            self.0.fetch_add(1, std::sync::atomic::Ordering::Relaxed) > 100
        }
    }
    let islands = (0..3000).flat_map(|i| {
        block(2.0, 2.0).map(|p| p + Point::new(f64::from(i % 60) * 3.0, f64::from(i / 60) * 3.0)).polygons
    });
    let section = Region { polygons: islands.collect() };
    let watch = After(0.into());
    let spans = [layer_span(&plain(), 0)];
    assert_eq!(Profile::compute(&[section], &spans, &plain(), &watch).err(), Some(ProfileError::Cancelled));
    assert!(watch.0.into_inner() < 1000);
}

/// Thousands of islands and a flood of layers end when told to.
#[test]
fn islands_and_cancelling() {
    struct Stop;
    impl Watch for Stop {
        fn cancelled(&self) -> bool {
            true
        }
    }
    let islands = Region {
        polygons: (0..3000)
            .map(|i| {
                let at = Point::new(f64::from(i % 60) * 3.0, f64::from(i / 60) * 3.0);
                Polygon::rectangle(Bounds::new(at, at + Point::new(2.0, 2.0)))
            })
            .collect(),
    };
    let recipe = plain();
    let spans: Vec<LayerSpan> = (0..20_000).map(|i| layer_span(&recipe, i)).collect();
    let start = std::time::Instant::now();
    let flood = vec![block(5.0, 5.0); 20_000];
    assert_eq!(Profile::compute(&flood, &spans, &recipe, &Stop).err(), Some(ProfileError::Cancelled));
    let p = compute(&flood, &recipe);
    assert_eq!(p.layers().len(), 20_000);
    let many = compute(&[islands.clone(), islands], &recipe);
    assert!(many.layers()[0].retractions >= 2999);
    assert!(start.elapsed().as_secs() < 20, "{:?}", start.elapsed());
}

/// 500 copies, the worst dragging: the approximate way is never absurdly long.
#[test]
fn dragging_keeps_close_to_the_drop() {
    let recipe = plain();
    let p = Arc::new(prism(&block(4.0, 4.0), 5, &recipe));
    let bare = Arc::new(FootingProfile::none());
    let places: Vec<Placement> =
        (0..500).map(|i| Placement::at(f64::from(i % 25) * 9.0, f64::from(i / 25) * 9.0)).collect();
    let mut all = copies(&p, &bare, &places);
    let before = estimate(&all, &recipe, Tour::Exact);
    all[37].placement = Placement::at(200.0, 170.0);
    let drag = estimate(&all, &recipe, Tour::Approximate(&before.tours));
    let drop = estimate(&all, &recipe, Tour::Exact);
    assert!((drag.time_s - drop.time_s).abs() < 0.02 * drop.time_s, "{} against {}", drag.time_s, drop.time_s);
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(40))]
    /// Items add up to the time, the layers to what is between heat-up and end; a turn about Z changes nothing.
    #[test]
    fn items_add_up_and_turns_do_not_matter(
        places in prop::collection::vec((0.0..200.0f64, 0.0..200.0f64, 0.0..6.3f64), 1..9),
        side in 0.3..20.0f64, layers in 1..30usize, seconds in 0.0..40.0f64, factor in 0.5..2.0f64, wait: bool, loops in 0..3u32,
        raft: bool,
    ) {
        let recipe = Recipe {
            floor: LayerFloor::Typed { seconds }, time_factor: factor, wait_when_short: wait, skirt_loops: loops, ..plain()
        };
        let section = block(side, 11.0);
        let p = Arc::new(prism(&section, layers, &recipe));
        let footing = if raft { Footing::Raft { width_mm: 2.0 } } else { Footing::Brim { width_mm: 3.0 } };
        let f = Arc::new(FootingProfile::compute(&section, footing, &recipe).expect("sound"));
        let placed: Vec<Placement> = places.iter().map(|&(x, y, t)| Placement::new(x, y, t)).collect();
        let e = estimate(&copies(&p, &f, &placed), &recipe, Tour::Exact);
        prop_assert!((e.items.total_s() - e.time_s).abs() <= 1e-9 * e.time_s);
        let of_layers: f64 = e.layers.iter().map(|l| l.time_s).sum();
        prop_assert!((of_layers + e.items.heat_up_s + e.items.end_s - e.time_s).abs() <= 1e-9 * e.time_s);
        let of_volume: f64 = e.layers.iter().map(|l| l.volume_mm3).sum::<f64>() + recipe.purge_mm3;
        prop_assert!((of_volume - e.filament.volume_mm3).abs() <= 1e-9 * of_volume);
        prop_assert!(e.items.list().iter().all(|i| i.1 >= 0.0 && i.1.is_finite()));
        for l in &e.layers {
            prop_assert!(l.minimum_s.is_none_or(|m| l.time_s + l.unserved_s >= m - 1e-9));
            prop_assert!(wait == (l.unserved_s == 0.0) || l.unserved_s == 0.0);
        }
        if loops == 0 {
            let unturned: Vec<Placement> = places.iter().map(|&(x, y, _)| Placement::at(x, y)).collect();
            let a = estimate(&copies(&p, &f, &placed), &recipe, Tour::None);
            let b = estimate(&copies(&p, &f, &unturned), &recipe, Tour::None);
            prop_assert_eq!(a.items, b.items);
            let a = estimate(&copies(&p, &f, &placed[..1]), &recipe, Tour::Exact);
            let b = estimate(&copies(&p, &f, &unturned[..1]), &recipe, Tour::Exact);
            prop_assert_eq!(a.items, b.items);
        }
    }
}
