//! The view *Shifts*: when the plates run, on which machine, and who is there.
//!
//! - [`show`]: the timeline, what to start now, findings, figures; [`side`]: the plate selected, hours, changeovers; [`ShiftsView`]: what it remembers
//! - `board`: the timeline, `place`: where it lies; `bar`, `bars`, `steps`: its bars as nodes, menus, arrow keys; `drag`: a bar on its way; `sight`: the stretch of time shown
//! - `head`, `lists`: what is written round it; `plate`, `hours`, `exceptions`, `downtimes`, `changeover`: fields; `spans_text`, `times_text`: hours and times as typed

mod bar;
mod bars;
mod board;
mod changeover;
mod downtimes;
mod drag;
mod exceptions;
mod head;
mod hours;
mod lists;
mod place;
mod plate;
mod sight;
mod spans_text;
mod state;
mod steps;
mod times_text;

pub(crate) use state::ShiftsView;

use egui::{Frame, Margin, ScrollArea, Ui};

use crate::{
    gui::{
        theme::{Theme, size},
        view::View,
        wish::Wish,
    },
    session::Session,
};

/// Room for a scroll bar, points.
const SCROLL: f32 = 10.0;
/// Least width of a column of fields, points.
const COLUMN: f32 = 282.0;
/// Share of the height that the timeline takes at most.
const BOARD_SHARE: f32 = 0.62;

/// In a window narrower than this, points, the column at the right stands below the timeline.
pub(crate) const FOLDED_BELOW: f32 = 1080.0;

/// Shows the timeline and what follows from it, in all the room there is; `is_folded` puts the column at the right below it.
pub(crate) fn show(ui: &mut Ui, session: &Session, view: &mut View, is_folded: bool, wishes: &mut Vec<Wish>) {
    let theme = Theme::of(ui.visuals());
    let margin = Margin { left: 14, right: 14, top: 10, bottom: 10 };
    Frame::new().inner_margin(Margin::same(size::SHEET_GAP as i8)).show(ui, |ui| {
        Frame::new().fill(theme.sheet).stroke(theme.hairline()).inner_margin(margin).show(ui, |ui| {
            ui.set_min_size(ui.available_size());
            head::show(ui, session, view, wishes);
            ui.add_space(6.0);
            let most = ui.available_height() * BOARD_SHARE;
            board::show(ui, session, view, most, wishes);
            ui.add_space(8.0);
            ScrollArea::vertical().id_salt("below the timeline").auto_shrink(false).show(ui, |ui| {
                // The scroll bar has room of its own.
                ui.set_max_width(ui.available_width() - SCROLL);
                if is_folded {
                    plate::show(ui, session, wishes);
                    ui.add_space(size::SECTION);
                }
                lists::show(ui, session, view, wishes);
                if is_folded {
                    ui.add_space(size::SECTION);
                    folded(ui, session, wishes);
                }
            });
        });
    });
}

/// The column at the right without its plate, below the timeline: in two columns where there is room.
fn folded(ui: &mut Ui, session: &Session, wishes: &mut Vec<Wish>) {
    if ui.available_width() < 2.0 * COLUMN {
        return fields(ui, session, wishes);
    }
    let usual = std::mem::replace(&mut ui.spacing_mut().item_spacing.x, 22.0);
    ui.columns(2, |columns| {
        let [left, right] = columns else { return };
        for ui in [&mut *left, &mut *right] {
            ui.spacing_mut().item_spacing.x = usual;
        }
        let plain = egui::Layout::top_down(egui::Align::Min);
        left.with_layout(plain, |ui| {
            hours::show(ui, session, wishes);
            ui.add_space(size::SECTION);
            exceptions::show(ui, session, wishes);
        });
        right.with_layout(plain, |ui| {
            downtimes::show(ui, session, wishes);
            ui.add_space(size::SECTION);
            changeover::show(ui, session, wishes);
        });
    });
}

/// The column at the right: the plate selected, the start, hours, changeovers.
pub(crate) fn side(ui: &mut Ui, session: &Session, wishes: &mut Vec<Wish>) {
    plate::show(ui, session, wishes);
    ui.add_space(size::SECTION);
    fields(ui, session, wishes);
}

fn fields(ui: &mut Ui, session: &Session, wishes: &mut Vec<Wish>) {
    hours::show(ui, session, wishes);
    ui.add_space(size::SECTION);
    exceptions::show(ui, session, wishes);
    ui.add_space(size::SECTION);
    downtimes::show(ui, session, wishes);
    ui.add_space(size::SECTION);
    changeover::show(ui, session, wishes);
}
