//! Hours, dates, counts and states that make no sense: what is said, and what to change.

use jiff::civil::date;
use stonehand::{
    document::{BedShape, Machine, Material, MaterialId, Part, Plate, Span, Spool, SpoolId, file},
    finding::{FindingKind, Level},
    session::Action,
};

use super::{
    desk::Desk,
    shifts::{at, clock, last, machines, plan, shop, text},
};

#[test]
fn hours_that_never_fit_the_longest_changeover() {
    let (mut desk, _) = shop();
    let mut shifts = desk.session.job().shifts.clone();
    shifts.hours.week = std::array::from_fn(|_| vec![Span { from: clock(8, 0), to: clock(8, 20) }]);
    // Preparing takes 5 min, a change of material 30.
    shifts.changeover.material_change_s = 1800.0;
    desk.act(Action::SetShifts(Box::new(shifts.clone())));
    assert!(plan(&desk).plan.not_run.is_empty(), "without a change of material there is time enough");
    // The last plate is of another material.
    let material = desk.session.job().materials[0].clone();
    desk.act(Action::AddMaterial(Box::new(Material { id: MaterialId(0), name: "PETG".into(), ..material })));
    let other = desk.session.job().materials.last().expect("the new one").id;
    let part = desk.session.job().parts[0].clone();
    desk.act(Action::AddFiles(vec!["/shop/frame-spacer.obj".into()]));
    let spacer = desk.session.job().parts[1].clone();
    desk.act(Action::SetPart(Box::new(Part { material: other, wanted: 1, ..spacer })));
    desk.act(Action::PlaceOne(desk.session.job().parts[1].id));
    assert_eq!(desk.session.job().plates.len(), 4, "it has a plate of its own");
    assert_ne!(part.material, other);
    let stop = text(&desk, FindingKind::NoTime);
    assert!(stop.starts_with("Plate 4 cannot be started. Preparing takes up to 35 min"), "{stop}");
    assert!(
        stop.contains("the longest stretch of hours is 20 min: lengthen the hours, or shorten the changeover."),
        "{stop}"
    );
    // Parts that nobody has the time to take off.
    shifts.changeover.material_change_s = 0.0;
    shifts.changeover.removal_s = 3600.0;
    desk.act(Action::SetShifts(Box::new(shifts)));
    let stay = text(&desk, FindingKind::NoTime);
    assert!(stay.contains("taking them off takes 60 min") || stay.contains("cannot be started"), "{stay}");
    let all: Vec<String> = desk.session.shift_findings().iter().map(|f| f.text.clone()).collect();
    assert!(all.iter().any(|t| t.contains("Lengthen the hours, or shorten the part removal.")), "{all:?}");
}

#[test]
fn material_that_no_spool_holds() {
    let (mut desk, _) = shop();
    assert!(
        desk.session.shift_findings().iter().all(|f| f.kind != FindingKind::Spool),
        "a shop without any spools says nothing"
    );
    let material = desk.session.job().materials[0].clone();
    desk.act(Action::AddMaterial(Box::new(Material { id: MaterialId(0), name: "PETG".into(), ..material.clone() })));
    let other = desk.session.job().materials.last().expect("the new one").id;
    desk.act(Action::AddSpool(Box::new(Spool::full(SpoolId(0), "Black 1", other, "black"))));
    let said = text(&desk, FindingKind::Spool);
    let expected = format!(
        "No spool holds {}, which plates 1, 2 and 3 need. Add a spool, or choose another material for the parts.",
        material.name
    );
    assert_eq!(said, expected);
    desk.act(Action::AddSpool(Box::new(Spool::full(SpoolId(0), "White 1", material.id, "white"))));
    assert!(desk.session.shift_findings().iter().all(|f| f.kind != FindingKind::Spool));
}

#[test]
fn a_part_larger_than_every_bed_is_not_in_the_plan_and_why() {
    let (mut desk, plates) = shop();
    for machine in desk.session.job().machines.clone() {
        let bed = BedShape::Rectangle { width_mm: 20.0, depth_mm: 20.0 };
        desk.act(Action::SetMachine(Box::new(Machine { bed, ..machine })));
    }
    let said: Vec<_> =
        desk.session.all_findings().iter().filter(|f| f.kind == FindingKind::OffBed).map(|f| f.text.clone()).collect();
    assert!(
        said.iter()
            .any(|t| t.contains("longer than the diagonal of the largest bed")
                && t.ends_with("check its unit and scale")),
        "{said:?}"
    );
    // Of a job that is opened so no part is timed.
    desk.act(Action::SaveAs("/shop/large.stonehand".into()));
    let mut desk = Desk::over(&desk.files);
    desk.act(Action::Open("/shop/large.stonehand".into()));
    let t = plan(&desk);
    assert_eq!((t.plan.timed.len(), t.without_time.len()), (0, 3), "{:?}", t.without_time);
    assert!(t.without_time.iter().all(|(p, why)| plates.contains(p) && why.contains("no time is estimated for it")));
}

/// Clocks go from 02:00 to 03:00 on 28 March 2027 and from 03:00 to 02:00 on 31 October 2027 in Berlin (IANA time zone database): a print of
/// ten hours from Saturday 22:00 ends at 09:00 on the one Sunday and at 07:00 on the other.
#[test]
fn prints_over_nights_in_which_clocks_are_changed() {
    for (saturday, offset, ends) in
        [(date(2027, 3, 27), 1, "Sun 09:"), (date(2027, 10, 30), 2, "Sun 07:"), (date(2027, 6, 5), 2, "Sun 08:")]
    {
        let (mut desk, plates) = shop();
        last(&mut desk, plates[0], 10.0);
        let mut shifts = desk.session.job().shifts.clone();
        shifts.hours.time_zone = "Europe/Berlin".into();
        shifts.hours.week = std::array::from_fn(|_| vec![Span { from: clock(6, 0), to: clock(23, 0) }]);
        shifts.changeover.preparing_s = 0.0;
        shifts.start = Some(saturday.at(22, 0, 0, 0));
        desk.act(Action::SetShifts(Box::new(shifts)));
        let t = plan(&desk);
        let utc = t.calendar.at(0).timestamp().to_string();
        assert_eq!(utc, format!("{saturday}T{:02}:00:00Z", 22 - offset));
        let x = t.timed(0).expect("in the plan");
        // What takes a little less than ten hours ends a little before the hour.
        let hour = t.calendar.words(x.print.from_s + 10 * 3600);
        assert!(hour.starts_with(ends), "{saturday}: {hour}");
        assert_eq!(x.print.from_s, 0);
        // Sunday's hours begin at 06:00 whatever the night's length.
        let sunday = t.calendar.attended()[1];
        let local = t.calendar.at(sunday.from_s);
        assert_eq!((local.hour(), local.minute()), (6, 0), "{saturday}");
        let ics_day = t.calendar.due_s(&saturday.tomorrow().expect("a day").to_string()).expect("it is read");
        let midnight = t.calendar.second_of_local(saturday.tomorrow().expect("a day").at(0, 0, 0, 0)).expect("a time");
        let hours = (ics_day - midnight) / 3600;
        assert_eq!(
            hours,
            match ends {
                "Sun 09:" => 23,
                "Sun 07:" => 25,
                _ => 24,
            }
        );
    }
}

/// A file changed by hand: what is wrong, where, and what to write.
#[test]
fn numbers_and_states_of_a_file_changed_by_hand() {
    let (desk, _) = shop();
    let good: serde_json::Value = serde_json::from_slice(&desk.bytes()).expect("JSON");
    for (pointer, value, said) in [
        (
            "/parts/0/wanted",
            serde_json::json!(-3),
            "integer `-3`, expected a whole number from 0 up; correct the value",
        ),
        ("/parts/0/wanted", serde_json::json!(4_000_000_000_u32), "write a number from 0 to"),
        ("/shifts/hours/people", serde_json::json!(70_000), "write a number from 0 to 1000"),
        ("/shifts/changeover/removal_s", serde_json::json!(-60.0), "write a number from 0 to"),
        ("/shifts/changeover/preparing_s", serde_json::json!(1e300), "write a number from 0 to"),
        ("/plates/0/spool", serde_json::json!(999), "there is no spool 999 in this file; name one that it holds"),
        (
            "/plates/0/run",
            serde_json::json!({"started": "2026-12-01T08:00:00Z", "ended": "2026-11-30T08:00:00Z"}),
            "the plate ends before it starts; correct one of the times",
        ),
        ("/plates/0/run", serde_json::json!({"failed": true}), "write when it ended, or take \"failed\" out"),
        (
            "/plates/0/run",
            serde_json::json!({"not_before": "-000044-03-15T08:00:00Z"}),
            "write a year from 1970 to 2200",
        ),
    ] {
        let mut bad = good.clone();
        let (parent, key) = pointer.rsplit_once('/').expect("a place");
        let parent = bad.pointer_mut(parent).expect("its parent");
        match key.parse::<usize>() {
            Ok(n) => parent[n] = value,
            Err(_) => parent[key] = value,
        }
        let why = file::read(bad.to_string().as_bytes(), "job.stonehand").expect_err(pointer).to_string();
        assert!(why.contains(said), "{pointer}: {why}");
    }
}

#[test]
fn more_copies_than_wanted_and_too_few() {
    let (mut desk, _) = shop();
    let part = desk.session.job().parts[0].clone();
    desk.act(Action::SetPart(Box::new(Part { wanted: 2, ..part })));
    let all = desk.session.all_findings();
    let surplus = all.iter().find(|f| f.kind == FindingKind::Surplus).expect("it is said");
    assert!(surplus.text.contains("6 copies on plates, 2 wanted: 4 more than wanted"), "{}", surplus.text);
    assert!(surplus.remedy.is_some());
}

/// Nothing is said of plates that are over, however odd their times are.
#[test]
fn plates_that_ended_long_ago_take_no_room() {
    let (mut desk, plates) = shop();
    let mut job = desk.session.job().clone();
    let run = stonehand::document::RunState {
        started: Some(at("1970-01-02T00:00:00Z")),
        ended: Some(at("2199-01-01T00:00:00Z")),
        ..Default::default()
    };
    job.plates[0] = Plate { run, ..job.plates[0].clone() };
    desk.files.put("/shop/odd.stonehand", file::write(&job).expect("it can be written"));
    desk.act(Action::Open("/shop/odd.stonehand".into()));
    let t = plan(&desk);
    assert_eq!((t.ended.len(), t.about.len()), (1, 2));
    assert!(t.drawn(desk.session.job(), Some(plates[0])).whole().length_s() < 30 * 86_400);
    assert!(
        desk.session.shift_findings().iter().all(|f| f.level != Level::Stop),
        "{:?}",
        desk.session.shift_findings()
    );
    assert_eq!(machines(&desk).len(), 2);
}
