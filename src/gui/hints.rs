//! Short hints for the first days: each at the place it concerns, gone for good once dismissed, and brought back from *Help*.

use std::collections::BTreeSet;

use egui::{Align, Frame, Label, Layout, Margin, RichText, Ui, Vec2};

use super::{
    guide::Page,
    look::Look,
    theme::{self, Theme, size},
    views::Tab,
    widgets::link,
    wish::Wish,
};
use crate::session::Session;

/// Height of a hint's line, points.
const HEIGHT: f32 = 20.0;

/// A hint.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub(crate) enum Hint {
    /// Nothing is there yet.
    Begin,
    /// Copies lie on the sheet.
    Drag,
    /// The first study.
    Study,
    /// The first timeline.
    Plan,
}

impl Hint {
    const ALL: [Self; 4] = [Self::Begin, Self::Drag, Self::Study, Self::Plan];

    /// As it is kept.
    fn word(self) -> &'static str {
        match self {
            Self::Begin => "begin",
            Self::Drag => "drag",
            Self::Study => "study",
            Self::Plan => "plan",
        }
    }
    fn text(self) -> &'static str {
        match self {
            Self::Begin => "Drop meshes here. The guide shows the way from a mesh to the machine.",
            Self::Drag => "Drag a copy: time, cooling and clearance follow at once.",
            Self::Study => "A study changes nothing until you use one of its rows.",
            Self::Plan => "Set your hours under Hours. Drag a bar to another place or machine.",
        }
    }
    fn page(self) -> Page {
        match self {
            Self::Begin => Page::Way,
            Self::Drag => Page::Sheet,
            Self::Study => Page::Studies,
            Self::Plan => Page::Shifts,
        }
    }
    /// The one for what is shown now.
    fn now(tab: Tab, session: &Session) -> Option<Self> {
        match tab {
            Tab::Sheet if session.job().parts.is_empty() => Some(Self::Begin),
            Tab::Sheet => session.plate().is_some_and(|p| !p.copies.is_empty()).then_some(Self::Drag),
            Tab::Studies => Some(Self::Study),
            Tab::Shifts => Some(Self::Plan),
        }
    }
}

/// Which hints are shown still.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub(crate) struct Hints {
    /// Are there any? Who only wants a picture of the window has none.
    pub(crate) on: bool,
    gone: BTreeSet<Hint>,
}

impl Hints {
    /// As they were kept; words that nobody knows are dropped.
    pub(crate) fn kept(gone: &[String]) -> Self {
        Self { on: false, gone: Hint::ALL.into_iter().filter(|h| gone.iter().any(|w| w == h.word())).collect() }
    }
    /// To be kept: those that were dismissed.
    pub(crate) fn to_keep(&self) -> Vec<String> {
        self.gone.iter().map(|h| h.word().to_owned()).collect()
    }
    /// Has any been dismissed?
    pub(crate) fn any_gone(&self) -> bool {
        !self.gone.is_empty()
    }
    /// All of them are shown again.
    pub(crate) fn bring_back(&mut self) {
        self.on = true;
        self.gone.clear();
    }
}

/// Shows the hint for what is shown now, above it, as a strip that takes its own room and covers nothing.
pub(crate) fn show(ui: &mut Ui, session: &Session, tab: Tab, hints: &mut Hints, wishes: &mut Vec<Wish>) {
    let Some(hint) = Hint::now(tab, session).filter(|h| hints.on && !hints.gone.contains(h)) else { return };
    let theme = Theme::of(ui.visuals());
    let gap = size::SHEET_GAP as i8;
    Frame::new().outer_margin(Margin { left: gap, right: gap, top: gap, bottom: 0 }).show(ui, |ui| {
        let card = Frame::new().fill(theme.chosen).stroke(theme.hairline()).corner_radius(size::CORNER);
        card.inner_margin(Margin::symmetric(12, 5)).show(ui, |ui| {
            let row = Vec2::new(ui.available_width(), HEIGHT);
            ui.allocate_ui_with_layout(row, Layout::right_to_left(Align::Center), |ui| {
                ui.spacing_mut().item_spacing.x = 14.0;
                let dismiss = link(ui, "Dismiss", false);
                if dismiss.on_hover_text("Does not come back. Help, Show hints again brings all of them back").clicked()
                {
                    hints.gone.insert(hint);
                    ui.ctx().request_repaint();
                }
                if link(ui, "Guide", true).on_hover_text("Opens the guide at this page").clicked() {
                    wishes.push(Look::Guide(hint.page()).into());
                }
                ui.with_layout(Layout::left_to_right(Align::Center), |ui| {
                    ui.add(Label::new(theme::strong("Hint").size(size::SMALL).color(theme.accent)));
                    ui.add(Label::new(RichText::new(hint.text()).size(size::SMALL + 0.5).color(theme.ink)).truncate());
                });
            });
        });
    });
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_was_dismissed_is_kept_and_nonsense_is_not() {
        let kept = ["plan", "of the world", "begin"].map(str::to_owned);
        let mut hints = Hints::kept(&kept);
        assert_eq!(hints.to_keep(), ["begin", "plan"]);
        assert_eq!(Hints::kept(&hints.to_keep()), hints);
        hints.bring_back();
        assert!(!hints.any_gone() && hints.on);
    }
}
