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
