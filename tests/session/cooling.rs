//! Cooling: what is found, and what would help.

use stonehand::{
    document::{LayerFloor, Part, Pose, Recipe, Support},
    estimate::PlateEstimate,
    finding::{Finding, FindingKind, Level, Remedy},
    geom::Point,
    session::Action,
};

use super::desk::Desk;

fn last_copy_findings(desk: &Desk) -> Vec<Finding> {
    let s = &desk.session;
    let view = s.plate_id().and_then(|p| s.view(p)).expect("a plate");
    let goes = |f: &&Finding| f.kind == FindingKind::Cooling && matches!(f.remedy, Some(Remedy::MoveToNewPlate { .. }));
    view.findings.iter().filter(goes).cloned().collect()
}

/// Three low parts and a tall one.
fn mixed_heights() -> Desk {
    let mut desk = Desk::with_job();
    desk.act(Action::AddFiles(vec!["/shop/queen-cage-peg.stl".into()]));
    let peg = desk.session.job().parts[1].clone();
    let pose = Pose { scale_percent: 190.0, ..peg.pose };
    desk.act(Action::SetPart(Box::new(Part { pose, ..peg.clone() })));
    desk.act(Action::PlaceAt(peg.id, Point::new(180.0, 140.0)));
    desk
}

#[test]
fn a_tall_copy_left_alone_is_told_with_height_seconds_and_a_remedy() {
    let mut desk = mixed_heights();
    let found = last_copy_findings(&desk);
    let [finding] = &found[..] else { panic!("one finding: {found:?}") };
    let height = finding.height_mm.expect("a height");
    let low = desk.session.shapes()[&desk.part()].height_mm;
    assert!((height - low).abs() < 0.11, "{height} is the top of the low parts, {low}");
    let from = format!("from {height:.1} to ");
    for words in [from.as_str(), "too quick to cool", " more than now", "on another plate"] {
        assert!(finding.text.contains(words), "{words:?} in {}", finding.text);
    }
    // The particulars' number is no smaller, and how many more is that less the one that is there.
    let peg = desk.session.job().parts[1].id;
    let until = desk.session.copies_until_slowing_ends(peg).expect("a minimum is set").every_layer;
    let after = |words: &str| -> u32 {
        let number = finding.text.split(words).nth(1).and_then(|t| t.split(' ').next()).expect(words);
        number.parse().expect("a number")
    };
    let (copies, more) = (after("With "), after("growing there, "));
    assert!(copies <= until && more + 1 == copies, "{until}: {}", finding.text);
    let remedy = finding.remedy.clone().expect("a remedy");
    desk.act(Action::Remedy(remedy));
    assert_eq!(desk.session.job().plates.len(), 2);
    for plate in desk.session.job().plates.clone() {
        desk.act(Action::ShowPlate(plate.id));
        assert!(last_copy_findings(&desk).is_empty());
    }
}

#[test]
fn the_recipe_decides_what_a_layer_needs_and_whether_there_are_supports() {
    let mut desk = mixed_heights();
    let seconds = |d: &Desk| {
        let s = &d.session;
        let e = s.plate_id().and_then(|p| s.view(p)).and_then(|v| v.estimate.clone()).expect("an estimate");
        (e.layers[20].minimum_s, e.items.support_s)
    };
    let (lumped, none) = seconds(&desk);
    assert_eq!(none, 0.0);
    let peg = desk.session.job().parts[1].id;
    assert!(desk.session.copies_until_slowing_ends(peg).is_some());
    let recipe = desk.session.job().recipes[0].clone();
    let support = Some(Support { overhang_deg: 0.0, density: 0.2 });
    desk.act(Action::SetRecipe(Box::new(Recipe { floor: LayerFloor::MaterialBySize, support, ..recipe.clone() })));
    let (by_size, _) = seconds(&desk);
    assert!(by_size.is_some() && by_size != lumped, "{by_size:?} {lumped:?}");
    desk.act(Action::SetRecipe(Box::new(Recipe { floor: LayerFloor::None, ..recipe })));
    assert_eq!(seconds(&desk), (None, 0.0));
    assert_eq!(desk.session.copies_until_slowing_ends(peg), None);
}

/// The plate's estimate in this recipe, and what is found of cooling.
fn cooled(desk: &mut Desk, recipe: Recipe) -> (PlateEstimate, Vec<(Level, String)>) {
    desk.act(Action::SetRecipe(Box::new(recipe)));
    let s = &desk.session;
    let view = s.plate_id().and_then(|p| s.view(p)).expect("a plate");
    let cooling = view.findings.iter().filter(|f| f.kind == FindingKind::Cooling);
    (view.estimate.clone().expect("an estimate"), cooling.map(|f| (f.level, f.text.clone())).collect())
}

/// An hour a layer is far beyond what the least speed can serve.
#[test]
fn what_the_least_speed_does_not_serve_is_told_unless_the_recipe_waits() {
    const HOUR_S: f64 = 3600.0;
    let mut desk = Desk::with_job();
    let plain = desk.session.job().recipes[0].clone();
    let short = Recipe { floor: LayerFloor::Typed { seconds: HOUR_S }, wait_when_short: false, ..plain.clone() };
    let (e, found) = cooled(&mut desk, short.clone());
    assert!(e.layers.iter().all(|l| l.unserved_s > 0.0) && e.items.waiting_s == 0.0);
    let [(Level::Watch, text)] = &found[..] else { panic!("one finding to watch: {found:?}") };
    let unserved_s: f64 = e.layers.iter().map(|l| l.unserved_s).sum();
    let told = stonehand::drawing::words::time(unserved_s);
    assert!(text.ends_with(&format!("; slowing to the minimum speed still leaves {told} unserved")), "{text}");
    // By another way: a recipe that knows no other speed than the least takes what is left of each hour.
    let v = plain.least_mm_s;
    let slow = Recipe { wall_mm_s: v, solid_mm_s: v, infill_mm_s: v, first_layer_mm_s: v, ..plain };
    let (slow, found) = cooled(&mut desk, Recipe { floor: LayerFloor::None, ..slow });
    assert_eq!((slow.layers.len(), found.len()), (e.layers.len(), 0));
    let missing_s: f64 = slow.layers.iter().map(|l| HOUR_S - l.natural_s).sum();
    assert!((unserved_s / missing_s - 1.0).abs() < 0.005, "{unserved_s} of {missing_s}");
    // Waited for, nothing is missing: the same seconds are priced as waiting, and told so.
    let (waits, found) = cooled(&mut desk, Recipe { wait_when_short: true, ..short });
    assert!(waits.layers.iter().all(|l| l.unserved_s == 0.0 && (l.time_s - HOUR_S).abs() < 1e-6));
    assert!((waits.items.waiting_s - unserved_s).abs() <= 0.5 && waits.items.slowing_s == e.items.slowing_s);
    let [(Level::Note, text)] = &found[..] else { panic!("one note: {found:?}") };
    assert!(!text.contains("unserved") && text.contains("waiting between layers adds "), "{text}");
}

/// Columns stand between the contact and the shadow, and only while somebody looks into a height are they worked out.
#[test]
fn supports_are_there_to_draw_while_the_height_cursor_is_out() {
    let mut desk = Desk::new();
    desk.act(Action::AddFiles(vec!["/shop/feeder-funnel.stl".into()]));
    let part = desk.part();
    desk.act(Action::PlaceAt(part, Point::new(100.0, 100.0)));
    let recipe = desk.session.job().recipes[0].clone();
    desk.session.act(Action::ShowHeight(Some(1.0)));
    desk.session.tick();
    assert!(desk.session.supports(part).is_none(), "the recipe has none");
    let support = Some(Support { overhang_deg: 20.0, density: 0.15 });
    desk.act(Action::SetRecipe(Box::new(Recipe { support, ..recipe })));
    assert!(desk.session.supports(part).is_none(), "nobody looks");
    desk.session.act(Action::ShowHeight(Some(1.0)));
    desk.session.tick();
    let columns = desk.session.supports(part).expect("they are worked out");
    let shape = &desk.session.shapes()[&part];
    let (low, room) = (columns[0].area(), shape.shadow.region().area() - shape.contact.region().area());
    assert!(low > 0.2 * room && low <= room * 1.01, "{low} of {room}");
    assert!(columns.last().is_some_and(|top| top.is_empty()), "nothing hangs over the top");
}
