//! Every colour and every size of the window. Nobody else makes a colour.
//!
//! The light theme is ink on paper, the dark one chalk on slate.

use std::{collections::BTreeMap, sync::Arc};

use egui::{
    Color32, CornerRadius, FontData, FontDefinitions, FontFamily, FontId, Margin, RichText, Shadow, Stroke, Style,
    TextStyle, Theme as Side, Vec2, Visuals,
    style::{ScrollStyle, Selection, WidgetVisuals},
};

use crate::drawing::{Ink, Palette, Rgb};

/// Sizes in screen points.
pub(crate) mod size {
    /// Width of the panel with the order.
    pub(crate) const LEFT: f32 = 300.0;
    /// Width of the panel with the particulars.
    pub(crate) const RIGHT: f32 = 314.0;
    /// Share of the window's height that the height strip takes, within the two that follow.
    pub(crate) const STRIP_SHARE: f32 = 0.27;
    /// Least height of the height strip.
    pub(crate) const STRIP_LEAST: f32 = 190.0;
    /// Largest height of the height strip.
    pub(crate) const STRIP_MOST: f32 = 300.0;
    /// Height of the menu bar.
    pub(crate) const BAR: f32 = 36.0;
    /// Height of the band with the tabs.
    pub(crate) const TABS: f32 = 36.0;
    /// Space round a panel's contents.
    pub(crate) const PAD: f32 = 16.0;
    /// Space between two sections of a panel.
    pub(crate) const SECTION: f32 = 14.0;
    /// Height of a line of a table.
    pub(crate) const ROW: f32 = 25.0;
    /// How far a line of a table is lit beyond its text.
    pub(crate) const ROW_OVER: f32 = 8.0;
    /// Height of a line of label and value.
    pub(crate) const LINE: f32 = 24.0;
    /// Height of a field's frame.
    pub(crate) const FIELD: f32 = 22.0;
    /// Width of a field in the particulars.
    pub(crate) const FIELD_WIDTH: f32 = 120.0;
    /// Width of a field for a name, or for one of several.
    pub(crate) const NAME_WIDTH: f32 = 180.0;
    /// Height of a move's button.
    pub(crate) const MOVE: f32 = 28.0;
    /// Length of the longest bar under "where the hours go".
    pub(crate) const HOURS_BAR: f32 = 106.0;
    /// Thickness of those bars.
    pub(crate) const HOURS_INK: f32 = 7.0;
    /// Corners of fields and buttons.
    pub(crate) const CORNER: u8 = 4;
    /// Text of titles.
    pub(crate) const TITLE: f32 = 15.0;
    /// Text.
    pub(crate) const BODY: f32 = 13.0;
    /// Notes and explanations.
    pub(crate) const SMALL: f32 = 11.5;
    /// Heads of tables, rulers.
    pub(crate) const TINY: f32 = 10.5;
    /// Words over the fields of the title block.
    pub(crate) const CAPTION: f32 = 8.5;
    /// Space between the canvas's edge and the drawing's frame.
    pub(crate) const SHEET_GAP: f32 = 14.0;
    /// Space between the frame's two lines.
    pub(crate) const FRAME_GAP: f32 = 6.0;
    /// Distance between hatch lines.
    pub(crate) const HATCH: f32 = 6.0;
    /// Thickness of outlines.
    pub(crate) const OUTLINE: f32 = 1.1;
    /// Thickness of thin lines.
    pub(crate) const HAIR: f32 = 0.8;
    /// Thickness of the selection's line.
    pub(crate) const SELECTION: f32 = 1.6;
    /// How far from a handle's middle a press still takes it.
    pub(crate) const GRAB: f32 = 9.0;
    /// Distance of the turning handle from the selection.
    pub(crate) const HANDLE: f32 = 20.0;
    /// Smallest scale, points per millimetre.
    pub(crate) const LEAST_ZOOM: f64 = 0.05;
    /// Largest scale, points per millimetre.
    pub(crate) const MOST_ZOOM: f64 = 200.0;
}

/// The colours of one theme: the drawings' palette and what the window needs beside it.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct Theme {
    /// Chalk on slate?
    pub(crate) dark: bool,
    /// What the drawings use.
    palette: Palette,
    /// What the sheet lies on.
    pub(crate) desk: Color32,
    /// Panels and bars.
    pub(crate) panel: Color32,
    /// The sheet, cards, buttons.
    pub(crate) sheet: Color32,
    /// The bed, fields.
    pub(crate) bed: Color32,
    /// Hairlines between things.
    pub(crate) line: Color32,
    /// Main lines and text.
    pub(crate) ink: Color32,
    /// Secondary lines and text.
    pub(crate) faint: Color32,
    /// The one accent.
    pub(crate) accent: Color32,
    /// The chosen line of a table.
    pub(crate) chosen: Color32,
    /// A line of a table under the pointer.
    pub(crate) hovered: Color32,
    /// *Stop*, as text.
    pub(crate) stop: Color32,
    /// *Stop*, as an area.
    pub(crate) stop_mark: Color32,
    /// *Watch*, as text.
    pub(crate) watch: Color32,
    /// *Watch*, as an area.
    pub(crate) watch_mark: Color32,
    /// Text on a part's hue.
    pub(crate) on_hue: Color32,
    /// Shadows under menus and questions.
    shade: Color32,
}

#[expect(clippy::disallowed_methods, reason = "the one place where colours are made")]
const fn colour([r, g, b]: Rgb) -> Color32 {
    Color32::from_rgb(r, g, b)
}

const fn rgb(hex: u32) -> Color32 {
    colour([(hex >> 16) as u8, (hex >> 8) as u8, hex as u8])
}

#[expect(clippy::disallowed_methods, reason = "the one place where colours are made")]
const fn shade(alpha: u8) -> Color32 {
    Color32::from_rgba_premultiplied(0, 0, 0, alpha)
}

/// Ink on paper.
static LIGHT: Theme = {
    let palette = Palette::light();
    Theme {
        dark: false,
        desk: rgb(0x00E7_E4DA),
        panel: rgb(0x00F1_EEE5),
        sheet: colour(palette.paper),
        bed: colour(palette.bed),
        line: rgb(0x00D5_D0C1),
        ink: colour(palette.ink),
        faint: colour(palette.faint),
        accent: colour(palette.accent),
        chosen: rgb(0x00E6_EDF1),
        hovered: rgb(0x00EC_EAE3),
        stop: colour(palette.stop),
        stop_mark: rgb(0x00D5_5E00),
        watch: colour(palette.watch),
        watch_mark: rgb(0x00E6_9F00),
        on_hue: rgb(0x00FF_FFFF),
        shade: shade(36),
        palette,
    }
};

/// Chalk on slate.
static DARK: Theme = {
    let palette = Palette::dark();
    Theme {
        dark: true,
        desk: rgb(0x0014_191D),
        panel: rgb(0x001C_2328),
        sheet: colour(palette.paper),
        bed: colour(palette.bed),
        line: rgb(0x003B_464E),
        ink: colour(palette.ink),
        faint: colour(palette.faint),
        accent: colour(palette.accent),
        chosen: rgb(0x002C_3D4A),
        hovered: rgb(0x0026_2F35),
        stop: colour(palette.stop),
        stop_mark: rgb(0x00F0_7A2E),
        watch: colour(palette.watch),
        watch_mark: rgb(0x00D9_A03A),
        on_hue: rgb(0x0014_191D),
        shade: shade(110),
        palette,
    }
};

impl Theme {
    /// The theme that holds for these visuals.
    pub(crate) fn of(visuals: &Visuals) -> &'static Self {
        if visuals.dark_mode { &DARK } else { &LIGHT }
    }
    /// What an ink of a drawing is on the screen.
    pub(crate) fn ink(&self, ink: Ink) -> Color32 {
        colour(self.palette.rgb(ink))
    }
    /// The hue of the part with this number.
    pub(crate) fn hue(&self, number: usize) -> Color32 {
        self.ink(Ink::Part(number))
    }
    /// A hairline.
    pub(crate) fn hairline(&self) -> Stroke {
        Stroke::new(1.0, self.line)
    }
    fn visuals(&self) -> Visuals {
        let mut v = if self.dark { Visuals::dark() } else { Visuals::light() };
        let corner = CornerRadius::same(size::CORNER);
        let widget = |fill: Color32, line: Color32, text: Color32| WidgetVisuals {
            bg_fill: fill,
            weak_bg_fill: fill,
            bg_stroke: Stroke::new(1.0, line),
            corner_radius: corner,
            fg_stroke: Stroke::new(1.0, text),
            expansion: 0.0,
        };
        v.widgets.noninteractive = widget(self.panel, self.line, self.ink);
        v.widgets.inactive = widget(self.sheet, self.line, self.ink);
        v.widgets.hovered = widget(self.hovered, self.faint, self.ink);
        v.widgets.active = widget(self.chosen, self.accent, self.ink);
        v.widgets.open = widget(self.chosen, self.line, self.ink);
        v.selection = Selection {
            bg_fill: self.accent.gamma_multiply(if self.dark { 0.45 } else { 0.28 }),
            stroke: Stroke::new(1.2, self.accent),
        };
        v.weak_text_color = Some(self.faint);
        v.hyperlink_color = self.accent;
        v.faint_bg_color = self.hovered;
        v.extreme_bg_color = self.bed;
        v.text_edit_bg_color = Some(self.bed);
        v.code_bg_color = self.sheet;
        v.warn_fg_color = self.watch;
        v.error_fg_color = self.stop;
        v.window_fill = self.sheet;
        v.window_stroke = Stroke::new(1.0, self.line);
        v.window_corner_radius = CornerRadius::same(6);
        v.menu_corner_radius = corner;
        v.window_shadow = Shadow { offset: [0, 6], blur: 24, spread: 0, color: self.shade };
        v.popup_shadow = Shadow { offset: [0, 3], blur: 10, spread: 0, color: self.shade };
        v.panel_fill = self.panel;
        v.text_cursor.stroke = Stroke::new(1.5, self.accent);
        v.text_cursor.blink = false;
        v.indent_has_left_vline = false;
        v
    }
}

/// The family of bold text.
pub(crate) fn bold_family() -> FontFamily {
    FontFamily::Name("bold".into())
}

/// Regular text of a size.
pub(crate) fn regular(points: f32) -> FontId {
    FontId::new(points, FontFamily::Proportional)
}

/// Bold text of a size.
pub(crate) fn bold(points: f32) -> FontId {
    FontId::new(points, bold_family())
}

/// A text made bold.
pub(crate) fn strong(text: impl Into<String>) -> RichText {
    RichText::new(text).family(bold_family())
}

/// The bundled fonts: Inter with tabular figures, its semi-bold as a family of its own; what they lack comes from the
/// toolkit's own.
fn fonts() -> FontDefinitions {
    let mut fonts = FontDefinitions::default();
    let files: [(&str, &'static [u8]); 2] = [
        ("inter", include_bytes!("../../assets/fonts/Inter-Regular.otf")),
        ("inter-bold", include_bytes!("../../assets/fonts/Inter-SemiBold.otf")),
    ];
    for (name, bytes) in files {
        fonts.font_data.insert(name.into(), Arc::new(FontData::from_static(bytes)));
    }
    let spare = fonts.families.get(&FontFamily::Proportional).cloned().unwrap_or_default();
    let family = |first: &str| std::iter::once(first.to_owned()).chain(spare.iter().cloned()).collect::<Vec<_>>();
    fonts.families.insert(FontFamily::Proportional, family("inter"));
    fonts.families.insert(FontFamily::Monospace, family("inter"));
    fonts.families.insert(bold_family(), family("inter-bold"));
    fonts
}

fn style(theme: &Theme) -> Style {
    let mut s = Style { visuals: theme.visuals(), animation_time: 0.08, ..Style::default() };
    s.text_styles = BTreeMap::from([
        (TextStyle::Heading, bold(size::TITLE)),
        (TextStyle::Body, regular(size::BODY)),
        (TextStyle::Button, regular(size::BODY)),
        (TextStyle::Monospace, regular(size::BODY)),
        (TextStyle::Small, regular(size::SMALL)),
    ]);
    s.spacing.item_spacing = Vec2::new(8.0, 4.0);
    s.spacing.button_padding = Vec2::new(8.0, 3.0);
    s.spacing.interact_size = Vec2::new(24.0, size::FIELD);
    s.spacing.menu_margin = Margin::same(6);
    s.spacing.window_margin = Margin::same(16);
    s.spacing.menu_width = 240.0;
    s.spacing.tooltip_width = 320.0;
    // A thin handle always says that there is more.
    s.spacing.scroll = ScrollStyle { dormant_handle_opacity: 0.4, ..ScrollStyle::floating() };
    s.interaction.selectable_labels = false;
    s.interaction.tooltip_delay = 0.6;
    s
}

/// Puts fonts, colours and sizes in place for both themes.
pub(crate) fn install(ctx: &egui::Context) {
    ctx.set_fonts(fonts());
    ctx.set_style_of(Side::Light, style(&LIGHT));
    ctx.set_style_of(Side::Dark, style(&DARK));
    // Where the system says nothing, it is paper.
    ctx.options_mut(|o| o.fallback_theme = Side::Light);
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::drawing::contrast;

    #[test]
    fn text_can_be_read_on_everything_it_stands_on() {
        let rgb = |c: Color32| [c.r(), c.g(), c.b()];
        for t in [&LIGHT, &DARK] {
            for text in [t.ink, t.faint, t.accent, t.stop, t.watch] {
                for ground in [t.panel, t.sheet, t.bed, t.chosen, t.hovered] {
                    // WCAG 2.2, success criterion 1.4.3 (AA).
                    let c = contrast(rgb(text), rgb(ground));
                    assert!(c >= 4.5, "{text:?} on {ground:?}: {c:.2}");
                }
            }
        }
    }

    #[test]
    fn figures_are_of_one_width() {
        let ctx = egui::Context::default();
        install(&ctx);
        let mut widths = Vec::new();
        for _ in 0..2 {
            widths.clear();
            let mut out = ctx.run_ui(egui::RawInput::default(), |ui| {
                for font in [regular(size::BODY), bold(size::BODY)] {
                    for digit in ["0000", "1111", "7777"] {
                        let g = ui.painter().layout_no_wrap(digit.into(), font.clone(), LIGHT.ink);
                        widths.push(g.size().x);
                    }
                }
            });
            out.textures_delta.clear();
        }
        assert_eq!(widths.len(), 6);
        for face in widths.chunks(3) {
            assert!((face[0] - face[1]).abs() < 0.01 && (face[0] - face[2]).abs() < 0.01, "{widths:?}");
        }
    }
}
