//! Good parts a day, and minutes for each, over the number of copies.

use egui::{RichText, Ui};
use egui_plot::{Line, Plot, PlotBounds, PlotPoints, Points, VLine};

use crate::{
    gui::theme::{Theme, size},
    studies::{CopiesRow, CopiesWay},
};

/// Height of a plot, points.
const HEIGHT: f32 = 170.0;

/// What one plot shows of a row.
type Of = fn(&CopiesRow) -> Option<f64>;

/// Both plots side by side, the best number marked.
pub(super) fn show(ui: &mut Ui, rows: &[CopiesRow], best: Option<&CopiesRow>, chosen: Option<&CopiesRow>) {
    let plots: [(&str, &str, Of); 2] = [
        ("good a day", "Good parts a day", |r| r.good_per_day()),
        ("min each", "Minutes of the plate for each copy", |r| Some(r.each_s() / 60.0)),
    ];
    let width = (ui.available_width() - 24.0) / 2.0;
    ui.horizontal_top(|ui| {
        ui.spacing_mut().item_spacing.x = 24.0;
        for (axis, title, of) in plots {
            ui.vertical(|ui| {
                ui.set_width(width);
                one(ui, (axis, title), rows, of, best, chosen);
            });
        }
    });
}

fn one(
    ui: &mut Ui,
    (axis, title): (&str, &str),
    rows: &[CopiesRow],
    of: Of,
    best: Option<&CopiesRow>,
    chosen: Option<&CopiesRow>,
) {
    let theme = Theme::of(ui.visuals());
    let at = |r: &CopiesRow| of(r).filter(|v| v.is_finite()).map(|v| [r.copies as f64, v]);
    let of_way = |way| -> Vec<[f64; 2]> { rows.iter().filter(|r| r.way == way).filter_map(at).collect() };
    let [together, in_turn, twin] = [CopiesWay::Together, CopiesWay::InTurn, CopiesWay::Twin].map(of_way);
    let all = || together.iter().chain(&in_turn).chain(&twin);
    if all().count() < 2 {
        return;
    }
    let right = all().map(|p| p[0]).fold(1.0, f64::max);
    let most = all().map(|p| p[1]).fold(0.0, f64::max).max(1e-3);
    ui.label(RichText::new(title).small().color(theme.faint));
    Plot::new(axis)
        .height(HEIGHT)
        .allow_drag(false)
        .allow_zoom(false)
        .allow_scroll(false)
        .allow_boxed_zoom(false)
        .allow_double_click_reset(false)
        .show_x(false)
        .show_y(false)
        .show_background(false)
        .x_axis_label(RichText::new("copies").size(size::TINY))
        .y_axis_label(RichText::new(axis).size(size::TINY))
        .y_axis_formatter(
            move |mark, _| if most < 10.0 { format!("{:.1}", mark.value) } else { format!("{:.0}", mark.value) },
        )
        .x_axis_formatter(
            |mark, _| if mark.value.fract() == 0.0 { format!("{:.0}", mark.value) } else { String::new() },
        )
        .grid_color(theme.line)
        .show(ui, |plot| {
            plot.set_plot_bounds(PlotBounds::from_min_max([0.0, 0.0], [right * 1.04 + 0.5, most * 1.12]));
            if let Some([x, _]) = best.and_then(at) {
                plot.vline(VLine::new("best", x).color(theme.accent).width(1.0));
            }
            plot.line(Line::new("together", PlotPoints::from(together.clone())).color(theme.ink).width(1.4));
            if !in_turn.is_empty() {
                plot.line(
                    Line::new("one after another", PlotPoints::from(in_turn.clone())).color(theme.faint).width(1.0),
                );
            }
            if !twin.is_empty() {
                let line = Line::new("shifted twin", PlotPoints::from(twin.clone())).color(theme.ink).width(1.4);
                plot.line(line.style(egui_plot::LineStyle::dashed_dense()));
            }
            for (row, ink, radius) in [(best, theme.accent, 4.5), (chosen, theme.ink, 3.5)] {
                if let Some(xy) = row.and_then(at) {
                    plot.points(Points::new("marked", vec![xy]).color(ink).radius(radius));
                }
            }
        });
}
