//! What is replaced, what is not, and names that would steer a spreadsheet or a terminal.

use serde_json::Value;

use super::table::{Table, kinds};

/// The job with other names.
fn named(table: &Table, part: &str, machine: &str, title: &str) {
    let mut job = table.json("job.stonehand");
    job["parts"][0]["name"] = part.into();
    job["machines"][0]["name"] = machine.into();
    job["title"] = title.into();
    table.put("named.stonehand", job.to_string().as_bytes());
}

#[test]
fn a_folder_is_refused_as_the_name_of_a_job() {
    let table = Table::with_job();
    table.put("plates/notes.txt", b"mine");
    table.put("old.stonehand/notes.txt", b"mine");
    let new = |o| ["new", "-o", o, "--bed", "90x90x80", "--part", "block.stl:1"];
    for output in ["/", "plates", "plates/", ".", "..", "old", "old.stonehand"] {
        table.refuses(&new(output), &["is a folder", "name"]);
        table.refuses(&["pack", "job.stonehand", "-o", output, "--rounds", "1"], &["is a folder", "name"]);
    }
    table.refuses(&["export", "job.stonehand", "-o", "/"], &["/: is the root of the disk"]);
}

#[test]
#[cfg(unix)]
fn a_write_protected_job_is_refused_and_links_are_followed() {
    use std::os::unix::fs::{PermissionsExt, symlink};
    let table = Table::with_job();
    let pack = |output: &'static str| ["pack", "job.stonehand", "-o", output, "--rounds", "1"];
    table.put("kept.stonehand", b"kept");
    std::fs::set_permissions(table.path("kept.stonehand"), PermissionsExt::from_mode(0o444)).expect("a mode");
    table.refuses(&pack("kept.stonehand"), &["kept.stonehand: is write-protected"]);
    symlink("job.stonehand", table.path("link.stonehand")).expect("a link");
    table.run(&pack("link.stonehand")).done();
    assert!(table.path("link.stonehand").is_symlink());
    assert_eq!(table.json("job.stonehand")["stonehand"], 1);
}

#[test]
fn what_a_killed_run_left_goes_with_the_next() {
    let table = Table::with_job();
    table.run(&["export", "job.stonehand", "-o", "out"]).done();
    let before = table.files();
    let old = std::time::SystemTime::UNIX_EPOCH + std::time::Duration::from_secs(1_000_000);
    let left = |name: &str| {
        table.put(name, b"half");
        let file = std::fs::File::options().append(true).open(table.path(name)).expect("it is there");
        file.set_modified(old).expect("a time can be set");
    };
    left(".stonehand-dead.tmp");
    left("out/.stonehand-dead.tmp");
    table.put("out/.stonehand-export.tmp/new/placements.csv", b"half");
    table.run(&["export", "job.stonehand", "-o", "out"]).done();
    table.run(&["pack", "job.stonehand", "-o", "job.stonehand", "--rounds", "1"]).done();
    assert!(table.files().keys().eq(before.keys()), "{:?}", table.files().keys());
}

#[test]
fn no_cell_of_the_table_is_a_formula() {
    let table = Table::with_job();
    named(&table, "=HYPERLINK(\"x\")", "@bench", "-title");
    let job = table.json("named.stonehand");
    let x = -0.123_456_789;
    let mut job: Value = job;
    job["plates"][0]["copies"][0]["x_mm"] = x.into();
    table.put("named.stonehand", job.to_string().as_bytes());
    table.run(&["export", "named.stonehand", "-o", "out"]).done_with_stops();
    let text = table.text("out/placements.csv");
    let mut lines = text.lines();
    let heading: Vec<&str> = lines.next().expect("a heading").split(',').collect();
    assert_eq!(heading.last(), Some(&"file_from_here"));
    let first = lines.next().expect("a copy");
    assert!(first.starts_with("1,'@bench,A 1,\"'=HYPERLINK(\"\"x\"\")\",block.stl,"), "{first}");
    assert!(first.contains(",-0.123457,"), "a number stays a number: {first}");
    assert!(first.ends_with(",../block.stl"), "{first}");
    let placed = table.json("out/placements.json");
    let copy = &placed["plates"][0]["copies"][0];
    assert_eq!((&copy["file"], &copy["file_from_here"]), (&"block.stl".into(), &"../block.stl".into()));
    assert_eq!((&copy["part"], &copy["x_mm"]), (&"=HYPERLINK(\"x\")".into(), &x.into()));
}

#[test]
fn names_cannot_steer_the_terminal() {
    let table = Table::with_job();
    let evil = "gate\u{1b}[2J\u{9b}2J\nstop  forged\u{202e}";
    named(&table, evil, evil, evil);
    let mut job = table.json("named.stonehand");
    job["plates"][0]["copies"][0]["x_mm"] = (-50.0).into();
    table.put("named.stonehand", job.to_string().as_bytes());
    let plain = |text: &str| !text.chars().any(|c| c != '\n' && c.is_control() || c == '\u{202e}');
    for words in [
        &["check", "named.stonehand"][..],
        &["estimate", "named.stonehand"],
        &["pack", "named.stonehand", "-o", "packed.stonehand", "--rounds", "0"],
        &["export", "named.stonehand", "-o", "out"],
        &["top-up", "named.stonehand", "-o", "x.stonehand", "--part", "no\u{1b}[31m"],
    ] {
        let told = table.run(words);
        assert!(plain(&told.out) && plain(&told.err), "{words:?}: {told:?}");
        assert!(!told.out.lines().any(|l| l.starts_with("stop  forged")), "{told:?}");
    }
    for file in std::fs::read_dir(table.path("out")).expect("it is there").flatten() {
        let path = file.path();
        if path.extension().is_some_and(|e| e == "svg" || e == "csv") {
            let text = std::fs::read_to_string(&path).expect("it is text").replace('\r', "");
            assert!(plain(&text), "{}", path.display());
        }
    }
    let check = table.run(&["check", "named.stonehand", "--json"]).json();
    assert!(kinds(&check).contains(&"off-bed"), "{check}");
}
