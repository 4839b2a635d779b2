//! Text for PDF: the bundled fonts, and where their glyphs go.

use krilla::{
    Data,
    text::{Font, GlyphId, KrillaGlyph},
};
use rustybuzz::{Face, Feature, UnicodeBuffer, ttf_parser::Tag};

use crate::drawing::fonts;

/// One font, as the page and as the shaper have it.
struct Cut {
    font: Font,
    face: Face<'static>,
}

/// The bundled fonts.
pub(super) struct Fonts {
    regular: Cut,
    bold: Cut,
}

/// A line of text as glyphs. Widths in ems.
pub(super) struct Line {
    pub(super) font: Font,
    pub(super) glyphs: Vec<KrillaGlyph>,
    pub(super) width_em: f32,
}

impl Fonts {
    /// `None` where they cannot be read: a fault of the build.
    pub(super) fn new() -> Option<Self> {
        let cut = |bytes: &'static [u8]| {
            Some(Cut { font: Font::new(Data::from(bytes), 0)?, face: Face::from_slice(bytes, 0)? })
        };
        Some(Self { regular: cut(fonts::REGULAR)?, bold: cut(fonts::SEMI_BOLD)? })
    }

    /// A line of text from left to right, figures tabular, no letters exchanged for others by their neighbours.
    pub(super) fn line(&self, text: &str, bold: bool) -> Line {
        let cut = if bold { &self.bold } else { &self.regular };
        let mut buffer = UnicodeBuffer::new();
        buffer.push_str(text);
        buffer.guess_segment_properties();
        buffer.set_direction(rustybuzz::Direction::LeftToRight);
        let on = |name: &[u8; 4], value| Feature::new(Tag::from_bytes(name), value, ..);
        let features = [on(b"tnum", 1), on(b"calt", 0), on(b"liga", 0)];
        let shaped = rustybuzz::shape(&cut.face, &features, buffer);
        let em = cut.font.units_per_em();
        let (infos, places) = (shaped.glyph_infos(), shaped.glyph_positions());
        let mut width_em = 0.0;
        let mut glyphs = Vec::with_capacity(infos.len());
        for (i, (info, place)) in infos.iter().zip(places).enumerate() {
            let start = info.cluster as usize;
            let next = infos[i..].iter().map(|n| n.cluster as usize).find(|n| *n != start);
            let end = next.unwrap_or(text.len()).max(start);
            let of_em = |v: i32| v as f32 / em;
            width_em += of_em(place.x_advance);
            glyphs.push(KrillaGlyph::new(
                GlyphId::new(info.glyph_id),
                of_em(place.x_advance),
                of_em(place.x_offset),
                of_em(place.y_offset),
                of_em(place.y_advance),
                start..end,
                None,
            ));
        }
        Line { font: cut.font.clone(), glyphs, width_em }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::drawing::text;

    /// What the layout of pages counts with is a little more than the fonts take.
    #[test]
    fn text_is_no_wider_than_the_layout_thinks() {
        let fonts = Fonts::new().expect("the fonts are bundled");
        for words in [
            "Plate 3 of 12 on Bench 2",
            "Heated parts burn skin: let the bed fall below 43 °C.",
            "A 120",
            "1111 h 11 min",
        ] {
            for bold in [false, true] {
                let line = fonts.line(words, bold);
                let counted = text::width_pt(words, 1.0, bold);
                assert!(f64::from(line.width_em) <= counted, "{words}: {} em, counted {counted}", line.width_em);
            }
        }
        // Tabular figures: all as wide.
        let widths = ["0", "1", "7", "8"].map(|t| fonts.line(t, false).width_em);
        assert!(widths.iter().all(|w| *w == widths[0]), "{widths:?}");
    }

    #[test]
    fn every_byte_of_the_text_belongs_to_a_glyph() {
        let fonts = Fonts::new().expect("the fonts are bundled");
        for words in ["Größe E 14′", "数 \u{1F41D}", "", "a\u{301}"] {
            let line = fonts.line(words, false);
            let ends = line.glyphs.iter().map(|g| g.text_range.end).max().unwrap_or(0);
            assert_eq!(ends, words.len(), "{words}");
            assert!(line.glyphs.iter().all(|g| words.get(g.text_range.clone()).is_some()), "{words}");
        }
    }
}
