//! Above the timeline: when it ends, how much better it could be, and the search for that.

use std::fmt::Write as _;

use egui::{Color32, Label, ProgressBar, RichText, Ui};

use crate::{
    gui::{
        theme::{self, Theme, size},
        view::View,
        widgets::link,
        wish::Wish,
    },
    session::{Action, Ask, Session, Timeline, TimelineFile},
};

/// Shows the line above the timeline.
pub(super) fn show(ui: &mut Ui, session: &Session, view: &mut View, wishes: &mut Vec<Wish>) {
    let theme = Theme::of(ui.visuals());
    ui.horizontal_wrapped(|ui| {
        ui.spacing_mut().item_spacing.x = 14.0;
        ui.label(theme::strong("Timeline").size(size::TITLE).color(theme.ink));
        if view.shifts.sight.is_in() {
            let back = link(ui, "whole plan", false);
            if back.on_hover_text("Shows the whole plan again; so does a double click beside the bars").clicked() {
                view.shifts.sight.whole();
            }
        }
        if let Some(improving) = session.improving() {
            let bar = ProgressBar::new(improving.done() as f32).desired_width(150.0).desired_height(16.0);
            ui.add(bar.text(RichText::new("improving").small()));
            let cancel = Action::CancelImprove;
            if link(ui, "Cancel", false).on_hover_text(cancel.tooltip()).clicked() {
                wishes.push(cancel.into());
            }
        } else {
            offer(ui, session, Action::ImproveSequence, wishes);
        }
        for file in [TimelineFile::Calendar, TimelineFile::Table] {
            offer(ui, session, Action::Ask(Ask::Timeline(file)), wishes);
        }
    });
    if let Some(t) = session.timeline() {
        let shown = view.shifts.drag.as_ref().and_then(|d| d.preview()).unwrap_or(t);
        ui.add(Label::new(RichText::new(summary(shown, t)).small().color(theme.faint)).wrap());
        for words in missing(session, t) {
            ui.add(Label::new(RichText::new(words).small().color(theme.faint)).wrap());
        }
    }
}

/// Words to press, on the next line where they are wider than what is left of this one.
fn offer(ui: &mut Ui, session: &Session, action: Action, wishes: &mut Vec<Wish>) {
    let font = theme::regular(size::BODY);
    let words = ui.painter().layout_no_wrap(action.name().to_owned(), font, Color32::PLACEHOLDER);
    if ui.available_size_before_wrap().x < words.size().x {
        ui.end_row();
    }
    ui.add_enabled_ui(action.enabled(session), |ui| {
        if link(ui, action.name(), false).on_hover_text(action.tooltip()).clicked() {
            wishes.push(action.into());
        }
    });
}

/// "The last print ends Tue 16:00. No sequence on these machines ends before Tue 15:10; this plan takes 5 % longer."
fn summary(shown: &Timeline, now: &Timeline) -> String {
    if shown.plan.timed.is_empty() {
        return "No plate is planned. Place copies on plates, and set the hours under Hours.".into();
    }
    let clock = |s: i64| shown.calendar.words(s);
    let finish_s = shown.plan.cost.finish_s;
    let mut text = format!("The last print ends {}", clock(finish_s));
    let moved = finish_s - now.plan.cost.finish_s;
    if moved != 0 {
        let by = crate::words::long_time(moved.abs() as f64);
        let _ = write!(text, " ({by} {})", if moved > 0 { "later" } else { "earlier" });
    }
    text += ". ";
    text += &now.bound_words(finish_s);
    text
}

/// Plates that are not in the plan, and why.
fn missing(session: &Session, t: &Timeline) -> Vec<String> {
    let job = session.job();
    let number = |id| job.plate_number(id).unwrap_or(0);
    let mut lines = Vec::new();
    if !t.pending.is_empty() {
        let numbers: Vec<String> = t.pending.iter().map(|id| number(*id).to_string()).collect();
        let (noun, verb) = if numbers.len() == 1 { ("Plate", "is") } else { ("Plates", "are") };
        lines.push(format!(
            "{noun} {} {verb} not in the plan yet: print times are being worked out.",
            numbers.join(", ")
        ));
    }
    for (id, why) in &t.without_time {
        lines.push(format!("Plate {} is not in the plan: {}.", number(*id), crate::words::plain(why)));
    }
    lines
}
