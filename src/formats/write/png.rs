//! Drawings as PNG (by `resvg`, with the bundled fonts).

use std::sync::Arc;

use resvg::{
    tiny_skia::{Pixmap, Transform},
    usvg::{Options, Tree, fontdb::Database},
};

use super::{WriteError, svg};
use crate::drawing::{Palette, Scene, fonts};

/// Most pixels of a picture.
const MOST_PIXELS: u64 = 120_000_000;

/// The scene with `px_per_mm` pixels to the millimetre; a point (x, y) of it lies at pixel
/// ((x − left) `px_per_mm`, (top − y) `px_per_mm`), the upper left corner being (0, 0).
pub fn png(scene: &Scene, palette: &Palette, px_per_mm: f64) -> Result<Vec<u8>, WriteError> {
    let pixels = |mm: f64| (mm * px_per_mm - 1e-6).ceil().max(1.0) as u64;
    let (width, height) = (pixels(scene.view.width()), pixels(scene.view.height()));
    let too_large = WriteError::TooLarge { width, height };
    if !px_per_mm.is_finite() || width.checked_mul(height).is_none_or(|n| n > MOST_PIXELS) {
        return Err(too_large);
    }
    let mut db = Database::new();
    for font in [fonts::REGULAR, fonts::SEMI_BOLD] {
        db.load_font_data(font.to_vec());
    }
    db.set_sans_serif_family("Inter");
    let options = Options { font_family: "Inter".into(), fontdb: Arc::new(db), ..Options::default() };
    let picture = |e: &dyn std::fmt::Display| WriteError::Picture(e.to_string());
    let tree = Tree::from_str(&svg(scene, palette), &options).map_err(|e| picture(&e))?;
    let mut map = Pixmap::new(width as u32, height as u32).ok_or(too_large)?;
    // The tree measures in CSS pixels, 96 to the inch.
    let scale = (px_per_mm * crate::drawing::PT_MM) as f32;
    resvg::render(&tree, Transform::from_scale(scale, scale), &mut map.as_mut());
    map.encode_png().map_err(|e| picture(&e))
}
