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
    let told = table.run(&[&["new", "-o", "job.stonehand"], words].concat());
    assert!(told.status <= 1, "{told:?}");
    table
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
    let job = table.json("job.stonehand");
    let plates = job["plates"].as_array().expect("plates");
    assert_eq!(plates.iter().map(|p| p["copies"].as_array().map_or(0, Vec::len)).collect::<Vec<_>>(), [1; 5]);
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
    let copies = |name: &str| {
        let plates = table.json(name)["plates"].as_array().cloned().unwrap_or_default();
        plates.iter().map(|p| p["copies"].as_array().map_or(0, Vec::len)).sum::<usize>()
    };
    assert_eq!((copies("job.stonehand"), copies("more.stonehand")), (3, 3));
    // What Pack found no room for is off the plate, still ordered, and told.
    assert_eq!((copies("new.stonehand"), &table.json("new.stonehand")["parts"][0]["wanted"]), (0, &json!(3)));
    assert!(packed.out.contains("found no room"), "{packed:?}");
}

/// More than the 400 plates that are offered at once could hold: what is left is counted.
#[test]
fn ten_thousand_copies() {
    let table = ordered(&["--bed", "40x40x80", "--part", "block.stl:10000"]);
    let told = left_out(&table);
    assert!(told.len() == 1 && told[0].contains("of 10000 not on a plate"), "{told:?}");
}
