//! The binary: the window, or the command line. See `stonehand --help`.

use std::process::ExitCode;

fn main() -> ExitCode {
    stonehand::cli::main(|_| Err("the window is not built yet: see stonehand --help for the commands".into()))
}
