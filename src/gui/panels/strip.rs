//! The height strip: layer time and minimum layer time over build height, with the height cursor.

use egui::{
    Align, Align2, Key, Layout, Pos2, Rect, RichText, Sense, Shape, Stroke, Ui, UiBuilder, Vec2, accesskit::Role,
};
use egui_plot::{FilledArea, Line, LineStyle, Plot, PlotBounds, PlotPoints};

use crate::{
    drawing::{Dash, Hatch, ruler_steps_mm},
    estimate::{LayerEstimate, PlateEstimate},
    gui::{
        menu::Wish,
        read,
        sheet::Pen,
        theme::{self, Theme, size},
    },
    session::{Action, Session},
};

/// Shows the strip in all the room there is.
pub(crate) fn show(ui: &mut Ui, session: &Session, wishes: &mut Vec<Wish>) {
    let theme = Theme::of(ui.visuals());
    let estimate = read::estimate(session).filter(|e| !e.layers.is_empty());
    ui.horizontal(|ui| {
        ui.label(theme::strong("Layer time over height").color(theme.ink));
        ui.with_layout(Layout::right_to_left(Align::Center), |ui| {
            let words = estimate.map_or_else(|| nothing(session), |e| readout(e, session.height_mm()));
            let text = RichText::new(words).size(size::SMALL).color(theme.faint);
            ui.add(egui::Label::new(text).truncate());
        });
    });
    if let Some(estimate) = estimate {
        plot(ui, session, estimate, theme, wishes);
    }
}

fn nothing(session: &Session) -> String {
    match session.plate() {
        Some(p) if !p.copies.is_empty() => {
            read::no_estimate(session).map_or_else(|| "working it out…".into(), str::to_owned)
        }
        _ => "nothing on this plate yet".into(),
    }
}

/// "headroom at 34.2 mm: 0.41 · natural 6.1 s, needs 14.9 s · 4 copies growing".
fn readout(estimate: &PlateEstimate, cursor_mm: Option<f64>) -> String {
    let layers = &estimate.layers;
    let Some(z) = cursor_mm else {
        let least = layers.iter().filter_map(|l| Some((l.headroom?, l.top_mm))).min_by(|a, b| a.0.total_cmp(&b.0));
        return match least {
            Some((h, z)) => format!("least headroom {h:.2}, at {z:.1} mm · press on the strip to look into a height"),
            None => "no minimum layer time · press on the strip to look into a height".into(),
        };
    };
    let Some(layer) = layer_at(layers, z) else { return format!("{z:.1} mm: above everything") };
    let growing = layer.copies.len();
    let who = if growing == 1 { "1 copy growing".to_owned() } else { format!("{growing} copies growing") };
    let mut words = match (layer.headroom, layer.minimum_s) {
        (Some(h), Some(m)) => {
            format!("headroom at {z:.1} mm: {h:.2} · natural {:.1} s, needs {m:.1} s", layer.natural_s)
        }
        _ => format!("at {z:.1} mm: {:.1} s, no minimum", layer.natural_s),
    };
    if layer.slowing_s > 0.05 {
        words = format!("{words}, slowed to {:.1} s", layer.time_s - layer.waiting_s);
    }
    format!("{words} · {who}")
}

/// The layer that is being laid at a height.
fn layer_at(layers: &[LayerEstimate], z_mm: f64) -> Option<&LayerEstimate> {
    let i = layers.partition_point(|l| l.top_mm < z_mm - 1e-9);
    layers.get(i)
}

fn plot(ui: &mut Ui, session: &Session, estimate: &PlateEstimate, theme: &Theme, wishes: &mut Vec<Wish>) {
    let layers = &estimate.layers;
    let top_mm = layers.last().map_or(1.0, |l| l.top_mm);
    let most_s = scale(layers);
    let (mut xs, mut natural, mut minimum) = (Vec::new(), Vec::new(), Vec::new());
    let mut from = 0.0;
    for l in layers {
        for x in [from, l.top_mm] {
            xs.push(x);
            natural.push(l.natural_s.min(most_s * 1.02));
            if let Some(m) = l.minimum_s {
                minimum.push([x, m]);
            }
        }
        from = l.top_mm;
    }
    let zeros = vec![0.0; xs.len()];
    let line: Vec<[f64; 2]> = xs.iter().zip(&natural).map(|(&x, &y)| [x, y]).collect();
    let fill = theme.hue(1).gamma_multiply(0.22);
    // Room for the scales, drawn as the sheet's rulers are.
    let mut room = ui.available_rect_before_wrap();
    room.min += Vec2::new(34.0, 8.0);
    room.max -= Vec2::new(26.0, 20.0);
    if !room.is_positive() {
        return;
    }
    let mut inner = ui.new_child(UiBuilder::new().max_rect(room));
    let shown = Plot::new("height strip")
        .show_axes([false, false])
        .allow_zoom(false)
        .allow_drag(false)
        .allow_scroll(false)
        .allow_boxed_zoom(false)
        .allow_double_click_reset(false)
        .allow_axis_zoom_drag(false)
        .show_background(false)
        .show_crosshair(false)
        .show_grid([false, false])
        .set_margin_fraction(Vec2::ZERO)
        .cursor_color(egui::Color32::TRANSPARENT)
        .sense(Sense::click_and_drag())
        .label_formatter(|_| None)
        .show(&mut inner, |plot| {
            plot.set_plot_bounds(PlotBounds::from_min_max([0.0, 0.0], [top_mm, most_s]));
            plot.add(FilledArea::new("layer time", &xs, &zeros, &natural).fill_color(fill).allow_hover(false));
            plot.line(Line::new("layer time", PlotPoints::from(line)).color(theme.ink).width(1.2).allow_hover(false));
            plot.line(
                Line::new("minimum layer time", PlotPoints::from(minimum))
                    .color(theme.watch)
                    .width(1.2)
                    .style(LineStyle::dashed_dense())
                    .allow_hover(false),
            );
        });
    let response = shown.response;
    ui.ctx().accesskit_node_builder(response.id, |node| {
        node.set_role(Role::Slider);
        node.set_label("height cursor");
        node.set_min_numeric_value(0.0);
        node.set_max_numeric_value(top_mm);
        if let Some(z) = session.height_mm() {
            node.set_numeric_value(z);
        }
    });
    let to_screen = |x: f64, y: f64| shown.transform.position_from_point(&egui_plot::PlotPoint::new(x, y));
    scales(ui, response.rect, top_mm, most_s, theme);
    let painter = ui.painter_at(response.rect.expand2(Vec2::new(8.0, 8.0)));
    let mut pen = Pen::new(painter.clip_rect(), painter.pixels_per_point());
    short_of_cooling(&mut pen, layers, most_s, &to_screen, theme);
    if let Some(z) = session.height_mm().filter(|z| *z <= top_mm) {
        let (low, high) = (to_screen(z, 0.0), to_screen(z, most_s));
        pen.line(&[low, high], false, size::SELECTION, theme.accent, Dash::Solid);
        let tip = high + Vec2::new(0.0, 9.0);
        let flag = [high + Vec2::new(-6.0, 0.0), high + Vec2::new(6.0, 0.0), tip];
        pen.triangles(flag.into_iter(), &[0, 1, 2], theme.accent);
    }
    painter.add(Shape::mesh(pen.finish()));
    if let Some(m) = layers.last().and_then(|l| l.minimum_s) {
        // Above both lines where it stands.
        let right = layers.iter().filter(|l| l.top_mm > top_mm * 0.7);
        let high = right.map(|l| l.natural_s).fold(m, f64::max).min(most_s * 0.8);
        let at = to_screen(top_mm, high) + Vec2::new(-2.0, -9.0);
        let words = format!("minimum layer time {m:.1} s");
        painter.text(at, Align2::RIGHT_CENTER, words, theme::regular(size::TINY), theme.watch);
    }
    if response.has_focus() {
        painter.rect_stroke(response.rect, 2.0, Stroke::new(1.4, theme.accent), egui::StrokeKind::Inside);
    }
    cursor(ui, session, &response, top_mm, layers, |p| shown.transform.value_from_position(p).x, wishes);
}

/// Lines, ticks and numbers along the lower and left edges.
fn scales(ui: &Ui, plot: Rect, top_mm: f64, most_s: f64, theme: &Theme) {
    let painter = ui.painter();
    let line = Stroke::new(size::HAIR, theme.ink);
    let font = theme::regular(size::TINY);
    painter.hline(plot.x_range(), plot.bottom(), line);
    painter.vline(plot.left(), plot.y_range(), line);
    let steps = |most: f64, length: f32| {
        let step = ruler_steps_mm(most / f64::from(length.max(1.0))).1;
        let step = if f64::from(length) / (most / step) > 110.0 { step / 2.0 } else { step };
        (0..=200).map(move |k| f64::from(k) * step).take_while(move |v| *v <= most)
    };
    for v in steps(top_mm, plot.width()) {
        let x = plot.left() + (v / top_mm) as f32 * plot.width();
        painter.vline(x, plot.bottom()..=plot.bottom() + 4.0, line);
        painter.text(Pos2::new(x, plot.bottom() + 12.0), Align2::CENTER_CENTER, plain(v), font.clone(), theme.faint);
    }
    let unit = Pos2::new(plot.right() + 6.0, plot.bottom() + 12.0);
    painter.text(unit, Align2::LEFT_CENTER, "mm", font.clone(), theme.faint);
    let mut high = plot.bottom();
    for v in steps(most_s, plot.height()) {
        let y = plot.bottom() - (v / most_s) as f32 * plot.height();
        painter.hline(plot.left() - 4.0..=plot.left(), y, line);
        painter.text(Pos2::new(plot.left() - 8.0, y), Align2::RIGHT_CENTER, plain(v), font.clone(), theme.faint);
        high = y;
    }
    if high - plot.top() > 12.0 {
        painter.text(plot.left_top() - Vec2::new(8.0, 0.0), Align2::RIGHT_CENTER, "s", font, theme.faint);
    }
}

/// A number of a scale.
fn plain(v: f64) -> String {
    if v == v.round() { format!("{v:.0}") } else { format!("{v:.1}") }
}

/// Up to how many seconds are shown: a first layer ten times as long as the others must not flatten them.
fn scale(layers: &[LayerEstimate]) -> f64 {
    let mut times: Vec<f64> = layers.iter().map(|l| l.natural_s).collect();
    times.sort_by(f64::total_cmp);
    let most = times.last().copied().unwrap_or(1.0);
    let usual = times.get(times.len() * 9 / 10).copied().unwrap_or(most);
    let minimum = layers.iter().filter_map(|l| l.minimum_s).fold(0.0, f64::max);
    (most * 1.06).min((usual * 1.6).max(minimum * 2.0)).max(minimum * 1.3).max(0.1)
}

/// Dots between layer time and minimum where the one is below the other.
fn short_of_cooling(
    pen: &mut Pen,
    layers: &[LayerEstimate],
    most_s: f64,
    to_screen: &impl Fn(f64, f64) -> Pos2,
    theme: &Theme,
) {
    let origin = to_screen(0.0, 0.0);
    let mut from = 0.0;
    let mut run: Option<(f64, Vec<Pos2>, Vec<Pos2>)> = None;
    let mut rings = Vec::new();
    for l in layers {
        let short = l.minimum_s.filter(|m| *m > l.natural_s);
        if let Some(m) = short {
            let (_, low, high) = run.get_or_insert_with(|| (from, Vec::new(), Vec::new()));
            low.extend([to_screen(from, l.natural_s), to_screen(l.top_mm, l.natural_s)]);
            high.extend([to_screen(from, m.min(most_s)), to_screen(l.top_mm, m.min(most_s))]);
        } else if let Some((_, low, mut high)) = run.take() {
            high.reverse();
            rings.push([low, high].concat());
        }
        from = l.top_mm;
    }
    if let Some((_, low, mut high)) = run.take() {
        high.reverse();
        rings.push([low, high].concat());
    }
    pen.hatch(&rings, Hatch::Dots, origin, 5.0, theme.watch_mark);
}

/// Pressing, dragging and arrow keys move the height cursor.
fn cursor(
    ui: &Ui,
    session: &Session,
    response: &egui::Response,
    top_mm: f64,
    layers: &[LayerEstimate],
    at_height: impl Fn(Pos2) -> f64,
    wishes: &mut Vec<Wish>,
) {
    let now = session.height_mm();
    if response.clicked() || response.drag_started() {
        response.request_focus();
    }
    if (response.dragged() || response.clicked())
        && let Some(p) = response.interact_pointer_pos()
    {
        let z = at_height(p).clamp(0.0, top_mm);
        let z = layer_at(layers, z).map_or(z, |l| l.top_mm);
        if now != Some(z) {
            wishes.push(Action::ShowHeight(Some(z)).into());
        }
    }
    if response.secondary_clicked() {
        wishes.push(Action::ShowHeight(None).into());
    }
    if !response.has_focus() {
        return;
    }
    let filter = egui::EventFilter { horizontal_arrows: true, ..egui::EventFilter::default() };
    ui.memory_mut(|m| m.set_focus_lock_filter(response.id, filter));
    let (mut steps, fast) = (0_isize, ui.input(|i| i.modifiers.shift));
    ui.input_mut(|i| {
        for (key, way) in [(Key::ArrowLeft, -1), (Key::ArrowRight, 1)] {
            let modifiers = i.modifiers;
            if i.consume_key(modifiers, key) {
                steps += way * if fast { 10 } else { 1 };
            }
        }
    });
    if steps != 0 && !layers.is_empty() {
        let at = now.map_or(0, |z| layers.partition_point(|l| l.top_mm < z - 1e-9).cast_signed());
        let next = (at + steps).clamp(0, layers.len().cast_signed() - 1) as usize;
        wishes.push(Action::ShowHeight(Some(layers[next].top_mm)).into());
    }
}

#[cfg(test)]
mod tests {
    use std::sync::Arc;

    use super::*;

    fn layer(top_mm: f64, natural_s: f64) -> LayerEstimate {
        LayerEstimate {
            top_mm,
            natural_s,
            minimum_s: Some(15.0),
            time_s: natural_s,
            slowing_s: 0.0,
            waiting_s: 0.0,
            unserved_s: 0.0,
            headroom: Some(natural_s / 15.0),
            volume_mm3: 1.0,
            copies: Arc::from([0_u32]),
        }
    }

    #[test]
    fn a_height_belongs_to_the_layer_that_reaches_it() {
        let layers: Vec<_> = (1..=10).map(|i| layer(f64::from(i) * 0.2, 20.0)).collect();
        assert_eq!(layer_at(&layers, 0.0).map(|l| l.top_mm), Some(0.2));
        assert_eq!(layer_at(&layers, 0.4).map(|l| l.top_mm), Some(0.4));
        assert_eq!(layer_at(&layers, 5.0), None);
    }

    #[test]
    fn one_long_layer_does_not_flatten_the_rest() {
        let mut layers: Vec<_> = (1..=100).map(|i| layer(f64::from(i) * 0.2, 30.0)).collect();
        layers[0].natural_s = 900.0;
        assert!(scale(&layers) < 60.0);
        assert!(scale(&layers[..1]) > 0.0);
        assert!(scale(&[]) > 0.0);
    }
}
