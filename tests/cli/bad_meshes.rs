//! Mesh files that are damaged, hostile, or no mesh at all.

use serde_json::Value;

use super::{
    fixtures::{ascii, binary, block, model, package, packed, xml_block},
    table::{Table, kinds},
};

/// `inspect` and `new` refuse the file in one sentence with its name and these words; a job that is there stays.
fn refused(name: &str, bytes: &[u8], sentence: &[&str]) {
    let table = Table::with_job();
    table.put(name, bytes);
    let words = [&[name], sentence].concat();
    table.refuses(&["inspect", name], &words);
    // A good one beside it is reported, whichever comes first, and the command fails all the same.
    for names in [["block.stl", name], [name, "block.stl"]] {
        let told = table.run(&[&["inspect"][..], &names, &["--json"]].concat());
        let reports = told.json();
        assert_eq!((told.status, reports.as_array().map(Vec::len)), (2, Some(1)), "{told:?}");
        assert_eq!(reports[0]["file"], "block.stl");
        assert!(words.iter().all(|w| told.err.contains(w)) && told.err.lines().count() == 1, "{told:?}");
    }
    let part = format!("{name}:2");
    table.refuses(&["new", "-o", "job.stonehand", "--bed", "120x100x80", "--part", &part], &words);
}

/// The file is read: `inspect` names this fault, and a job with it has the finding. Gives the report.
fn read_with(name: &str, bytes: &[u8], fault: &str) -> Value {
    let table = Table::new();
    table.put(name, bytes);
    let report = table.run(&["inspect", name, "--json"]).done().json()[0].clone();
    let found: Vec<&str> =
        report["faults"].as_array().expect("a list").iter().filter_map(|f| f["kind"].as_str()).collect();
    assert!(found.contains(&fault), "{fault} is missing: {found:?}");
    let part = format!("{name}:2");
    table.run(&["new", "-o", "job.stonehand", "--bed", "120x100x80", "--part", &part]).done();
    let check = table.run(&["check", "job.stonehand", "--json"]).done().json();
    assert!(kinds(&check).contains(&"mesh-fault"), "{check}");
    report
}

/// No bed holds it: a *stop* finding with these words, and the rest of the order is placed.
fn too_large(triangles: &[[[f32; 3]; 3]], words: &str) {
    let table = Table::with_block();
    table.put("large.stl", &binary(triangles, 12));
    let told = table
        .run(&["new", "-o", "job.stonehand", "--bed", "120x100x80", "--part", "large.stl:2", "--part", "block.stl:2"])
        .done_with_stops();
    assert!(told.out.contains(words), "{told:?}");
    let job = table.json("job.stonehand");
    let copies: usize =
        job["plates"].as_array().expect("a list").iter().map(|p| p["copies"].as_array().expect("a list").len()).sum();
    assert_eq!(copies, 2, "the blocks are placed, the large ones are not");
    let check = table.run(&["check", "job.stonehand", "--json"]).done().json();
    assert!(kinds(&check).contains(&"unplaced"), "{check}");
    for command in ["estimate", "check"] {
        table.run(&[command, "job.stonehand"]).done();
    }
    table.run(&["export", "job.stonehand", "-o", "out"]).done();
}

fn scaled(by: impl Fn([f32; 3]) -> [f32; 3]) -> Vec<[[f32; 3]; 3]> {
    block().into_iter().map(|t| t.map(&by)).collect()
}

#[test]
fn an_empty_file() {
    refused("empty.stl", b"", &["empty"]);
}

#[test]
fn text_renamed() {
    refused("notes.stl", b"Dear keeper, the gates are ready.\n", &["neither a binary nor a text STL", "“Dear”"]);
    refused("notes.3mf", b"Dear keeper, the gates are ready.\n", &["not a zip package"]);
    refused("notes.txt", b"Dear keeper, the gates are ready.\n", &["not in a mesh format"]);
}

#[test]
fn a_truncated_stl() {
    let whole = binary(&block(), 12);
    refused("cut.stl", &whole[..whole.len() - 10], &["cut short", "12 triangles"]);
    refused("head.stl", &[0; 60], &["too few"]);
    let text = ascii("gate", &block());
    refused("half.stl", &text.as_bytes()[..text.len() / 2], &["line"]);
}

#[test]
fn an_over_long_stl() {
    let mut long = binary(&block(), 12);
    long.extend([7; 13]);
    assert_eq!(read_with("long.stl", &long, "trailing-bytes")["triangles"], 12);
}

#[test]
fn the_greatest_count_there_is() {
    let mut bytes = binary(&block(), u32::MAX);
    assert_eq!(read_with("count.stl", &bytes, "count-mismatch")["triangles"], 12);
    bytes.truncate(bytes.len() - 10);
    refused("count.stl", &bytes, &["cut short", "4294967295"]);
}

#[test]
fn vertices_that_are_no_numbers() {
    for odd in [f32::NAN, f32::INFINITY, f32::NEG_INFINITY] {
        let mut triangles = block();
        triangles.push([[odd, 0.0, 0.0], [1.0, 0.0, 0.0], [0.0, 1.0, 0.0]]);
        let report = read_with("odd.stl", &binary(&triangles, 13), "non-finite");
        assert_eq!((&report["triangles"], &report["watertight"]), (&12.into(), &true.into()));
    }
    refused("nan.stl", &binary(&[[[f32::NAN; 3]; 3]; 4], 4), &["no triangle", "finite coordinates"]);
}

#[test]
fn coordinates_of_a_thousand_kilometres() {
    let table = Table::new();
    // Off by 1e9 mm, a block of 20 mm has no extent left in f32: 1e9 is 64 mm from the next number.
    table.put("off.stl", &binary(&scaled(|p| p.map(|c| c + 1e9)), 12));
    table.refuses(&["inspect", "off.stl"], &["off.stl", "no triangle with an area"]);
    let giant = scaled(|p| p.map(|c| c * 1e8 - 1e9));
    table.put("giant.stl", &binary(&giant, 12));
    let report = table.run(&["inspect", "giant.stl", "--layers", "--json"]).done().json();
    assert_eq!(report[0]["bounds_mm"][0], serde_json::json!([-1e9, -1e9, -1e9]));
    assert!(report[0]["faults"].to_string().contains("suspicious-size"), "{report}");
    too_large(&giant, "no bed is large enough");
    too_large(&scaled(|[x, y, z]| [x, y, z * 2e8]), "mm tall");
}

#[test]
fn a_mesh_flat_in_z() {
    let report = read_with("flat.stl", &binary(&scaled(|[x, y, _]| [x, y, 0.0]), 12), "suspicious-size");
    assert_eq!((&report["watertight"], &report["shadow"]["area_mm2"]), (&false.into(), &200.0.into()));
}

#[test]
fn a_mesh_larger_than_the_bed() {
    too_large(&scaled(|p| p.map(|c| c * 30.0)), "600.0 × 300.0 mm");
    too_large(&scaled(|[x, y, z]| [x, y, z * 20.0]), "100.0 mm tall");
}

#[test]
fn bombs_in_a_package() {
    // 75 MB of XML in 100 kB of package.
    let filled = model("", "").replace("<build>", &format!("{}<build>", "<a/>\n".repeat(15 << 20)));
    refused("bomb.3mf", &packed(&filled), &["unpacks to far more"]);
    drop(filled);
    let laughs = "<?xml version=\"1.0\"?><!DOCTYPE model [<!ENTITY a \"ha\"><!ENTITY b \"&a;&a;\">]><model/>";
    refused("laughs.3mf", &packed(laughs), &["document type"]);
    let long = model(&format!("<object id=\"1\" name=\"{}\"/>", "x".repeat(8 << 20)), "");
    refused("long.3mf", &packed(&long), &["longer than 1 MB"]);
    let deep = format!("<?xml version=\"1.0\"?><model>{}", "<a>".repeat(2 << 20));
    refused("deep.3mf", &packed(&deep), &[]);
    refused("foreign.3mf", &package(&[("notes.txt", b"Dear keeper")]), &["no 3D model"]);
}

#[test]
fn components_that_contain_themselves_or_multiply() {
    let component = |id: u32| format!("<component objectid=\"{id}\"/>");
    let object = |id: u32, inner: &str| format!("<object id=\"{id}\"><components>{inner}</components></object>");
    let ring = object(1, &component(2)) + &object(2, &component(1));
    refused("ring.3mf", &packed(&model(&ring, "<item objectid=\"1\"/>")), &["contains itself"]);
    let doubling: String = format!("<object id=\"1\">{}</object>", xml_block())
        + &(2..32).map(|i| object(i, &component(i - 1).repeat(2))).collect::<String>();
    refused("doubling.3mf", &packed(&model(&doubling, "<item objectid=\"31\"/>")), &["add up to"]);
    let chain: String = (1..5000).map(|i| object(i, &component(i + 1))).collect();
    refused("chain.3mf", &packed(&model(&chain, "<item objectid=\"1\"/>")), &["deep"]);
}

#[test]
fn no_file_and_no_file_at_all() {
    let table = Table::with_job();
    table.refuses(&["inspect", "gone.stl"], &["gone.stl: cannot be read"]);
    table.put("folder/block.stl", &binary(&block(), 12));
    table.refuses(&["inspect", "folder"], &["folder: cannot be read", "it is a folder"]);
    let words = ["new", "-o", "job.stonehand", "--bed", "120x100x80", "--part", "gone.stl:2"];
    table.refuses(&words, &["gone.stl: cannot be read"]);
}

/// A pipe that nobody writes to and a device without end, wherever a file is named: one sentence, at once.
#[test]
#[cfg(target_os = "linux")]
fn pipes_and_devices_are_no_files() {
    let table = Table::with_job();
    let pipe = table.path("pipe.stl");
    assert!(std::process::Command::new("mkfifo").arg(&pipe).status().expect("mkfifo runs").success());
    let ends = |name: &str, sentence: &str| {
        let part = format!("{name}:2");
        for words in [
            &["inspect", name][..],
            &["new", "-o", "x.stonehand", "--bed", "120x100x80", "--part", &part],
            &["check", name],
            &["pack", name, "-o", "x.stonehand"],
            &["gauge", name],
        ] {
            table.run(words).refused(&[name, "cannot be read", sentence]);
        }
    };
    ends("pipe.stl", "it is a pipe, not a file");
    ends("/dev/zero", "it is a device, not a file");
    // A job whose mesh is such a pipe opens without it.
    let mut job = table.json("job.stonehand");
    job["meshes"][0]["file"] = "pipe.stl".into();
    table.put("odd/job.stonehand", job.to_string().as_bytes());
    let odd = table.path("odd/pipe.stl");
    assert!(std::process::Command::new("mkfifo").arg(&odd).status().expect("mkfifo runs").success());
    let check = table.run(&["check", "odd/job.stonehand", "--json"]).json();
    assert!(kinds(&check).contains(&"missing-mesh"), "{check}");
    assert!(check["findings"].to_string().contains("pipe.stl: cannot be read: it is a pipe"), "{check}");
    // Its length is stated as 0, and it is read all the same.
    table.run(&["gauge", "/proc/self/status"]).refused(&["is not machine code"]);
}
