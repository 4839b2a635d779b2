//! How many copies: pegs and boxes on a small bed.

use std::{
    sync::{
        Arc,
        atomic::{AtomicUsize, Ordering},
    },
    time::Duration,
};

use super::{
    tests::{round, square, study as footing_study},
    *,
};
use crate::{
    batch::{Spoils, starts_needed},
    document::{Carriages, ClockTime, Footing, HeadClearance, Job, LayerFloor, Margins, PartId, Recipe, Span},
    estimate::{self, FootingProfile, PlateCopy, PlateInput, Tour},
    geom::Region,
    packing::verify,
    plate::{Prepared, Shapes, top_up_task},
    watch::{Quiet, Watch},
};

const HOUR: f64 = 3600.0;

/// A study of a prism on the bed of the footing studies (80 × 60 × 100 mm, gap 3 mm), Monday to Friday in Lisbon, 08:00 to 17:00.
fn study(section: Region, height_mm: f64, change: impl FnOnce(&mut Job)) -> CopiesStudy {
    let of = footing_study(section, height_mm);
    let mut job = (*of.job).clone();
    job.shifts.hours.time_zone = "Europe/Lisbon".into();
    job.parts[0].wanted = 12;
    change(&mut job);
    CopiesStudy {
        part: of.part,
        machine: of.machine,
        studied: of.studied,
        seed: 1,
        rounds: Some(1),
        time: None,
        spoils: Spoils::Copy,
        confidence: 0.9,
        now: "2026-12-01T15:00:00Z".parse().expect("a time"),
        job: Arc::new(job),
    }
}

fn rows(study: &CopiesStudy) -> Vec<CopiesRow> {
    let mut rows = Vec::new();
    assert_eq!(copies_study(study, &Quiet, &mut |r| rows.push(r.clone())), Ok(true));
    rows
}

/// Every row again: laid out as it says, valid for the packing problem as a person would put it, and timed by the estimate itself.
#[test]
fn every_number_is_laid_out_and_timed() {
    let study = study(square(20.0), 10.0, |_| ());
    let rows = rows(&study);
    // ⌊83 / 23⌋ · ⌊63 / 23⌋ = 6, as in the footing study.
    assert_eq!(rows.iter().map(|r| r.copies).collect::<Vec<_>>(), [1, 2, 3, 4, 5, 6]);
    let (job, part) = (&study.job, &study.job.parts[0]);
    let (recipe, material) = (&job.recipes[0], &job.materials[0]);
    let footing = Arc::new(FootingProfile::none());
    for r in &rows {
        assert_eq!((r.layout.len(), r.way), (r.copies, CopiesWay::Together));
        let copies: Vec<PlateCopy> = r
            .layout
            .iter()
            .zip(1..)
            .map(|(c, id)| PlateCopy {
                copy: crate::document::CopyId(id),
                profile: study.studied.profile.clone(),
                footing: footing.clone(),
                placement: c.at,
            })
            .collect();
        let input = PlateInput { machine: &job.machines[0], material, recipe, copies: &copies };
        let told = estimate::plate(&input, Tour::Exact).expect("sound");
        assert!((told.time_s / r.time_s - 1.0).abs() < 1e-9 && (told.filament.mass_g / r.mass_g - 1.0).abs() < 1e-9);
        assert!((r.each_s() * r.copies as f64 - r.time_s).abs() < 1e-6);
        // Copies keep the gap: squares that are not turned, 23 mm from middle to middle along one axis at least.
        for (i, a) in r.layout.iter().enumerate() {
            for b in &r.layout[..i] {
                let (dx, dy) = ((a.at.x - b.at.x).abs(), (a.at.y - b.at.y).abs());
                assert!(dx.max(dy) >= 23.0 - 1e-6, "{a:?} {b:?}");
            }
        }
    }
    assert!(rows.windows(2).all(|w| w[1].time_s > w[0].time_s && w[1].each_s() < w[0].each_s()));
    assert_eq!(part.footing, Footing::Bare);
}

/// Losses and chances of every row by the formulas of the binomial distribution, 2 % and 1 % as assumed.
#[test]
fn losses_and_plates_to_start() {
    let mut study = study(square(20.0), 10.0, |_| ());
    let (p, q): (f64, f64) = (0.98, 0.01);
    for spoils in Spoils::ALL {
        study.spoils = spoils;
        for r in rows(&study) {
            let n = r.copies as f64;
            assert!((r.lost(Spoils::Copy) - n * 0.02).abs() < 1e-9);
            assert!((r.lost(Spoils::Plate) - (n - n * p.powf(n))).abs() < 1e-9);
            let reach = r.lost(Spoils::Reach);
            assert!(reach >= r.lost(Spoils::Copy) - 1e-9 && reach <= r.lost(Spoils::Plate) + 1e-9);
            assert!((r.all_good - 0.99 * p.powf(n)).abs() < 1e-9);
            assert!((r.good - (n - r.lost(spoils)) * (1.0 - q)).abs() < 1e-9);
            assert!((r.good + r.lost_to_common_causes + r.lost(spoils) - n).abs() < 1e-9);
            let h = r.hours.expect("somebody is there");
            assert!((h.good_per_day - h.changeovers_per_day * r.good).abs() < 1e-9);
            if spoils == Spoils::Plate {
                let plates = starts_needed(12_usize.div_ceil(r.copies), (1.0 - q) * p.powf(n), 0.9);
                assert_eq!(r.plates_to_start, plates, "{}", r.copies);
            }
            if r.copies == 1 {
                assert_eq!(r.plates_to_start, starts_needed(12, p * (1.0 - q), 0.9));
            }
        }
    }
}

/// Small boxes that a layer of 60 s slows: two together take hardly longer than one, and slowing ends where the table says.
#[test]
fn copies_share_the_time_that_layers_cool() {
    let study = study(square(8.0), 5.0, |job| {
        job.recipes[0] =
            Recipe { floor: LayerFloor::Typed { seconds: 20.0 }, wait_when_short: true, ..job.recipes[0].clone() };
    });
    let rows = rows(&study);
    assert!(rows[0].slowed > 0.5 && rows[1].time_s < 1.02 * rows[0].time_s, "{} {}", rows[0].words(), rows[1].words());
    let ends = slowing_ends_at(&rows).expect("a full plate is not slowed");
    assert!(ends > 2 && rows[ends - 2].slowed > 0.0 && rows[ends - 1..].iter().all(|r| r.slowed == 0.0));
}

/// Attended 08:00 to 17:00: the plate that fills the night is the best one, and the sentence names it with its clock times.
#[test]
fn the_best_number_fills_the_night() {
    // Slow enough that a full plate takes more than a night.
    let slow = |job: &mut Job| job.recipes[0].time_factor = 12.0;
    let study = study(square(20.0), 20.0, slow);
    let rows = rows(&study);
    let best = &rows[best_row(&rows).expect("there is a best one")];
    for r in &rows {
        assert!(r.good_per_day() <= best.good_per_day().map(|g| g * (1.0 + 1e-9)), "{}", r.words());
    }
    assert!(best.copies > 1, "{}", best.words());
    let night = best.hours.and_then(|h| h.night).expect("it runs at night");
    let told = copies_advice(&rows, study.spoils);
    assert!(told[0].contains(&night.start.to_string()) && told[0].contains(&night.end.to_string()), "{told:?}");
    assert!(told[0].starts_with(&format!("{} copies: the plate of ", best.copies)), "{told:?}");
    assert_eq!(study.hours_fault(), None);
}

/// Nobody there: rows without good parts a day, and a sentence on what to do. So for hours shorter than a changeover.
#[test]
fn without_hours_there_are_rows_but_no_rate() {
    let nobody = study(square(20.0), 10.0, |job| job.shifts.hours.people = 0);
    let told = rows(&nobody);
    assert!(told.len() == 6 && told.iter().all(|r| r.hours.is_none()));
    assert!(nobody.hours_fault().is_some_and(|f| f.starts_with("Nobody is there")));
    assert_eq!((best_row(&told), copies_advice(&told, Spoils::Copy)), (None, Vec::new()));
    let short = study(square(20.0), 10.0, |job| {
        let clock = |h, m| ClockTime::new(h, m).expect("a time of day");
        job.shifts.hours.week = std::array::from_fn(|_| vec![Span { from: clock(8, 0), to: clock(8, 5) }]);
    });
    assert!(rows(&short)[0].hours.is_none());
    assert!(short.hours_fault().is_some_and(|f| f.contains("takes 10 min, and nobody is there for longer than 5 min")));
}

/// One after another on a bed of 80 × 60 mm: the head reaches 20 mm round the nozzle, so squares of 20 mm lie 23 mm apart at least, from
/// edge to edge: two by one (20 + 23 + 20 = 63 mm; a third would need 106 mm, and 60 mm of depth take one row only). The plate of one
/// copy is the same either way; the second adds the time of one without heat-up, end and purge, and the move.
#[test]
fn one_after_another() {
    let head = |job: &mut Job| {
        job.machines[0].head = Some(HeadClearance { radius_mm: 20.0, under_gantry_mm: 12.0 });
    };
    let told = study(square(20.0), 10.0, head);
    let all = rows(&told);
    let (in_turn, together): (Vec<&CopiesRow>, Vec<&CopiesRow>) = all.iter().partition(|r| r.way == CopiesWay::InTurn);
    assert_eq!((in_turn.len(), together.len()), (2, 6));
    let (one, two) = (in_turn[0], in_turn[1]);
    assert!((one.time_s - together[0].time_s).abs() < 1e-6);
    let (a, b) = (two.layout[0].at, two.layout[1].at);
    assert!((a.x - b.x).abs().max((a.y - b.y).abs()) >= 43.0 - 1e-6, "{a:?} {b:?}");
    let machine = &told.job.machines[0];
    let purge_s = told.job.recipes[0].purge_mm3 / told.job.recipes[0].flow_mm3_s;
    let skirtless = told.job.recipes[0].skirt_loops == 0;
    let further_s = one.time_s - machine.heat_up_s - machine.end_s - purge_s;
    assert!(!skirtless || (two.time_s - one.time_s - further_s).abs() < 2.0, "{} {further_s}", two.time_s - one.time_s);
    // p (1 − pⁿ)/(1 − p) for two at 98 %: 0.98 + 0.98² by hand.
    assert!((two.expected.copy - (0.98 + 0.98 * 0.98)).abs() < 1e-9);
    // Too tall for the gantry: no such rows, and why.
    let tall = study(square(20.0), 12.2, head);
    assert!(rows(&tall).iter().all(|r| r.way == CopiesWay::Together));
    assert!(tall.too_tall_in_turn().is_some_and(|w| w.contains("only 12.0 mm pass under the gantry")));
    assert_eq!(told.too_tall_in_turn(), None);
}

/// With brims the head must pass clear of those, too: 20 + 2 · 5 mm wide each.
#[test]
fn one_after_another_keeps_clear_of_footings() {
    let study = study(round(6.0), 10.0, |job| {
        job.machines[0].head = Some(HeadClearance { radius_mm: 15.0, under_gantry_mm: 30.0 });
        job.parts[0].footing = Footing::Brim { width_mm: 5.0 };
    });
    let rows = rows(&study);
    let in_turn: Vec<&CopiesRow> = rows.iter().filter(|r| r.way == CopiesWay::InTurn).collect();
    let last = in_turn.last().expect("some fit");
    for (i, a) in last.layout.iter().enumerate() {
        for b in &last.layout[..i] {
            // Two brims' radii, the reach and the gap: 11 + 11 + 15 + 3, less the corners of 48-gons.
            assert!(a.at.origin().distance(b.at.origin()) >= 40.0 - 0.1);
        }
    }
    assert!(in_turn.len() < rows.len() - in_turn.len());
}

/// The layout of a row is one that Pack and Top up accept.
#[test]
fn layouts_are_valid() {
    let study = study(round(5.0), 10.0, |job| job.margins = Margins { gap_mm: 4.0, ..job.margins });
    let rows = rows(&study);
    let part = study.job.parts[0].clone();
    let plate = crate::document::Plate {
        id: crate::document::PlateId(u32::MAX),
        machine: study.machine,
        material: part.material,
        colour: part.colour.clone(),
        recipe: part.recipe,
        spool: None,
        twin: None,
        twin_spool: None,
        run: crate::document::RunState::default(),
        copies: Vec::new(),
    };
    let id = plate.id;
    let job = Job { parts: vec![part], plates: vec![plate], ..(*study.job).clone() };
    let shapes = Shapes::from([(study.part, study.studied.shape.clone())]);
    let task = top_up_task(&job, &[id], Some(study.part), None, false, &shapes, &Prepared::new()).expect("a task");
    for r in &rows {
        let items = r.layout.iter().map(|c| crate::packing::Item { shape: 0, at: c.at }).collect();
        let layout = crate::packing::Layout { beds: vec![items], unplaced: vec![] };
        assert_eq!(verify(&task.problem, &layout), Ok(()), "{}", r.copies);
    }
    assert_eq!(rows, self::rows(&study), "the same seed and rounds give the same rows");
}

struct After {
    rows: AtomicUsize,
    most: usize,
}

impl Watch for After {
    fn cancelled(&self) -> bool {
        self.rows.load(Ordering::Relaxed) >= self.most
    }
}

#[test]
fn cancelled_hasty_and_refused() {
    let sound = study(square(20.0), 10.0, |_| ());
    for most in [0, 3] {
        let watch = After { rows: AtomicUsize::new(0), most };
        let done = copies_study(&sound, &watch, &mut |_| {
            watch.rows.fetch_add(1, Ordering::Relaxed);
        });
        assert_eq!((done, watch.rows.load(Ordering::Relaxed)), (Ok(false), most));
    }
    let hasty = CopiesStudy { rounds: None, time: Some(Duration::ZERO), ..sound.clone() };
    assert!(!rows(&hasty).is_empty());
    let why = |s: &CopiesStudy| copies_study(s, &Quiet, &mut |_| ()).expect_err("it cannot be studied");
    assert!(matches!(why(&study(square(61.0), 2.0, |_| ())), StudyError::TooLarge { .. }));
    assert!(matches!(why(&study(square(20.0), 100.4, |_| ())), StudyError::TooTall { .. }));
    assert!(matches!(why(&study(Region::EMPTY, 10.0, |_| ())), StudyError::NoBody(_)));
    assert_eq!(why(&CopiesStudy { part: PartId(9999), ..sound.clone() }), StudyError::NoPart);
    for confidence in [0.0, 1.0, f64::NAN] {
        assert!(matches!(why(&CopiesStudy { confidence, ..sound.clone() }), StudyError::Confidence(_)));
    }
    // One copy only, and none wanted.
    let single = study(square(50.0), 2.0, |job| job.parts[0].wanted = 0);
    let told = rows(&single);
    assert_eq!((told.len(), told[0].plates_to_start), (1, Some(0)));
    assert!(copies_advice(&told, Spoils::Reach)[0].starts_with("Only 1 copy fits"));
    assert!(told[0].time_s < 24.0 * HOUR);
}

/// Two heads on one X bar print the same plate twice in the time of one (common practice, no source).
#[test]
fn a_twin_makes_two_of_each_in_the_time_of_one() {
    let two = |job: &mut Job| job.machines[0].carriages = Some(Carriages { strip_mm: 10.0 });
    let all = rows(&study(square(8.0), 10.0, two));
    let (twin, together): (Vec<&CopiesRow>, Vec<&CopiesRow>) = all.iter().partition(|r| r.way == CopiesWay::Twin);
    // Half of 80 mm less the strip: ⌊33 / 11⌋ · ⌊63 / 11⌋ = 15.
    assert_eq!(twin.len(), 15);
    assert!(together.len() > twin.len());
    for row in &twin {
        assert_eq!(row.copies, 2 * row.layout.len());
        assert!(row.layout.iter().all(|c| c.at.x < 30.0));
        let one = together.iter().find(|r| r.copies == row.layout.len()).expect("a row");
        // The same layers; only the ways between copies differ.
        assert!((row.time_s / one.time_s - 1.0).abs() < 0.05, "{}: {} {}", row.copies, row.time_s, one.time_s);
        assert!((row.mass_g / one.mass_g - 2.0).abs() < 0.02);
        assert!((row.expected.copy - 2.0 * one.expected.copy).abs() < 1e-9);
    }
}
