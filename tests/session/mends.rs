//! Meshes put right: our copy alone, one step each, the same after a save.

use std::fmt::Write as _;

use stonehand::{
    document::{FileUnit, Mend},
    finding::{Finding, FindingKind, Level, Remedy},
    geom::Point,
    session::Action,
};

use super::desk::{Desk, on};

type Facet = [[f64; 3]; 3];

/// An axis-parallel box as loose facets, outside outwards.
fn block(min: [f64; 3], size: [f64; 3]) -> Vec<Facet> {
    let v = |i: usize| [0, 1, 2].map(|k: usize| min[k] + if i >> k & 1 == 1 { size[k] } else { 0.0 });
    let quads = [[0, 2, 3, 1], [4, 5, 7, 6], [0, 1, 5, 4], [2, 6, 7, 3], [0, 4, 6, 2], [1, 3, 7, 5]];
    quads.iter().flat_map(|q: &[usize; 4]| [[v(q[0]), v(q[1]), v(q[2])], [v(q[0]), v(q[2]), v(q[3])]]).collect()
}

fn inside_out(facets: Vec<Facet>) -> Vec<Facet> {
    facets.into_iter().map(|[a, b, c]| [a, c, b]).collect()
}

fn stl(facets: &[Facet]) -> Vec<u8> {
    let mut text = String::from("solid a\n");
    for f in facets {
        text.push_str("facet normal 0 0 0\nouter loop\n");
        for [x, y, z] in f {
            writeln!(text, "vertex {x} {y} {z}").expect("a string takes it");
        }
        text.push_str("endloop\nendfacet\n");
    }
    text.push_str("endsolid a\n");
    text.into_bytes()
}

const FILE: &str = "/shop/broken.stl";

/// A job with one copy of a part made from these facets.
fn desk_with(facets: &[Facet]) -> Desk {
    let mut desk = Desk::new();
    desk.files.put(FILE, stl(facets));
    desk.act(Action::AddFiles(vec![FILE.into()]));
    desk.act(Action::PlaceAt(desk.part(), Point::new(100.0, 100.0)));
    desk.session.take_notices();
    desk
}

fn mesh_fault(desk: &Desk) -> Option<Finding> {
    desk.session.all_findings().into_iter().find(|f| f.kind == FindingKind::MeshFault).cloned()
}

fn remedies(f: &Finding) -> Vec<Remedy> {
    f.remedy.iter().chain(&f.more).cloned().collect()
}

fn volume(desk: &Desk) -> f64 {
    let part = &desk.session.job().parts[0];
    desk.session.solid(part).expect("it is there").volume_mm3()
}

#[test]
fn a_box_inside_out_with_a_repeated_triangle() {
    let mut facets = inside_out(block([0.0; 3], [20.0, 10.0, 5.0]));
    facets.push(facets[4]);
    let mut desk = desk_with(&facets);
    let before = desk.bytes();
    let found = mesh_fault(&desk).expect("its faults are told");
    let labels: Vec<String> = remedies(&found).iter().map(|r| r.label().into_owned()).collect();
    assert_eq!(labels, ["Drop repeated triangles", "Turn inside-out shells"]);
    desk.act(Action::Remedy(remedies(&found)[0].clone()));
    let found = mesh_fault(&desk).expect("it is still inside out");
    assert!(found.text.contains("inside out"), "{}", found.text);
    desk.act(Action::Remedy(found.remedy.expect("a remedy")));
    assert!(mesh_fault(&desk).is_none());
    assert!((volume(&desk) - 1000.0).abs() < 1e-9);
    let part = &desk.session.job().parts[0];
    assert_eq!(part.mends, [Mend::DropDuplicates, Mend::FlipInsideOut]);
    assert_eq!(desk.session.mended(part.id).map(|m| m.changed.clone()), Some(vec![1, 12]));
    // The file stays as it is, and each mend is one step.
    assert_eq!(desk.files.get(FILE), Some(stl(&facets)));
    assert_eq!(desk.session.undo_label(), Some("Turn inside-out shells"));
    desk.act(Action::Undo);
    desk.act(Action::Undo);
    assert_eq!(desk.bytes(), before);
    desk.act(Action::Redo);
    desk.act(Action::Redo);
    // One of them taken away leaves the other.
    desk.act(Action::UndoMend(desk.part(), 0));
    assert_eq!(desk.session.job().parts[0].mends, [Mend::FlipInsideOut]);
    assert!(mesh_fault(&desk).is_some_and(|f| f.text.contains("more than two triangles")));
    assert!(desk.session.try_act(Action::UndoMend(desk.part(), 7)).is_err());
}

/// What estimates and margins say follows the mends: an inside-out box has no inside to fill.
#[test]
fn estimates_follow_and_a_saved_job_opens_the_same() {
    let sound = desk_with(&block([0.0; 3], [20.0, 10.0, 5.0]));
    let mass = |desk: &Desk| {
        let plate = desk.session.plate_id().expect("a plate");
        desk.session.view(plate).and_then(|v| v.estimate.as_ref()).map(|e| e.filament.mass_g)
    };
    let mut torn = block([0.0; 3], [20.0, 10.0, 5.0]);
    torn[3][1][0] += 0.004;
    let mut desk = desk_with(&torn);
    let found = mesh_fault(&desk).expect("it has a gap");
    assert_eq!(remedies(&found), [Remedy::Mend { parts: vec![desk.part()], mend: Mend::WeldUm(5) }]);
    desk.act(Action::Remedy(remedies(&found)[0].clone()));
    assert!(mesh_fault(&desk).is_none());
    let (a, b) = (mass(&sound).expect("grams"), mass(&desk).expect("grams"));
    assert!((a / b - 1.0).abs() < 1e-3, "{a} {b}");
    desk.act(Action::SaveAs("/shop/job.stonehand".into()));
    let mut next = Desk { files: desk.files.clone(), session: on(Box::new(desk.files.clone())) };
    next.act(Action::Open("/shop/job.stonehand".into()));
    assert_eq!(mass(&next).map(f64::to_bits), Some(b.to_bits()));
    assert!(mesh_fault(&next).is_none());
}

#[test]
fn the_models_handed_over_are_mended() {
    let mut desk = desk_with(&inside_out(block([0.0; 3], [20.0, 10.0, 5.0])));
    desk.act(Action::Mend(desk.part(), Mend::FlipInsideOut));
    desk.act(Action::Export("/out".into()));
    let list = String::from_utf8(desk.files.get("/out/placements.json").expect("it is written")).expect("text");
    assert!(list.contains("\"mends\"") && list.contains("flip-inside-out"));
}

#[test]
fn bodies_of_a_mended_mesh_become_parts() {
    // Two boxes one above the other, the upper one floating and inside out.
    let mut facets = block([0.0; 3], [20.0, 10.0, 5.0]);
    facets.extend(inside_out(block([0.0, 0.0, 9.0], [10.0, 10.0, 4.0])));
    let mut desk = desk_with(&facets);
    let found = mesh_fault(&desk).expect("faults");
    let part = desk.part();
    let split = Remedy::SplitBodies { part };
    assert_eq!(remedies(&found), [Remedy::Mend { parts: vec![part], mend: Mend::FlipInsideOut }, split.clone()]);
    desk.act(Action::Mend(part, Mend::FlipInsideOut));
    desk.act(Action::Remedy(split));
    let job = desk.session.job();
    let mends: Vec<_> = job.parts.iter().map(|p| p.mends.clone()).collect();
    assert_eq!(mends, [0, 1].map(|n| vec![Mend::FlipInsideOut, Mend::KeepBody(n)]));
    let volumes: Vec<f64> = job.parts.iter().filter_map(|p| desk.session.solid(p)).map(|m| m.volume_mm3()).collect();
    assert_eq!(volumes, [1000.0, 400.0]);
    // Each stands on the bed by itself.
    let heights: Vec<f64> = job.parts.iter().map(|p| desk.session.shapes()[&p.id].height_mm).collect();
    assert_eq!(heights, [5.0, 4.0]);
    assert!(mesh_fault(&desk).is_none());
    desk.act(Action::Undo);
    assert_eq!(desk.session.job().parts.len(), 1);
    assert!(desk.session.try_act(Action::SplitBodies(part)).is_ok());
}

#[test]
fn a_file_in_inches() {
    let mut desk = desk_with(&block([0.0; 3], [0.8, 0.4, 0.2]));
    let found = mesh_fault(&desk).expect("it is tiny");
    let part = desk.part();
    let unit = |unit| Remedy::SetUnit { part, unit };
    assert_eq!(remedies(&found), [unit(FileUnit::Inch), unit(FileUnit::Meter)]);
    assert_eq!(found.remedy.as_ref().map(|r| r.label().into_owned()), Some("The file is in inches".into()));
    desk.act(Action::Remedy(unit(FileUnit::Inch)));
    assert!(mesh_fault(&desk).is_none(), "its size is judged in the unit that was chosen");
    assert!((desk.session.shapes()[&part].height_mm - 0.2 * 25.4).abs() < 1e-9);
    desk.act(Action::Undo);
    assert!(mesh_fault(&desk).is_some());
}

/// Mends that leave nothing: told as a stop with the way back, and everything else goes on.
#[test]
fn where_nothing_is_left() {
    let mut desk = desk_with(&block([0.0; 3], [0.01, 0.01, 0.01]));
    desk.act(Action::Mend(desk.part(), Mend::WeldUm(1000)));
    let found = mesh_fault(&desk).expect("it is told");
    assert_eq!(found.level, Level::Stop);
    assert!(found.text.contains("leave nothing"), "{}", found.text);
    for f in desk.session.all_findings() {
        assert!(!f.text.contains("NaN") && !f.text.contains("inf"), "{}", f.text);
    }
    desk.session.act(Action::RankPoses(desk.part()));
    desk.session.tick();
    assert_eq!(desk.session.poses(desk.part()).map(<[_]>::len), Some(0));
    assert!(desk.session.hull_faces(desk.part()).is_empty());
    desk.act(Action::Remedy(found.remedy.expect("the way back")));
    assert!(desk.session.job().parts[0].mends.is_empty());
    // Numbers beyond reason are refused.
    for bad in [Mend::WeldUm(0), Mend::WeldUm(5000)] {
        assert!(desk.session.try_act(Action::Mend(desk.part(), bad)).is_err());
    }
    for _ in 0..16 {
        desk.act(Action::Mend(desk.part(), Mend::FlipInsideOut));
    }
    assert!(desk.session.try_act(Action::Mend(desk.part(), Mend::FlipInsideOut)).is_err());
}

/// Overlapping shells, a mirrored copy, a sheet of no volume, a needle's tip on the bed: words, and no number that is none.
#[test]
fn odd_bodies_are_told_in_clear_words() {
    let overlapping: Vec<Facet> =
        block([0.0; 3], [10.0; 3]).into_iter().chain(block([5.0, 5.0, 2.0], [10.0, 10.0, 6.0])).collect();
    let sheet = vec![[[0.0; 3], [20.0, 0.0, 0.0], [0.0, 20.0, 0.0]], [[0.0; 3], [0.0, 20.0, 0.0], [20.0, 0.0, 0.0]]];
    let tip = [10.0, 10.0, 0.0];
    let corners = [[0.0, 0.0, 30.0], [20.0, 0.0, 30.0], [20.0, 20.0, 30.0], [0.0, 20.0, 30.0]];
    let mut needle = vec![[corners[0], corners[1], corners[2]], [corners[0], corners[2], corners[3]]];
    needle.extend((0..4).map(|i| [corners[(i + 1) % 4], corners[i], tip]));
    for facets in [overlapping, sheet, needle] {
        let mut desk = desk_with(&facets);
        let part = desk.session.job().parts[0].clone();
        let pose = stonehand::document::Pose { mirrored: true, ..part.pose };
        for mend in [Mend::FlipInsideOut, Mend::DropZeroArea, Mend::DropDuplicates, Mend::WeldUm(10)] {
            desk.act(Action::Mend(part.id, mend));
        }
        let mirrored = stonehand::document::Part { pose, ..desk.session.job().parts[0].clone() };
        desk.act(Action::SetPart(Box::new(mirrored)));
        assert_eq!(desk.session.job().parts[0].mends.len(), 4, "a changed part keeps its mends");
        desk.session.act(Action::RankPoses(part.id));
        desk.session.tick();
        for choice in desk.session.poses(part.id).unwrap_or_default() {
            assert!(choice.score.is_finite() && choice.normal.iter().all(|c| c.is_finite()), "{choice:?}");
        }
        for f in desk.session.all_findings() {
            assert!(!f.text.contains("NaN") && !f.text.contains("inf "), "{}", f.text);
        }
    }
}
