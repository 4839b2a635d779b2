//! How far the hand-over files are, and the button that ends writing them.

use egui::{Align2, Area, Button, Id, Label, Order, ProgressBar, Ui, Vec2};

use crate::{
    gui::{theme::Theme, widgets::slip, wish::Wish},
    session::{Action, Session},
};

/// Width of the bar.
const BAR_WIDTH: f32 = 220.0;

/// Shows it at the upper edge of `over`, while files are written.
pub(crate) fn show(ui: &Ui, session: &Session, over: egui::Rect, wishes: &mut Vec<Wish>) {
    let Some(running) = session.handing_over() else { return };
    let theme = Theme::of(ui.visuals());
    Area::new(Id::unique("handing over"))
        .order(Order::Foreground)
        .pivot(Align2::CENTER_TOP)
        .fixed_pos(over.center_top() + Vec2::new(0.0, 40.0))
        .show(ui.ctx(), |ui| {
            slip(theme).show(ui, |ui| {
                ui.horizontal(|ui| {
                    ui.add(Label::new(format!("Handing over: {}", running.what)));
                    ui.add(ProgressBar::new(running.done as f32).desired_width(BAR_WIDTH));
                    let cancel = Action::CancelExport;
                    if ui.add(Button::new(cancel.name())).clicked() {
                        wishes.push(cancel.into());
                    }
                });
            });
        });
}
