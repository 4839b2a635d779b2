//! Footings compared: a tall peg and a box on a small bed.

use std::{
    f64::consts::PI,
    sync::{
        Arc,
        atomic::{AtomicUsize, Ordering},
    },
    time::Duration,
};

use super::*;
use crate::{
    document::{
        Copy, CopyId, Footing, Job, Machine, MachineId, Margins, MeshId, Part, PartId, Plate, PlateId, Pose, Shop,
        Turns,
    },
    estimate::{self, Profile},
    geom::{Bounds, Outline, Point, Polygon, Region},
    packing,
    plate::{PartShape, Prepared, Shapes, top_up_task},
    stability::MassProfile,
    watch::{Quiet, Watch},
};

const BED_MM: (f64, f64) = (80.0, 60.0);

pub(super) fn square(side: f64) -> Region {
    let h = Point::new(side / 2.0, side / 2.0);
    Region::rectangle(Bounds::new(-h, h))
}

/// A regular polygon of 48 corners round a circle of this radius.
pub(super) fn round(radius: f64) -> Region {
    let corner = |i: u32| Point::new(radius, 0.0).turned(f64::from(i) * PI / 24.0);
    Polygon::simple((0..48).map(corner).collect()).into()
}

/// A study of a prism on a bed of 80 × 60 × 100 mm, one round a footing.
pub(super) fn study(section: Region, height_mm: f64) -> FootingStudy {
    let mut job = Job::with_shop("Hive fittings", &Shop::starter());
    let machine = MachineId(job.next_id);
    let id = PartId(job.next_id + 1);
    job.next_id += 2;
    job.machines = vec![Machine::rectangular(machine, "Bench 1", BED_MM.0, BED_MM.1, 100.0)];
    job.margins = Margins { gap_mm: 3.0, footing_gap_mm: 0.0, ..Margins::default() };
    let recipe = job.recipes[0].clone();
    job.parts = vec![Part {
        id,
        letter: "A".into(),
        name: "queen-cage peg".into(),
        mesh: MeshId::new("0", 0),
        body: None,
        pose: Pose::default(),
        wanted: 0,
        due: None,
        material: job.materials[0].id,
        colour: "straw".into(),
        recipe: recipe.id,
        footing: Footing::Bare,
        turns: Turns::None,
        together: false,
        other_hand: None,
        mends: Vec::new(),
        clean_up: crate::document::CleanUp::default(),
        next_number: 1,
    }];
    let spans = estimate::layers(&recipe, height_mm);
    let sections = vec![section.clone(); spans.len()];
    let tops: Vec<f64> = spans.iter().map(|s| s.top_mm).collect();
    let outline = Outline::new(section);
    FootingStudy {
        part: id,
        machine,
        studied: StudiedPart {
            shape: Arc::new(PartShape {
                shadow: outline.clone(),
                contact: outline,
                height_mm,
                shift_mm: [0.0; 3],
                own_mirror: false,
            }),
            profile: Arc::new(Profile::compute(&sections, &spans, &recipe, &Quiet).expect("sound")),
            mass: MassProfile::new(&sections, &tops, recipe.bead_width_mm, &Quiet).expect("not cancelled"),
            supports: Region::EMPTY,
        },
        seed: 1,
        rounds: Some(1),
        time: None,
        variants: None,
        with_suggested: false,
        job: Arc::new(job),
    }
}

fn peg() -> FootingStudy {
    study(round(4.0), 40.0)
}

fn rows(study: &FootingStudy) -> Vec<FootingRow> {
    let mut heard = Vec::new();
    let done = footing_study(study, &Quiet, &mut |r| heard.push(r.clone())).expect("it fits");
    assert!(done.is_complete);
    let widest_first = |r: &FootingRow| (r.footing.kind(), r.footing.width_mm());
    for list in [&mut heard, &mut done.rows.clone()] {
        list.sort_by(|a, b| widest_first(a).partial_cmp(&widest_first(b)).expect("numbers"));
    }
    assert_eq!(heard.len(), done.rows.len());
    assert!(heard.iter().all(|r| done.rows.contains(r)));
    done.rows
}

fn of(rows: &[FootingRow], footing: Footing) -> FootingRow {
    rows.iter().find(|r| r.footing == footing).expect("a row").clone()
}

/// No more copies than any layout can hold.
fn bound(study: &FootingStudy, footing: Footing) -> u64 {
    let mut job = (*study.job).clone();
    job.parts[0].footing = footing;
    let part = &job.parts[0];
    let plate = Plate {
        id: PlateId(job.next_id),
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
    job.plates = vec![plate];
    let shapes = Shapes::from([(study.part, study.studied.shape.clone())]);
    let task = top_up_task(&job, &[id], Some(study.part), None, false, &shapes, &Prepared::new()).expect("a task");
    packing::copies_bound(&task.bounding(), 0).expect("a bound").value
}

#[test]
fn a_wider_brim_takes_room_and_time_and_holds_no_worse() {
    for study in [peg(), study(square(20.0), 10.0)] {
        let rows = rows(&study);
        let bare_and_brims: Vec<&FootingRow> =
            rows.iter().filter(|r| !matches!(r.footing, Footing::Raft { .. })).collect();
        assert!(bare_and_brims.len() >= 4 && rows.len() > bare_and_brims.len());
        for pair in bare_and_brims.windows(2) {
            let (a, b) = (pair[0], pair[1]);
            let (p, q) = (a.plate.expect("fits"), b.plate.expect("fits"));
            assert!(b.footing.width_mm() > a.footing.width_mm());
            assert!(b.copies <= a.copies, "{a:?} {b:?}");
            assert!(b.least.expect("a body").margin >= a.least.expect("a body").margin, "{a:?} {b:?}");
            assert!(q.time_per_copy_s > p.time_per_copy_s, "{a:?} {b:?}");
            assert!(q.mass_per_copy_g > p.mass_per_copy_g, "{a:?} {b:?}");
        }
        for r in &rows {
            let p = r.plate.expect("fits");
            assert!(r.copies as u64 <= bound(&study, r.footing), "{r:?}");
            assert!((p.time_per_copy_s * r.copies as f64 - p.time_s).abs() < 1e-6 * p.time_s);
            let each_s = match r.footing {
                Footing::Bare => 0.0,
                Footing::Brim { .. } => 60.0,
                Footing::Raft { .. } => 120.0,
            };
            assert_eq!(p.clean_up_s, each_s * r.copies as f64);
        }
    }
    let pegs = rows(&peg());
    let margin = |width_mm| of(&pegs, Footing::Brim { width_mm }).least.expect("a body").margin;
    assert!(margin(3.0) > 1.5 * pegs[0].least.expect("a body").margin);
    assert!(pegs[0].copies > of(&pegs, Footing::Brim { width_mm: 8.0 }).copies);
}

/// Squares of 20 mm, 3 mm apart, not turned, on 80 × 60 mm: ⌊83 / 23⌋ · ⌊63 / 23⌋ = 6, and no more (arithmetic: each takes one
/// point of a grid of 23 mm laid over the bed). Mass of a copy with a brim of 4.5 mm: box, brim of area 4 s d + π d² (Steiner), and its share of the purge.
#[test]
fn a_box_by_hand() {
    let study = FootingStudy {
        variants: Some(vec![Footing::Bare, Footing::Brim { width_mm: 4.5 }]),
        ..study(square(20.0), 10.0)
    };
    let rows = rows(&study);
    assert_eq!(rows[0].copies, 6);
    // With its brim 29 mm: two and two side by side at the least.
    assert!(rows[1].copies >= 4);
    let (recipe, material) = (&study.job.recipes[0], &study.job.materials[0]);
    let brim_mm3 = (4.0 * 20.0 * 4.5 + PI * 4.5 * 4.5) * recipe.first_layer_mm;
    for (row, footing_mm3) in rows.iter().zip([0.0, brim_mm3]) {
        let purge_mm3 = recipe.purge_mm3 / row.copies as f64;
        let volume_mm3 = study.studied.profile.volume_mm3() + footing_mm3 + purge_mm3;
        let by_hand_g = volume_mm3 / 1000.0 * material.density_g_cm3;
        let told_g = row.plate.expect("fits").mass_per_copy_g;
        assert!((told_g / by_hand_g - 1.0).abs() < 0.005, "{told_g} g, by hand {by_hand_g} g");
    }
}

#[test]
fn the_suggested_footing_is_among_them_and_is_enough_where_one_is() {
    let study = peg();
    let rows = rows(&study);
    let suggested: Vec<&FootingRow> = rows.iter().filter(|r| r.is_suggested).collect();
    let [one] = suggested[..] else { panic!("{rows:?}") };
    let best = rows.iter().filter_map(|r| r.least).map(|l| l.margin).fold(0.0, f64::max);
    let its = one.least.expect("a body").margin;
    assert!(its >= MARGIN_WANTED || its >= best, "{one:?}, best {best}");
    assert_eq!(rows[0].footing, Footing::Bare);
}

#[test]
fn the_same_seed_and_rounds_give_the_same_rows_and_no_time_still_gives_copies() {
    let study = FootingStudy { variants: Some(vec![Footing::Brim { width_mm: 3.0 }]), ..peg() };
    assert_eq!(rows(&study), rows(&study));
    let hasty = FootingStudy { rounds: None, time: Some(Duration::ZERO), ..study };
    assert!(rows(&hasty)[0].copies > 0);
}

/// Cancels once so many rows are there.
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
fn a_cancelled_study_keeps_the_rows_so_far() {
    let study = peg();
    for most in [0, 2] {
        let watch = After { rows: AtomicUsize::new(0), most };
        let done = footing_study(&study, &watch, &mut |_| {
            watch.rows.fetch_add(1, Ordering::Relaxed);
        });
        let done = done.expect("it fits");
        assert_eq!((done.rows.len(), done.is_complete), (most, false));
    }
}

#[test]
fn a_footing_that_does_not_fit_has_no_copies_and_a_part_that_does_not_is_an_error() {
    let raft = Footing::Raft { width_mm: 3.0 };
    // 56 mm and two brims of 3 mm are 62 mm on a bed 60 mm deep.
    let wide = study(square(56.0), 2.0);
    let wide = FootingStudy { variants: Some(vec![Footing::Bare, Footing::Brim { width_mm: 3.0 }]), ..wide };
    let told = rows(&wide);
    assert_eq!((told[0].copies, told[1].copies), (1, 0));
    assert!(told[1].plate.is_none() && told[1].words().starts_with("brim 3 mm: no copy fits"), "{}", told[1].words());
    // A raft lifts it out of the machine: 100 mm is all that the machine takes.
    let tall = FootingStudy { variants: Some(vec![Footing::Bare, raft]), ..study(square(20.0), 100.0) };
    let told = rows(&tall);
    assert!(told[0].copies > 0 && told[1].copies == 0);

    let why = |s: &FootingStudy| footing_study(s, &Quiet, &mut |_| ()).expect_err("it cannot be compared");
    let large = why(&study(square(61.0), 2.0));
    assert!(matches!(large, StudyError::TooLarge { .. }));
    assert_eq!(
        large.to_string(),
        "queen-cage peg measures 61.0 × 61.0 mm and does not fit Bench 1 (80.0 × 60.0 mm within its margins): choose a larger machine, \
         or turn the part"
    );
    assert!(matches!(why(&study(square(20.0), 100.4)), StudyError::TooTall { .. }));
    assert!(matches!(why(&study(Region::EMPTY, 10.0)), StudyError::NoBody(_)));
    assert_eq!(why(&FootingStudy { part: PartId(9999), ..peg() }), StudyError::NoPart);
    assert_eq!(why(&FootingStudy { machine: MachineId(9999), ..peg() }), StudyError::NoMachine);
    for width_mm in [f64::NAN, -1.0, 1e9] {
        let bad = FootingStudy { variants: Some(vec![Footing::Brim { width_mm }]), ..peg() };
        assert!(matches!(why(&bad), StudyError::Numbers(_)));
    }
}

/// Six boxes of 20 mm on a grid of 23 mm, no room left: with brims of 4.5 mm at least four stay (two by two), no more than six are
/// anywhere, and none is lost.
#[test]
fn a_plate_beside_itself() {
    let one = study(square(20.0), 10.0);
    let mut job = (*one.job).clone();
    let part = job.parts[0].clone();
    let plate = PlateId(job.next_id);
    let at = |i: u32| (11.5 + 23.0 * f64::from(i % 3), 11.5 + 23.0 * f64::from(i / 3));
    let copies = (0..6).map(|i| Copy {
        id: CopyId(job.next_id + 1 + i),
        part: part.id,
        number: i + 1,
        x_mm: at(i).0,
        y_mm: at(i).1,
        turn_deg: 0.0,
        locked: false,
        footing: None,
    });
    job.plates = vec![Plate {
        id: plate,
        machine: one.machine,
        material: part.material,
        colour: part.colour.clone(),
        recipe: part.recipe,
        spool: None,
        twin: None,
        twin_spool: None,
        run: crate::document::RunState::default(),
        copies: copies.collect(),
    }];
    job.next_id += 10;
    let brims = PlateVariant::All(Footing::Brim { width_mm: 4.5 });
    let raft = PlateVariant::All(Footing::Raft { width_mm: 0.5 });
    let study = PlateStudy {
        job: Arc::new(job),
        plate,
        parts: StudiedParts::from([(part.id, one.studied.clone())]),
        seed: 1,
        rounds: Some(1),
        time: None,
        variants: vec![PlateVariant::AsItIs, brims, raft, PlateVariant::Suggested],
    };
    let mut heard = 0;
    let (rows, is_complete) = plate_study(&study, &Quiet, &mut |_| heard += 1).expect("it runs");
    assert!(is_complete && heard == 4 && rows.len() == 4);
    let [now, brimmed, rafts, suggested] = &rows[..] else { panic!("{rows:?}") };
    for r in [now, rafts] {
        assert!(!r.is_moved && r.here.len() == 6 && r.further.is_empty() && r.left == 0, "{}", r.words());
        for (laid, copy) in r.here.iter().zip(&study.job.plates[0].copies) {
            assert_eq!((laid.copy, laid.at), (Some(copy.id), copy.placement()));
        }
    }
    assert!(brimmed.is_moved && (4..6).contains(&brimmed.here.len()), "{}", brimmed.words());
    let mut ids: Vec<_> =
        brimmed.here.iter().chain(brimmed.further.iter().flat_map(|p| p.iter())).map(|c| c.copy).collect();
    ids.sort_unstable();
    ids.dedup();
    assert_eq!((ids.len(), brimmed.left), (6, 0));
    assert!(brimmed.further_s > 0.0);
    // A flat box of 20 mm stands by itself: nothing to suggest.
    assert_eq!((suggested.variant, suggested.here.as_ref()), (PlateVariant::Suggested, now.here.as_ref()));
    let [a, b] = [now.plate.expect("copies"), rafts.plate.expect("copies")];
    assert_eq!(a.clean_up_s, 0.0);
    assert_eq!(b.clean_up_s, 6.0 * 120.0);
    assert!(b.time_s > a.time_s && b.mass_per_copy_g > a.mass_per_copy_g);
    // The same numbers as the footing study has for the full plate.
    let full = of(&self::rows(&FootingStudy { variants: Some(vec![Footing::Bare]), ..one }), Footing::Bare);
    assert_eq!(full.copies, 6);
    assert!((full.plate.expect("fits").mass_per_copy_g - a.mass_per_copy_g).abs() < 1e-9);
    assert!((a.expected_good - 6.0 * 0.98).abs() < 1e-9 || a.expected_good < 6.0 * 0.98);

    let why = |s: PlateStudy| plate_study(&s, &Quiet, &mut |_| ()).expect_err("nothing to compare");
    assert!(matches!(why(PlateStudy { parts: StudiedParts::new(), ..study.clone() }), StudyError::NoMesh(_)));
    assert_eq!(why(PlateStudy { plate: PlateId(9999), ..study.clone() }), StudyError::NoPlate);
    let wide = vec![PlateVariant::All(Footing::Brim { width_mm: f64::NAN })];
    assert!(matches!(why(PlateStudy { variants: wide, ..study }), StudyError::Numbers(_)));
}
