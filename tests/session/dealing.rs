//! Dealing out: one undo step, refused where the job has changed, and what it says.

use stonehand::{
    document::{ClockTime, RunState, Shifts, Span},
    edit::Command,
    geom::Point,
    session::Action,
};

use super::desk::Desk;

/// Three copies of one part on one plate and four more wanted, with hours and a start.
fn order() -> Desk {
    let mut desk = Desk::with_job();
    let mut job = desk.session.job().clone();
    job.parts[0].wanted = 7;
    let clock = |h| ClockTime::new(h, 0).expect("a time of day");
    let mut shifts = Shifts { start: Some(jiff::civil::date(2026, 12, 1).at(8, 0, 0, 0)), ..Shifts::default() };
    shifts.hours.time_zone = "Europe/Lisbon".into();
    shifts.hours.week = std::array::from_fn(|_| vec![Span { from: clock(8), to: clock(17) }]);
    job.shifts = shifts;
    desk.files.put("/shop/order.stonehand", stonehand::document::file::write(&job).expect("it can be written"));
    desk.act(Action::Open("/shop/order.stonehand".into()));
    desk.told();
    desk
}

#[test]
fn dealing_out_is_one_step() {
    let mut desk = order();
    let before = desk.bytes();
    desk.act(Action::Deal);
    let told = desk.told();
    assert!(told.contains("dealt out on") && told.contains("the last print ends"), "{told}");
    let part = desk.part();
    assert_eq!(desk.session.job().placed(part), 7);
    let record = desk.session.dealt().expect("it was dealt").clone();
    assert_eq!(record.rows.len(), desk.session.job().plates.len());
    let ids: Vec<_> = desk.session.job().plates.iter().map(|p| p.id).collect();
    assert_eq!(record.rows.iter().map(|r| r.plate).collect::<Vec<_>>(), ids);
    assert!(record.rows.iter().all(|r| r.start.is_some() && r.ready.is_some()));
    let after = desk.bytes();
    desk.act(Action::Undo);
    assert_eq!(desk.bytes(), before);
    assert!(desk.session.dealt().is_none(), "what was dealt is undone");
    desk.act(Action::Redo);
    assert_eq!(desk.bytes(), after);
    // Dealt once more nothing is better.
    desk.act(Action::Deal);
    assert_eq!(desk.session.job().placed(part), 7);
}

#[test]
fn locked_copies_and_fixed_plates_stay() {
    let mut desk = order();
    let plate = desk.session.job().plates[0].clone();
    desk.act(Action::SelectAll);
    desk.act(Action::Lock(true));
    desk.act(Action::Deal);
    let job = desk.session.job();
    let now = job.plate(plate.id).expect("it stays");
    assert_eq!(
        now.copies.iter().map(|c| (c.id, c.x_mm, c.y_mm)).collect::<Vec<_>>(),
        plate.copies.iter().map(|c| (c.id, c.x_mm, c.y_mm)).collect::<Vec<_>>()
    );
    assert_eq!(job.placed(desk.part()), 7);
    let _ = (Command::SetRun { plate: plate.id, run: RunState::default() }, Point::default());
}

#[test]
fn what_cannot_be_dealt_changes_nothing() {
    let mut desk = order();
    let mut job = desk.session.job().clone();
    job.shifts.hours.week = Default::default();
    desk.files.put("/shop/order.stonehand", stonehand::document::file::write(&job).expect("it can be written"));
    desk.act(Action::Open("/shop/order.stonehand".into()));
    desk.told();
    let before = desk.bytes();
    desk.act(Action::Deal);
    assert!(desk.told().contains("nobody is ever there"));
    assert_eq!(desk.bytes(), before);
}
