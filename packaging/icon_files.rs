//! The icon as a desktop wants it: a drawing, and pictures of it in a few sizes.

use stonehand::{
    drawing::{Palette, icon},
    formats::write::{WriteError, png, svg},
};

/// Sides of the pictures, pixels. Source: freedesktop.org icon theme specification (48 has to be there).
const SIDES: [u32; 3] = [48, 128, 256];

/// Names and bytes.
pub(crate) fn icon_files() -> Result<Vec<(String, Vec<u8>)>, WriteError> {
    let (scene, palette) = (icon(), Palette::light());
    let mut all = vec![("stonehand.svg".to_owned(), svg(&scene, &palette).into_bytes())];
    for side in SIDES {
        let px_per_mm = f64::from(side) / scene.view.width();
        all.push((format!("stonehand-{side}.png"), png(&scene, &palette, px_per_mm)?));
    }
    Ok(all)
}
