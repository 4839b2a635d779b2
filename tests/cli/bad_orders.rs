//! Orders that cannot be arranged, or hardly: what is left out is told in words, and nothing hangs.

use serde_json::json;

use super::table::{Table, kinds};

/// The findings on orders whose copies are not all on plates.
fn left_out(table: &Table) -> Vec<String> {
    let told = table.run(&["check", "job.stonehand", "--json"]);
    let check = told.json();
    let all = check["findings"].as_array().expect("findings").clone();
    all.iter().filter(|f| f["kind"] == "unplaced").filter_map(|f| f["text"].as_str().map(str::to_owned)).collect()
}

fn ordered(words: &[&str]) -> Table {
    let table = Table::with_block();
    // No test is held against the clock.
    let told = table.run(&[&["new", "-o", "job.stonehand", "--seconds", "600"], words].concat());
    assert!(told.status <= 1, "{told:?}");
    table
}

/// How many copies lie on each plate.
fn on_plates(table: &Table, job: &str) -> Vec<usize> {
    let plates = table.json(job)["plates"].as_array().cloned().unwrap_or_default();
    plates.iter().map(|p| p["copies"].as_array().map_or(0, Vec::len)).collect()
}

#[test]
fn a_part_larger_than_the_bed() {
    let table = Table::with_block();
    let told =
        table.run(&["new", "-o", "job.stonehand", "--bed", "18x9x80", "--part", "block.stl:3"]).done_with_stops();
    assert!(told.out.contains("3 of 3 not on a plate") && told.out.contains("no bed is large enough"), "{told:?}");
    assert_eq!(left_out(&table).len(), 1);
}

#[test]
fn nothing_is_ordered() {
    let table = ordered(&["--bed", "100x100x80", "--part", "block.stl:0"]);
    assert_eq!(left_out(&table), Vec::<String>::new());
    table.refuses(&["pack", "job.stonehand", "-o", "new.stonehand", "--rounds", "1"], &["job.stonehand"]);
}

/// A gap of half a metre between blocks on a bed of 100 mm: one on each plate, and all of them.
#[test]
fn a_gap_larger_than_the_bed() {
    let table = ordered(&["--bed", "100x100x80", "--gap", "500", "--part", "block.stl:5"]);
    assert_eq!(on_plates(&table, "job.stonehand"), [1; 5]);
    assert_eq!(left_out(&table), Vec::<String>::new());
}

#[test]
fn a_bed_covered_by_keep_outs() {
    let table = Table::with_job();
    let mut job = table.json("job.stonehand");
    job["machines"][0]["keep_outs"] =
        json!([{ "name": "all of it", "outline": [[-1.0, -1.0], [121.0, -1.0], [121.0, 101.0], [-1.0, 101.0]] }]);
    table.put("job.stonehand", job.to_string().as_bytes());
    let told = table.run(&["check", "job.stonehand", "--json"]);
    assert_eq!(told.status, 1);
    assert!(kinds(&told.json()).contains(&"keep-out"), "{told:?}");
    let packed = table.run(&["pack", "job.stonehand", "-o", "new.stonehand", "--rounds", "2", "--json"]);
    assert_eq!(packed.status, 1, "{packed:?}");
    let topped = table.run(&["top-up", "job.stonehand", "-o", "more.stonehand", "--rounds", "2", "--json"]);
    assert!(topped.status <= 1, "{topped:?}");
    // Nothing is lost.
    let copies = |name: &str| on_plates(&table, name).iter().sum::<usize>();
    assert_eq!((copies("job.stonehand"), copies("more.stonehand")), (3, 3));
    // What Pack finds no room for stays where it lies, and is told.
    assert_eq!((copies("new.stonehand"), &table.json("new.stonehand")["parts"][0]["wanted"]), (3, &json!(3)));
    assert_eq!(table.json("new.stonehand")["plates"], table.json("job.stonehand")["plates"]);
    assert!(packed.err.contains("3 of 3 copies do not fit on plate 1"), "{packed:?}");
}

/// More than the 400 plates that are offered at once could hold: what is left is counted.
#[test]
fn ten_thousand_copies() {
    let table = ordered(&["--bed", "40x40x80", "--part", "block.stl:10000"]);
    let told = left_out(&table);
    assert!(told.len() == 1 && told[0].contains("of 10000 not on a plate"), "{told:?}");
    // A plate that is full stays as it is, and that is said.
    for (word, said) in [("pack", "everything stays where it is"), ("top-up", "plate 1: no room ")] {
        let told = table.run(&[word, "job.stonehand", "-o", "new.stonehand", "--plate", "1", "--rounds", "1"]).done();
        assert!(told.err.contains(said) && told.out.contains("of 10000 not on a plate"), "{told:?}");
        assert_eq!(on_plates(&table, "new.stonehand"), on_plates(&table, "job.stonehand"));
    }
}

/// 20 × 10 on 500 × 500 without a gap: 25 rows of 50 on a plate, worked by hand, and all of 10 000 on eight.
#[test]
fn ten_thousand_copies_on_large_beds() {
    let table = ordered(&["--bed", "500x500x80", "--gap", "0", "--part", "block.stl:10000"]);
    assert_eq!(on_plates(&table, "job.stonehand"), [1250; 8]);
    assert_eq!(left_out(&table), Vec::<String>::new());
    table.run(&["pack", "job.stonehand", "-o", "new.stonehand", "--rounds", "0"]).done();
    assert_eq!(on_plates(&table, "new.stonehand"), [1250; 8]);
}
