//! `manual`: a page for the program and one for each command, as `man` reads them.

use std::{io, path::Path};

use clap::{Command, CommandFactory};
use clap_mangen::{
    Man,
    roff::{Roff, bold, roman},
};

use super::{args::Cli, done::Done, fail::Fail, print};
use crate::{
    drawing::words,
    session::{Disk, World},
};

/// Where things are kept, for the page of the program.
const FILES: [(&str, &str); 3] = [
    ("NAME.stonehand", "A job, as JSON. Meshes stay in their own files."),
    (
        "$XDG_DATA_HOME/stonehand, else ~/.local/share/stonehand",
        "The shop file, recent jobs, how the window looks, and unsaved work (folder unsaved).",
    ),
    (
        "$XDG_CACHE_HOME/stonehand, else ~/.cache/stonehand",
        "Outlines and sections computed of meshes. It can be deleted at any time.",
    ),
];

/// A page: the name of its file, and its bytes.
type Page = (String, Vec<u8>);

/// Writes every page into a folder and prints their names.
pub(super) fn manual(output: &Path) -> Result<Done, Fail> {
    let disk = Disk::plain();
    let wrong = |path: &Path, why: io::Error| Fail::new(format!("{}: cannot be written: {why}", path.display()));
    disk.make_folder(output).map_err(|why| wrong(output, why))?;
    for (name, bytes) in pages().map_err(|why| wrong(output, why))? {
        let path = output.join(name);
        disk.write(&path, &bytes).map_err(|why| wrong(&path, why))?;
        print::line(&words::plain(&path.display().to_string()))?;
    }
    Ok(Done::Clear)
}

/// All pages, the program's own first.
fn pages() -> io::Result<Vec<Page>> {
    let mut all = Vec::new();
    let mut command = Cli::command().disable_help_subcommand(true);
    command.build();
    gather(&command, &mut all)?;
    Ok(all)
}

fn gather(command: &Command, all: &mut Vec<Page>) -> io::Result<()> {
    all.push(page(command)?);
    // "help" under a command of commands says what the pages say.
    command.get_subcommands().filter(|c| c.get_name() != "help").try_for_each(|c| gather(c, all))
}

fn page(command: &Command) -> io::Result<Page> {
    let version = format!("stonehand {}", env!("CARGO_PKG_VERSION"));
    let man = Man::new(command.clone()).source(version).manual("Stonehand");
    let mut out = Vec::new();
    man.render_title(&mut out)?;
    man.render_name_section(&mut out)?;
    man.render_synopsis_section(&mut out)?;
    man.render_description_section(&mut out)?;
    man.render_options_section(&mut out)?;
    if command.get_subcommands().next().is_some() {
        man.render_subcommands_section(&mut out)?;
    }
    let mut roff = Roff::new();
    if let Some(notes) = command.get_after_help() {
        roff.control("SH", ["NOTES"]);
        notes_into(&mut roff, &notes.to_string());
    }
    let is_program = command.get_name() == "stonehand";
    if is_program {
        roff.control("SH", ["FILES"]);
        for (name, what) in FILES {
            roff.control("TP", []);
            roff.text([bold(name)]);
            roff.text([roman(what)]);
        }
    } else {
        roff.control("SH", ["SEE ALSO"]);
        roff.text([bold("stonehand"), roman("(1), which has the exit status and the other commands")]);
    }
    roff.to_writer(&mut out)?;
    Ok((man.get_filename(), out))
}

/// Paragraphs are filled; lists, whose lines begin with two spaces, keep their lines.
fn notes_into(roff: &mut Roff, notes: &str) {
    for (n, paragraph) in notes.split("\n\n").enumerate() {
        if n > 0 {
            roff.control("PP", []);
        }
        let is_list = paragraph.lines().any(|l| l.starts_with("  "));
        if is_list {
            roff.control("nf", []);
        }
        for line in paragraph.lines() {
            roff.text([roman(line)]);
        }
        if is_list {
            roff.control("fi", []);
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn below(c: &Command, name: &str, into: &mut Vec<String>) {
        for sub in c.get_subcommands() {
            let name = format!("{name}-{}", sub.get_name());
            into.push(format!("{name}.1"));
            below(sub, &name, into);
        }
    }

    #[test]
    fn every_command_has_a_page_and_help_has_none() {
        let pages = pages().expect("bytes can be written into memory");
        let names: Vec<&str> = pages.iter().map(|(name, _)| name.as_str()).collect();
        let mut wanted = vec!["stonehand.1".to_owned()];
        below(&Cli::command(), "stonehand", &mut wanted);
        assert_eq!(names, wanted);
        assert!(names.contains(&"stonehand-study-copies.1") && names.len() > 12);
        for (name, bytes) in &pages {
            let text = String::from_utf8_lossy(bytes);
            for section in [".TH ", ".SH NAME", ".SH SYNOPSIS", ".SH DESCRIPTION", ".SH OPTIONS"] {
                assert!(text.contains(section), "{name}: {section}");
            }
        }
    }

    #[test]
    fn lists_keep_their_lines() {
        let mut roff = Roff::new();
        notes_into(&mut roff, "Kinds:\n  one  first\n  two  second\n\nAnd\nmore.");
        let text = roff.to_roff();
        let (nf, fi, pp) = (text.find(".nf"), text.find(".fi"), text.find(".PP"));
        assert!(nf.is_some() && nf < fi && fi < pp, "{text}");
    }
}
