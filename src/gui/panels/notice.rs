//! What just happened, for a while, over the sheet.

use egui::{Align2, Area, Id, Order, RichText, Ui, Vec2};

use crate::{
    gui::{theme::Theme, widgets::slip},
    session::Notice,
};

/// A notice and until when it is shown, in the toolkit's seconds.
#[derive(Debug, Clone)]
pub(crate) struct Shown {
    /// What is said.
    pub(crate) notice: Notice,
    /// Until when.
    pub(crate) until: f64,
}

/// Shows notices above the lower edge of `over`.
pub(crate) fn show(ui: &Ui, fresh: &[Shown], over: egui::Rect) {
    if fresh.is_empty() {
        return;
    }
    let theme = Theme::of(ui.visuals());
    Area::new(Id::unique("notices"))
        .order(Order::Foreground)
        .pivot(Align2::CENTER_BOTTOM)
        .fixed_pos(over.center_bottom() - Vec2::new(0.0, 90.0))
        .interactable(false)
        .show(ui.ctx(), |ui| {
            for Shown { notice, .. } in fresh.iter().rev().take(4).rev() {
                let ink = if notice.fault { theme.stop } else { theme.ink };
                slip(theme).show(ui, |ui| {
                    ui.set_max_width(560.0);
                    ui.label(RichText::new(&notice.text).color(ink));
                });
                ui.add_space(4.0);
            }
        });
}
