//! Manual pages, completions, and what a report needs to know.

use super::table::Table;

const COMMANDS: [&str; 15] = [
    "new",
    "inspect",
    "pack",
    "top-up",
    "deal",
    "estimate",
    "check",
    "gauge",
    "study",
    "shifts",
    "tally",
    "export",
    "check-export",
    "completions",
    "manual",
];

#[test]
fn every_command_has_a_manual_page() {
    let table = Table::new();
    let told = table.run(&["manual", "-o", "pages/here"]).done();
    let page = |name: &str| table.text(&format!("pages/here/{name}.1"));
    assert!(page("stonehand").starts_with(".ie"), "roff begins with its quotes");
    for command in COMMANDS {
        let text = page(&format!("stonehand-{command}"));
        let own = table.run(&[command, "--help"]).done().out;
        let about = own.lines().next().unwrap_or_default().trim_end_matches('.');
        // roff writes a hyphen that is to be one as "\-", and an apostrophe as "\*(Aq".
        assert!(text.replace("\\-", "-").replace("\\*(Aq", "'").contains(about), "{command}: {about}");
        assert!(told.out.contains(&format!("stonehand-{command}.1\n")), "{told:?}");
    }
    for study in ["footing", "copies"] {
        assert!(page(&format!("stonehand-study-{study}")).contains("SEE ALSO"));
    }
    table.put("taken", b"a file");
    table.refuses(&["manual", "-o", "taken"], &["taken: cannot be written"]);
}

#[test]
fn completions_know_every_command() {
    let table = Table::new();
    for shell in ["bash", "fish", "zsh"] {
        let script = table.run(&["completions", shell]).done().out;
        for command in COMMANDS {
            assert!(script.contains(command), "{shell}: {command}");
        }
        assert!(script.contains("end-by"), "{shell} knows options");
    }
    let told = table.run(&["completions", "csh"]);
    assert_eq!((told.status, told.out.as_str()), (2, ""), "{told:?}");
}

#[test]
fn a_report_has_all_it_needs_and_nothing_personal() {
    let table = Table::new();
    let home = table.path("home-of-somebody");
    let home = home.to_str().expect("a path in UTF-8");
    let cache = format!("{home}/fast");
    let own = [("HOME", home), ("XDG_DATA_HOME", ""), ("XDG_CACHE_HOME", &cache)];
    let told = table.run_with(&["--version", "--verbose"], &own).done();
    let mut lines = told.out.lines();
    assert_eq!(lines.next(), Some(concat!("stonehand ", env!("CARGO_PKG_VERSION"))));
    let names: Vec<&str> = lines.filter_map(|l| Some(l.split_once("  ")?.0.trim())).collect();
    let wanted =
        ["commit", "built for", "system", "display", "graphics", "time zones", "settings", "recovery", "cache"];
    assert_eq!(names, wanted, "{told:?}");
    assert!(told.out.contains("~/.local/share/stonehand/unsaved\n"), "{told:?}");
    assert!(told.out.contains("$XDG_CACHE_HOME/stonehand\n"), "{told:?}");
    assert!(!told.out.contains("somebody"), "{told:?}");
    assert!(told.out.contains("no display is named"), "{told:?}");
    assert!(table.files().is_empty(), "it only looks");
    let alone = table.run(&["--verbose"]);
    assert_eq!(alone.status, 2, "{alone:?}");
}
