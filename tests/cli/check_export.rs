//! `check-export`: what differs is named, and nothing outside the folder is read.

use super::table::Table;

/// A folder of a job's files, as export leaves it.
fn exported() -> Table {
    let table = Table::with_job();
    table.run(&["export", "job.stonehand", "-o", "out"]).done();
    table
}

#[test]
fn a_folder_as_it_was_handed_over_is_unchanged() {
    let table = exported();
    let told = table.run(&["check-export", "out"]).done();
    assert_eq!(told.out, "10 files unchanged\n");
    table.put("out/notes.txt", b"mine");
    assert_eq!(
        table.run(&["check-export", "out"]).done().out,
        told.out,
        "what is not of the export is nobody's business"
    );
    let json = table.run(&["check-export", "out", "--json"]).done().json();
    assert_eq!((&json["unchanged"], &json["differs"]), (&10.into(), &serde_json::json!([])));
}

#[test]
fn every_file_that_differs_is_named() {
    let table = exported();
    table.put("out/placements.csv", b"other");
    std::fs::remove_file(table.path("out/contents.txt")).expect("it is there");
    std::fs::remove_file(table.path("out/run-sheets.pdf")).expect("it is there");
    std::fs::create_dir(table.path("out/run-sheets.pdf")).expect("a folder");
    let told = table.run(&["check-export", "out"]).done_with_stops();
    let lines: Vec<&str> = told.out.lines().collect();
    assert_eq!(lines.len(), 4, "{told:?}");
    assert_eq!(lines[0], "contents.txt is missing");
    assert_eq!(lines[1], "placements.csv has changed");
    assert!(lines[2].starts_with("run-sheets.pdf cannot be read: it is a folder"), "{told:?}");
    assert_eq!(lines[3], "7 files unchanged");
}

#[test]
fn without_a_manifest_it_is_refused() {
    let table = exported();
    table.refuses(&["check-export", "gone"], &["gone", "not a folder that can be read"]);
    table.refuses(&["check-export", "block.stl"], &["block.stl", "not a folder that can be read"]);
    for (bytes, words) in [
        (&b""[..], "names no file"),
        (b"\x00\xff\xfe binary \n\n\x07", "names no file"),
        (b"../../etc/passwd\n", "names no file"),
    ] {
        table.put("out/manifest.sha256", bytes);
        table.refuses(&["check-export", "out"], &["manifest.sha256", words]);
    }
    std::fs::remove_file(table.path("out/manifest.sha256")).expect("it is there");
    table.refuses(&["check-export", "out"], &["out", "has no manifest.sha256", "export into it first"]);
    // As large as a disk, as far as it says.
    let file = std::fs::File::create(table.path("out/manifest.sha256")).expect("a file");
    if file.set_len(10 << 30).is_ok() {
        // Not `refuses`, which reads every file to see that none has changed.
        table.run(&["check-export", "out"]).refused(&["manifest.sha256", "it is larger than 16 MB"]);
    }
}

#[test]
fn no_path_is_followed_out_of_the_folder() {
    let table = exported();
    table.put("secret.txt", b"not here");
    let hash = "0123456789abcdef".repeat(4);
    let inside = table.text("out/manifest.sha256");
    let outside = format!("{inside}{hash}  ../secret.txt\n{hash}  /etc/passwd\n{hash} *sub/file\nno hash at all\n");
    table.put("out/manifest.sha256", outside.as_bytes());
    let told = table.run(&["check-export", "out"]).done_with_stops();
    assert_eq!(told.out.matches("names a file outside the folder, which was not read").count(), 3, "{told:?}");
    assert!(told.out.contains("line 14 of the manifest is not a hash and a name"), "{told:?}");
    assert!(told.out.ends_with("10 files unchanged\n"), "{told:?}");
}

/// A link to a file outside, with that file's own hash in the manifest: it is not read.
#[test]
#[cfg(unix)]
fn no_link_is_followed() {
    let table = exported();
    table.put("secret.txt", b"");
    // SHA-256 of nothing: FIPS 180-4 test vectors.
    let of_nothing = "e3b0c44298fc1c149afbf4c8996fb92427ae41e4649b934ca495991b7852b855";
    std::os::unix::fs::symlink(table.path("secret.txt"), table.path("out/link.txt")).expect("a link");
    let lines = format!("{}{of_nothing}  link.txt\n", table.text("out/manifest.sha256"));
    table.put("out/manifest.sha256", lines.as_bytes());
    let told = table.run(&["check-export", "out"]).done_with_stops();
    assert!(told.out.starts_with("link.txt is a link, which was not followed\n"), "{told:?}");
    std::fs::rename(table.path("out/manifest.sha256"), table.path("elsewhere")).expect("it moves");
    std::os::unix::fs::symlink(table.path("elsewhere"), table.path("out/manifest.sha256")).expect("a link");
    table.refuses(&["check-export", "out"], &["manifest.sha256 is a link"]);
}

/// A file that says it is larger than any that an export writes is not read to its end.
#[test]
fn a_file_of_10_gb_is_refused() {
    let table = exported();
    let file = std::fs::File::create(table.path("out/placements.csv")).expect("a file");
    if file.set_len(10 << 30).is_ok() {
        let begun = std::time::Instant::now();
        let told = table.run(&["check-export", "out"]).done_with_stops();
        assert!(told.out.starts_with("placements.csv cannot be read: it is larger than 4 GB"), "{told:?}");
        assert!(begun.elapsed().as_secs() < 20);
    }
}
