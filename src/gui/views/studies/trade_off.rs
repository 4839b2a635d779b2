//! What a footing gains against what it costs: margin and time.

use egui::{Align2, Pos2, Rect, RichText, Ui, Vec2};
use egui_plot::{Plot, PlotBounds, PlotPoint, Points, Text, VLine};

use crate::{
    drawing::text,
    gui::theme::{Theme, size},
    studies::FootingRow,
};

/// Height of the plot, points.
const HEIGHT: f32 = 190.0;
/// Margins beyond this are drawn here: more is no firmer in practice.
const MOST_MARGIN: f64 = 3.0;

/// A point for each footing: minutes of the plate for each copy over the least margin. Right is firmer, low is quicker.
pub(super) fn show(ui: &mut Ui, rows: &[FootingRow], chosen: usize) {
    let theme = Theme::of(ui.visuals());
    let at = |r: &FootingRow| {
        let (plate, least) = (r.plate?, r.least?);
        let minutes = plate.time_per_copy_s / 60.0;
        minutes.is_finite().then(|| [least.margin.min(MOST_MARGIN), minutes])
    };
    let points: Vec<(usize, [f64; 2])> = rows.iter().enumerate().filter_map(|(i, r)| Some((i, at(r)?))).collect();
    if points.len() < 2 {
        return;
    }
    let most = points.iter().map(|p| p.1[1]).fold(0.0, f64::max);
    let least = points.iter().map(|p| p.1[1]).fold(f64::INFINITY, f64::min);
    let air = ((most - least) * 0.25).max(most * 0.05);
    let right = points.iter().map(|p| p.1[0]).fold(1.2, f64::max) * 1.08;
    ui.label(
        RichText::new("Minutes per copy over the least margin. Farther right is firmer, lower is quicker; left of the line the part could tip over.")
            .small()
            .color(theme.faint),
    );
    ui.add_space(8.0);
    Plot::new("trade-off")
        .height(HEIGHT)
        .allow_drag(false)
        .allow_zoom(false)
        .allow_scroll(false)
        .allow_boxed_zoom(false)
        .allow_double_click_reset(false)
        .show_x(false)
        .show_y(false)
        .show_background(false)
        .x_axis_label(RichText::new("least margin").size(size::TINY))
        .y_axis_label(RichText::new("min per copy").size(size::TINY))
        .y_axis_formatter(|mark, _| format!("{:.1}", mark.value))
        .x_axis_formatter(|mark, _| format!("{:.1}", mark.value))
        .grid_color(theme.line)
        .show(ui, |plot| {
            // Rows come one by one: the plot would keep to the first ones.
            plot.set_plot_bounds(PlotBounds::from_min_max([0.0, least - air], [right, most + air]));
            plot.vline(VLine::new("could tip over", 1.0).color(theme.watch_mark).width(1.2));
            let mut taken: Vec<Rect> = Vec::new();
            for (i, xy) in &points {
                let name = rows[*i].footing.words();
                let (ink, radius) = if *i == chosen { (theme.accent, 5.0) } else { (theme.ink, 3.5) };
                plot.points(Points::new(name.clone(), vec![*xy]).color(ink).radius(radius));
                let beside = PlotPoint::new(xy[0], xy[1]);
                let text = format!(" {name} ");
                let wide = text::width_pt(&text, size::SMALL, false) as f32 + 4.0;
                let anchor = free_side(plot.screen_from_plot(beside), wide, &mut taken);
                plot.text(Text::new(name, beside, RichText::new(text).size(size::SMALL)).color(ink).anchor(anchor));
            }
        });
}

/// On which side of a point a label is clear of those written before; the first side where none is.
fn free_side(at: Pos2, wide: f32, taken: &mut Vec<Rect>) -> Align2 {
    const SIDES: [Align2; 6] = [
        Align2::LEFT_BOTTOM,
        Align2::RIGHT_BOTTOM,
        Align2::LEFT_TOP,
        Align2::RIGHT_TOP,
        Align2::CENTER_BOTTOM,
        Align2::CENTER_TOP,
    ];
    let place = |side: Align2| side.anchor_rect(Rect::from_min_size(at, Vec2::new(wide, size::SMALL + 3.0)));
    let free = |side: &Align2| !taken.iter().any(|t| t.intersects(place(*side)));
    let side = SIDES.into_iter().find(free).unwrap_or(SIDES[0]);
    taken.push(place(side));
    side
}
