//! Which fields of a job make another problem.

use std::collections::{BTreeMap, BTreeSet};

use serde_json::Value;

use super::*;
use crate::document::{
    Adhesion, BedSide, Carriages, Column, KeepOut, LayerFloor, MeshRef, PlateId, PlateSpread, Preferences, PullTest,
    Sensor, Shop, Spool, SpoolId, Support, TailFixed,
};

/// Every number, word and switch of a job that makes another problem when it is another one, and all that does not.
/// A field in neither list fails the test, and so does a line without a field.
const MATTERS: &str = "
    margins: gap_mm edge_mm footing_gap_mm footings_may_merge tolerance_mm
    machines/*: id height_mm edge_mm bed/width_mm bed/depth_mm bed/outline/*/* keep_outs/*/outline/*/*
    recipes/*: id layer_height_mm first_layer_mm bead_width_mm skirt_loops skirt_gap_mm raft_layers
    meshes/*: id unit
    parts/*: id mesh body pose/rotation/*/* pose/mirrored pose/scale_percent material colour recipe turns
    parts/*: footing/kind footing/width_mm mends/*/weld_um
    machines/*: carriages/strip_mm
    plates/*: id machine material colour recipe twin
    plates/*/copies/*: id part x_mm y_mm turn_deg locked footing/kind footing/width_mm";
const DOES_NOT: &str = "
    : title currency next_id letters_given
    machines/*: name surface keep_outs/*/name filament_mm heat_up_s end_s dwells_in_seconds
    materials/*: id name density_g_cm3 heat_capacity_j_kg_k conductivity_w_m_k deposit_c limit_c air_c film_w_m2_k
    materials/*: cost_per_kg origins/* strength/flexural_mpa strength/modulus_mpa strength/expansion_um_m_k
    materials/*: adhesions/*/surface adhesions/*/kpa adhesions/*/origin adhesions/*/pull_test/date
    materials/*: adhesions/*/pull_test/height_mm adhesions/*/pull_test/force_n adhesions/*/pull_test/column/diameter_mm
    assumptions: sideways_n safety_factor brim_clean_up_s raft_clean_up_s failing_percent origins/*
    assumptions: common_cause_percent time_spread_percent
    machines/*: bed_cooling_s
    materials/*: bed_c
    recipes/*: name walls solid_bottom solid_top infill wall_mm_s solid_mm_s infill_mm_s travel_mm_s
    recipes/*: first_layer_mm_s least_mm_s acceleration_mm_s2 travel_acceleration_mm_s2 junction_deviation_mm
    recipes/*: flow_mm3_s retraction_mm retraction_mm_s layer_change_s purge_mm3 support/overhang_deg
    recipes/*: support/density floor/kind floor/seconds wait_when_short time_factor
    spools/*: id name material colour letter grams_left sensor tail_fixed tolerance_mm
    meshes/*: file object body
    parts/*: letter name wanted due together next_number clean_up/brim_s clean_up/raft_s
    plates/*: spool twin_spool
    plates/*/copies/*: number
    preferences: middle away_from away tall_back tall_apart travel spread";
/// Words that cannot be another one without other fields beside them.
const ALONE: &str = "machines/*: bed/kind
    materials/*: adhesions/*/pull_test/column/kind";

fn lines(text: &str) -> BTreeSet<String> {
    let line = |l: &str| -> Vec<String> {
        let Some((of, fields)) = l.split_once(':') else { return Vec::new() };
        let of = of.trim();
        let path = |f: &str| if of.is_empty() { f.to_owned() } else { format!("{of}/{f}") };
        fields.split_whitespace().map(path).collect()
    };
    text.lines().flat_map(line).collect()
}

/// A job in which nothing is left out.
fn job() -> Job {
    let corners = |side: f64| [[0.0, 0.0], [side, 0.0], [side, side]].map(Point::from).to_vec();
    let mut job = Job::with_shop("Hive fittings", &Shop::starter());
    let mut second = job.machines[0].clone();
    second.id = MachineId(80);
    second.name = "Bench 2".into();
    job.machines = vec![job.machines[0].clone(), second];
    job.machines[0].keep_outs = vec![KeepOut { name: "clip".into(), outline: corners(10.0) }];
    job.machines[0].edge_mm = 2.0;
    job.machines[0].dwells_in_seconds = true;
    job.machines[0].carriages = Some(Carriages { strip_mm: 20.0 });
    job.machines[1].bed = BedShape::Polygon { outline: corners(200.0) };
    job.materials.truncate(1);
    job.materials[0].origins = BTreeMap::from([("limit_c".into(), "a table".into())]);
    job.materials[0].strength.flexural_mpa = 70.0;
    let column = Column::Round { diameter_mm: 8.0 };
    let test = PullTest { date: "2026-03-02".into(), column, height_mm: 20.0, force_n: 1.5 };
    job.materials[0].adhesions = vec![Adhesion::tested("smooth steel", test)];
    job.machines[0].surface = "smooth steel".into();
    job.assumptions.sideways_n = 2.0;
    job.assumptions.origins = BTreeMap::from([("sideways_n".into(), "typed".into())]);
    job.recipes.truncate(1);
    let recipe = &mut job.recipes[0];
    (recipe.skirt_loops, recipe.raft_layers) = (2, 4);
    recipe.support = Some(Support::default());
    recipe.floor = LayerFloor::Typed { seconds: 9.0 };
    let (material, recipe) = (job.materials[0].id, recipe.id);
    let (machine, other) = (job.machines[0].id, job.machines[1].id);
    job.spools = vec![Spool {
        id: SpoolId(90),
        name: "White 1".into(),
        material,
        colour: "white".into(),
        letter: "W".into(),
        grams_left: 700.0,
        sensor: Sensor::Presence,
        tail_fixed: TailFixed::No,
        tolerance_mm: 0.02,
    }];
    let mesh = MeshId::new("00ff", 0);
    let (file, object) = ("gate.stl".into(), "gate".into());
    job.meshes = vec![MeshRef { id: mesh.clone(), file, object, body: Some(0), unit: FileUnit::Inch }];
    let footing = Footing::Raft { width_mm: 4.0 };
    job.parts = vec![Part {
        id: PartId(91),
        letter: "A".into(),
        name: "gate".into(),
        mesh,
        body: Some(0),
        pose: Pose::default(),
        wanted: 12,
        due: Some("Friday".into()),
        material,
        colour: "white".into(),
        recipe,
        footing,
        turns: Turns::Quarters,
        together: true,
        other_hand: None,
        mends: vec![Mend::WeldUm(10)],
        clean_up: crate::document::CleanUp { brim_s: Some(90.0), raft_s: Some(200.0) },
        next_number: 2,
    }];
    let copy = |id, locked| Copy {
        id: CopyId(id),
        part: PartId(91),
        number: 1,
        x_mm: 50.0,
        y_mm: 60.0,
        turn_deg: 90.0,
        locked,
        footing: Some(Footing::Brim { width_mm: 3.0 }),
    };
    let plate = |id, machine, copies| Plate {
        id: PlateId(id),
        machine,
        material,
        colour: "white".into(),
        recipe,
        spool: Some(SpoolId(90)),
        twin: Some(Twin::Shifted),
        twin_spool: Some(SpoolId(90)),
        run: crate::document::RunState::default(),
        copies,
    };
    job.plates = vec![plate(92, machine, vec![copy(93, false), copy(94, true)]), plate(95, other, vec![])];
    job.preferences = Preferences {
        middle: 0.5,
        away_from: Some(BedSide::Left),
        away: 0.5,
        tall_back: 0.5,
        tall_apart: 0.5,
        travel: 0.5,
        spread: PlateSpread::Even,
    };
    job.margins.edge_mm = 1.0;
    job.currency = "€".into();
    job
}

fn concern(job: &Job) -> Concern {
    Concern {
        plates: job.plates.iter().map(|p| p.id).collect(),
        parts: job.parts.iter().map(|p| p.id).collect(),
        machines: job.machines.iter().map(|m| m.id).collect(),
    }
}

/// Pointers to all leaves, each with its path, `*` for the place in a list or table.
fn leaves(value: &Value, at: &str, path: &str, out: &mut Vec<(String, String)>) {
    let below = |key: &str, name: &str| (format!("{at}/{key}"), format!("{path}/{name}"));
    match value {
        Value::Array(list) => {
            for (i, v) in list.iter().enumerate() {
                let (at, path) = below(&i.to_string(), "*");
                leaves(v, &at, &path, out);
            }
        }
        Value::Object(fields) => {
            for (key, v) in fields {
                let (at, path) = below(key, if path.ends_with("/origins") { "*" } else { key });
                leaves(v, &at, &path, out);
            }
        }
        _ => out.push((at.to_owned(), path.trim_start_matches('/').to_owned())),
    }
}

/// Other values of a leaf, some of which may be nonsense there.
fn others(leaf: &Value) -> Vec<Value> {
    let words =
        ["another", "bare", "raft", "none", "halves", "micron", "motion", "yes", "right", "full-then-rest", "handed"];
    match leaf {
        Value::Bool(b) => vec![Value::Bool(!b)],
        Value::Number(n) if n.is_u64() => vec![Value::from(n.as_u64().unwrap_or(0) + 1)],
        Value::Number(n) => vec![Value::from(n.as_f64().unwrap_or(0.0) * 1.5 + 1.0)],
        Value::String(s) => words.iter().filter(|w| *w != s).map(|w| Value::from(*w)).collect(),
        other => panic!("a field of the sample is left out: {other}"),
    }
}

#[test]
fn every_field_of_a_job_is_known_to_matter_or_not() {
    let before = job();
    let concern = concern(&before);
    let print = Fingerprint::new(&before, &concern);
    let value = serde_json::to_value(&before).expect("JSON");
    let mut all = Vec::new();
    leaves(&value, "", "", &mut all);
    let (matters, does_not, alone) = (lines(MATTERS), lines(DOES_NOT), lines(ALONE));
    let mut seen = BTreeSet::new();
    for (at, path) in all {
        seen.insert(path.clone());
        let leaf = value.pointer(&at).expect("a leaf");
        let changed = others(leaf).into_iter().find_map(|other| {
            let mut value = value.clone();
            *value.pointer_mut(&at)? = other;
            serde_json::from_value::<Job>(value).ok()
        });
        let Some(changed) = changed else {
            assert!(alone.contains(&path), "{at}: no other value makes a job");
            continue;
        };
        assert_ne!(changed, before, "{at}");
        let another = Fingerprint::new(&changed, &concern);
        let is_another = another != print;
        assert_eq!(another.number() != print.number(), is_another, "{at}");
        match (matters.contains(&path), does_not.contains(&path)) {
            (true, false) => assert!(is_another, "{at} matters"),
            (false, true) => assert!(!is_another, "{at} does not matter"),
            _ => panic!("{path}: say in exactly one list whether it matters to a search"),
        }
    }
    let listed: BTreeSet<String> = matters.into_iter().chain(does_not).chain(alone).collect();
    assert_eq!(listed, seen, "lines without a field, or fields without a line");
}

/// A part, a machine and a plate that the search is not about may come, go and change.
#[test]
fn what_a_search_is_not_about_does_not_matter() {
    let mut job = job();
    let concern = concern(&job);
    let print = Fingerprint::new(&job, &concern);
    job.machines.push(Machine::rectangular(MachineId(96), "Bench 9", 100.0, 100.0, 100.0));
    job.parts.push(Part { id: PartId(97), turns: Turns::None, ..job.parts[0].clone() });
    job.plates.push(Plate { id: PlateId(98), machine: MachineId(96), ..job.plates[0].clone() });
    assert_eq!(Fingerprint::new(&job, &concern), print);
    job.plates.remove(0);
    assert_ne!(Fingerprint::new(&job, &concern), print);
}
