//! One part in several ways, side by side.

use std::{fs, path::Path};

use serde_json::Value;
use stonehand::{
    document::{Footing, Job, Part, Plate, PlateId},
    packing,
    plate::{Prepared, Shapes, top_up_task},
    session::{Action, Disk, Session},
    work::Runner,
};

use super::table::Table;

fn number(row: &Value, key: &str) -> f64 {
    row[key].as_f64().unwrap_or_else(|| panic!("{key} is no number in {row}"))
}

fn footing(row: &Value) -> Footing {
    let width_mm = number(&row["footing"], "width_mm");
    match row["footing"]["kind"].as_str() {
        Some("bare") => Footing::Bare,
        Some("brim") => Footing::Brim { width_mm },
        Some("raft") => Footing::Raft { width_mm },
        other => panic!("{other:?}"),
    }
}

#[test]
fn footings_of_a_peg() {
    let samples = Path::new(env!("CARGO_MANIFEST_DIR")).join("samples");
    let job = samples.join("hive-fittings.stonehand");
    let words = job.to_string_lossy();
    let before = fs::read(&job).expect("the sample");
    let table = Table::new();
    let told = table.run(&["study", "footing", &words, "--part", "queen-cage peg", "--json"]).done().json();
    assert_eq!((&told["part"], &told["machine"]), (&"queen-cage peg".into(), &"Bench 1".into()));
    let rows = told["rows"].as_array().expect("rows");
    assert!(rows.len() >= 5, "{told}");

    let mut s = Session::new(Box::new(Disk::plain()), Runner::inline());
    s.try_act(Action::Open(job.clone())).expect("it opens");
    s.tick();
    let peg = s.job().parts.iter().find(|p| p.name == "queen-cage peg").expect("a peg").id;
    let study = s.footing_study(peg).expect("its layers are there");
    let shapes = Shapes::from([(peg, study.studied.shape.clone())]);
    for row in rows {
        // The plate as a person would put it: empty, of the peg's kind.
        let part = Part { footing: footing(row), ..study.job.part(peg).expect("a peg").clone() };
        let (id, machine, copies) = (PlateId(study.job.next_id), study.machine, Vec::new());
        let (material, colour, recipe) = (part.material, part.colour.clone(), part.recipe);
        let run = stonehand::document::RunState::default();
        let plate =
            Plate { id, machine, material, colour, recipe, spool: None, twin: None, twin_spool: None, run, copies };
        let job = Job { parts: vec![part], plates: vec![plate], ..(*study.job).clone() };
        let task = top_up_task(&job, &[id], Some(peg), None, false, &shapes, &Prepared::new()).expect("a task");
        let bound = packing::copies_bound(&task.bounding(), 0).expect("a bound").value;
        let copies = row["copies"].as_u64().expect("a count");
        assert!(copies >= 1 && copies <= bound, "{copies} of at most {bound}: {row}");
        let each_s = number(row, "time_per_copy_s");
        assert!((each_s * copies as f64 / number(row, "time_s") - 1.0).abs() < 1e-9, "{row}");
        let good = number(row, "expected_good");
        // 2 % fail at the least, so assumed.
        assert!(good > 0.0 && good <= 0.98 * copies as f64 + 1e-9, "{row}");
        assert!(number(row, "mass_per_copy_g") > 0.0 && number(row, "clean_up_s") >= 0.0);
        // The peg is 96 mm tall.
        let lift = if row["footing"]["kind"] == "raft" { 5.0 } else { 1e-6 };
        assert!((0.0..=96.0 + lift).contains(&number(row, "margin_at_mm")), "{row}");
    }
    // Wider never holds worse: brims among themselves, rafts among themselves; bare is the narrowest of brims.
    let margins = |kinds: &[&str]| -> Vec<f64> {
        let of_kind = rows.iter().filter(|r| kinds.iter().any(|k| r["footing"]["kind"] == *k));
        of_kind.map(|r| number(r, "margin")).collect()
    };
    let brims = margins(&["bare", "brim"]);
    assert!(brims.len() >= 4 && brims.is_sorted() && brims[1] > brims[0], "{brims:?}");
    assert!(margins(&["raft"]).is_sorted(), "{told}");
    assert_eq!(rows.iter().filter(|r| r["suggested"] == true).count(), 1, "{told}");
    assert_eq!(fs::read(&job).expect("the sample"), before, "a study changes nothing");
}

#[test]
fn a_table_for_people_and_refusals_in_one_sentence() {
    let table = Table::with_job();
    let told = table.run(&["study", "footing", "job.stonehand", "--part", "A"]).done();
    let lines: Vec<&str> = told.out.lines().collect();
    assert_eq!(lines[0], "block on Bench 1");
    let head: Vec<&str> = lines[1].split_whitespace().collect();
    assert_eq!(head.join(" "), "footing copies plate each good per good g each clean-up margin at mm");
    assert!(lines[2].starts_with("bare") && lines[3].starts_with("brim 3 mm"), "{told:?}");
    // Numbers end where their heads end.
    let table_lines = &lines[1..7];
    let width = |l: &str| l.chars().count();
    assert!(table_lines.iter().all(|l| width(l) == width(table_lines[0])), "{told:?}");
    let by_name = table.run(&["study", "footing", "job.stonehand", "--part", "block"]).done();
    assert_eq!(by_name.out, told.out, "the same seed and rounds give the same rows");

    // Footings of one's own; the suggested one is there as well.
    let own = table.run(&[
        "study",
        "footing",
        "job.stonehand",
        "--part",
        "A",
        "--footing",
        "brim:4",
        "--footing",
        "raft:6",
        "--json",
    ]);
    let rows = own.done().json()["rows"].as_array().expect("rows").clone();
    let widths: Vec<f64> = rows.iter().map(|r| number(&r["footing"], "width_mm")).collect();
    assert_eq!(widths[..2], [4.0, 6.0]);
    assert!(rows[2..].iter().all(|r| r["suggested"] == true), "{rows:?}");

    let study = |more: &[&'static str]| [&["study", "footing", "job.stonehand"][..], more].concat();
    table.refuses(&study(&["--part", "gate"]), &["--part gate", "no such part in job.stonehand", "block (A)"]);
    table.refuses(&study(&["--part", "A", "--seconds", "-1"]), &["--seconds -1"]);
    table.refuses(&study(&["--part", "A", "--footing", "brim:wide"]), &["--footing brim:wide", "raft:WIDTH"]);
    table.refuses(&["study", "footing", "none.stonehand", "--part", "A"], &["none.stonehand"]);
    fs::remove_file(table.path("block.stl")).expect("it was there");
    let gone = table.run(&study(&["--part", "A"]));
    assert_eq!((gone.status, gone.out.as_str()), (2, ""), "{gone:?}");
    assert!(gone.err.contains("the mesh of block is missing: locate it first"), "{gone:?}");
}

#[test]
fn a_part_that_fits_no_bed_is_refused_with_its_size() {
    let table = Table::with_block();
    // The block is 20 × 10 × 5 mm.
    table.run(&["new", "-o", "small.stonehand", "--bed", "15x8x80", "--part", "block.stl:0"]);
    let told = table.run(&["study", "footing", "small.stonehand", "--part", "block"]);
    told.refused(&["small.stonehand: block measures", "does not fit Bench 1 (15.0 × 8.0 mm"]);
}
