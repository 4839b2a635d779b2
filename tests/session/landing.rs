//! What becomes of copies let go on top of others.

use stonehand::{
    finding::FindingKind,
    geom::Point,
    session::{Action, Landing},
};

use super::desk::Desk;

/// The third copy dragged onto the first and let go.
fn dropped(landing: Landing) -> Desk {
    let mut desk = Desk::with_job();
    let third = desk.session.job().plates[0].copies[2].id;
    desk.act(Action::Select { copies: vec![third], additive: false });
    desk.act(Action::Grab { label: "Move" });
    desk.act(Action::Drag { by: Point::new(0.0, -78.0), turn_deg: 0.0 });
    desk.act(Action::DropIt(landing));
    desk
}

#[test]
fn a_drop_lies_where_it_is_or_finds_room_or_makes_it() {
    let there = dropped(Landing::There);
    assert_eq!(there.places()[2], (60.0, 62.0));
    assert!(there.has(FindingKind::Overlap));

    let nearest = dropped(Landing::NearestFree);
    assert_eq!(nearest.places()[..2], there.places()[..2], "nobody else moves");
    assert_ne!(nearest.places()[2], (60.0, 62.0));
    assert!(!nearest.has(FindingKind::Overlap) && !nearest.has(FindingKind::Clearance));

    let mut aside = dropped(Landing::PushAside);
    assert_eq!(aside.places()[2], (60.0, 62.0));
    assert_ne!(aside.places()[0], (60.0, 60.0), "the first makes room");
    assert_eq!(aside.places()[1], there.places()[1], "the second has no need to");
    assert!(!aside.has(FindingKind::Overlap) && !aside.has(FindingKind::Clearance));
    aside.act(Action::Undo);
    assert_eq!(aside.places(), Desk::with_job().places(), "it is one step");
}

#[test]
fn what_is_locked_makes_no_room() {
    let mut desk = Desk::with_job();
    let copies: Vec<_> = desk.session.job().plates[0].copies.iter().map(|c| c.id).collect();
    desk.act(Action::Select { copies: vec![copies[0]], additive: false });
    desk.act(Action::Lock(true));
    desk.act(Action::Select { copies: vec![copies[2]], additive: false });
    desk.act(Action::Grab { label: "Move" });
    desk.act(Action::Drag { by: Point::new(0.0, -78.0), turn_deg: 0.0 });
    desk.act(Action::DropIt(Landing::PushAside));
    assert_eq!(desk.places()[2], (60.0, 62.0), "what was dragged is not lost");
    assert!(desk.told().contains("no free place nearby"));
    assert!(desk.has(FindingKind::Overlap));
}
