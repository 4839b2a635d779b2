//! How firmly copies stand: live, with remedies that are one step each.

use stonehand::{
    document::{Assumptions, Column, Footing, PullTest},
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
