//! The command line: args (as typed) → plan (as meant) → run → print.
//!
//! - [`main`]: everything, down to the exit status
//! - `export`, `gauge`, `inspect`, `shifts`, `study`, `study_copies`, `tally`, `tally_report`: commands with files of their own
//! - `completions`, `manual`: for shells and for `man`; `report`: what a report of a fault needs to know
//! - `job`: jobs opened and saved; `done`, `fail`: how a command ended

mod args;
mod completions;
mod deal;
mod done;
mod export;
mod fail;
mod gauge;
mod inspect;
mod job;
mod manual;
mod plan;
mod print;
mod progress;
mod report;
mod run;
mod shifts;
mod shifts_plan;
mod study;
mod study_copies;
mod tally;
mod tally_plan;
mod tally_report;

use std::process::ExitCode;

use clap::Parser;

use args::Cli;
use done::Done;

/// Runs the command line. `window` opens the window on a job and says how that went; `graphics` says on what it can draw.
pub fn main(window: fn(Option<std::path::PathBuf>) -> Result<(), String>, graphics: fn() -> String) -> ExitCode {
    let cli = match Cli::try_parse() {
        Ok(cli) => cli,
        Err(e) => {
            // Help and version are no errors; clap writes each where it belongs.
            let _ = e.print();
            return ExitCode::from(if e.use_stderr() { 2 } else { 0 });
        }
    };
    let outcome = match cli.command {
        None if cli.version => report::version(cli.verbose, graphics),
        None => window(cli.job).map(|()| Done::Clear).map_err(fail::Fail),
        Some(command) => plan::plan(command).and_then(run::run),
    };
    match outcome {
        Ok(Done::Clear) => ExitCode::SUCCESS,
        Ok(Done::Stops) => ExitCode::from(1),
        Err(fail) => {
            print::error(&fail.0);
            ExitCode::from(2)
        }
    }
}
