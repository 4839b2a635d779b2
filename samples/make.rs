//! Makes the sample meshes and the sample job again: `cargo run --example make_samples`.
//!
//! Writes into `samples/` (or the folder named as the only argument) the same bytes each time.

use std::{env, fs, io, io::Write, path::PathBuf};

#[path = "workshop/mod.rs"]
mod workshop;

fn main() -> Result<(), Box<dyn std::error::Error>> {
    let folder = env::args().nth(1).map_or_else(|| PathBuf::from("samples"), PathBuf::from);
    fs::create_dir_all(&folder)?;
    let mut out = io::stdout().lock();
    for (name, bytes) in workshop::files()? {
        fs::write(folder.join(name), &bytes)?;
        writeln!(out, "{:>8} bytes  {name}", bytes.len())?;
    }
    Ok(())
}
