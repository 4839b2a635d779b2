//! The tally: outcomes written down, read and written as a table, and what they teach.

use std::fs;

use serde_json::Value;

use super::table::{Table, Told};

fn tally(table: &Table, words: &[&str]) -> Told {
    table.run(&[&["tally", "job.stonehand"], words].concat())
}

/// Tallies the only plate so often, run after run, into the same job: bad copies and hours of each run.
fn runs(table: &Table, all: &[(&str, &str, &str)]) {
    for (good, bad, hours) in all {
        let words = ["-o", "job.stonehand", "--plate", "1", "--good", good, "--bad", bad, "--hours", hours];
        tally(table, &words).done();
    }
}

#[test]
fn a_plate_is_tallied_and_counts_in_the_order() {
    let table = Table::with_job();
    let told =
        tally(&table, &["-o", "b.stonehand", "--plate", "1", "--good", "2", "--bad", "1", "--hours", "1.5"]).done();
    assert!(told.out.contains("plate 1, run 1: 2 good, 1 bad, 1 h 30 min"), "{}", told.out);
    // Two of three are made: one is wanted again.
    assert!(told.out.contains("wanted 3  placed 2  good 2"), "{}", told.out);
    let check = table.run(&["check", "b.stonehand", "--json"]).done().json();
    let kinds: Vec<&str> =
        check["findings"].as_array().expect("findings").iter().filter_map(|f| f["kind"].as_str()).collect();
    assert!(kinds.contains(&"unplaced"), "{kinds:?}");
    // What is placed now is what was bad.
    table.run(&["deal", "b.stonehand", "-o", "c.stonehand", "--rounds", "1", "--start", "2026-12-01T08:00"]).done();
    let job = table.json("c.stonehand");
    let copies = |i: usize| job["plates"][i]["copies"].as_array().map_or(0, Vec::len);
    assert_eq!((copies(0) + copies(1), job["plates"].as_array().map(Vec::len)), (4, Some(2)));
}

#[test]
fn copies_are_named_with_causes_and_a_run_is_written_anew() {
    let table = Table::with_job();
    let words = [
        "-o",
        "b.stonehand",
        "--plate",
        "1",
        "--bad-copies",
        "a1, A 2:warped",
        "--cause",
        "came loose",
        "--hours",
        "2",
        "--initials",
        "JK",
        "--date",
        "2026-11-01",
    ];
    let json = tally(&table, &[&words[..], &["--json"]].concat()).done().json();
    let o = &json["outcomes"][0];
    assert_eq!((&o["good"], &o["bad"], &o["initials"]), (&1.into(), &2.into(), &"JK".into()));
    assert_eq!(o["bad_copies"][0]["cause"], "came-loose");
    assert_eq!(o["bad_copies"][1]["cause"], "warped");
    assert!(o["ended"].as_str().is_some_and(|t| t.starts_with("2026-11-01T")), "{o}");
    let again =
        ["tally", "b.stonehand", "-o", "b.stonehand", "--plate", "1", "--run", "1", "--good", "3", "--hours", "2"];
    let told = table.run(&again);
    assert_eq!(told.status, 2, "{told:?}");
    assert!(told.err.contains("run 1 of plate 1 is tallied already"), "{}", told.err);
    let told = table.run(&[&again[..], &["--replace"]].concat()).done();
    assert!(told.out.contains("good 3"), "{}", told.out);
}

#[test]
fn a_table_there_and_back() {
    let table = Table::with_job();
    table.put("in.csv", b"plate,hours,good,bad,cause,note\n1,1.5,2,1,warped,=sum\n1,1.4,3,0,,\n");
    let told = tally(&table, &["-o", "b.stonehand", "--csv-in", "in.csv", "--csv-out", "out.csv"]).done();
    assert!(told.out.contains("2 lines read; the tally has 2 runs: 5 copies good, 1 bad"), "{}", told.out);
    let out = table.text("out.csv");
    assert!(out.starts_with("plate,run,date,hours,good,bad,bad_copies,cause,grams,initials,note,machine"), "{out}");
    assert!(out.contains(",warped,") && out.contains("'=sum"), "{out}");
    // What was written is read again, into the job as it was.
    let back = tally(&table, &["-o", "c.stonehand", "--csv-in", "out.csv"]).done();
    assert!(back.out.contains("2 runs: 5 copies good, 1 bad"), "{}", back.out);
    let tallied = |name: &str| table.json(name)["tally"].clone();
    let plain = |t: Value| {
        t.as_array()
            .expect("a tally")
            .iter()
            .map(|o| (o["run"].clone(), o["actual_s"].clone(), o["note"].clone()))
            .collect::<Vec<_>>()
    };
    assert_eq!(plain(tallied("b.stonehand")), plain(tallied("c.stonehand")));
}

#[test]
fn a_table_is_taken_whole_or_not_at_all() {
    let table = Table::with_job();
    let before = table.get("job.stonehand");
    for (text, said) in [
        (
            &b"plate,hours,good,bad\n1,1.5,2,1\n7,1,3,0\n"[..],
            "in.csv: line 3: there is no plate 7: the job has 1 plate",
        ),
        (
            b"plate,hours,good,bad\n1,1.5,2,1\n1,1,3,1\n",
            "in.csv: line 3: plate 1: 3 good and 1 bad do not agree with the 3 copies on it",
        ),
        (b"plate,hours,good,bad\n1,1.5,2,1\n1,1,3", "in.csv: line 3: 3 of 4 columns are there"),
        (b"Filename;Result;Duration\na;b;c\n", "in.csv: line 1, column 1: \"Filename\" is no column of a tally"),
        (
            b"plate,hours,good,bad_copies\n1,1.5,2,Z 9\n",
            "in.csv: line 2: plate 1: there is no copy \"Z 9\" on it: it has A 1",
        ),
        (b"plate,hours,good,date\n1,1.5,3,2999-01-01\n", "is in the future"),
        (b"plate,hours,good,date\n1,1.5,3,someday\n", "the date \"someday\" cannot be read"),
        (b"plate,hours,good\n1,0,3\n", "0 hours cannot be"),
        (b"plate,run,hours,good\n1,1,2,3\n1,1,2,3\n", "run 1 of plate 1 is there twice"),
        (b"\x89PNG\r\n\x1a\n\x00\xff", "no UTF-8 text"),
        (b"", "the file is empty"),
    ] {
        table.put("in.csv", text);
        let told = tally(&table, &["-o", "job.stonehand", "--csv-in", "in.csv"]);
        assert_eq!(told.status, 2, "{told:?}");
        assert!(told.err.contains(said), "{said}: {}", told.err);
        assert_eq!(table.get("job.stonehand"), before, "nothing is written");
    }
}

#[test]
fn wrong_words_say_what_to_do() {
    let table = Table::with_job();
    let long = "J".repeat(10_000);
    let plate = |more: &[&'static str]| [&["-o", "b.stonehand", "--plate", "1"][..], more].concat();
    for (words, said) in [
        (
            plate(&["--good", "2", "--bad", "2", "--hours", "1"]),
            "2 good and 2 bad do not agree with the 3 copies on it",
        ),
        (plate(&["--good", "2", "--bad", "0", "--hours", "1"]), "do not agree"),
        (plate(&["--good", "3", "--bad", "0", "--hours", "nan"]), "--hours"),
        (plate(&["--good", "3", "--bad", "0", "--hours", "-2"]), "--hours -2: must be between"),
        (plate(&["--good", "3", "--bad", "0", "--hours", "1e9"]), "must be between"),
        (plate(&["--good", "3", "--hours", "1", "--grams", "-5"]), "--grams"),
        (
            plate(&["--good", "3", "--hours", "1", "--cause", "gremlins"]),
            "--cause gremlins: no such cause; write one of came-loose",
        ),
        (plate(&["--good", "3", "--hours", "1", "--date", "2999-01-01"]), "is in the future"),
        (plate(&["--good", "3", "--hours", "1", "--count-spool"]), "has no spool to count down"),
        (plate(&["--good", "2", "--bad-copies", "A 1, A 1", "--hours", "1"]), "is named twice"),
        (plate(&["--bad", "1", "--bad-copies", "A 1, A 2", "--hours", "1"]), "count again"),
        (plate(&["--good", "3"]), "--hours"),
        (vec!["-o", "b.stonehand", "--plate", "9", "--good", "3", "--hours", "1"], "--plate 9"),
        (vec!["-o", "b.stonehand", "--plate", "0", "--good", "3", "--hours", "1"], "counted from 1"),
        (vec!["-o", "b.stonehand"], "say what to write down"),
        (vec![], "--output"),
        (vec!["-o", "b.stonehand", "--use", "time-factor"], "nothing is offered"),
        (vec!["-o", "b.stonehand", "--csv-in", "nowhere.csv"], "nowhere.csv"),
        (plate(&["--good", "3", "--hours", "1", "--run", "0"]), "counted from 1"),
    ] {
        let told = tally(&table, &words);
        assert_eq!(told.status, 2, "{words:?}: {told:?}");
        assert!(told.err.contains(said), "{said}: {}", told.err);
    }
    let told =
        tally(&table, &["-o", "b.stonehand", "--plate", "1", "--good", "3", "--hours", "1", "--initials", &long]);
    assert!(told.status == 2 && told.err.contains("initials: it has 10000 letters; write at most 12"), "{}", told.err);
    assert!(told.err.len() < 300);
    assert!(!table.path("b.stonehand").exists());
}

#[test]
fn what_plates_teach_is_offered_and_taken_over_only_on_request() {
    let table = Table::with_job();
    let estimate = table.run(&["estimate", "job.stonehand", "--json"]).done().json();
    let hours = estimate["plates"][0]["time_s"].as_f64().expect("s") / 3600.0;
    let [a, b] = [1.2, 1.25].map(|k| format!("{:.6}", k * hours));
    let all: Vec<(&str, &str, &str)> =
        (0..12).map(|i| if i % 2 == 0 { ("3", "0", a.as_str()) } else { ("2", "1", b.as_str()) }).collect();
    runs(&table, &all);
    let report = tally(&table, &["--report"]).done().out;
    for words in [
        "12 plates tallied: 36 copies, 30 good",
        "copies that fail         6 of 36",
        "by part",
        "drawn towards 1",
        "left",
        "offered (time-factor)",
    ] {
        assert!(report.contains(words), "{words}: {report}");
    }
    let json = tally(&table, &["--report", "--json"]).done().json();
    let factor = &json["time_factors"][0];
    let measured = factor["measured"].as_f64().expect("a factor");
    assert!((measured - (1.2_f64 * 1.25).sqrt()).abs() < 1e-4, "{factor}");
    let recipe = |name: &str| table.json(name)["recipes"][0]["time_factor"].as_f64().expect("a factor");
    assert_eq!(recipe("job.stonehand"), 1.0);
    tally(
        &table,
        &[
            "-o",
            "b.stonehand",
            "--use",
            "time-factor",
            "--use",
            "failing",
            "--use",
            "lost-plates",
            "--use",
            "time-spread",
        ],
    )
    .done();
    assert!((recipe("b.stonehand") - factor["factor"].as_f64().expect("one")).abs() < 1e-4);
    let job = table.json("b.stonehand");
    // 6.5 / 37 and 0.5 / 13 (Jeffreys).
    assert_eq!(job["assumptions"]["failing_percent"], 17.57);
    assert_eq!(job["assumptions"]["common_cause_percent"], 3.85);
    assert_eq!(job["assumptions"]["origins"]["failing_percent"], "tally of 12 plates");
    // The next estimate has moved by as much.
    let next = table.run(&["estimate", "b.stonehand", "--json"]).done().json();
    let moved = next["plates"][0]["time_s"].as_f64().expect("s") / 3600.0 / hours;
    assert!(moved > 1.1 && moved < 1.25, "{moved}");
}

#[test]
fn an_empty_tally_says_so() {
    let table = Table::with_job();
    let report = tally(&table, &["--report"]).done().out;
    assert!(report.contains("0 plates tallied") && report.contains("nothing is learned yet"), "{report}");
    assert_eq!(tally(&table, &["--report", "--json"]).done().json()["plates"], 0);
    let words = fs::read_to_string(table.path("job.stonehand")).expect("the job");
    assert!(!words.contains("\"tally\"") && !words.contains("\"readiness\""), "nothing is written of what nobody said");
}
