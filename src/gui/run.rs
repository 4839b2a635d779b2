//! Opens the window.

use std::path::PathBuf;

use egui::{Vec2, ViewportBuilder};
use thiserror::Error;

use super::{App, settings::Settings};
use crate::{
    session::{Action, Disk, Session, settings_in},
    work::Runner,
};

/// Why there is no window.
#[derive(Debug, Error)]
pub enum GuiError {
    /// No display server is named in the environment.
    #[error(
        "there is no display to open a window on: neither DISPLAY nor WAYLAND_DISPLAY is set; without one, use the \
         commands (stonehand --help)"
    )]
    NoDisplay,
    /// A display is named, and no window came of it.
    #[error("the window could not be opened: {0}; without a display, use the commands (stonehand --help)")]
    Refused(String),
}

/// Opens the window, on a job if one is given, and returns when it is closed.
///
/// # Errors
/// One sentence where there is no display or no window can be opened on it.
pub fn run(job: Option<PathBuf>) -> Result<(), GuiError> {
    if !has_display(|name| std::env::var_os(name)) {
        return Err(GuiError::NoDisplay);
    }
    let world = Disk::default();
    let kept = Settings::read(settings_in(&world).as_deref());
    let [width, height] = kept.window.unwrap_or([1440.0, 900.0]);
    let viewport = ViewportBuilder::default()
        .with_title("Stonehand")
        .with_app_id("stonehand")
        .with_icon(icon())
        .with_inner_size(Vec2::new(width, height))
        .with_maximized(kept.maximized)
        .with_clamp_size_to_monitor_size(true)
        .with_min_inner_size(Vec2::new(960.0, 640.0));
    let options = eframe::NativeOptions { viewport, ..eframe::NativeOptions::default() };
    let made = Box::new(move |cc: &eframe::CreationContext<'_>| {
        let wake = cc.egui_ctx.clone();
        let runner = Runner::threads(&(std::sync::Arc::new(move || wake.request_repaint()) as _));
        let mut session = Session::new(Box::new(world), runner);
        session.set_recovers(true);
        if let Some(path) = job {
            session.act(Action::Open(path));
        }
        Ok(Box::new(App::new(session).with_hints()) as Box<dyn eframe::App>)
    });
    eframe::run_native("stonehand", options, made).map_err(|e| GuiError::Refused(reason(&e.to_string())))
}

/// The window's icon, where the desktop does not take it from the program's entry in its menu.
fn icon() -> egui::IconData {
    const ICON: &[u8] = include_bytes!("../../packaging/icons/stonehand-128.png");
    eframe::icon_data::from_png_bytes(ICON).unwrap_or_default()
}

/// What a person can use of a library's error: not the place in its source.
fn reason(error: &str) -> String {
    let after_place = |s: &str| {
        let (_, rest) = s.rsplit_once(".rs:")?;
        let (line, words) = rest.split_once(": ")?;
        line.bytes().all(|b| b.is_ascii_digit()).then(|| words.to_owned())
    };
    after_place(error).unwrap_or_else(|| error.to_owned())
}

/// Is a display named? Only asked where windows need one.
pub(super) fn has_display(var: impl Fn(&str) -> Option<std::ffi::OsString>) -> bool {
    if cfg!(any(target_os = "windows", target_os = "macos")) {
        return true;
    }
    ["DISPLAY", "WAYLAND_DISPLAY", "WAYLAND_SOCKET"].iter().any(|name| var(name).is_some_and(|v| !v.is_empty()))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn reasons_do_not_name_a_place_in_source() {
        let raw = "EventLoopError: os error at /somewhere/src/linux/mod.rs:788: Failed to open connection";
        assert_eq!(reason(raw), "Failed to open connection");
        assert_eq!(reason("no adapter: none found"), "no adapter: none found");
    }

    #[test]
    #[cfg(target_os = "linux")]
    fn without_a_display_the_sentence_names_the_commands() {
        assert!(!has_display(|_| None));
        assert!(!has_display(|_| Some("".into())));
        assert!(has_display(|n| (n == "DISPLAY").then(|| ":0".into())));
        assert!(GuiError::NoDisplay.to_string().contains("stonehand --help"));
    }
}
