//! Every command on small inputs, and its JSON as scripts rely on it.

use serde_json::Value;

use super::table::{Table, has_keys, keys, kinds};

fn list(value: &Value) -> &[Value] {
    value.as_array().expect("a list")
}

fn near(value: &Value, wanted: f64, tolerance: f64) {
    let v = value.as_f64().expect("a number");
    assert!((v - wanted).abs() <= tolerance, "{v} is not {wanted}");
}

/// The contract of placements, wherever they come from; gives the number of copies on each plate.
fn placements(value: &Value) -> Vec<usize> {
    assert_eq!(keys(value), ["margins", "origin", "plates", "plates_bound", "unit", "unplaced", "version"]);
    assert_eq!((&value["unit"], &value["origin"]), (&"mm".into(), &"front-left".into()));
    has_keys(&value["margins"], &["gap_mm", "edge_mm", "footing_gap_mm", "footings_may_merge", "tolerance_mm"]);
    for plate in list(&value["plates"]) {
        has_keys(plate, &["plate", "machine", "bed", "density", "bound", "copies"]);
        has_keys(&plate["bed"], &["width_mm", "depth_mm", "height_mm", "outline", "keep_outs"]);
        for copy in list(&plate["copies"]) {
            has_keys(
                copy,
                &[
                    "copy",
                    "part",
                    "file",
                    "object",
                    "sha256",
                    "file_unit",
                    "x_mm",
                    "y_mm",
                    "rotation_deg",
                    "mirrored",
                    "scale",
                    "pose",
                    "locked",
                    "footing",
                    "shadow",
                    "footing_outline",
                    "matrix",
                ],
            );
            assert_eq!((list(&copy["pose"]).len(), list(&copy["matrix"]).len()), (9, 12));
            has_keys(&copy["footing"], &["kind", "width_mm"]);
        }
    }
    list(&value["plates"]).iter().map(|p| list(&p["copies"]).len()).collect()
}

#[test]
fn new_makes_a_job_whose_meshes_are_named_from_where_it_lies() {
    let table = Table::with_block();
    let told = table
        .run(&[
            "new",
            "-o",
            "job.stonehand",
            "--bed",
            "120x100x80",
            "--round",
            "90x60",
            "--gap",
            "2",
            "--edge",
            "1",
            "--footing-gap",
            "0.5",
            "--footing",
            "brim:3",
            "--turns",
            "90",
            "--title",
            "Gates",
            "--part",
            "block.stl:3",
            "--json",
        ])
        .done();
    assert_eq!(placements(&told.json()), [3]);
    let job = table.json("job.stonehand");
    assert_eq!((&job["stonehand"], &job["title"]), (&1.into(), &"Gates".into()));
    assert_eq!(job["meshes"][0]["file"], "block.stl", "relative to the job");
    let part = &job["parts"][0];
    assert_eq!((&part["name"], &part["wanted"], &part["turns"]), (&"block".into(), &3.into(), &"quarters".into()));
    assert_eq!((&part["footing"]["kind"], &part["footing"]["width_mm"]), (&"brim".into(), &3.0.into()));
    let margins = &job["margins"];
    assert_eq!([&margins["gap_mm"], &margins["edge_mm"], &margins["footing_gap_mm"]], [2.0, 1.0, 0.5]);
    assert_eq!(list(&job["machines"]).len(), 2);
    assert_eq!(job["machines"][1]["bed"]["diameter_mm"], 90.0);
    // Into a folder below: the mesh is one up from there. And the job still opens when the whole tree has moved.
    table.put("jobs/keep.txt", b"");
    table.run(&["pack", "job.stonehand", "-o", "jobs/packed.stonehand", "--rounds", "1"]).done();
    assert_eq!(table.json("jobs/packed.stonehand")["meshes"][0]["file"], "../block.stl");
    let other = Table::new();
    for name in ["block.stl", "jobs/packed.stonehand"] {
        other.put(name, &table.get(name));
    }
    let check = other.run(&["check", "jobs/packed.stonehand", "--json"]).done().json();
    assert!(!kinds(&check).contains(&"missing-mesh"), "{check}");
}

#[test]
fn inspect_reports_what_is_known_of_the_block() {
    let table = Table::with_block();
    let all = table.run(&["inspect", "block.stl", "--layers", "--layer-height", "0.5", "--json"]).done().json();
    let [r] = list(&all) else { panic!("one object: {all}") };
    has_keys(
        r,
        &[
            "file",
            "sha256",
            "object",
            "triangles",
            "shells",
            "open_edges",
            "watertight",
            "volume_mm3",
            "solid_volume_mm3",
            "bounds_mm",
            "shadow",
            "contact",
            "layers",
            "faults",
        ],
    );
    assert_eq!((&r["file"], &r["triangles"], &r["shells"]), (&"block.stl".into(), &12.into(), &1.into()));
    assert_eq!((&r["watertight"], &r["open_edges"], &r["faults"]), (&true.into(), &0.into(), &Value::Array(vec![])));
    // A box of 20 × 10 × 5 mm, by hand.
    near(&r["volume_mm3"], 1000.0, 1e-9);
    near(&r["solid_volume_mm3"], 1000.0, 1e-6);
    near(&r["shadow"]["area_mm2"], 200.0, 1e-9);
    near(&r["shadow"]["perimeter_mm"], 60.0, 1e-9);
    near(&r["contact"]["area_mm2"], 200.0, 1e-9);
    assert_eq!(r["bounds_mm"], serde_json::json!([[0.0, 0.0, 0.0], [20.0, 10.0, 5.0]]));
    has_keys(&r["shadow"]["polygons"][0], &["outer", "holes"]);
    let layers = list(&r["layers"]);
    assert_eq!(layers.len(), 10);
    near(&layers[0]["z_mm"], 0.25, 1e-9);
    for layer in layers {
        near(&layer["area_mm2"], 200.0, 1e-9);
        near(&layer["perimeter_mm"], 60.0, 1e-9);
    }
    let words = table.run(&["inspect", "block.stl"]).done();
    assert!(words.out.contains("20.00 × 10.00 × 5.00 mm") && words.err.is_empty(), "{words:?}");
}

/// A box of 20 × 10 × 5 mm, by hand: six faces, its middle, and lying flat first.
#[test]
fn inspect_ranks_poses_where_asked() {
    let table = Table::with_block();
    let plain = table.run(&["inspect", "block.stl", "--json"]).done().json();
    assert!(plain[0].get("poses").is_none() && plain[0].get("hull_faces").is_none(), "{plain}");
    let all = table.run(&["inspect", "block.stl", "--poses", "--json"]).done().json();
    let r = &all[0];
    for (k, middle) in [10.0, 5.0, 2.5].into_iter().enumerate() {
        near(&r["centre_of_mass_mm"][k], middle, 1e-9);
    }
    let areas: Vec<f64> = list(&r["hull_faces"]).iter().filter_map(|f| f["area_mm2"].as_f64()).collect();
    assert!(areas.iter().zip([200.0, 200.0, 100.0, 100.0, 50.0, 50.0]).all(|(a, b)| (a - b).abs() < 1e-9), "{areas:?}");
    let best = &r["poses"][0];
    near(&best["contact_mm2"], 200.0, 1e-6);
    near(&best["height_mm"], 5.0, 1e-9);
    assert_eq!((&best["balanced"], list(&r["poses"]).len()), (&true.into(), 6));
    let words = table.run(&["inspect", "block.stl", "--poses"]).done();
    assert!(
        words.out.contains("down  0.000  0.000") && words.out.contains("200 mm² of contact, 5.0 mm high"),
        "{words:?}"
    );
}

/// The sides of a round peg, 48 of them alike, are told twice; upright is among what is told.
#[test]
fn inspect_tells_ways_to_lie_that_differ() {
    let peg = concat!(env!("CARGO_MANIFEST_DIR"), "/samples/queen-cage-peg.stl");
    let table = Table::new();
    let told = table.run(&["inspect", peg, "--poses"]).done().out;
    let ways: Vec<&str> = told.lines().filter(|l| l.trim_start().starts_with("down ")).collect();
    assert!(ways.len() < 13 && ways.iter().any(|l| l.contains("96.0 mm high")), "{told}");
    let lying = ways.iter().filter(|l| l.contains("17 mm² of contact, 8.0 mm high")).count();
    assert_eq!(lying, 2, "{told}");
    assert!(told.contains("more ways to lie, most of them alike"), "{told}");
}

#[test]
fn pack_is_the_same_for_the_same_seed_and_rounds() {
    let table = Table::with_job();
    let before = table.get("job.stonehand");
    let pack = |out: &str, seed: &str| {
        table.run(&["pack", "job.stonehand", "-o", out, "--rounds", "3", "--seed", seed, "--json"]).done()
    };
    let (one, two) = (pack("one.stonehand", "7"), pack("two.stonehand", "7"));
    assert_eq!(placements(&one.json()), [3]);
    assert_eq!(one.out, two.out);
    assert!(table.get("one.stonehand") == table.get("two.stonehand"));
    assert!(table.get("job.stonehand") == before, "only the named output is written");
    // Onto itself: the named output may be the input.
    table.run(&["pack", "job.stonehand", "-o", "job.stonehand", "--rounds", "1", "--turns", "none"]).done();
    let job = table.json("job.stonehand");
    assert!(list(&job["plates"][0]["copies"]).iter().all(|c| c["turn_deg"] == 0.0), "turned although told not to");
    assert_eq!(job["parts"][0]["turns"], "eighths", "the part's own turns stay");
}

#[test]
fn top_up_adds_what_fits_and_no_more_than_its_bound() {
    let table = Table::with_job();
    let words = ["top-up", "job.stonehand", "-o", "more.stonehand", "--part", "A", "--rounds", "1", "--json"];
    let told = table.run(&words).done().json();
    let [count] = placements(&told)[..] else { panic!("one plate: {told}") };
    let bound = told["plates"][0]["bound"]["value"].as_u64().expect("a bound") as usize;
    // 120 × 100 mm, blocks of 20 × 10 with 3 mm between them: 5 × 7 in rows; by area 123 × 103 ÷ (23 × 13) = 42.
    assert!((35..=42).contains(&count) && count <= bound && bound <= 42, "{count} copies, bound {bound}");
    assert!(
        ["by-area", "by-hexagon", "by-pentagon", "by-circle", "by-size"]
            .map(Value::from)
            .contains(&told["plates"][0]["bound"]["kind"])
    );
    assert_eq!(told["plates"][0]["bound"]["part"], told["plates"][0]["copies"][0]["part"], "it says what it counts");
    // Full already: a bound holds for all copies of the part on the plate, not for the new ones alone.
    let words = ["top-up", "more.stonehand", "-o", "full.stonehand", "--part", "block", "--rounds", "1", "--json"];
    let again = table.run(&words).done().json();
    let bound = again["plates"][0]["bound"]["value"].as_u64().expect("a bound") as usize;
    assert!(placements(&again)[0] <= bound, "{again}");
    let words = ["top-up", "job.stonehand", "-o", "all.stonehand", "--rounds", "1", "--plate", "1"];
    let order = table.run(&words).done();
    assert!(order.out.contains("plate 1"), "{order:?}");
    // By an order of two parts: all copies are counted, which no one part names.
    let two = ["new", "-o", "two.stonehand", "--bed", "120x100x80", "--part", "block.stl:3", "--part", "block.stl:2"];
    table.run(&two).done();
    table.run(&["pack", "two.stonehand", "-o", "two.stonehand", "--rounds", "1"]).done();
    let words = ["top-up", "two.stonehand", "-o", "all.stonehand", "--rounds", "1", "--plate", "1", "--json"];
    let order = table.run(&words).done().json();
    assert!(order["plates"][0]["bound"].get("part").is_some_and(Value::is_null), "{}", order["plates"][0]["bound"]);
}

/// Where each copy of the first plate lies, in the file's words.
fn places(job: &Value) -> Vec<[Value; 3]> {
    list(&job["plates"][0]["copies"]).iter().map(|c| ["id", "x_mm", "y_mm"].map(|k| c[k].clone())).collect()
}

#[test]
fn top_up_moves_nothing_where_it_is_told_to_keep() {
    let table = Table::with_job();
    let mut job = table.json("job.stonehand");
    for (copy, at) in job["plates"][0]["copies"].as_array_mut().expect("copies").iter_mut().zip([31.0, 62.0, 93.0]) {
        (copy["x_mm"], copy["y_mm"]) = (at.into(), (at * 0.9).into());
    }
    table.put("job.stonehand", job.to_string().as_bytes());
    let topped = |words: &[&str]| {
        let mut all = vec!["top-up", "job.stonehand", "-o", "more.stonehand", "--part", "A", "--rounds", "1"];
        all.extend(words);
        table.run(&all).done();
        places(&table.json("more.stonehand"))
    };
    let (kept, moved) = (topped(&["--keep"]), topped(&[]));
    assert_eq!(kept[..3], places(&job));
    assert!(moved.len() > kept.len(), "{} {}", moved.len(), kept.len());
}

/// Blocks of 20 × 10 with brims of 40 mm take 100 × 90 of the 120 × 100: one on each plate.
#[test]
fn pack_takes_nothing_off_a_plate_and_fills_more_where_told_to() {
    let table = Table::with_job();
    let mut job = table.json("job.stonehand");
    job["parts"][0]["footing"] = serde_json::json!({ "kind": "brim", "width_mm": 40.0 });
    table.put("job.stonehand", job.to_string().as_bytes());
    let told = table.run(&["pack", "job.stonehand", "-o", "new.stonehand", "--rounds", "1"]);
    assert!(told.err.contains("2 of 3 copies do not fit on plate 1"), "{told:?}");
    assert_eq!(places(&table.json("new.stonehand")), places(&job));
    let told = table.run(&["pack", "job.stonehand", "-o", "new.stonehand", "--rounds", "1", "--more-plates"]).done();
    let job = table.json("new.stonehand");
    let counts: Vec<usize> = list(&job["plates"]).iter().map(|p| list(&p["copies"]).len()).collect();
    assert_eq!(counts, [1, 1, 1], "{told:?}");
}

#[test]
fn estimate_items_add_up_to_the_time() {
    let table = Table::with_job();
    let told = table.run(&["estimate", "job.stonehand", "--json"]).done().json();
    let [plate] = list(&told["plates"]) else { panic!("one plate: {told}") };
    has_keys(plate, &["plate", "time_s", "filament_mm", "mass_g", "cost", "items", "layers"]);
    let items = plate["items"].as_object().expect("an object");
    for wanted in [
        "heat_up_s",
        "walls_s",
        "solid_s",
        "infill_s",
        "support_s",
        "footing_s",
        "travel_s",
        "retraction_s",
        "layer_change_s",
        "slowing_s",
        "waiting_s",
        "end_s",
    ] {
        assert!(items.contains_key(wanted), "{wanted} is missing");
    }
    let sum: f64 = items.values().filter_map(Value::as_f64).sum();
    near(&plate["time_s"], sum, 1e-6 * sum);
    assert_eq!(plate["minimum_layer_time"]["form"], "from material");
    assert!(plate["minimum_layer_time"]["assumes"].as_str().is_some_and(|w| w.contains("20 mm")), "{plate}");
    // 5 mm in layers of 0.2 mm.
    let layers = list(&plate["layers"]);
    assert_eq!(layers.len(), 25);
    for layer in layers {
        has_keys(layer, &["z_mm", "natural_s", "minimum_s", "time_s", "unserved_s", "headroom", "copies"]);
        assert_eq!(layer["copies"], serde_json::json!(["A 1", "A 2", "A 3"]));
    }
    near(&layers[24]["z_mm"], 5.0, 1e-9);
    let words = table.run(&["estimate", "job.stonehand"]).done();
    assert!(words.out.starts_with("plate 1  Bench 1  3 copies"), "{words:?}");
    assert!(words.out.contains("minimum layer time from material: "), "{words:?}");
    // Assumptions are said once, at the end, however many plates there are.
    table.run(&["new", "-o", "two.stonehand", "--bed", "60x40x80", "--part", "block.stl:11"]).done();
    let several = table.run(&["estimate", "two.stonehand"]).done().out;
    assert!(several.matches("\nplate ").count() >= 1, "{several}");
    assert_eq!(several.matches("conservative for parts under about 20 mm").count(), 1, "{several}");
    let (plates, assumptions) = several.split_once("assumptions\n").expect("a last paragraph");
    assert!(assumptions.contains("minimum layer time from material: ") && !plates.contains("radiation"), "{several}");
    // What a minimum of 5, 10 and 15 s would give: the estimates of jobs that have it typed.
    for tried in list(&plate["with_minimum"]) {
        let mut job = table.json("job.stonehand");
        for recipe in job["recipes"].as_array_mut().expect("recipes") {
            recipe["floor"] = serde_json::json!({"kind": "typed", "seconds": tried["minimum_s"]});
        }
        std::fs::write(table.path("typed.stonehand"), job.to_string()).expect("writes");
        let typed = table.run(&["estimate", "typed.stonehand", "--json"]).done().json();
        near(&tried["time_s"], typed["plates"][0]["time_s"].as_f64().expect("a time"), 1e-6);
    }
    assert_eq!(list(&plate["with_minimum"]).len(), 3);
    // A block on which nothing is slowed says so too; copies are whole numbers.
    let until = &told["parts"][0]["copies_until_slowing_ends"];
    let copies = until["every_layer"].as_u64().expect("a minimum is set");
    assert!(copies >= until["nearly_every_layer"].as_u64().unwrap_or(u64::MAX) && copies >= 1, "{until}");
    assert!(
        until["assumes"].as_str().is_some_and(|w| w.contains("Moves between copies and their footings are counted")),
        "{until}"
    );
    assert!(words.out.contains(&format!("slowing ends at {copies} cop")), "{words:?}");
}

#[test]
fn pack_deals_plates_evenly_and_keeps_the_wish_in_the_job() {
    let table = Table::with_block();
    table.run(&["new", "-o", "job.stonehand", "--bed", "60x40x80", "--part", "block.stl:11"]).done();
    let pack = |more: &[&str]| {
        let words = [&["pack", "job.stonehand", "-o", "packed.stonehand", "--rounds", "1", "--json"], more].concat();
        placements(&table.run(&words).done().json())
    };
    let (usual, even) = (pack(&[]), pack(&["--even"]));
    assert!(usual.len() > 1 && usual.len() == even.len(), "{usual:?} {even:?}");
    assert_eq!((usual.iter().sum::<usize>(), even.iter().sum::<usize>()), (11, 11));
    let apart = |n: &[usize]| n.iter().max().expect("plates") - n.iter().min().expect("plates");
    assert!(apart(&even) <= 1, "{even:?}");
    assert_eq!(table.json("packed.stonehand")["preferences"]["spread"], "even");
    table.run(&["pack", "packed.stonehand", "-o", "again.stonehand", "--full", "--rounds", "1"]).done();
    assert_eq!(table.json("again.stonehand")["preferences"], Value::Null);
    // Eleven fit on no one plate: the wish stays, and a note tells of it.
    pack(&["--together", "block"]);
    assert_eq!(table.json("packed.stonehand")["parts"][0]["together"], true);
    let check = table.run(&["check", "packed.stonehand", "--json"]).done().json();
    let parted = list(&check["findings"]).iter().find(|f| f["kind"] == "parted").expect("it is told");
    assert!(parted["level"] == "note" && parted["text"].as_str().is_some_and(|t| t.contains("plates 1")), "{parted}");
    let wrong = &["pack", "job.stonehand", "-o", "x.stonehand", "--together", "lid"];
    table.refuses(wrong, &["--together lid", "no such part", "block (A)"]);
}

#[test]
fn check_tells_conflicts_as_stops_with_their_remedy() {
    let table = Table::with_job();
    let clear = table.run(&["check", "job.stonehand", "--json"]).done().json();
    assert!(list(&clear["findings"]).iter().all(|f| f["level"] != "stop"), "{clear}");
    // All copies in one place.
    let mut job = table.json("job.stonehand");
    for copy in job["plates"][0]["copies"].as_array_mut().expect("a list") {
        (copy["x_mm"], copy["y_mm"]) = (50.0.into(), 50.0.into());
    }
    table.put("heap.stonehand", job.to_string().as_bytes());
    let told = table.run(&["check", "heap.stonehand", "--json"]).done_with_stops().json();
    assert!(kinds(&told).contains(&"overlap"), "{told}");
    for finding in list(&told["findings"]) {
        has_keys(finding, &["level", "kind", "plate", "copies", "height_mm", "text", "remedy"]);
    }
    let overlap = list(&told["findings"]).iter().find(|f| f["kind"] == "overlap").expect("it is there");
    assert_eq!((&overlap["plate"], list(&overlap["copies"]).len()), (&1.into(), 2));
    assert!(overlap["remedy"].is_string());
    for command in
        [&["check", "heap.stonehand"][..], &["estimate", "heap.stonehand"], &["export", "heap.stonehand", "-o", "out"]]
    {
        table.run(command).done_with_stops();
    }
    assert!(table.path("out/placements.json").exists(), "status 1 is done all the same");
}

#[test]
fn check_tells_where_a_skirt_has_no_room_and_pack_leaves_it_some() {
    let table = Table::with_job();
    let mut job = table.json("job.stonehand");
    // It reaches 3 + 2 · 0.5 = 4 mm from the footings.
    let recipe = &mut job["recipes"][0];
    (recipe["skirt_loops"], recipe["skirt_gap_mm"], recipe["bead_width_mm"]) = (2.into(), 3.0.into(), 0.5.into());
    table.put("skirt.stonehand", job.to_string().as_bytes());
    table.run(&["pack", "skirt.stonehand", "-o", "packed.stonehand", "--rounds", "1"]).done();
    let clear = table.run(&["check", "packed.stonehand", "--json"]).done().json();
    assert!(!kinds(&clear).contains(&"skirt"), "{clear}");
    table.run(&["export", "packed.stonehand", "-o", "out"]).done();
    let placed = table.json("out/placements.json");
    assert_eq!(placements(&placed), [3]);
    for copy in list(&placed["plates"][0]["copies"]) {
        assert!(list(&copy["footing_outline"][0]["outer"]).len() >= 4, "{copy}");
        for corner in list(&copy["footing_outline"][0]["outer"]) {
            let least = corner[0].as_f64().expect("x").min(corner[1].as_f64().expect("y"));
            assert!(least >= 4.0 - 1e-6, "{copy}");
        }
    }
    let mut job = table.json("packed.stonehand");
    job["recipes"][0]["skirt_gap_mm"] = 20.0.into();
    table.put("wide.stonehand", job.to_string().as_bytes());
    let told = table.run(&["check", "wide.stonehand", "--json"]).done_with_stops().json();
    let skirt = list(&told["findings"]).iter().find(|f| f["kind"] == "skirt").expect("it is there");
    assert!(skirt["text"].as_str().is_some_and(|t| t.starts_with("no room for the skirt round ")), "{skirt}");
    assert_eq!((&skirt["level"], list(&skirt["copies"]).len()), (&"stop".into(), 1));
}

#[test]
fn export_replaces_its_own_files_and_leaves_others() {
    let table = Table::with_job();
    table.put("out/notes.txt", b"mine");
    let told = table.run(&["export", "job.stonehand", "-o", "out", "--json"]).done().json();
    let names: Vec<String> = list(&told).iter().filter_map(Value::as_str).map(str::to_owned).collect();
    let ending = |e: &str| names.iter().find(|n| n.ends_with(e)).unwrap_or_else(|| panic!("{e} in {names:?}")).clone();
    for e in ["placements.json", "placements.csv", ".3mf", ".stl", ".svg", ".png"] {
        assert!(!table.get(&format!("out/{}", ending(e))).is_empty(), "{e}");
    }
    assert_eq!(placements(&table.json("out/placements.json")), [3]);
    assert_eq!(table.text("out/placements.csv").lines().filter(|l| l.contains("block")).count(), 3);
    // Twelve triangles a copy, 50 bytes each after 84.
    assert_eq!(table.get(&format!("out/{}", ending(".stl"))).len(), 84 + 50 * 36);
    // The list of what is ours says which of it is fresh.
    let made = || {
        let mut all = table.files();
        all.retain(|path, _| !path.ends_with("stonehand-export.list"));
        all
    };
    let first = made();
    table.run(&["export", "job.stonehand", "-o", "out"]).done();
    assert!(made() == first, "the same job gives the same files");
    // Another time on the plate, another name: the old plate's files go, what is not ours stays.
    table.run(&["top-up", "job.stonehand", "-o", "job.stonehand", "--rounds", "1"]).done();
    let again = table.run(&["export", "job.stonehand", "-o", "out", "--json"]).done().json();
    assert!(!list(&again).contains(&ending(".stl").into()), "{again}");
    assert!(!table.path(&format!("out/{}", ending(".stl"))).exists());
    assert_eq!(table.get("out/notes.txt"), b"mine");
    for options in [&["--one-body"][..], &["--footings", "--corner-marks"]] {
        table.run(&[&["export", "job.stonehand", "-o", "variants"], options].concat()).done();
    }
}

#[test]
fn export_overwrites_nothing_that_is_not_its_own() {
    let table = Table::with_job();
    table.put("out/placements.csv", b"mine");
    table.refuses(&["export", "job.stonehand", "-o", "out"], &["out/placements.csv", "was not written by an export"]);
    // And once that is out of the way, the folder is as good as any.
    std::fs::remove_file(table.path("out/placements.csv")).expect("it is there");
    table.run(&["export", "job.stonehand", "-o", "out"]).done();
    table.refuses(&["export", "job.stonehand", "-o", "block.stl"], &["block.stl"]);
    // A list of names alone, as the first ones were, says of no job: its files are replaced.
    let names: Value = table.json("out/stonehand-export.list")["files"].clone();
    table.put("out/stonehand-export.list", names.to_string().as_bytes());
    table.run(&["export", "job.stonehand", "-o", "out"]).done();
    assert_eq!(table.json("out/stonehand-export.list")["job"], "job");
    // Nor another job's export.
    let before = table.files();
    table.run(&["new", "-o", "other.stonehand", "--bed", "90x90x80", "--part", "block.stl:1"]).done();
    table.refuses(&["export", "other.stonehand", "-o", "out"], &["out", "another job", "\"job\""]);
    std::fs::remove_file(table.path("other.stonehand")).expect("it is there");
    assert!(table.files() == before);
}

#[test]
fn an_order_without_room_is_done_with_a_stop() {
    let table = Table::with_block();
    let told = table
        .run(&["new", "-o", "job.stonehand", "--bed", "15x9x80", "--part", "block.stl:2", "--json"])
        .done_with_stops()
        .json();
    let unplaced = &told["unplaced"][0];
    assert_eq!((&unplaced["part"], &unplaced["count"]), (&"block".into(), &2.into()));
    assert!(unplaced["why"].as_str().is_some_and(|w| w.contains("no bed is large enough")), "{told}");
    table.refuses(&["top-up", "job.stonehand", "-o", "more.stonehand"], &["job.stonehand", "no plate"]);
}
