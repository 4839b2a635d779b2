//! The order over plates, machines and days, from outside.

use super::table::Table;

const WORDS: [&str; 8] =
    ["deal", "job.stonehand", "-o", "dealt.stonehand", "--rounds", "2", "--start", "2026-12-01T08:00"];

#[test]
fn a_small_order_is_dealt_out() {
    let table = Table::with_job();
    let mut words = WORDS.to_vec();
    words.push("--json");
    let told = table.run(&words).done().json();
    let timeline = told["timeline"].as_array().expect("a timeline");
    assert_eq!(timeline.len(), told["plates"].as_array().map_or(0, Vec::len));
    let copies: usize =
        told["plates"].as_array().into_iter().flatten().map(|p| p["copies"].as_array().map_or(0, Vec::len)).sum();
    assert_eq!(copies, 3);
    for row in timeline {
        let [start, end, ready] = ["start", "end", "ready"].map(|k| row[k].as_str().expect("a time").to_owned());
        assert!(start.starts_with("2026-12-01T08:") && start < end && end < ready, "{row}");
    }
    assert_eq!(told["finish"], timeline[timeline.len() - 1]["end"]);
    assert!(told["bound"].as_str() <= told["finish"].as_str() && told["gap"].as_f64().is_some(), "{told}");
    assert_eq!(told["late"].as_array().map(Vec::len), Some(0));
    assert_eq!(told["version"], 1);
    // The same again, and the same in words.
    let first = table.get("dealt.stonehand");
    let said = table.run(&WORDS).done().out;
    assert_eq!(table.get("dealt.stonehand"), first);
    assert!(said.starts_with("plate  machine") && said.contains("the last print ends Tue"), "{said}");
    assert!(said.contains("no dealing ends before"), "{said}");
}

#[test]
fn wrong_words_are_refused() {
    let table = Table::with_job();
    for (words, says) in [
        (&["--start", "tomorrow"][..], "write a local date and time"),
        (&["--seconds", "-1"][..], "--seconds -1"),
        (&["--rounds", "1", "--seconds", "1"][..], "cannot be used with"),
    ] {
        let mut all = vec!["deal", "job.stonehand", "-o", "dealt.stonehand"];
        all.extend(words);
        let told = table.run(&all);
        assert_eq!(told.status, 2, "{told:?}");
        assert!(told.err.contains(says), "{told:?}");
        assert!(!table.path("dealt.stonehand").exists());
    }
}

/// Blocks of 20 × 10 × 5 mm; with `strip_mm` the first machine has two carriages and nothing lies on a plate yet.
fn order(count: usize, beds: usize, strip_mm: Option<f64>) -> Table {
    let table = Table::with_block();
    let part = format!("block.stl:{count}");
    let mut words = vec!["new", "-o", "job.stonehand", "--seconds", "0", "--part", &part];
    (0..beds).for_each(|_| words.extend(["--bed", "120x100x80"]));
    table.run(&words).done();
    if let Some(strip_mm) = strip_mm {
        let mut job = table.json("job.stonehand");
        job["plates"] = serde_json::json!([]);
        job["machines"][0]["carriages"] = serde_json::json!({ "strip_mm": strip_mm });
        table.put("job.stonehand", job.to_string().as_bytes());
    }
    table
}

/// The figures are those of the program before it knew of plates printed twice at once.
#[test]
fn machines_with_one_carriage_are_dealt_as_before() {
    let said = order(90, 2, None).run(&WORDS).done().out;
    for line in [
        "1      Bench 1  8       Tue 08:05  Tue 08:32   Tue 08:47",
        "4      Bench 1  38      Tue 08:52  Tue 10:43   Tue 11:02",
        "2      Bench 2  35      Tue 08:10  Tue 09:52   Tue 10:07",
        "3      Bench 2  9       Tue 10:12  Tue 10:42   Tue 10:57",
        "no dealing ends before Tue 10:22",
    ] {
        assert!(said.contains(line), "{line}\n{said}");
    }
}

/// Two heads on one X bar print the same plate twice in the time of one: common practice, no source.
#[test]
fn two_carriages_take_half_the_time() {
    let minutes = |told: &serde_json::Value| -> f64 {
        let time = |row: &serde_json::Value, k: &str| -> f64 {
            let at: jiff::Timestamp = row[k].as_str().expect("a time").parse().expect("a time");
            at.as_second() as f64 / 60.0
        };
        told["timeline"].as_array().into_iter().flatten().map(|row| time(row, "end") - time(row, "start")).sum()
    };
    let mut words = WORDS.to_vec();
    words.push("--json");
    let once = order(24, 1, None).run(&words).done().json();
    let table = order(24, 1, Some(10.0));
    let twice = table.run(&words).done().json();
    let share = minutes(&twice) / minutes(&once);
    assert!((0.45..0.62).contains(&share), "{share}: {twice}");
    let job = table.json("dealt.stonehand");
    let plates = job["plates"].as_array().expect("plates");
    let made: usize = plates
        .iter()
        .map(|p| p["copies"].as_array().map_or(0, Vec::len) * if p["twin"] == "shifted" { 2 } else { 1 })
        .sum();
    assert_eq!(made, 24);
    // No copy nor twin is in conflict, on the strip neither.
    table.run(&["check", "dealt.stonehand"]).done();
    assert!(table.run(&WORDS).done().out.contains("  24  "));
}
