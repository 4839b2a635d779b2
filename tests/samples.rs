//! The files in `samples/` are what `samples/make.rs` makes, byte for byte.

use std::{fs, path::Path};

#[path = "../samples/workshop/mod.rs"]
mod workshop;

#[test]
fn the_samples_are_what_the_workshop_makes() -> Result<(), workshop::Failure> {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("samples");
    let made = workshop::files()?;
    assert!(made.len() >= 9);
    for (name, bytes) in made {
        let kept = fs::read(folder.join(name))?;
        assert!(kept == bytes, "{name} differs: run `cargo run --example make_samples` and look at the change");
    }
    Ok(())
}
