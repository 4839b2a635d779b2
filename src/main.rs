//! The binary: the window, or the command line. See `stonehand --help`.

use std::process::ExitCode;

fn main() -> ExitCode {
    stonehand::cli::main(|job| stonehand::gui::run(job).map_err(|e| e.to_string()), stonehand::gui::graphics)
}
