//! `completions`: the completion scripts of shells.

use clap::CommandFactory;
use clap_complete::{Shell, generate};

use super::{
    args::{Cli, ShellArg},
    done::Done,
    fail::Fail,
    print,
};

/// Prints the script that lets a shell complete our commands and options.
pub(super) fn completions(shell: ShellArg) -> Result<Done, Fail> {
    let shell = match shell {
        ShellArg::Bash => Shell::Bash,
        ShellArg::Fish => Shell::Fish,
        ShellArg::Zsh => Shell::Zsh,
    };
    let mut script = Vec::new();
    generate(shell, &mut Cli::command(), "stonehand", &mut script);
    print::line(String::from_utf8_lossy(&script).trim_end())?;
    Ok(Done::Clear)
}
