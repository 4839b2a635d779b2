//! The left column: the order, the margins, the moves and the docket. Margins and moves are always in sight; the two
//! tables share what height is left and scroll where it is too little.

use egui::Ui;

use super::{docket, impose, margins, order};
use crate::{
    gui::{theme::size, view::View, wish::Wish},
    session::Session,
};

/// Lines of a table that stay in sight in the lowest window.
const LEAST_LINES: f32 = 3.0;

/// Shows the column in a height of `room`.
pub(crate) fn show(ui: &mut Ui, room: f32, session: &Session, view: &mut View, wishes: &mut Vec<Wish>) {
    let job = session.job();
    let (for_order, for_docket) = shares(room - view.left_fixed, job.parts.len(), job.plates.len());
    let top = ui.cursor().top();
    let order = ui.scope(|ui| order::show(ui, for_order, session, view, wishes)).inner;
    ui.add_space(size::SECTION);
    ui.scope(|ui| margins::show(ui, session, wishes));
    ui.add_space(size::SECTION);
    ui.scope(|ui| impose::show(ui, session, wishes));
    ui.add_space(size::SECTION);
    let docket = ui.scope(|ui| docket::show(ui, for_docket, session, view, wishes)).inner;
    let fixed = ui.min_rect().bottom() - top - order - docket;
    if (fixed - view.left_fixed).abs() > 0.5 {
        view.left_fixed = fixed;
        ui.ctx().request_repaint();
    }
}

/// How high the lines of the order and of the docket may be, together `room` where both have their least.
fn shares(room: f32, parts: usize, plates: usize) -> (f32, f32) {
    let (order, docket) = (parts as f32 * size::ROW, plates as f32 * size::ROW);
    let least = LEAST_LINES * size::ROW;
    // Where not all lines have room, the docket may have half of it: every plate that can be seen is one less to look for.
    let for_docket = (room - order).max(room / 2.0).max(least).min(docket.max(least));
    // Whole lines: a line cut in half looks like a fault.
    let whole = |height: f32| (height / size::ROW).floor() * size::ROW;
    let for_docket = whole(for_docket);
    (whole((room - for_docket).max(least)), for_docket)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn short_tables_are_whole_and_long_ones_share() {
        let lines = |(a, b): (f32, f32)| ((a / size::ROW).round() as i32, (b / size::ROW).round() as i32);
        assert!(lines(shares(20.0 * size::ROW, 9, 7)).0 >= 9);
        assert_eq!(lines(shares(20.0 * size::ROW, 9, 7)).1, 7);
        assert_eq!(lines(shares(14.0 * size::ROW, 9, 7)), (7, 7));
        assert_eq!(lines(shares(14.0 * size::ROW, 40, 40)), (7, 7));
        assert_eq!(lines(shares(14.0 * size::ROW, 40, 4)), (10, 4));
        assert_eq!(lines(shares(2.0 * size::ROW, 40, 40)), (3, 3));
    }
}
