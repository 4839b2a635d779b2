//! What the window keeps from one run to the next.

use egui::ThemePreference;
use serde::{Deserialize, Serialize};

use super::theme::size;

/// Sizes of text that are offered, %.
pub(crate) const TEXT_SIZES: [u16; 8] = [80, 90, 100, 110, 125, 150, 175, 200];

/// Least and most width of a column, points.
pub(crate) const COLUMN: (f32, f32) = (260.0, 560.0);
/// Width that the sheet keeps before a column gets more than its least, points.
const SHEET: f32 = 320.0;

/// The most that a column may take of a window so wide, points: the sheet stays in sight, also in a small window with large text.
pub(crate) fn most_of_column(window: f32) -> f32 {
    (window * 0.36).min((window - SHEET) / 2.0).max(COLUMN.0)
}

/// Least and most height of the height strip, points.
pub(crate) const STRIP: (f32, f32) = (150.0, 520.0);
/// Least and most side of the window, points: beyond any screen there is.
const WINDOW: (f32, f32) = (400.0, 20_000.0);

/// Sizes of the panels, points.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
#[serde(default)]
pub(crate) struct Sizes {
    /// Width of the column with the order.
    pub(crate) left: f32,
    /// Width of the column with the particulars.
    pub(crate) right: f32,
    /// Height of the height strip; none: a share of the window.
    pub(crate) strip: Option<f32>,
}

impl Default for Sizes {
    fn default() -> Self {
        Self { left: size::LEFT, right: size::RIGHT, strip: None }
    }
}

/// What the window keeps.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(default)]
pub(crate) struct Settings {
    /// "light", "dark" or "system".
    pub(crate) theme: String,
    /// One of [`TEXT_SIZES`].
    pub(crate) text_percent: u16,
    /// Width and height of the window, points at 100 % text.
    pub(crate) window: Option<[f32; 2]>,
    /// The window filled the screen.
    pub(crate) maximized: bool,
    /// Of the panels.
    pub(crate) panels: Sizes,
    /// Hints that were dismissed.
    pub(crate) dismissed_hints: Vec<String>,
}

impl Default for Settings {
    fn default() -> Self {
        Self {
            theme: "system".into(),
            text_percent: 100,
            window: None,
            maximized: false,
            panels: Sizes::default(),
            dismissed_hints: Vec::new(),
        }
    }
}

impl Settings {
    /// As they were kept. What is missing, damaged or beyond all sense is as at the first start.
    pub(crate) fn read(bytes: Option<&[u8]>) -> Self {
        let read: Self = bytes.and_then(|b| serde_json::from_slice(b).ok()).unwrap_or_default();
        let plain = Self::default();
        let sound = |v: f32, (least, most): (f32, f32), or: f32| if v.is_finite() { v.clamp(least, most) } else { or };
        let panels = Sizes {
            left: sound(read.panels.left, COLUMN, size::LEFT),
            right: sound(read.panels.right, COLUMN, size::RIGHT),
            strip: read.panels.strip.filter(|v| v.is_finite()).map(|v| v.clamp(STRIP.0, STRIP.1)),
        };
        let window = read.window.filter(|w| w.iter().all(|v| v.is_finite()));
        let known = TEXT_SIZES.contains(&read.text_percent);
        Self {
            text_percent: if known { read.text_percent } else { plain.text_percent },
            window: window.map(|w| w.map(|v| v.clamp(WINDOW.0, WINDOW.1))),
            panels,
            ..read
        }
    }
    /// To be kept.
    pub(crate) fn write(&self) -> Vec<u8> {
        serde_json::to_vec_pretty(self).unwrap_or_default()
    }
    /// Light, dark, or as the system has it.
    pub(crate) fn theme(&self) -> ThemePreference {
        match self.theme.as_str() {
            "light" => ThemePreference::Light,
            "dark" => ThemePreference::Dark,
            _ => ThemePreference::System,
        }
    }
    /// With another theme.
    #[must_use]
    pub(crate) fn with_theme(self, theme: ThemePreference) -> Self {
        let theme = match theme {
            ThemePreference::Light => "light",
            ThemePreference::Dark => "dark",
            ThemePreference::System => "system",
        };
        Self { theme: theme.into(), ..self }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_is_kept_is_read_again() {
        let kept = Settings {
            text_percent: 125,
            window: Some([1500.0, 820.0]),
            maximized: true,
            panels: Sizes { left: 340.0, right: 300.0, strip: Some(260.0) },
            dismissed_hints: vec!["drag".into()],
            ..Settings::default()
        }
        .with_theme(ThemePreference::Dark);
        assert_eq!(Settings::read(Some(&kept.write())), kept);
        assert_eq!(kept.theme(), ThemePreference::Dark);
    }

    #[test]
    fn damaged_settings_do_no_harm() {
        for bytes in ["", "{", "[1]", "{\"text_percent\": \"large\"}", "null"] {
            assert_eq!(Settings::read(Some(bytes.as_bytes())), Settings::default(), "{bytes}");
        }
        let absurd =
            r#"{"theme": "pink", "text_percent": 3, "window": [1e30, 2], "panels": {"left": -5, "strip": 1e9}}"#;
        let read = Settings::read(Some(absurd.as_bytes()));
        assert_eq!((read.theme(), read.text_percent), (ThemePreference::System, 100));
        assert_eq!(read.window, Some([WINDOW.1, WINDOW.0]));
        assert_eq!((read.panels.left, read.panels.right, read.panels.strip), (COLUMN.0, size::RIGHT, Some(STRIP.1)));
    }
}
