//! How many copies at once; as many as end by a time.

use std::fs;

use serde_json::Value;

use super::table::{Table, has_keys};

fn number(row: &Value, key: &str) -> f64 {
    row[key].as_f64().unwrap_or_else(|| panic!("{key} is no number in {row}"))
}

#[test]
fn copies_of_a_block() {
    let table = Table::with_job();
    let before = table.files();
    let told = table.run(&["study", "copies", "job.stonehand", "--part", "block", "--json"]).done().json();
    assert_eq!((&told["part"], &told["machine"], &told["wanted"]), (&"block".into(), &"Bench 1".into(), &3.into()));
    let rows = told["rows"].as_array().expect("rows");
    assert!(rows.len() > 10, "{told}");
    for (row, n) in rows.iter().zip(1..) {
        has_keys(
            row,
            &["copies", "time_s", "lost", "good", "all_good", "plates_to_start", "good_per_day", "night", "best"],
        );
        assert_eq!(row["copies"], n);
        assert!((number(row, "time_per_copy_s") * f64::from(n) / number(row, "time_s") - 1.0).abs() < 1e-9);
    }
    assert_eq!(rows.iter().filter(|r| r["best"] == true).count(), 1);
    let people = table.run(&["study", "copies", "job.stonehand", "--part", "A"]).done();
    let lines: Vec<&str> = people.out.lines().collect();
    assert_eq!(lines[0], "block on Bench 1");
    assert!(lines[1].starts_with("copies") && lines[1].ends_with("all good  plates to start"), "{people:?}");
    assert!(
        people.out.contains("* most good parts a day") && people.out.contains("assumed: 2 % of copies"),
        "{people:?}"
    );
    assert_eq!(table.files(), before, "a study changes nothing");

    let study = |more: &[&'static str]| [&["study", "copies", "job.stonehand"][..], more].concat();
    table.refuses(&study(&["--part", "gate"]), &["--part gate", "no such part in job.stonehand", "block (A)"]);
    for chance in ["0", "1", "nan", "-3"] {
        table.refuses(
            &study(&["--part", "A", "--confidence", chance]),
            &["--confidence", "more than 0 and less than 1"],
        );
    }
    fs::remove_file(table.path("block.stl")).expect("it was there");
    table.run(&study(&["--part", "A"])).refused(&["the mesh of block is missing: locate it first"]);
}

/// Nobody there, or not for long enough: numbers without rates, and what to do.
#[test]
fn without_hours() {
    let table = Table::with_job();
    let mut job = table.json("job.stonehand");
    job["shifts"]["hours"] = serde_json::json!({"week": [[], [], [], [], [], [], []], "people": 1});
    table.put("job.stonehand", job.to_string().as_bytes());
    let told = table.run(&["study", "copies", "job.stonehand", "--part", "A", "--json"]).done().json();
    assert!(told["rows"][0]["good_per_day"].is_null() && told["rows"][0]["time_s"].is_number());
    assert!(
        told["remarks"][0]
            .as_str()
            .is_some_and(|r| r.starts_with("Nobody is there in the next 4 full weeks: set people's hours"))
    );
    let day = serde_json::json!([{"from": "08:00", "to": "08:05"}]);
    job["shifts"]["hours"] = serde_json::json!({"week": [day, [], [], [], [], [], []], "people": 1});
    table.put("job.stonehand", job.to_string().as_bytes());
    let told = table.run(&["study", "copies", "job.stonehand", "--part", "A", "--json"]).done().json();
    assert!(
        told["remarks"][0].as_str().is_some_and(|r| r.contains("A changeover takes 10 min")),
        "{}",
        told["remarks"]
    );
}

#[test]
fn top_up_and_pack_by_a_time() {
    let table = Table::with_job();
    let by = |command: &'static str, out: &'static str, more: &[&'static str]| {
        [&[command, "job.stonehand", "-o", out, "--rounds", "1", "--json"][..], more].concat()
    };
    let all = table.run(&by("top-up", "full.stonehand", &[])).done_any().json();
    let count = |told: &Value| told["plates"][0]["copies"].as_array().map_or(0, Vec::len);
    let (start, end) = ("2026-11-30T16:30", "2026-11-30T17:00");
    let told = table.run(&by("top-up", "some.stonehand", &["--start", start, "--end-by", end])).done_any();
    let some = told.json();
    assert!(told.err.contains("more copies: + ") && told.err.contains("sure to end by"), "{told:?}");
    assert!(count(&some) > 3 && count(&some) < count(&all), "{} of {}", count(&some), count(&all));
    let ends = &some["end"];
    has_keys(
        ends,
        &["plate", "start", "ends", "earliest", "latest", "chance", "added", "added_s", "taken_off", "words"],
    );
    assert_eq!((ends["added"].as_u64(), ends["plate"].as_u64()), (Some(count(&some) as u64 - 3), Some(1)));
    assert!(number(ends, "time_s") <= 1800.0 && number(ends, "chance") >= 0.5);
    // Surer: fewer; the estimate of the job that was written is the one told.
    let told = table.run(&by("top-up", "sure.stonehand", &["--start", start, "--end-by", end, "--chance", "0.99"]));
    let sure = told.done_any().json();
    assert!(count(&sure) <= count(&some) && number(&sure["end"], "chance") >= 0.99);
    let estimate = table.run(&["estimate", "some.stonehand", "--json"]).done_any().json();
    assert!((number(&estimate["plates"][0], "time_s") / number(ends, "time_s") - 1.0).abs() < 1e-9);

    // Pack: what is taken off is left out and named, or goes to a further plate.
    let pack = |out: &'static str, more: &[&'static str]| {
        [&["pack", "full.stonehand", "-o", out, "--rounds", "1", "--json", "--start", start, "--end-by", end][..], more]
            .concat()
    };
    let told = table.run(&pack("packed.stonehand", &[])).done_any();
    let packed = told.json();
    let off = packed["end"]["taken_off"].as_array().expect("a list").len();
    assert_eq!(count(&packed) + off, count(&all));
    assert!(off > 0 && told.err.contains("left out (A "), "{told:?}");
    let further = table.run(&pack("further.stonehand", &["--more-plates"])).done_any().json();
    let on_second = further["plates"][1]["copies"].as_array().expect("a list").len();
    assert_eq!((count(&further) + on_second, &further["end"]["on_further_plate"]), (count(&all), &true.into()));

    for (words, sentence) in [
        (&["--end-by", "25:00"][..], "--end-by 25:00: write a time of day"),
        (&["--end-by", "08:00", "--start", "noon"], "--start noon: write a time of day"),
        (&["--end-by", "2026-11-30T08:00", "--start", "2026-11-30T09:00"], "is not after the start"),
        (&["--end-by", "2020-11-30T08:00"], "is not after the start"),
        (&["--end-by", "08:00", "--chance", "1"], "--chance 1: must be more than 0"),
    ] {
        table.refuses(&by("top-up", "none.stonehand", words), &[sentence]);
    }
    table.refuses(
        &["top-up", "further.stonehand", "-o", "none.stonehand", "--end-by", "08:00"],
        &["has 2 plates", "say which with --plate"],
    );
}
