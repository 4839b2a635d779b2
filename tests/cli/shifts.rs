//! When the plates run: for people, as JSON, as a calendar and a table, and in a better sequence.

use std::fs;

use serde_json::Value;

use super::table::Table;

const NOW: [&str; 2] = ["--start", "2026-11-30T16:30:00Z"];

/// Plates by number: machine and start, s.
fn plates(told: &Value) -> Vec<(u64, String, i64)> {
    let all = told["plates"].as_array().expect("plates");
    all.iter()
        .map(|p| {
            let machine = p["machine"].as_str().expect("a machine").to_owned();
            (p["plate"].as_u64().expect("a number"), machine, p["print"]["from_s"].as_i64().expect("seconds"))
        })
        .collect()
}

#[test]
fn a_plan_for_people_and_as_json() {
    let table = Table::with_job();
    let told = table.run(&[&["shifts", "job.stonehand"], &NOW[..]].concat()).done();
    for words in ["plan from Mon 30 Nov 2026 16:30", "plate 1 ", "start now", "No sequence on these machines ends"] {
        assert!(told.out.contains(words), "{words}: {}", told.out);
    }
    assert!(told.out.contains("The hours are an example"), "{}", told.out);
    let json = table.run(&[&["shifts", "job.stonehand", "--json"], &NOW[..]].concat()).done().json();
    assert_eq!((&json["start"], &json["now_s"]), (&"2026-11-30T16:30:00Z".into(), &0.into()));
    assert_eq!(json["hours_are_example"], true);
    let estimate = table.run(&["estimate", "job.stonehand", "--json"]).done().json();
    for (p, e) in json["plates"].as_array().expect("plates").iter().zip(estimate["plates"].as_array().expect("plates"))
    {
        let print_s = p["print"]["to_s"].as_i64().expect("s") - p["print"]["from_s"].as_i64().expect("s");
        assert_eq!(print_s, e["time_s"].as_f64().expect("s").ceil() as i64);
        assert_eq!(p["on"][0]["print_s"], print_s);
    }
    // Nothing is said among the findings of `check` before anybody has set anything.
    let check = table.run(&["check", "job.stonehand"]).done();
    assert!(!check.out.contains("unattended") && !check.out.contains("no-hours"), "{}", check.out);
    // The start is kept where a job is written.
    table.run(&[&["shifts", "job.stonehand", "-o", "planned.stonehand"], &NOW[..]].concat()).done();
    let written = fs::read_to_string(table.path("planned.stonehand")).expect("it is written");
    assert!(written.contains("\"start\": \""), "{written}");
}

#[test]
fn a_better_sequence_is_written_and_the_same_every_time() {
    let table = Table::with_job();
    let words = |out: &'static str| {
        let words = ["shifts", "job.stonehand", "--improve", "--rounds", "2", "--seed", "7", "-o", out, "--json"];
        [&words[..], &NOW[..]].concat()
    };
    let run = |out| table.run(&words(out));
    let first = run("a.stonehand");
    // One plate has no other sequence; several have.
    if first.status == 2 {
        assert!(first.err.contains("needs at least two plates"), "{first:?}");
        return;
    }
    let (a, b) = (first.done().json(), run("b.stonehand").done().json());
    assert_eq!(plates(&a), plates(&b));
    let read = |name| fs::read(table.path(name)).expect("it is written");
    assert_eq!(read("a.stonehand"), read("b.stonehand"));
}

#[test]
fn wrong_words_say_what_to_write() {
    let table = Table::with_job();
    for (words, said) in [
        (
            &["shifts", "job.stonehand", "--start", "half past four"][..],
            "--start half past four: write a day and a time, as in 2026-11-30T16:30",
        ),
        (&["shifts", "job.stonehand", "--now", "2026-13-01T00:00"], "--now 2026-13-01T00:00: write a day and a time"),
        (&["shifts", "job.stonehand", "--improve"], "--output"),
        (&["shifts", "job.stonehand", "--rounds", "3"], "--improve"),
        (&["shifts", "nothing.stonehand"], "nothing.stonehand"),
    ] {
        let told = table.run(words);
        assert_eq!(told.status, 2, "{told:?}");
        assert!(told.err.contains(said), "{said}: {told:?}");
    }
}

#[test]
fn calendar_and_table_are_written_beside() {
    let table = Table::with_job();
    let words =
        ["shifts", "job.stonehand", "--calendar", "plan.ics", "--csv", "plan.csv", "--now", "2026-11-30T16:00:00Z"];
    table.run(&[&words[..], &NOW[..]].concat()).done();
    let ics = fs::read_to_string(table.path("plan.ics")).expect("it is written");
    assert!(ics.starts_with("BEGIN:VCALENDAR\r\n") && ics.contains("DTSTAMP:20261130T160000Z"), "{ics}");
    let csv = fs::read_to_string(table.path("plan.csv")).expect("it is written");
    assert!(csv.starts_with("machine,plate,copies,"), "{csv}");
    // Where it cannot be written, that is said, and nothing else is touched.
    let told = table.run(&["shifts", "job.stonehand", "--csv", "no/such/folder/plan.csv"]);
    assert!(told.status == 2 && told.err.contains("cannot be written"), "{told:?}");
}

/// What is said of the plan is said of one with the start that was given, not with the job's: a plate begun at half past four ends after the
/// last person has left, one begun at eight in the morning does not.
#[test]
fn top_up_by_a_time_tells_of_the_plan_with_the_given_start() {
    let table = Table::with_job();
    let mut job = table.json("job.stonehand");
    let day = serde_json::json!([{"from": "08:00", "to": "17:00"}]);
    job["shifts"] = serde_json::json!({
        "hours": {"time_zone": "UTC", "week": [day, day, day, day, day, [], []], "people": 1}, "start": "2027-01-04T08:00:00",
    });
    table.put("job.stonehand", job.to_string().as_bytes());
    let words = ["top-up", "job.stonehand", "-o", "full.stonehand", "--rounds", "1", "--end-by", "2026-12-01T08:00"];
    let told = table.run(&[&words[..], &["--start", "2026-11-30T16:30"]].concat()).done_any();
    let after =
        told.out.lines().find(|l| l.contains("after the last person has left")).unwrap_or_else(|| panic!("{told:?}"));
    assert!(
        after.contains("Plate 1 on Bench 1 ends Mon 1") || after.contains("Plate 1 on Bench 1 ends Mon 2"),
        "{after}"
    );
    assert!(after.contains("Somebody is there again Tue 08:00"), "{after}");
    // The job keeps its own start.
    assert_eq!(table.json("full.stonehand")["shifts"]["start"], "2027-01-04T08:00:00");
    let check = table.run(&["check", "full.stonehand"]).done_any();
    assert!(!check.out.contains("after the last person has left"), "{}", check.out);
}
