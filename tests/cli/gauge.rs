//! `gauge`: machine code measured, listed, held against a plate.

use std::fmt::Write as _;

use serde_json::Value;

use super::table::{Table, has_keys};

/// A square of 40 mm laid `layers` times, 0.2 mm apart.
fn squares(layers: usize) -> String {
    let mut code = String::from("G21\nG90\nM83\nM204 S1000\nG28\n");
    for i in 1..=layers {
        let z = 0.2 * i as f64;
        let _ = writeln!(code, "G1 Z{z:.1} F600\nG1 X40 E2 F3600\nG1 Y40 E2\nG1 X0 E2\nG1 Y0 E2");
    }
    code
}

fn number(value: &Value) -> f64 {
    value.as_f64().unwrap_or_else(|| panic!("a number: {value}"))
}

fn near(value: &Value, wanted: f64, tolerance: f64) {
    assert!((number(value) - wanted).abs() <= tolerance, "{value} is not {wanted}");
}

#[test]
fn a_file_alone() {
    let table = Table::new();
    // By hand, from rest to rest: 100 / 100 + 100 / 1000 s, and G4 in milliseconds.
    table.put("run.gcode", b"M204 S1000\nG1 X100 E5 F6000\nG4 P250\nM1234\nM566 X5\n");
    let told = table.run(&["gauge", "run.gcode", "--json"]).done().json();
    let file = &told["files"][0];
    has_keys(
        file,
        &[
            "file",
            "time_s",
            "before_s",
            "after_s",
            "items",
            "bead_mm",
            "travel_mm",
            "filament_mm",
            "least_layer",
            "layers",
            "unknown",
            "findings",
            "beside",
        ],
    );
    near(&file["time_s"], 1.35, 1e-9);
    near(&file["layers"][0]["time_s"], 1.1, 1e-9);
    near(&file["filament_mm"], 5.0, 1e-12);
    assert_eq!(file["unknown"], serde_json::json!({"M1234": 1, "M566": 1}));
    assert_eq!(file["findings"][0]["level"], "watch");
    let told = table.run(&["gauge", "run.gcode", "--json", "--dwell-seconds"]).done().json();
    near(&told["files"][0]["time_s"], 251.1, 1e-9);
    let words = table.run(&["gauge", "run.gcode"]).done().out;
    for part in ["run.gcode  1 s  1 layer ", "watch  1 command on speed", "assumed: P after G4 counts milliseconds"] {
        assert!(words.contains(part), "“{part}” is missing: {words}");
    }
}

#[test]
fn several_are_listed_shortest_first() {
    let table = Table::new();
    for (name, layers) in [("a.gcode", 30), ("b.G", 10), ("c.nc", 20), ("d.txt", 1)] {
        table.put(&format!("night/{name}"), squares(layers).as_bytes());
    }
    table.put("night/e.gcode", b"");
    let told = table.run(&["gauge", "night"]).done();
    let order: Vec<&str> = told.out.lines().filter_map(|l| l.split_whitespace().last()).collect();
    assert_eq!(order, ["night/b.G", "night/c.nc", "night/a.gcode"]);
    assert!(told.err.contains("night/e.gcode is empty"), "{told:?}");
    let told = table.run(&["gauge", "night/a.gcode", "night/d.txt", "--json"]).done().json();
    assert_eq!(told["files"][0]["file"], "night/d.txt");
}

/// The estimate made with the factor takes as long as what was measured; so does one measured again.
#[test]
fn the_time_factor_makes_the_estimate_agree() {
    let table = Table::with_job();
    table.put("plate.gcode", squares(400).as_bytes());
    let told = table.run(&["gauge", "plate.gcode", "--job", "job.stonehand", "--json"]).done().json();
    let file = &told["files"][0];
    let beside = &file["beside"];
    assert_eq!(beside["items"].as_array().map(Vec::len), Some(5));
    layer_by_layer(file);
    let words =
        ["gauge", "plate.gcode", "--job", "job.stonehand", "--plate", "1", "--set-factor", "-o", "two.stonehand"];
    let told = table.run(&words).done();
    assert!(told.err.contains("time factor 1 →"), "{told:?}");
    let factor = number(&table.json("two.stonehand")["recipes"][0]["time_factor"]);
    near(&beside["measured_factor"], factor, 1e-12);
    assert!(factor > 1.0 && table.json("job.stonehand")["recipes"][0]["time_factor"] == 1.0);
    let plate = &table.run(&["estimate", "two.stonehand", "--json"]).done().json()["plates"][0];
    let file = &table.run(&["gauge", "plate.gcode", "--job", "two.stonehand", "--json"]).done().json()["files"][0];
    let left_out: f64 = ["heat_up_s", "waiting_s", "end_s"].iter().map(|i| number(&plate["items"][i])).sum();
    let moving = number(&file["time_s"]) - number(&file["items"]["dwell_s"]);
    near(&plate["time_s"], moving + left_out, 1e-3 * moving);
    near(&file["beside"]["measured_factor"], factor, 2e-3 * factor);
    let words = table.run(&["gauge", "plate.gcode", "--job", "two.stonehand"]).done().out;
    assert!(words.contains("plate 1       measured") && words.contains("in all"), "{words}");
    // Both shortest layers and their difference in one line, and layer times from the bed up.
    let least =
        words.lines().find(|l| l.trim_start().starts_with("shortest layer  ")).unwrap_or_else(|| panic!("{words}"));
    assert_eq!(least.matches(" s").count(), 3, "{least}");
    let times: Vec<&str> = words.lines().skip_while(|l| !l.contains("unslowed")).collect();
    assert!(times[0].contains("means of ") && times[1].contains("0.20 – "), "{words}");
}

/// Every layer of the estimate and of the file is there, at its height, once.
fn layer_by_layer(file: &Value) {
    let beside = &file["beside"];
    let layers = beside["layers"].as_array().expect("layers");
    let times = |key: &str| layers.iter().filter_map(|l| l[key].as_f64()).collect::<Vec<_>>();
    let estimated = times("estimated_s");
    assert_eq!(beside["estimated_layers"], estimated.len());
    assert_eq!((times("estimated_natural_s").len(), times("measured_s").len()), (estimated.len(), 400));
    let least = estimated.iter().copied().fold(f64::INFINITY, f64::min);
    near(&beside["estimated_least_layer"]["time_s"], least, 1e-12);
    let measured: f64 = file["layers"].as_array().expect("layers").iter().map(|l| number(&l["time_s"])).sum();
    assert!((times("measured_s").iter().sum::<f64>() - measured).abs() < 1e-6);
    assert!(times("z_mm").is_sorted());
}

#[test]
fn what_cannot_be_measured_is_refused() {
    let table = Table::with_job();
    table.put("empty.gcode", b"");
    table.put("noise.gcode", &(0..99_999u32).map(|i| (i.wrapping_mul(2_654_435_761) >> 11) as u8).collect::<Vec<_>>());
    table.put("text.gcode", b"; nothing here\nM104 S200\n");
    table.put("good.gcode", squares(1).as_bytes());
    table.put("bare/readme.txt", b"G1 X1");
    table.refuses(&["gauge", "empty.gcode"], &["empty.gcode is empty"]);
    table.refuses(&["gauge", "noise.gcode"], &["noise.gcode is not machine code", "belong to no word"]);
    table.refuses(&["gauge", "text.gcode"], &["text.gcode is not machine code", "nothing in it moves"]);
    table.refuses(&["gauge", "block.stl"], &["block.stl is not machine code"]);
    table.refuses(&["gauge", "bare"], &["bare: holds no machine-code files", "gcode"]);
    table.refuses(&["gauge", "gone.gcode"], &["gone.gcode: cannot be read"]);
    table.refuses(&["gauge", "good.gcode", "--job", "gone.stonehand"], &["gone.stonehand"]);
    let job = ["gauge", "good.gcode", "--job", "job.stonehand"];
    table.refuses(&[&job[..], &["--plate", "3"]].concat(), &["--plate 3", "has 1 plate"]);
    table.refuses(&[&job[..], &["--plate", "0"]].concat(), &["counted from 1"]);
    table.refuses(&[&job[..], &["--recipe", "none"]].concat(), &["--recipe none", "0.20 mm"]);
    let factor = ["--set-factor", "-o", "x.stonehand"];
    table.refuses(&[&job[..], &factor, &["good.gcode"]].concat(), &["takes one file"]);
    for words in [&["gauge"][..], &["gauge", "good.gcode", "--plate", "1"], &["gauge", "good.gcode", "--set-factor"]] {
        assert_eq!(table.run(words).status, 2, "{words:?}");
    }
}
