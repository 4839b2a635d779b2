//! How firmly copies stand: live, with remedies that are one step each.

use stonehand::{
    document::{Assumptions, Column, Footing, Part, PullTest},
    finding::{FindingKind, Remedy},
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
