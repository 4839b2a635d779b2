//! Job files that are damaged, of another time, or at odds with themselves.

use super::{
    fixtures::{binary, block},
    table::{Table, kinds},
};

/// Every command that reads a job refuses it in one sentence with its name and these words, and writes nothing:
/// neither to a new file nor over one that is there.
fn refused(bytes: &[u8], sentence: &[&str]) {
    let table = Table::with_job();
    table.put("bad.stonehand", bytes);
    let words = [&["bad.stonehand"], sentence].concat();
    for command in [
        &["check", "bad.stonehand"][..],
        &["check", "bad.stonehand", "--json"],
        &["estimate", "bad.stonehand", "--json"],
        &["pack", "bad.stonehand", "-o", "job.stonehand", "--rounds", "1"],
        &["pack", "bad.stonehand", "-o", "bad.stonehand", "--rounds", "1"],
        &["top-up", "bad.stonehand", "-o", "new.stonehand", "--rounds", "1"],
        &["export", "bad.stonehand", "-o", "out"],
    ] {
        table.refuses(command, &words);
    }
}

/// The good job with one replacement made.
fn changed(from: &str, to: &str) -> Vec<u8> {
    let text = Table::with_job().text("job.stonehand");
    assert!(text.contains(from), "{from:?} is not in the file");
    text.replacen(from, to, 1).into_bytes()
}

#[test]
fn cut_short() {
    let whole = Table::with_job().get("job.stonehand");
    refused(&whole[..whole.len() / 2], &["ends too early", "line", "cut short"]);
    refused(&whole[..whole.len() - 3], &["ends too early"]);
    refused(b"", &["is empty"]);
}

#[test]
fn of_a_future_version() {
    refused(&changed("\"stonehand\": 1", "\"stonehand\": 2"), &["of version 2", "newer stonehand"]);
    refused(&changed("\"stonehand\": 1", "\"stonehand\": 18446744073709551616"), &["newer stonehand"]);
}

#[test]
fn of_something_else() {
    refused(b"{\"bees\": 7}", &["not of a job", ".stonehand"]);
    refused(b"Dear keeper, the gates are ready.\n", &["not JSON", "line 1"]);
    refused(&binary(&block(), 12), &["not JSON"]);
    refused(&[b'['].repeat(1 << 20), &["not JSON"]);
}

#[test]
fn with_unknown_ids() {
    refused(&changed("\"part\": ", "\"part\": 9"), &["plates[0].copies[0].part", "there is no part"]);
    refused(&changed("\"machine\": ", "\"machine\": 9"), &["plates[0].machine", "there is no machine"]);
    refused(&changed("\"recipe\": ", "\"recipe\": 9"), &["parts[0].recipe", "there is no recipe"]);
}

#[test]
fn with_negative_clearances() {
    refused(&changed("\"gap_mm\": 3.0", "\"gap_mm\": -3.0"), &["margins.gap_mm", "-3", "out of range"]);
    refused(&changed("\"edge_mm\": 0.0", "\"edge_mm\": -1.0"), &["edge_mm", "out of range"]);
    refused(&changed("\"gap_mm\": 3.0", "\"gap_mm\": \"wide\""), &["line", "wide"]);
}

/// Counters at their end: the program may refuse, it must not fall over or make a job that it cannot open.
#[test]
fn with_counters_at_their_end() {
    let table = Table::with_job();
    let text = table.text("job.stonehand");
    for counter in ["next_id", "next_number", "letters_given"] {
        let at = text.find(&format!("\"{counter}\": ")).expect("it is there") + counter.len() + 4;
        let digits = text[at..].chars().take_while(char::is_ascii_digit).count();
        for value in ["0", "4294967295"] {
            let odd = format!("{}{value}{}", &text[..at], &text[at + digits..]);
            table.put("odd.stonehand", odd.as_bytes());
            let made = table.path("more.stonehand");
            let told = table.run(&["top-up", "odd.stonehand", "-o", "more.stonehand", "--rounds", "1"]);
            if told.status == 2 {
                told.refused(&["odd.stonehand"]);
                assert!(!made.exists(), "{counter} {value}");
            } else {
                table.run(&["check", "more.stonehand"]).done();
                std::fs::remove_file(made).expect("it was made");
            }
        }
    }
}

#[test]
fn whose_meshes_are_gone_or_changed() {
    let table = Table::with_job();
    std::fs::rename(table.path("block.stl"), table.path("away.bak")).expect("it is there");
    let gone = table.run(&["check", "job.stonehand", "--json"]).done_with_stops().json();
    assert_eq!(kinds(&gone), ["missing-mesh"]);
    assert!(gone["findings"][0]["text"].as_str().is_some_and(|t| t.contains("block.stl")), "{gone}");
    table.run(&["estimate", "job.stonehand", "--json"]).done_with_stops();
    let grown: Vec<_> = block().into_iter().map(|t| t.map(|p| p.map(|c| c * 2.0))).collect();
    table.put("block.stl", &binary(&grown, 12));
    let other = table.run(&["check", "job.stonehand", "--json"]).done_with_stops().json();
    assert_eq!(kinds(&other), ["changed-mesh"]);
    // Under another name, but the same mesh: found.
    std::fs::rename(table.path("away.bak"), table.path("renamed.stl")).expect("it is there");
    let told = table.run(&["check", "job.stonehand", "--json"]).done();
    assert!(told.err.contains("renamed.stl"), "{told:?}");
}
