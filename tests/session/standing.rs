//! How firmly copies stand: live, with remedies that are one step each.

use stonehand::{
    document::{Assumptions, Column, Footing, Part, PullTest},
    finding::{Finding, FindingKind, Remedy},
    geom::Point,
    session::{Action, PartStanding},
};

use super::desk::Desk;

/// Two copies of the tall peg on one plate.
fn pegs() -> Desk {
    let mut desk = Desk::new();
    desk.act(Action::AddFiles(vec!["/shop/queen-cage-peg.stl".into()]));
    for x in [60.0, 120.0] {
        desk.act(Action::PlaceAt(desk.part(), Point::new(x, 60.0)));
    }
    desk.session.take_notices();
    desk
}

fn standing(desk: &Desk) -> Vec<PartStanding> {
    let plate = desk.session.plate_id().expect("a plate is shown");
    desk.session.view(plate).expect("it is derived").standing.clone()
}

fn margin(desk: &Desk) -> f64 {
    standing(desk)[0].judged.judgement.margin()
}

#[test]
fn margins_follow_footing_and_assumptions() {
    let mut desk = pegs();
    let all = standing(&desk);
    assert_eq!((all.len(), all[0].copies.len()), (1, 2), "alike copies are judged together");
    let bare = margin(&desk);
    // A peg 3 mm wide and many times as high: science of the push, S = π d³/32 at most, far below 1 at 1 N.
    assert!(bare < 0.5, "{bare}");
    desk.act(Action::SelectAll);
    desk.act(Action::Footing(Some(Footing::Brim { width_mm: 5.0 })));
    let brim = margin(&desk);
    assert!(brim > 2.0 * bare, "{bare} {brim}");
    // Twice the force, half the margin where weight counts for nothing.
    desk.act(Action::SetAssumptions(Assumptions { sideways_n: 2.0, ..Assumptions::default() }));
    let pushed = margin(&desk);
    assert!((pushed / brim - 0.5).abs() < 0.02, "{brim} {pushed}");
    desk.act(Action::Undo);
    assert_eq!(margin(&desk).to_bits(), brim.to_bits());
}

#[test]
fn suggested_footings_are_one_step() {
    let mut desk = pegs();
    let plate = desk.session.plate_id().expect("a plate is shown");
    assert!(desk.has(FindingKind::TipOver));
    assert_eq!(desk.session.needing_footing(plate), 2);
    let before = desk.bytes();
    desk.act(Action::SuggestedFootings(plate));
    assert_eq!(desk.session.needing_footing(plate), 0);
    let suggested = standing(&desk)[0].footing;
    assert_ne!(suggested, Footing::Bare);
    desk.act(Action::Undo);
    assert_eq!(desk.bytes(), before);
    // The finding's own button does the same.
    let finding =
        desk.session.all_findings().into_iter().find(|f| f.kind == FindingKind::TipOver).expect("it is found");
    let Some(remedy @ Remedy::SetFooting { .. }) = finding.remedy.clone() else { panic!("{finding:?}") };
    desk.act(Action::Remedy(remedy));
    assert_eq!(standing(&desk)[0].footing, suggested);
}

#[test]
fn a_pull_test_is_the_adhesion_from_then_on() {
    let mut desk = pegs();
    let material = desk.session.job().materials[0].id;
    let bare = margin(&desk);
    // A round column 10 mm wide tips at 2 N, 50 mm up: 2 · 50 / 98.1748 MPa = 1018.6 kPa, against 100 assumed.
    let test = PullTest {
        date: "2026-03-02".into(),
        column: Column::Round { diameter_mm: 10.0 },
        height_mm: 50.0,
        force_n: 2.0,
    };
    desk.act(Action::RecordPullTest { material, surface: String::new(), test });
    let (kpa, origin) = desk.session.job().materials[0].adhesion_on("any");
    assert!((kpa - 1018.592).abs() < 1e-2 && origin == "pull test of 2026-03-02", "{kpa} {origin}");
    assert!((margin(&desk) / bare / 10.186 - 1.0).abs() < 0.02);
}

#[test]
fn a_fall_reaches_what_stands_within_its_height() {
    let mut desk = pegs();
    let copies: Vec<_> = desk.session.plate().expect("a plate").copies.iter().map(|c| c.id).collect();
    let reached = desk.session.fall_of(copies[0]).expect("it is judged").strikes;
    // 60 mm apart, and the peg is higher than that.
    assert_eq!(reached.len(), 1);
    desk.act(Action::SelectNone);
    desk.act(Action::PlaceAt(desk.part(), Point::new(60.0, 180.0)));
    let reached = desk.session.fall_of(copies[0]).expect("it is judged").strikes;
    assert_eq!(reached.len(), 1, "the third stands farther off than the peg is high");
}

/// A copy on its part's footing follows it; one with its own keeps that, and it is told.
#[test]
fn a_footing_for_a_part_holds_for_all_copies_without_their_own() {
    let mut desk = pegs();
    let own = Footing::Brim { width_mm: 3.0 };
    let first = desk.session.plate().expect("a plate").copies[0].id;
    desk.act(Action::Select { copies: vec![first], additive: false });
    desk.act(Action::Footing(Some(own)));
    let part = desk.session.job().parts[0].clone();
    let raft = Footing::Raft { width_mm: 4.0 };
    desk.act(Action::SetPart(Box::new(Part { footing: raft, ..part.clone() })));
    assert_eq!(desk.told(), "1 copy of A keeps its own footing");
    let footings = |desk: &Desk| {
        let job = desk.session.job();
        job.plates[0].copies.iter().map(|c| job.footing(c)).collect::<Vec<_>>()
    };
    assert_eq!(footings(&desk), [own, raft]);
    desk.act(Action::SetPart(Box::new(Part { footing: raft, wanted: 9, ..part })));
    assert_eq!(desk.told(), "", "nothing of its footing was changed");
    assert_eq!(desk.session.with_own_footing(desk.part()), 1);
    desk.act(Action::FootingAsPart(desk.part()));
    assert_eq!(footings(&desk), [raft, raft]);
    assert_eq!(desk.session.with_own_footing(desk.part()), 0);
    assert!(desk.session.try_act(Action::FootingAsPart(desk.part())).is_err());
}

/// Where these copies are all that follow the part, the part gets what they are given; else it is their own.
#[test]
fn a_remedy_changes_the_part_only_where_no_other_copy_follows_it() {
    let mut desk = pegs();
    let footing = Footing::Raft { width_mm: 6.0 };
    let copies: Vec<_> = desk.session.plate().expect("a plate").copies.iter().map(|c| c.id).collect();
    desk.act(Action::Remedy(Remedy::SetFooting { copies: vec![copies[0]], footing }));
    let of = |desk: &Desk| {
        let job = desk.session.job();
        (job.parts[0].footing, job.plates[0].copies.iter().map(|c| c.footing).collect::<Vec<_>>())
    };
    assert_eq!(of(&desk), (Footing::Bare, vec![Some(footing), None]));
    assert_eq!(desk.told(), "1 copy has a footing of its own now");
    desk.act(Action::Remedy(Remedy::SetFooting { copies: vec![copies[1]], footing }));
    assert_eq!(of(&desk), (footing, vec![Some(footing), None]), "it was the only one that followed");
    assert_eq!(desk.told(), "");
    desk.act(Action::Undo);
    assert_eq!(of(&desk).0, Footing::Bare, "one step");
}

#[test]
fn on_a_raft_nothing_is_said_of_contact_with_the_bed() {
    let mut desk = Desk::new();
    desk.act(Action::AddFiles(vec!["/shop/feeder-funnel.stl".into()]));
    desk.act(Action::PlaceAt(desk.part(), Point::new(60.0, 60.0)));
    let said = |desk: &Desk| {
        let all = desk.session.all_findings();
        ["starts thin", "stands tall", "hardly touches the bed"].map(|w| all.iter().any(|f| f.text.contains(w)))
    };
    assert_eq!(said(&desk), [true; 3]);
    let part = desk.session.job().parts[0].clone();
    desk.act(Action::SetPart(Box::new(Part { footing: Footing::Raft { width_mm: 6.0 }, ..part })));
    assert_eq!(said(&desk), [false; 3]);
}

fn tip_over(desk: &Desk) -> Finding {
    let found = desk.session.all_findings().into_iter().find(|f| f.kind == FindingKind::TipOver);
    found.expect("a peg could tip over").clone()
}

fn remedies(f: &Finding) -> Vec<Remedy> {
    f.remedy.iter().chain(&f.more).cloned().collect()
}

/// Copies that a fall of some copy on the plate would strike, counted once a pair.
fn strikes(desk: &Desk) -> usize {
    let copies: Vec<_> = desk.session.plate().expect("a plate").copies.iter().map(|c| c.id).collect();
    copies.iter().filter_map(|c| desk.session.fall_of(*c)).map(|f| f.strikes.len()).sum()
}

#[test]
fn a_finding_names_what_a_fall_reaches_and_offers_every_way_out() {
    let mut desk = pegs();
    let found = tip_over(&desk);
    assert!(found.text.starts_with("A 1, A 2 could tip over above "), "{}", found.text);
    assert!(found.text.contains("; would reach A 1, A 2. Suggested: "), "{}", found.text);
    let part = desk.part();
    let copies = found.copies.clone();
    let all = remedies(&found);
    assert!(matches!(all[0], Remedy::SetFooting { .. } | Remedy::Show { .. }), "{all:?}");
    // No other copy lies on this plate: one of their own would change nothing.
    assert_eq!(all[1..], [Remedy::RankPoses { part }, Remedy::MoveOutOfReach { copies }]);
    desk.act(Action::Remedy(Remedy::RankPoses { part }));
    assert!(!remedies(&tip_over(&desk)).iter().any(|r| matches!(r, Remedy::RankPoses { .. })), "they are ranked");
}

/// A flat part stood on its edge: the ranked poses know a firmer one.
#[test]
fn a_firmer_pose_is_offered_and_taken() {
    let mut desk = Desk::new();
    desk.act(Action::AddFiles(vec![super::desk::MESH.into()]));
    let part = desk.part();
    desk.act(Action::TurnPart(part, 90.0, 0.0));
    for x in [60.0, 160.0] {
        desk.act(Action::PlaceAt(part, Point::new(x, 60.0)));
    }
    assert!(remedies(&tip_over(&desk)).contains(&Remedy::RankPoses { part }));
    desk.act(Action::Remedy(Remedy::RankPoses { part }));
    let found = tip_over(&desk);
    let Remedy::LayDown { height_mm, margin, .. } = found.more[0] else { panic!("{found:?}") };
    assert!(margin >= 1.0 && height_mm < 20.0, "it lies firmly: {margin} at {height_mm} mm");
    let label = found.more[0].label().into_owned();
    assert!(label.starts_with("Lay it down: ") && label.contains(" mm high, margin "), "{label}");
    let before = desk.bytes();
    desk.act(Action::Remedy(found.more[0].clone()));
    assert!(!desk.has(FindingKind::TipOver), "it lies");
    assert!((desk.session.shapes()[&part].height_mm - height_mm).abs() < 1e-6);
    desk.act(Action::Undo);
    assert_eq!(desk.bytes(), before);
}

#[test]
fn out_of_reach_is_out_of_reach_and_one_step() {
    let mut desk = pegs();
    assert_eq!(strikes(&desk), 2, "each would strike the other");
    let before = desk.bytes();
    let copies = tip_over(&desk).copies;
    desk.act(Action::Remedy(Remedy::MoveOutOfReach { copies: copies.clone() }));
    assert_eq!(strikes(&desk), 0);
    let plate = desk.session.plate_id().expect("a plate");
    assert!(desk.session.view(plate).is_some_and(|v| v.conflicts.is_empty()));
    assert!(!remedies(&tip_over(&desk)).iter().any(|r| matches!(r, Remedy::MoveOutOfReach { .. })));
    // The one that moved went no farther than it had to: it lies at the reach of the fall.
    let places = desk.places();
    let apart = (places[0].0 - places[1].0).hypot(places[0].1 - places[1].1);
    let fall = desk.session.fall_of(copies[0]).expect("a fall");
    let reach = fall.reach.bounds().width() / 2.0;
    assert!(apart > reach && apart < reach + 6.0, "{apart} {reach}");
    desk.act(Action::Undo);
    assert_eq!(desk.bytes(), before);
    // On a bed too small for it the refusal says what else to do.
    let mut small = desk.session.job().machines[0].clone();
    small.bed = stonehand::document::BedShape::Rectangle { width_mm: 0.6 * reach, depth_mm: 0.6 * reach };
    desk.act(Action::SetMachine(Box::new(small)));
    let why = desk.session.try_act(Action::Remedy(Remedy::MoveOutOfReach { copies })).expect_err("no room");
    assert!(why.to_string().contains("plate of its own"), "{why}");
}

/// The cost of the suggestion against another road: the plate's whole estimate before and after.
#[test]
fn what_a_suggested_footing_costs() {
    let mut desk = pegs();
    // A skirt goes round the footing: another cost, of the plate.
    let recipe = stonehand::document::Recipe { skirt_loops: 0, ..desk.session.job().recipes[0].clone() };
    desk.act(Action::SetRecipe(Box::new(recipe)));
    let plate = desk.session.plate_id().expect("a plate is shown");
    let now = |desk: &Desk| {
        let e = desk.session.view(plate).and_then(|v| v.estimate.as_ref()).expect("an estimate");
        (e.items.footing_s, e.filament.mass_g)
    };
    let cost = standing(&desk)[0].cost.expect("it is worked out");
    let found = tip_over(&desk);
    assert!(found.text.ends_with(&cost.words()), "{}", found.text);
    assert!(cost.words().ends_with(" each, clean-up 2 min"), "a raft: {}", cost.words());
    let before = now(&desk);
    desk.act(Action::SuggestedFootings(plate));
    let after = now(&desk);
    assert!(((after.1 - before.1) / 2.0 / cost.mass_g - 1.0).abs() < 1e-6, "{before:?} {after:?} {cost:?}");
    // Its beads alone; moves between them are the rest.
    let beads = (after.0 - before.0) / 2.0;
    assert!(beads <= cost.time_s + 1e-9 && beads > 0.5 * cost.time_s, "{beads} {cost:?}");
    assert_eq!(standing(&desk)[0].cost, None, "nothing else is suggested");
    // A part's own hand work.
    desk.act(Action::Undo);
    let mut part = desk.session.job().parts[0].clone();
    part.clean_up.raft_s = Some(300.0);
    desk.act(Action::SetPart(Box::new(part)));
    let cost = standing(&desk)[0].cost.expect("it is worked out");
    assert!(cost.words().ends_with("clean-up 5 min"), "{}", cost.words());
}

/// Pack with the wish that tall copies lie apart: fewer copies lie within reach of a fall than without it.
#[test]
fn tall_apart_means_out_of_reach() {
    let packed = |tall_apart: f64| {
        let mut desk = pegs();
        for x in [20.0, 200.0] {
            desk.act(Action::PlaceAt(desk.part(), Point::new(x, 150.0)));
        }
        let preferences = stonehand::document::Preferences { tall_apart, ..desk.session.job().preferences };
        desk.act(Action::SetPreferences(preferences));
        desk.act(Action::Pack(stonehand::session::Scope::Plate));
        assert_eq!(desk.places().len(), 4);
        strikes(&desk)
    };
    let (with, without) = (packed(1.0), packed(0.0));
    assert_eq!(without, 12, "packed tight, each reaches each");
    assert!(with < without, "{with} {without}");
}

/// A turn about Z is a step of its own, and turns the outline.
#[test]
fn typed_turns_about_every_axis() {
    let mut desk = Desk::new();
    desk.act(Action::AddFiles(vec![super::desk::MESH.into()]));
    let part = desk.part();
    let size = |desk: &Desk| {
        let shape = &desk.session.shapes()[&part];
        let b = shape.shadow.bounds();
        [b.width(), b.height(), shape.height_mm].map(|v| (v * 1e6).round() / 1e6)
    };
    let [x, y, z] = size(&desk);
    assert_ne!(x, y);
    let before = desk.bytes();
    desk.act(Action::TurnPartAboutZ(part, 90.0));
    assert_eq!(size(&desk), [y, x, z]);
    desk.act(Action::TurnPart(part, 90.0, 0.0));
    assert_eq!(size(&desk), [y, z, x]);
    desk.act(Action::Undo);
    desk.act(Action::Undo);
    assert_eq!(desk.bytes(), before);
}

/// The best poses are drawn, in the order of the list, each as high as it says.
#[test]
fn poses_are_drawn_as_they_are_ranked() {
    let mut desk = pegs();
    let part = desk.part();
    assert!(desk.session.pose_views(part).is_none());
    desk.act(Action::RankPoses(part));
    desk.act(Action::RankPoses(part));
    let (poses, views) = (desk.session.poses(part).expect("ranked"), desk.session.pose_views(part).expect("drawn"));
    assert_eq!(views.len(), poses.len().min(8));
    for (pose, view) in poses.iter().zip(views) {
        let high = view.side.bounds().height();
        // Outlines are kept to a thousandth of the part's size.
        assert!((high - pose.height_mm).abs() < 0.3, "{high} {pose:?}");
        assert!((view.side.bounds().width() - view.plan.bounds().width()).abs() < 0.6);
    }
}

/// Copies in rows by hand: ⌊(room + gap) ÷ (size + gap)⌋ along both sides, the better way round; a layer's time is the part's time
/// shared out over the layers.
#[test]
fn what_a_pose_comes_to() {
    let mut desk = Desk::new();
    desk.act(Action::AddFiles(vec![super::desk::MESH.into()]));
    let part = desk.part();
    desk.act(Action::PlaceAt(part, Point::new(100.0, 100.0)));
    desk.act(Action::RankPoses(part));
    let job = desk.session.job();
    let (machine, gap) = (&job.machines[0], job.margins.gap_mm);
    let (width, depth) = machine.bed.size_mm();
    let edge = 2.0 * job.edge_mm(machine) + 2.0 * job.recipes[0].skirt_mm();
    let poses = desk.session.poses(part).expect("ranked").to_vec();
    assert!(poses.len() > 2);
    let mut seconds = Vec::new();
    for p in &poses {
        let (copies, layer_s) = desk.session.pose_comes_to(part, p).expect("a machine");
        // As near as rounding goes: a size may be a whole row less by the last digit.
        let along = |room: f64, size: f64| ((room - edge + gap + 1e-9) / (size + gap)).floor();
        let [long, short] = p.size_mm;
        let rows = (along(width, long) * along(depth, short)).max(along(width, short) * along(depth, long));
        let by_hand = if p.height_mm <= machine.height_mm { rows as usize } else { 0 };
        assert!(copies == by_hand && copies > 0, "{copies} {by_hand} {p:?}");
        seconds.push(layer_s.expect("it is timed") * p.layers as f64);
    }
    assert!(seconds.iter().all(|s| (s / seconds[0] - 1.0).abs() < 1e-9), "{seconds:?}");
}

/// A long part laid over lies along X, however its sides are turned: the box round a peg of 8 × 8 × 96 mm in plan.
#[test]
fn what_is_laid_down_lies_straight() {
    let mut desk = pegs();
    let part = desk.part();
    desk.act(Action::RankPoses(part));
    let poses = desk.session.poses(part).expect("ranked").to_vec();
    assert!(poses.len() < 12, "sides that are alike are listed twice, no more: {}", poses.len());
    let side = poses.iter().find(|p| p.height_mm < 20.0).expect("it can lie");
    desk.act(Action::LayDown(part, side.normal));
    let shadow = desk.session.shapes()[&part].shadow.bounds();
    assert!((shadow.width() - 96.0).abs() < 0.5 && shadow.height() < 8.5, "{shadow:?}");
}
