//! Conflicts of a plate in words.

use super::{Conflict, ConflictKind, PlateTwin, Room};
use crate::{
    document::{Footing, Job, PartId, Plate},
    finding::{Finding, FindingKind, Level, Remedy},
};

/// The conflicts of a plate in words, one finding each.
pub fn findings(job: &Job, plate: &Plate, conflicts: &[Conflict]) -> Vec<Finding> {
    conflicts.iter().map(|c| finding(job, plate, c)).collect()
}

fn finding(job: &Job, plate: &Plate, conflict: &Conflict) -> Finding {
    let copies = conflict.copies.clone();
    let copy = |i: usize| copies.get(i).and_then(|id| plate.copies.iter().find(|c| c.id == *id));
    // A copy and its own twin are named once in the conflict.
    let own = conflict.twin.is_some() && copies.len() == 1 && takes_two(conflict.kind);
    let name = |i: usize| match copy(i).map(|c| (c, job.copy_name(c))) {
        None if own => "its twin".into(),
        None => "?".into(),
        Some((c, name)) if conflict.twin == Some(c.id) && !own => format!("the twin of {name}"),
        Some((_, name)) => name,
    };
    let footing = |i: usize| copy(i).map_or(Footing::Bare, |c| job.footing(c));
    let machine = job.machine(plate.machine);
    let (a, b, mm) = (name(0), name(1), conflict.amount_mm);
    let margins = &job.margins;
    let edge = machine.map_or(0.0, |m| job.edge_mm(m));
    // Two margins can hold for a bed: the message says which of them this is.
    let whose = match machine {
        Some(m) if m.edge_mm > margins.edge_mm => format!("the edge margin of {}", m.name),
        _ => "the job's edge margin".to_owned(),
    };
    let apart = || Some(Remedy::MoveApart { copies: copies.clone() });
    let (kind, text, remedy) = match conflict.kind {
        ConflictKind::Overlap => (FindingKind::Overlap, format!("{a} and {b} overlap by {} mm", few(mm)), apart()),
        ConflictKind::Clearance => (
            FindingKind::Clearance,
            format!("{a} and {b} are {} mm apart; the gap is {} mm", short_of(margins.gap_mm, mm), few(margins.gap_mm)),
            apart(),
        ),
        ConflictKind::FootingOverlap => (
            FindingKind::Overlap,
            format!("the {} of {a} runs {} mm into the contact of {b}", footing(0).kind(), few(mm)),
            apart(),
        ),
        ConflictKind::FootingClearance => (
            FindingKind::Clearance,
            if margins.footing_gap_mm - mm < -5e-7 {
                format!("the footings of {a} and {b} overlap by {} mm", few(mm - margins.footing_gap_mm))
            } else {
                format!(
                    "the footings of {a} and {b} are {} mm apart; the footing gap is {} mm",
                    short_of(margins.footing_gap_mm, mm),
                    few(margins.footing_gap_mm)
                )
            },
            apart(),
        ),
        ConflictKind::OffBed => (
            FindingKind::OffBed,
            if edge > 0.0 {
                format!("{a} is {} mm over {whose}, {} mm", few(mm), few(edge))
            } else {
                format!("{a} is {} mm off the bed", few(mm))
            },
            Some(Remedy::MoveOntoBed { copies: copies.clone() }),
        ),
        ConflictKind::TooLarge => {
            let (width, depth) = machine.map_or((0.0, 0.0), |m| m.bed.size_mm());
            let bed = machine.map_or("the bed", |m| m.name.as_str());
            (
                FindingKind::OffBed,
                format!(
                    "{a} does not fit {bed} ({} × {} mm) at any allowed rotation; as it lies it is {} mm off the bed",
                    few(width),
                    few(depth),
                    few(mm)
                ),
                Some(Remedy::Remove { copies: copies.clone() }),
            )
        }
        ConflictKind::KeepOut => (
            FindingKind::KeepOut,
            format!(
                "{a} covers the keep-out \u{201c}{}\u{201d} by {} mm",
                conflict.keep_out.as_deref().unwrap_or_default(),
                few(mm)
            ),
            apart(),
        ),
        ConflictKind::SkirtRoom => {
            let round = match (copies.len(), conflict.twin) {
                (0 | 1, _) => format!("round {a}"),
                (_, None) => format!("between {a} and {b}"),
                (_, Some(_)) => format!(
                    "between the twins of {}",
                    [copy(0), copy(1)].map(|c| c.map_or_else(String::new, |c| job.copy_name(c))).join(" and ")
                ),
            };
            let where_to = match (&conflict.keep_out, edge > 0.0) {
                (Some(name), _) => format!("run {} mm into the keep-out \u{201c}{name}\u{201d}", few(mm)),
                (None, true) => format!("be {} mm over {whose}, {} mm", few(mm), few(edge)),
                (None, false) => format!("be {} mm off the bed", few(mm)),
            };
            (FindingKind::Skirt, format!("no room for the skirt {round}: it would {where_to}"), apart())
        }
        ConflictKind::Half => {
            let half = half_of(job, plate);
            let text = match half {
                Some((twin, _)) if mm > twin.strip_mm() => {
                    format!("{a} reaches {} mm beyond the left half, through the strip between the carriages", few(mm))
                }
                _ => format!(
                    "{a} reaches {} mm into the strip between the carriages, {} mm wide",
                    few(mm),
                    few(half.map_or(0.0, |h| h.0.strip_mm()))
                ),
            };
            (FindingKind::Twin, text, apart())
        }
        ConflictKind::HalfTooSmall => {
            let size = half_of(job, plate).map_or((0.0, 0.0), |h| h.1);
            let bed = machine.map_or("the bed", |m| m.name.as_str());
            (
                FindingKind::Twin,
                format!(
                    "{a} does not fit one half of {bed} ({} × {} mm) at any allowed rotation; as it lies it reaches {} mm beyond the left half",
                    few(size.0),
                    few(size.1),
                    few(mm)
                ),
                Some(Remedy::SetTwin { plate: plate.id, twin: None }),
            )
        }
        ConflictKind::SkirtHalf => (
            FindingKind::Skirt,
            format!("no room for the skirt round {a}: it would run {} mm beyond the left half", few(mm)),
            apart(),
        ),
        ConflictKind::TooTall => (
            FindingKind::TooTall,
            format!(
                "{a} is {} mm too tall for {} ({} mm)",
                few(mm),
                machine.map_or("this machine", |m| m.name.as_str()),
                few(machine.map_or(0.0, |m| m.height_mm))
            ),
            Some(Remedy::Remove { copies: copies.clone() }),
        ),
        ConflictKind::MixedRecipe => (
            FindingKind::MixedRecipe,
            copy(0).map_or_else(String::new, |c| mixed(job, plate, &a, c.part)),
            Some(Remedy::MoveToNewPlate { copies: copies.clone() }),
        ),
    };
    let height_mm = match conflict.kind {
        ConflictKind::TooTall => machine.map(|m| m.height_mm),
        _ => None,
    };
    Finding { level: Level::Stop, kind, plate: Some(plate.id), copies, height_mm, text, remedy, more: Vec::new() }
}

/// Is it a breach between two copies?
fn takes_two(kind: ConflictKind) -> bool {
    use ConflictKind::{Clearance, FootingClearance, FootingOverlap, Overlap};
    matches!(kind, Overlap | Clearance | FootingOverlap | FootingClearance)
}

/// How a plate is printed twice at once, and the size of its left half, mm.
fn half_of(job: &Job, plate: &Plate) -> Option<(PlateTwin, (f64, f64))> {
    let twin = PlateTwin::of(job, plate)?;
    let half = twin.half(Room::new(job, job.machine(plate.machine)?).region()).bounds();
    Some((twin, (half.width(), half.height())))
}

/// "E 14 is PETG, black; this plate is PLA, black".
fn mixed(job: &Job, plate: &Plate, name: &str, part: PartId) -> String {
    let Some(part) = job.part(part) else { return format!("{name} belongs to no part of the order") };
    let material = |id| job.material(id).map_or("?", |m| m.name.as_str());
    let recipe = |id| job.recipe(id).map_or("?", |r| r.name.as_str());
    let (mut is, mut asked) = (Vec::new(), Vec::new());
    if part.material != plate.material {
        is.push(material(part.material));
        asked.push(material(plate.material));
    }
    if part.colour != plate.colour {
        is.push(&part.colour);
        asked.push(&plate.colour);
    }
    if part.recipe != plate.recipe {
        is.push(recipe(part.recipe));
        asked.push(recipe(plate.recipe));
    }
    format!("{name} is {}; this plate is {}", is.join(", "), asked.join(", "))
}

/// What is left of `asked` when `missing` is, with as many decimals (one at least) as tell the two apart.
fn short_of(asked: f64, missing: f64) -> String {
    let left = (asked - missing).max(0.0);
    let digits = (1..6).find(|&d| format!("{left:.d$}") != format!("{asked:.d$}")).unwrap_or(6);
    format!("{left:.digits$}")
}

/// Millimetres with one decimal; two where one would read 0.0.
fn few(mm: f64) -> String {
    if mm.abs() < 0.05 && mm.abs() > 5e-7 {
        return if mm.abs() < 0.005 { "under 0.01".into() } else { format!("{mm:.2}") };
    }
    // No "-0.0".
    format!("{:.1}", mm + 0.0)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::{
        document::KeepOut,
        geom::Point,
        plate::{
            conflicts,
            samples::{Bench, rectangle},
        },
    };

    fn texts(b: &Bench) -> Vec<String> {
        let plate = &b.job.plates[0];
        findings(&b.job, plate, &conflicts(&b.job, plate, &b.shapes)).into_iter().map(|f| f.text).collect()
    }

    #[test]
    fn two_copies() {
        let mut b = Bench::new();
        let e = b.block(20.0, 20.0);
        b.put(e, 50.0, 50.0);
        b.put(e, 62.0, 50.0);
        assert_eq!(texts(&b), ["A 1 and A 2 overlap by 8.0 mm"]);
        b.job.plates[0].copies[1].x_mm = 71.2;
        assert_eq!(texts(&b), ["A 1 and A 2 are 1.2 mm apart; the gap is 3.0 mm"]);
        b.job.plates[0].copies[1].x_mm = 72.96;
        assert_eq!(texts(&b), ["A 1 and A 2 are 2.96 mm apart; the gap is 3.0 mm"]);
        b.job.plates[0].copies[1].x_mm = 70.0;
        assert_eq!(texts(&b), ["A 1 and A 2 are 0.0 mm apart; the gap is 3.0 mm"]);
        b.job.plates[0].copies[1].x_mm = 74.0;
        b.part_mut(e).footing = Footing::Brim { width_mm: 3.5 };
        assert_eq!(texts(&b), ["the footings of A 1 and A 2 overlap by 3.0 mm"]);
        b.job.plates[0].copies[1].x_mm = 77.5;
        b.job.margins.footing_gap_mm = 1.0;
        assert_eq!(texts(&b), ["the footings of A 1 and A 2 are 0.5 mm apart; the footing gap is 1.0 mm"]);
        b.job.plates[0].copies[1].x_mm = 74.0;
        b.part_mut(e).footing = Footing::Raft { width_mm: 5.0 };
        assert_eq!(texts(&b), ["the raft of A 1 runs 1.0 mm into the contact of A 2"]);
    }

    #[test]
    fn one_copy_and_the_machine() {
        let mut b = Bench::new();
        let square = [[0.0, 0.0], [30.0, 0.0], [30.0, 10.0], [0.0, 10.0]].map(Point::from).to_vec();
        b.job.machines[0].keep_outs = vec![KeepOut { name: "clip".into(), outline: square }];
        let e = b.part(rectangle(20.0, 20.0), rectangle(20.0, 20.0), 202.0);
        b.part_mut(e).colour = "black".into();
        b.put(e, 7.0, 18.0);
        assert_eq!(
            texts(&b),
            [
                "A 1 is 3.0 mm off the bed",
                "A 1 covers the keep-out \u{201c}clip\u{201d} by 2.0 mm",
                "A 1 is 12.0 mm too tall for Bench 1 (190.0 mm)",
                "A 1 is black; this plate is white",
            ]
        );
        b.job.margins.edge_mm = 2.0;
        assert_eq!(texts(&b)[0], "A 1 is 5.0 mm over the job's edge margin, 2.0 mm");
        b.job.machines[0].edge_mm = 2.5;
        assert_eq!(texts(&b)[0], "A 1 is 5.5 mm over the edge margin of Bench 1, 2.5 mm");
        b.job.machines[0].edge_mm = 0.0;
        let long = b.block(20.0, 250.0);
        b.job.plates[0].copies.clear();
        b.put(long, 120.0, 100.0);
        assert_eq!(
            texts(&b),
            [
                "B 1 does not fit Bench 1 (240.0 × 200.0 mm) at any allowed rotation; as it lies it is 27.0 mm off the bed"
            ]
        );
    }

    #[test]
    fn no_room_for_a_skirt() {
        let mut b = Bench::new();
        // It reaches 4 + 2 · 0.5 = 5 mm.
        let recipe = &mut b.job.recipes[0];
        (recipe.skirt_loops, recipe.skirt_gap_mm, recipe.bead_width_mm) = (2, 4.0, 0.5);
        let e = b.block(20.0, 20.0);
        b.put(e, 13.5, 100.0);
        assert_eq!(texts(&b), ["no room for the skirt round A 1: it would be 1.5 mm off the bed"]);
        b.job.margins.edge_mm = 1.0;
        assert_eq!(
            texts(&b),
            ["no room for the skirt round A 1: it would be 2.5 mm over the job's edge margin, 1.0 mm"]
        );
        b.job.plates[0].copies[0].x_mm = 60.0;
        let square = [[75.0, 60.0], [90.0, 60.0], [90.0, 95.0], [75.0, 95.0]].map(Point::from).to_vec();
        b.job.machines[0].keep_outs = vec![KeepOut { name: "clip".into(), outline: square }];
        assert_eq!(texts(&b), [] as [&str; 0]);
        b.put(e, 130.0, 80.0);
        b.job.plates[0].copies[0].x_mm = 64.0;
        let told = texts(&b);
        assert_eq!(
            told[0],
            "no room for the skirt round A 1: it would run 4.0 mm into the keep-out \u{201c}clip\u{201d}"
        );
    }

    #[test]
    fn words_are_those_of_the_json() {
        for kind in FindingKind::ALL {
            assert_eq!(serde_json::to_string(&kind).expect("a word"), format!("\"{}\"", kind.word()));
        }
        for level in [Level::Stop, Level::Watch, Level::Note] {
            assert_eq!(serde_json::to_string(&level).expect("a word"), format!("\"{}\"", level.word()));
        }
    }
}
