//! Help, wrong words, and a window asked for where there is no display.

use stonehand::{finding::FindingKind, mesh::FaultKind};

use super::table::Table;

/// The commands that help lists.
fn listed(help: &str) -> Vec<&str> {
    help.lines()
        .skip_while(|l| *l != "Commands:")
        .skip(1)
        .take_while(|l| l.starts_with("  "))
        .filter_map(|l| l.split_whitespace().next())
        .collect()
}

#[test]
fn help_lists_the_commands_that_work_and_no_others() {
    let table = Table::new();
    let help = table.run(&["--help"]).done();
    let commands = listed(&help.out);
    assert_eq!(
        commands,
        [
            "new", "inspect", "pack", "top-up", "deal", "estimate", "check", "gauge", "study", "shifts", "tally",
            "export", "help"
        ]
    );
    for command in commands.iter().filter(|c| **c != "help") {
        let own = table.run(&[command, "--help"]).done();
        assert!(own.out.contains(&format!("Usage: stonehand {command} ")), "{own:?}");
        assert!(own.err.is_empty(), "{own:?}");
        assert_eq!(table.run(&["help", command]).done().out, own.out);
    }
    let told = table.run(&["help", "no-such-command"]);
    assert_eq!(told.status, 2, "{told:?}");
    let version = table.run(&["--version"]).done();
    assert_eq!(version.out, format!("stonehand {}\n", env!("CARGO_PKG_VERSION")));
}

#[test]
fn help_lists_every_kind_of_finding_and_fault() {
    let table = Table::new();
    let check = table.run(&["check", "--help"]).done().out;
    for kind in FindingKind::ALL {
        assert!(check.contains(&format!("\n  {} ", kind.word())), "{} is missing", kind.word());
    }
    let inspect = table.run(&["inspect", "--help"]).done().out;
    for kind in [
        FaultKind::OpenEdge,
        FaultKind::NonManifoldEdge,
        FaultKind::FlippedShell,
        FaultKind::ZeroArea,
        FaultKind::NonFinite,
        FaultKind::DuplicateTriangle,
        FaultKind::OverlappingShells,
        FaultKind::FloatingShell,
        FaultKind::SuspiciousSize,
        FaultKind::TrailingBytes,
        FaultKind::CountMismatch,
        FaultKind::CrossingFace,
    ] {
        assert!(inspect.contains(&format!("\n  {} ", kind.word())), "{} is missing", kind.word());
    }
}

#[test]
fn wrong_words_are_refused_with_what_to_write() {
    let table = Table::with_job();
    let new = ["new", "-o", "job.stonehand", "--part", "block.stl:2"];
    let with = |more: &[&'static str]| [&new[..], more].concat();
    let bed = ["--bed", "120x100x80"];
    for (words, sentence) in [
        (with(&["--bed", "120x100"]), "--bed 120x100: write sizes in mm like 240x200x190"),
        (with(&["--bed", "120x0x80"]), "--bed 120x0x80"),
        (with(&["--bed", "axbxc"]), "--bed axbxc"),
        (with(&["--round", "infx80"]), "--round infx80: write sizes in mm like 200x180"),
        (with(&[&bed[..], &["--gap", "-1"]].concat()), "--gap -1: must be between 0 and 1000"),
        (with(&[&bed[..], &["--gap", "nan"]].concat()), "--gap NaN"),
        (with(&[&bed[..], &["--edge", "-0.5"]].concat()), "--edge -0.5"),
        (with(&[&bed[..], &["--footing-gap", "-2"]].concat()), "--footing-gap -2"),
        (
            with(&[&bed[..], &["--footing", "glue:3"]].concat()),
            "--footing glue:3: write bare, brim:WIDTH or raft:WIDTH",
        ),
        (with(&[&bed[..], &["--part", "block.stl"]].concat()), "the count is missing; write FILE:COUNT"),
        (with(&[&bed[..], &["--part", "block.stl:many"]].concat()), "not a whole number"),
        (with(&[&bed[..], &["--part", "block.stl:-4"]].concat()), "not a whole number"),
        (with(&[&bed[..], &["--part", "block.stl:4294967295"]].concat()), "the count is over 20000"),
        (vec!["inspect", "block.stl", "--layer-height", "0"], "--layer-height 0: must be between"),
        (vec!["pack", "job.stonehand", "-o", "job.stonehand", "--seconds", "-1"], "--seconds -1"),
        (vec!["pack", "job.stonehand", "-o", "job.stonehand", "--plate", "0"], "plates are counted from 1"),
        (vec!["pack", "job.stonehand", "-o", "job.stonehand", "--plate", "2"], "--plate 2: job.stonehand has 1 plate"),
        (
            vec!["top-up", "job.stonehand", "-o", "job.stonehand", "--part", "Z"],
            "--part Z: no such part in job.stonehand",
        ),
        (
            vec!["new", "-o", "nowhere/job.stonehand", "--bed", "9x9x9", "--part", "block.stl:0"],
            "nowhere/job.stonehand: cannot be written",
        ),
        (vec!["check", "gone.stonehand"], "gone.stonehand: cannot be read"),
        (vec!["check", "."], "it is a folder"),
    ] {
        table.refuses(&words, &[sentence]);
    }
}

/// Words that the parser of words itself refuses: several lines with the usage, and nothing done.
#[test]
fn unknown_and_missing_words() {
    let table = Table::with_job();
    let before = table.files();
    for words in [
        &["new"][..],
        &["new", "-o", "job.stonehand", "--part", "block.stl:2"],
        &["inspect"],
        &["pack", "job.stonehand"],
        &["pack", "job.stonehand", "-o", "job.stonehand", "--seconds", "1", "--rounds", "1"],
        &["pack", "job.stonehand", "-o", "job.stonehand", "--turns", "60"],
        &["export", "job.stonehand"],
        &["check", "job.stonehand", "--loud"],
        &["--loud"],
    ] {
        let told = table.run(words);
        assert_eq!((told.status, told.out.as_str()), (2, ""), "{words:?}: {told:?}");
        assert!(told.err.starts_with("error: ") && told.err.contains("--help"), "{words:?}: {told:?}");
    }
    assert!(table.files() == before);
}

/// What is no number is refused with what to write: unit and an example.
#[test]
fn numbers_are_asked_for_with_their_unit() {
    let table = Table::with_job();
    let new = ["new", "-o", "job.stonehand", "--bed", "120x100x80", "--part", "block.stl:2"];
    let pack = ["pack", "job.stonehand", "-o", "job.stonehand"];
    for (words, option, wanted) in [
        (&new[..], "--gap", "write a number of millimetres, as in 3.5"),
        (&new, "--edge", "write a number of millimetres, as in 2.5"),
        (&new, "--footing-gap", "write a number of millimetres, as in 0.5"),
        (&new, "--seconds", "write a number of seconds, as in 10"),
        (&["inspect", "block.stl"], "--layer-height", "write a number of millimetres, as in 0.2"),
        (&pack, "--seconds", "write a number of seconds, as in 10"),
        (&pack, "--rounds", "write a whole number from 0 up, as in 20"),
        (&pack, "--seed", "write a whole number from 0 up, as in 7"),
        (&pack, "--plate", "write a whole number from 0 up, as in 2"),
        (&["study", "footing", "job.stonehand", "--part", "A"], "--seconds", "write a number of seconds, as in 10"),
    ] {
        let told = table.run(&[words, &[option, "3,5"]].concat());
        assert_eq!(told.status, 2, "{option}: {told:?}");
        assert!(told.err.contains(option) && told.err.contains(wanted), "{option}: {told:?}");
        assert!(!told.err.contains("literal") && !told.err.contains("digit"), "{option}: {told:?}");
    }
}

#[test]
#[cfg(target_os = "linux")]
fn without_a_display_the_window_is_refused_and_the_commands_are_named() {
    let table = Table::with_job();
    for words in [&[][..], &["job.stonehand"], &["gone.stonehand"]] {
        table.refuses(words, &["no display", "stonehand --help"]);
    }
    // A display that is named and not there: the same, whatever the toolkit makes of it.
    for name in ["DISPLAY", "WAYLAND_DISPLAY"] {
        let told = table.run_with(&["job.stonehand"], &[(name, ":4095")]);
        told.refused(&["without a display", "stonehand --help"]);
    }
}
