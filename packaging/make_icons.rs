//! Makes the program's icon again: `cargo run --example make_icons`.
//!
//! Writes into `packaging/icons/` (or the folder named as the only argument) the same bytes each time.

use std::{env, fs, io, io::Write, path::PathBuf};

#[path = "icon_files.rs"]
mod icon_files;

fn main() -> Result<(), Box<dyn std::error::Error>> {
    let folder = env::args().nth(1).map_or_else(|| PathBuf::from("packaging/icons"), PathBuf::from);
    fs::create_dir_all(&folder)?;
    let mut out = io::stdout().lock();
    for (name, bytes) in icon_files::icon_files()? {
        fs::write(folder.join(&name), &bytes)?;
        writeln!(out, "{:>8} bytes  {name}", bytes.len())?;
    }
    Ok(())
}
