//! The files in `samples/` and the icons in `packaging/icons/` are what our own code makes, byte for byte.

use std::{fs, path::Path};

#[path = "../packaging/icon_files.rs"]
mod icon_files;
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

#[test]
fn the_icons_are_what_the_drawing_says() {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("packaging/icons");
    let made = icon_files::icon_files().expect("they are small");
    assert_eq!(made.len(), 4);
    for (name, bytes) in made {
        let kept = fs::read(folder.join(&name)).expect("it is there");
        assert!(kept == bytes, "{name} differs: run `cargo run --example make_icons` and look at the change");
    }
}
