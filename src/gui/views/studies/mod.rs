//! The view *Studies*: footings of a part, how many copies at once, and a plate beside itself on other footings.
//!
//! - [`show`]: the page, with [`Page`] chosen at its top; [`StudiesView`]: what it remembers
//! - `footings`, `footing_table`, `trade_off`: one part on several footings; `plate`: one plate twice
//! - `copies`, `copies_table`, `copies_plots`: one part in several numbers; `assumed`: what a study assumes, to be typed over
//! - `tally`: what plates taught
//! - `page`, `columns`: what the pages have alike; `progress`: how far a study is; `small`: plates as small drawings

mod assumed;
mod columns;
mod copies;
mod copies_plots;
mod copies_table;
mod footing_table;
mod footings;
mod page;
mod part_at_hand;
mod plate;
mod progress;
mod small;
mod state;
mod tally;
mod trade_off;

pub(crate) use state::{Page, StudiesView};

use egui::{Frame, Margin, RichText, ScrollArea, Sense, Ui, WidgetInfo, accesskit::Role};

use crate::{
    gui::{
        theme::{self, Theme, size},
        view::View,
        wish::Wish,
    },
    session::Session,
};

/// Narrower than this the page is scrolled sideways.
const LEAST_WIDTH: f32 = 590.0;
/// Wider than this lines would be hard to follow.
const MOST_WIDTH: f32 = 1280.0;

/// Shows the page in all the room there is.
pub(crate) fn show(ui: &mut Ui, session: &Session, view: &mut View, wishes: &mut Vec<Wish>) {
    let theme = Theme::of(ui.visuals());
    view.painter.begin_frame(&view.camera.clone(), theme, ui.ctx().pixels_per_point());
    let margin = Margin { left: 20, right: 20, top: 14, bottom: 16 };
    Frame::new().inner_margin(Margin::same(size::SHEET_GAP as i8)).show(ui, |ui| {
        Frame::new().fill(theme.sheet).stroke(theme.hairline()).show(ui, |ui| {
            ui.set_min_size(ui.available_size());
            ScrollArea::both().id_salt("studies").auto_shrink(false).show(ui, |ui| {
                Frame::new().inner_margin(margin).show(ui, |ui| {
                    let room = ui.available_width().clamp(LEAST_WIDTH, MOST_WIDTH);
                    ui.set_width(room);
                    pages(ui, &mut view.studies.page, theme);
                    ui.add_space(10.0);
                    match view.studies.page {
                        Page::Footings => footings::show(ui, session, view, wishes),
                        Page::Copies => copies::show(ui, session, view, wishes),
                        Page::Plate => plate::show(ui, session, view, wishes),
                        Page::Tally => tally::show(ui, session, wishes),
                    }
                });
            });
        });
    });
    view.studies.drawings.end_frame();
}

/// The two pages, by name.
fn pages(ui: &mut Ui, now: &mut Page, theme: &Theme) {
    ui.horizontal(|ui| {
        ui.spacing_mut().item_spacing.x = 18.0;
        for page in Page::ALL {
            let chosen = *now == page;
            let text = if chosen { theme::strong(page.name()) } else { RichText::new(page.name()) };
            let ink = if chosen { theme.ink } else { theme.accent };
            let label = egui::Label::new(text.size(size::TITLE).color(ink)).extend().sense(Sense::click());
            let response = ui.add(label);
            response.widget_info(|| WidgetInfo::selected(Role::Tab, true, chosen, page.name()));
            if chosen || response.has_focus() || response.hovered() {
                let line = egui::Stroke::new(if chosen { 1.6 } else { 1.0 }, ink);
                ui.painter().hline(response.rect.x_range(), response.rect.bottom() + 2.0, line);
            }
            if response.on_hover_text(page.tooltip()).clicked() {
                *now = page;
            }
        }
    });
}
