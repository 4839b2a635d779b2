//! The height strip: layer time, minimum layer time and headroom over build height, with the height cursor.
//!
//! - [`band`]: a quantity over height, with its scale; [`times`], [`headroom`], [`margin`]: the three that there are
//! - [`span`]: the stretch of height shown; [`layer_at`]: the layer at a height; [`pointed`]: the one under the pointer
//! - [`cursor`]: pressing, dragging, the wheel and keys; [`marks`]: heights worth a look; [`readout`]: what the strip says in words; [`that_fits`](fits): in how many words

mod band;
mod cursor;
mod fits;
mod headroom;
mod layer_at;
mod margin;
mod marks;
mod pointed;
mod readout;
mod span;
mod times;

use egui::{Align, Align2, Layout, Pos2, Rect, RichText, Sense, Ui, Vec2, accesskit::Role};

use self::layer_at::index_at;
pub(crate) use self::{
    readout::tried,
    span::{Span, Zoom},
};
use crate::{
    estimate::PlateEstimate,
    gui::{
        read,
        theme::{self, Theme, size},
        widgets::link,
        wish::Wish,
    },
    session::Session,
};

/// Between two bands: room for what the lower one is called.
const BETWEEN: f32 = 18.0;
/// In a strip lower than this the band for the margin against tipping over is a thin one without a scale of its own.
const ROOM_FOR_MARGIN: f32 = 136.0;
/// Height of that thin band.
const THIN: f32 = 12.0;

/// Shows the strip in all the room there is.
pub(crate) fn show(ui: &mut Ui, session: &Session, zoom: &mut Zoom, wishes: &mut Vec<Wish>) {
    let theme = Theme::of(ui.visuals());
    let estimate = read::estimate(session).filter(|e| !e.layers.is_empty());
    ui.horizontal(|ui| {
        ui.label(theme::strong("Layer time and headroom").color(theme.ink));
        if estimate.and_then(|e| e.layers.last()).is_some_and(|l| zoom.is_in(l.top_mm)) {
            let back = link(ui, "whole height", false);
            if back.on_hover_text("Shows the whole build again; so does a double click").clicked() {
                zoom.whole();
            }
        }
        // Of less than a few words only dots would be left.
        let room = ui.available_width() >= 90.0;
        ui.with_layout(Layout::right_to_left(Align::Center), |ui| {
            if let Some(e) = estimate.filter(|_| room) {
                let text = RichText::new(readout::words(e, session.height_mm())).size(size::SMALL).color(theme.faint);
                let label = ui.add(egui::Label::new(text).truncate());
                if let Some(recipe) = session.plate().and_then(|p| session.job().recipe(p.recipe)) {
                    label.on_hover_text(tried(e, recipe));
                }
            }
        });
    });
    if let Some(estimate) = estimate {
        bands(ui, session, estimate, zoom, theme, wishes);
    } else {
        let at = ui.available_rect_before_wrap().center();
        ui.painter().text(at, Align2::CENTER_CENTER, nothing(session), theme::regular(size::SMALL), theme.faint);
    }
}

fn nothing(session: &Session) -> String {
    match session.plate() {
        Some(p) if !p.copies.is_empty() => {
            read::no_estimate(session).map_or_else(|| read::working_words(session), str::to_owned)
        }
        _ => "The time of each layer and its time to cool are shown here once copies lie on a plate".into(),
    }
}

fn bands(
    ui: &mut Ui,
    session: &Session,
    estimate: &PlateEstimate,
    zoom: &mut Zoom,
    theme: &Theme,
    wishes: &mut Vec<Wish>,
) {
    let layers = &estimate.layers;
    let top_mm = layers.last().map_or(1.0, |l| l.top_mm);
    // Room for the scales, drawn as the sheet's rulers are.
    let mut room = ui.available_rect_before_wrap();
    let top = ui.min_rect().top() - 7.0;
    room.min += Vec2::new(34.0, 5.0 + marks::HEAD);
    room.max -= Vec2::new(26.0, 20.0);
    if !room.is_positive() {
        return;
    }
    let standing = session.plate_id().and_then(|id| session.view(id)).map_or(&[][..], |v| &v.standing);
    let has_headroom = layers.iter().any(|l| l.headroom.is_some());
    let has_margin = !standing.is_empty();
    let rects = stacked(room, has_headroom, has_margin);
    let span = zoom.span(top_mm);
    times::show(ui, rects[0], layers, span, theme);
    if has_headroom {
        headroom::show(ui, rects[1], layers, span, theme);
    }
    if has_margin {
        margin::show(ui, rects[rects.len() - 1], layers, standing, span, theme);
    }
    band::height_scale(ui, room, span, theme);
    let response = ui.interact(room, ui.scope_id().with("height cursor"), Sense::click_and_drag());
    ui.ctx().accesskit_node_builder(response.id, |node| {
        node.set_role(Role::Slider);
        node.set_label("height cursor");
        node.set_min_numeric_value(0.0);
        node.set_max_numeric_value(top_mm);
        if let Some(z) = session.height_mm() {
            node.set_numeric_value(z);
        }
    });
    cursor::paint(ui, session.height_mm().filter(|z| *z <= top_mm), &response, &rects, span, theme);
    marks::show(ui, room, &rects, estimate, span, theme, wishes);
    cursor::follow(ui, session.height_mm(), &response, layers, zoom, wishes);
    cursor::zoom(ui, &response, top_mm, zoom);
    if let (Some(p), Some(plate)) = (response.hover_pos().filter(|_| !response.dragged()), session.plate()) {
        let z = span.height_mm(f64::from((p.x - room.left()) / room.width()));
        let index = index_at(layers, z).min(layers.len().saturating_sub(1));
        let mut lines = pointed::lines(layers, index, session.job(), &session.estimated_copies(plate));
        lines.extend(margin::line_at(layers, standing, index));
        pointed::show(ui, &response, &rects, (p.x, top), &lines, theme);
    }
}

/// Bands one below the other that share the height of `room`: layer time, headroom where there is a minimum layer time, the margin
/// against tipping over where it is known.
fn stacked(room: Rect, has_headroom: bool, has_margin: bool) -> Vec<Rect> {
    let shares: &[f32] = match (has_headroom, has_margin) {
        (false, false) => &[1.0],
        (true, false) => &[0.56, 0.44],
        (false, true) => &[0.72, 0.28],
        (true, true) => &[0.46, 0.32, 0.22],
    };
    let thin = has_margin && room.height() < ROOM_FOR_MARGIN;
    let height = room.height() - BETWEEN * (shares.len() - 1) as f32;
    // What the thin band does not need goes to the others.
    let (height, whole) = if thin { (height - THIN, 1.0 - shares[shares.len() - 1]) } else { (height, 1.0) };
    let mut top = room.top();
    let mut all: Vec<Rect> = Vec::with_capacity(shares.len());
    for (i, share) in shares.iter().enumerate() {
        let bottom = if i + 1 == shares.len() { room.bottom() } else { (top + height * share / whole).round() };
        all.push(Rect::from_min_max(Pos2::new(room.left(), top), Pos2::new(room.right(), bottom)));
        top = bottom + BETWEEN;
    }
    all
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_margin_has_its_band_however_low_the_strip_is() {
        for height in [90.0_f32, 118.0, 135.0, 136.0, 200.0] {
            let room = Rect::from_min_size(Pos2::new(10.0, 20.0), Vec2::new(500.0, height));
            let all = stacked(room, true, true);
            assert_eq!(all.len(), 3);
            assert_eq!((all[0].top(), all[2].bottom()), (room.top(), room.bottom()));
            assert!(all.windows(2).all(|w| (w[1].top() - w[0].bottom() - BETWEEN).abs() < 1e-3), "{all:?}");
            assert!(all[2].height() >= THIN - 1.0 && all[0].height() > all[1].height(), "{all:?}");
            if height >= 118.0 {
                assert!(all[1].height() >= 28.0, "{all:?}");
            }
        }
    }
}
