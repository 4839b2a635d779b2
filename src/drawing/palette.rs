//! What colour each ink has: ink on warm paper, chalk on slate.

use super::Ink;

/// Red, green, blue, 0 to 255 (sRGB).
pub type Rgb = [u8; 3];

/// Part hues in the order in which letters get them; numbers beyond repeat.
pub const HUES: usize = 8;

/// A value for every [`Ink`].
///
/// Part hues are Okabe & Ito's (2008) blue, sky blue, bluish green and reddish purple, toned for the two grounds, with
/// four quiet ones beside them; their vermilion and orange are left to findings.
#[derive(Debug, Clone, PartialEq)]
pub struct Palette {
    /// The sheet.
    pub paper: Rgb,
    /// The bed's surface.
    pub bed: Rgb,
    /// Main lines and text.
    pub ink: Rgb,
    /// Secondary lines and text.
    pub faint: Rgb,
    /// Grid lines.
    pub grid: Rgb,
    /// The accent.
    pub accent: Rgb,
    /// A *stop* finding.
    pub stop: Rgb,
    /// A *watch* finding.
    pub watch: Rgb,
    /// Fills of parts.
    pub parts: [Rgb; HUES],
    /// Lines of parts.
    pub part_lines: [Rgb; HUES],
    /// How much of a part's fill is laid over the bed, 0..=1.
    pub part_opacity: f32,
}

const fn hex(v: u32) -> Rgb {
    [(v >> 16) as u8, (v >> 8) as u8, v as u8]
}

impl Palette {
    /// Ink on warm paper.
    pub const fn light() -> Self {
        Self {
            paper: hex(0x00F8_F5EE),
            bed: hex(0x00FD_FCF8),
            ink: hex(0x001F_2A33),
            faint: hex(0x0065_6258),
            grid: hex(0x00E4_E0D4),
            accent: hex(0x0000_68A4),
            stop: hex(0x00B5_4700),
            watch: hex(0x008A_5F00),
            parts: [
                hex(0x00A0_8B5B),
                hex(0x0056_B4E9),
                hex(0x00B0_649A),
                hex(0x0000_9E73),
                hex(0x0000_72B2),
                hex(0x004F_9A94),
                hex(0x007C_889A),
                hex(0x0084_9440),
            ],
            part_lines: [
                hex(0x0051_4529),
                hex(0x001D_506E),
                hex(0x005E_2F51),
                hex(0x0000_4D38),
                hex(0x0000_3C60),
                hex(0x0024_4C49),
                hex(0x003A_4350),
                hex(0x0041_4A1C),
            ],
            part_opacity: 0.32,
        }
    }
    /// Black on white paper, for printers without colour: parts are told apart by their ground, not by a hue.
    pub const fn print() -> Self {
        Self {
            paper: hex(0x00FF_FFFF),
            bed: hex(0x00FF_FFFF),
            ink: hex(0x0000_0000),
            faint: hex(0x0040_4040),
            grid: hex(0x00D8_D8D8),
            accent: hex(0x0000_0000),
            stop: hex(0x0000_0000),
            watch: hex(0x0040_4040),
            parts: [hex(0x0080_8080); HUES],
            part_lines: [hex(0x0000_0000); HUES],
            part_opacity: 0.32,
        }
    }
    /// Chalk on slate.
    pub const fn dark() -> Self {
        Self {
            paper: hex(0x0024_2B30),
            bed: hex(0x002B_3339),
            ink: hex(0x00ED_E9DF),
            faint: hex(0x00A9_AEA8),
            grid: hex(0x0039_4249),
            accent: hex(0x0079_C2F0),
            stop: hex(0x00FF_8A4C),
            watch: hex(0x00F0_B93A),
            parts: [
                hex(0x00C2_AE80),
                hex(0x0056_B4E9),
                hex(0x00D0_86BA),
                hex(0x0033_B890),
                hex(0x003E_92D0),
                hex(0x006C_B8B2),
                hex(0x0098_A6BA),
                hex(0x00A3_B45C),
            ],
            part_lines: [
                hex(0x00E3_D6B6),
                hex(0x00B2_DDF6),
                hex(0x00EC_C6DF),
                hex(0x00A4_E3CD),
                hex(0x00A9_D3F2),
                hex(0x00BC_E1DE),
                hex(0x00CE_D8E4),
                hex(0x00D5_DFB0),
            ],
            part_opacity: 0.34,
        }
    }
    /// The colour of an ink.
    pub const fn rgb(&self, ink: Ink) -> Rgb {
        match ink {
            Ink::Paper => self.paper,
            Ink::Bed => self.bed,
            Ink::Ink => self.ink,
            Ink::Faint => self.faint,
            Ink::Grid => self.grid,
            Ink::Accent => self.accent,
            Ink::Stop => self.stop,
            Ink::Watch => self.watch,
            Ink::Part(n) => self.parts[n % HUES],
            Ink::PartLine(n) => self.part_lines[n % HUES],
        }
    }
    /// The colour of `top` laid over `under` at an opacity of 0..=1.
    pub fn over(&self, top: Ink, under: Ink, opacity: f32) -> Rgb {
        let (t, u) = (self.rgb(top), self.rgb(under));
        std::array::from_fn(|i| {
            (f32::from(t[i]) * opacity + f32::from(u[i]) * (1.0 - opacity)).round().clamp(0.0, 255.0) as u8
        })
    }
}

/// Contrast ratio of two colours, 1 to 21. Source: WCAG 2.2, "contrast ratio" and "relative luminance".
pub fn contrast(a: Rgb, b: Rgb) -> f64 {
    let luminance = |c: Rgb| {
        let [r, g, b] = c.map(|v| {
            let v = f64::from(v) / 255.0;
            if v <= 0.04045 { v / 12.92 } else { ((v + 0.055) / 1.055).powf(2.4) }
        });
        0.2126 * r + 0.7152 * g + 0.0722 * b
    };
    let (x, y) = (luminance(a), luminance(b));
    (x.max(y) + 0.05) / (x.min(y) + 0.05)
}

#[cfg(test)]
mod tests {
    use super::*;

    /// WCAG 2.2 success criterion 1.4.3 (AA): text has at least 4.5 : 1.
    #[test]
    fn all_text_passes_aa() {
        for palette in [Palette::light(), Palette::dark(), Palette::print()] {
            for ground in [palette.paper, palette.bed] {
                for ink in [Ink::Ink, Ink::Faint, Ink::Accent, Ink::Stop, Ink::Watch] {
                    let c = contrast(palette.rgb(ink), ground);
                    assert!(c >= 4.5, "{ink:?} on {ground:?}: {c:.2}");
                }
            }
            for n in 0..HUES {
                let ground = palette.over(Ink::Part(n), Ink::Bed, palette.part_opacity);
                for ink in [Ink::Ink, Ink::PartLine(n)] {
                    let c = contrast(palette.rgb(ink), ground);
                    assert!(c >= 4.5, "{ink:?} on part {n}: {c:.2}");
                }
            }
        }
    }

    /// WCAG 2.2 success criterion 1.4.11 (AA): what must be seen has at least 3 : 1; here the part's line.
    #[test]
    fn lines_of_parts_stand_out_from_the_bed() {
        for palette in [Palette::light(), Palette::dark()] {
            for n in 0..HUES {
                assert!(contrast(palette.rgb(Ink::PartLine(n)), palette.bed) >= 3.0, "{n}");
            }
        }
    }

    /// WCAG's own end points: black on white is 21, a colour on itself 1.
    #[test]
    fn contrast_has_its_end_points() {
        assert!((contrast([0; 3], [255; 3]) - 21.0).abs() < 1e-12);
        assert_eq!(contrast([9, 90, 200], [9, 90, 200]), 1.0);
    }

    /// Vermilion and amber (hue 10° to 50° with strong chroma) belong to findings alone.
    #[test]
    fn no_part_looks_like_a_finding() {
        for palette in [Palette::light(), Palette::dark()] {
            for c in palette.parts {
                let [r, g, b] = c.map(f64::from);
                let (max, min) = (r.max(g).max(b), r.min(g).min(b));
                let saturation = (max - min) / max;
                let warm = max == r && g >= b && (g - b) / (max - min).max(1.0) * 60.0 > 10.0;
                assert!(!warm || saturation < 0.5, "{c:?}");
            }
        }
    }
}
