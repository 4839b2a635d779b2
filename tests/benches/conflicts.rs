//! The Speed line of the live drag: conflicts of one dragged copy among 500 of 8 parts on one plate. Before it, how much room
//! made under a drop disturbs: copies moved and the sum of their ways, on a sparse, a medium and a dense plate, beside what
//! no way of making room can beat.

use std::{hint::black_box, sync::Arc};

use criterion::{Criterion, criterion_group, criterion_main};
use stonehand::{
    document::{
        BedShape, Copy, CopyId, Footing, Job, KeepOut, MeshId, Part, PartId, Plate, PlateId, Pose, Shop, Turns, letter,
    },
    geom::{Bounds, Outline, Placement, Point, Polygon, Region, disc},
    plate::{Checker, ConflictKind, PartShape, Prepared, Shapes, conflicts, prepare_push, push_aside},
    watch::Quiet,
    work::Deadline,
};

/// Eight outlines of 40 to 360 corners: discs, rings, stars, rippled discs.
fn outline(kind: usize) -> Region {
    let corners = 40 + kind * 45;
    let ripple = if kind.is_multiple_of(2) { 0.0 } else { 1.5 };
    let ring = |radius: f64| -> Vec<Point> {
        (0..corners)
            .map(|i| {
                let angle = std::f64::consts::TAU * i as f64 / corners as f64;
                Point::new(radius + ripple * (9.0 * angle).sin(), 0.0).turned(angle)
            })
            .collect()
    };
    let mut p = Polygon::simple(ring(9.0 + kind as f64 * 0.4));
    if kind % 3 == 2 {
        let mut hole = ring(4.0);
        hole.reverse();
        p.holes.push(hole);
    }
    p.into()
}

fn full_plate() -> (Job, Shapes) {
    let mut job = Job::with_shop("bench", &Shop::starter());
    job.machines[0].bed = BedShape::Rectangle { width_mm: 720.0, depth_mm: 640.0 };
    job.machines[0].keep_outs = (0..4)
        .map(|i| KeepOut {
            name: format!("clip {i}"),
            outline: disc::around(Point::new(f64::from(i) * 200.0, 0.0), 8.0, 0.01).outer,
        })
        .collect();
    let (material, recipe, machine) = (job.materials[0].id, job.recipes[0].id, job.machines[0].id);
    let mut shapes = Shapes::new();
    for k in 0..8 {
        let id = PartId(1000 + k as u32);
        job.parts.push(Part {
            id,
            letter: letter(k),
            name: letter(k),
            mesh: MeshId::new("0", k),
            body: None,
            pose: Pose::default(),
            wanted: 63,
            due: None,
            material,
            colour: "white".into(),
            recipe,
            footing: if k % 2 == 0 { Footing::Brim { width_mm: 1.5 } } else { Footing::Bare },
            turns: Turns::Free,
            together: false,
            other_hand: None,
            mends: Vec::new(),
            clean_up: stonehand::document::CleanUp::default(),
            next_number: 64,
        });
        let shape = PartShape {
            shadow: Outline::new(outline(k)),
            contact: Outline::new(outline(k)),
            height_mm: 20.0,
            shift_mm: [0.0; 3],
            own_mirror: false,
        };
        shapes.insert(id, Arc::new(shape));
    }
    let copies = (0..500)
        .map(|i| Copy {
            id: CopyId(i),
            part: PartId(1000 + i % 8),
            number: i / 8 + 1,
            x_mm: 20.0 + 28.0 * f64::from(i % 25),
            y_mm: 30.0 + 29.0 * f64::from(i / 25),
            turn_deg: f64::from(i * 37 % 360),
            locked: false,
            footing: None,
        })
        .collect();
    job.plates.push(Plate {
        id: PlateId(5000),
        machine,
        material,
        colour: "white".into(),
        recipe,
        spool: None,
        twin: None,
        twin_spool: None,
        run: stonehand::document::RunState::default(),
        copies,
    });
    (job, shapes)
}

/// A plate of 8 × 7 blocks of 20 mm, so far apart, and drops of one of them all over it: how many copies make room, and how
/// far they go in all. Each block that is hit must get off what was laid: its depth, and the gap, bound its way from below.
fn disturbed(name: &str, apart_mm: f64) {
    const GAP_MM: f64 = 3.0;
    let (mut job, mut shapes) = full_plate();
    let pitch = 20.0 + apart_mm;
    job.machines[0].bed = BedShape::Rectangle { width_mm: 4.0 + 8.0 * pitch, depth_mm: 4.0 + 7.0 * pitch };
    job.machines[0].keep_outs.clear();
    job.margins.gap_mm = GAP_MM;
    let block = Region::rectangle(Bounds::new(Point::new(-10.0, -10.0), Point::new(10.0, 10.0)));
    let part = job.parts[1].id;
    let shape = PartShape {
        shadow: Outline::new(block.clone()),
        contact: Outline::new(block),
        height_mm: 20.0,
        shift_mm: [0.0; 3],
        own_mirror: false,
    };
    shapes.insert(part, Arc::new(shape));
    let copies = &mut job.plates[0].copies;
    copies.truncate(56);
    for (k, copy) in copies.iter_mut().enumerate() {
        let (column, row) = (k % 8, k / 8);
        (copy.part, copy.turn_deg) = (part, 0.0);
        (copy.x_mm, copy.y_mm) = (12.0 + pitch * column as f64, 12.0 + pitch * row as f64);
    }
    let prepared = Prepared::new();
    let checker = Checker::new(&job, &job.plates[0], &shapes, &prepared);
    assert_eq!(checker.conflicts(), []);
    let (mut drops, mut moved, mut way_mm, mut least_mm) = (0, 0, 0.0, 0.0);
    for k in 0..20_u32 {
        let at = Placement::at(
            22.0 + 37.7 * f64::from(k) % (7.0 * pitch - 20.0),
            22.0 + 53.3 * f64::from(k) % (6.0 * pitch - 20.0),
        );
        let laid = [(CopyId(0), at)];
        let Some(all) = push_aside(&checker, &laid, |_| true, &Quiet, &Quiet) else { continue };
        let mut needs = std::collections::BTreeMap::new();
        for c in checker.conflicts_of(&laid) {
            let need = c.amount_mm + if c.kind == ConflictKind::Overlap { GAP_MM } else { 0.0 };
            let most: &mut f64 = needs.entry(c.copies).or_default();
            *most = most.max(need);
        }
        drops += 1;
        least_mm += needs.values().sum::<f64>();
        moved += all.len() - 1;
        let way = |(id, to): &(CopyId, Placement)| {
            checker.placement(*id).map_or(0.0, |from| from.origin().distance(to.origin()))
        };
        way_mm += all[1..].iter().map(way).sum::<f64>();
    }
    eprintln!("{name}: {drops} drops, {moved} copies moved {way_mm:.1} mm; no fewer than {least_mm:.1} mm");
}

fn bench(c: &mut Criterion) {
    for (name, apart_mm) in [("sparse", 20.0), ("medium", 9.0), ("dense", 4.0)] {
        disturbed(name, apart_mm);
    }
    let (job, shapes) = full_plate();
    let prepared = Prepared::new();
    let checker = Checker::new(&job, &job.plates[0], &shapes, &prepared);
    assert_eq!(checker.conflicts(), []);
    // A path across the plate: clear places, near ones, and heaps on top of others.
    let path: Vec<Placement> = (0..200)
        .map(|i| Placement::new(15.0 + 3.3 * f64::from(i), 40.0 + 2.7 * f64::from(i), 0.1 * f64::from(i)))
        .collect();
    let mut step = 0;
    c.bench_function("dragged copy among 500", |b| {
        b.iter(|| {
            step = (step + 1) % path.len();
            checker.conflicts_of(black_box(&[(CopyId(13), path[step])]))
        });
    });
    let worst =
        path.iter().max_by_key(|&&at| checker.conflicts_of(&[(CopyId(13), at)]).len()).copied().unwrap_or_default();
    c.bench_function("dragged copy, worst place", |b| {
        b.iter(|| checker.conflicts_of(black_box(&[(CopyId(13), worst)])));
    });
    // Every turn is another one, so that no zone is known beforehand: the worst case. 90 ms are what the window allows.
    let mut drop = 0;
    prepare_push(&checker);
    let (mut made, mut asked, mut longest) = (0, 0, std::time::Duration::ZERO);
    c.bench_function("room made under a copy let go among 500", |b| {
        b.iter(|| {
            drop += 1;
            let at = path[drop * 10 % path.len()];
            let at = Placement { turn_rad: 0.37 * drop as f64, ..at };
            let limit = |ms| Some(std::time::Duration::from_millis(ms));
            let (parting, watch) = (Deadline::new(&Quiet, limit(45)), Deadline::new(&Quiet, limit(90)));
            let laid = [(CopyId(13), at)];
            let begun = std::time::Instant::now();
            asked += 1;
            made += usize::from(push_aside(&checker, &laid, |_| true, &parting, &watch).is_some());
            longest = longest.max(begun.elapsed());
        });
    });
    assert!(made > 0, "no drop found room");
    eprintln!("room made under {made} of {asked}, the longest in {longest:?}");
    c.bench_function("whole plate of 500", |b| b.iter(|| checker.conflicts()));
    c.bench_function("checker built", |b| b.iter(|| Checker::new(&job, &job.plates[0], &shapes, &prepared)));
    c.bench_function("plate from nothing", |b| b.iter(|| conflicts(&job, &job.plates[0], &shapes)));
}

criterion_group!(benches, bench);
criterion_main!(benches);
