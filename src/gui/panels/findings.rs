//! What the tool noticed.

use egui::{Align, CornerRadius, Frame, Label, Layout, Margin, RichText, Sense, Stroke, Ui};

use crate::{
    finding::{Finding, Level, Remedy},
    gui::{
        theme::{self, Theme, size},
        view::View,
        widgets::{link, title},
        wish::Wish,
    },
    session::{Action, Session},
};

/// Findings shown before the rest is only counted.
const MOST: usize = 60;

/// Shows the findings about the plate shown and those about no plate.
pub(crate) fn show(ui: &mut Ui, session: &Session, view: &mut View, wishes: &mut Vec<Wish>) {
    let here: Vec<&Finding> = session.findings();
    let nothing = session.plate().is_none_or(|p| p.copies.is_empty());
    let none = match (nothing, session.preparing()) {
        (true, _) => "Nothing to check yet.",
        (_, 0) => "No findings.",
        // Time, cooling and tipping over are not judged before layers are there.
        _ => "No findings so far: layers are still being worked out.",
    };
    list(ui, &here, none, view, wishes);
}

/// Shows some findings, a card each, or one sentence where there are none.
pub(crate) fn list(ui: &mut Ui, here: &[&Finding], none: &str, view: &mut View, wishes: &mut Vec<Wish>) {
    let theme = Theme::of(ui.visuals());
    title(ui, "Findings", |ui| {
        ui.label(RichText::new(counts(here)).small().color(theme.faint));
    });
    ui.add_space(2.0);
    if here.is_empty() {
        ui.label(RichText::new(none).small().color(theme.faint));
    }
    for (i, finding) in here.iter().take(MOST).enumerate() {
        ui.push_id(i, |ui| card(ui, finding, theme, view, wishes));
        ui.add_space(6.0);
    }
    if here.len() > MOST {
        ui.label(RichText::new(format!("and {} more", here.len() - MOST)).small().color(theme.faint));
    }
}

/// "1 stop · 2 watch".
fn counts(findings: &[&Finding]) -> String {
    let count = |level: Level| findings.iter().filter(|f| f.level == level).count();
    [Level::Stop, Level::Watch, Level::Note]
        .into_iter()
        .filter(|l| count(*l) > 0)
        .map(|l| format!("{} {}", count(l), l.word()))
        .collect::<Vec<_>>()
        .join(" · ")
}

fn card(ui: &mut Ui, finding: &Finding, theme: &Theme, view: &mut View, wishes: &mut Vec<Wish>) {
    let (ink, mark) = match finding.level {
        Level::Stop => (theme.stop, theme.stop_mark),
        Level::Watch => (theme.watch, theme.watch_mark),
        Level::Note => (theme.faint, theme.line),
    };
    let frame = Frame::new()
        .fill(theme.sheet)
        .stroke(theme.hairline())
        .corner_radius(size::CORNER)
        .inner_margin(Margin { left: 14, right: 10, top: 7, bottom: 8 });
    let inner = frame.show(ui, |ui| {
        ui.set_width(ui.available_width());
        ui.horizontal(|ui| {
            ui.label(theme::strong(finding.level.word()).size(size::SMALL).color(ink));
            ui.with_layout(Layout::right_to_left(Align::Center), |ui| {
                if let Some(remedy) = &finding.remedy
                    && link(ui, &remedy.label(), true).clicked()
                {
                    wishes.push(Action::Remedy(remedy.clone()).into());
                }
            });
        });
        ui.add(Label::new(RichText::new(&finding.text).size(size::SMALL + 0.5).color(theme.ink)).wrap());
        if !finding.more.is_empty() {
            ui.horizontal_wrapped(|ui| {
                for remedy in &finding.more {
                    if link(ui, &remedy.label(), false).clicked() {
                        if let Remedy::RankPoses { part } = remedy {
                            view.faces_of = Some(*part);
                        }
                        wishes.push(Action::Remedy(remedy.clone()).into());
                    }
                    ui.add_space(8.0);
                }
            });
        }
    });
    let rect = inner.response.rect;
    let mut bar = rect;
    bar.set_width(4.0);
    let corner = CornerRadius { nw: size::CORNER, sw: size::CORNER, ..CornerRadius::ZERO };
    ui.painter().rect_filled(bar, corner, mark);
    let whole = ui.interact(rect, ui.scope_id().with("card"), Sense::hover());
    if whole.contains_pointer() {
        view.lit_next.extend(&finding.copies);
        ui.painter().rect_stroke(rect, size::CORNER, Stroke::new(1.0, theme.faint), egui::StrokeKind::Inside);
    }
}
