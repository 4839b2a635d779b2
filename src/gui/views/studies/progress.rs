//! How far a study is, and what became of it.

use egui::{ProgressBar, RichText, Ui};

use crate::{
    gui::{theme::Theme, widgets::link, wish::Wish},
    session::{Action, StudyState},
};

/// A bar with *Cancel* while it runs, a sentence where it ended early.
pub(super) fn progress(ui: &mut Ui, state: &StudyState, wishes: &mut Vec<Wish>) {
    match state {
        StudyState::Running { done, what, .. } => running(ui, Some((*done, what)), wishes),
        StudyState::Done => {}
        StudyState::Cancelled => {
            let theme = Theme::of(ui.visuals());
            ui.label(RichText::new("Cancelled: not all rows are there.").small().color(theme.faint));
        }
        StudyState::Failed(why) => {
            let theme = Theme::of(ui.visuals());
            let mut letters = why.chars();
            let first = letters.next().map(|c| c.to_uppercase().to_string()).unwrap_or_default();
            let text = first + letters.as_str();
            ui.add(egui::Label::new(RichText::new(text).color(theme.stop)).wrap());
        }
    }
}

/// The bar; without a share while layers are worked out first.
pub(super) fn running(ui: &mut Ui, share: Option<(f64, &str)>, wishes: &mut Vec<Wish>) {
    ui.horizontal(|ui| {
        let (done, what) = share.unwrap_or((0.0, "working out layers first"));
        let text = match share {
            Some(_) => format!("{what}, {:.0} %", (done * 100.0).floor()),
            None => format!("{what}…"),
        };
        ui.add(
            ProgressBar::new(done as f32).desired_width(260.0).desired_height(16.0).text(RichText::new(text).small()),
        );
        if link(ui, "Cancel", false).on_hover_text(Action::CancelStudy.tooltip()).clicked() {
            wishes.push(Action::CancelStudy.into());
        }
    });
}
