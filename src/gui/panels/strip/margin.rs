//! Least margin against tipping over, at every height.

use egui::{Align2, Pos2, Rect, Shape, Ui, Vec2};

use super::{
    Span,
    band::{Band, line},
    fits::that_fits,
};
use crate::{
    drawing::{Dash, Scale},
    estimate::LayerEstimate,
    gui::{
        sheet::Pen,
        theme::{self, Theme, size},
    },
    session::PartStanding,
    stability::margin_words,
};

/// A band lower than this, points, has no numbers.
const LEAST_FOR_SCALE: f32 = 18.0;

/// Margin at the upper edge of the band.
const MOST: f64 = 2.0;

/// Shows the least margin of all copies grown to each height in a band from 0 to 2, dots up to 1 where a copy could tip over. What it is
/// stands above the band, where no line goes.
pub(super) fn show(
    ui: &Ui,
    rect: Rect,
    layers: &[LayerEstimate],
    standing: &[PartStanding],
    span: Span,
    theme: &Theme,
) {
    let band = Band { rect, span, values: Scale::straight(MOST) };
    let margins = least(layers, standing);
    let at = |l: &LayerEstimate| {
        let i = layers.partition_point(|other| other.top_mm < l.top_mm - 1e-9);
        margins.get(i).copied().flatten()
    };
    let curve = band.steps(layers, |l| at(l).filter(|m| *m <= MOST));
    let painter = ui.painter_at(rect.expand(8.0));
    let mut pen = Pen::new(rect.expand(1.0), painter.pixels_per_point());
    band.dots(&mut pen, layers, |l| Some((at(l)?, 1.0)), theme);
    let enough = band.at(span.from_mm, 1.0).y;
    pen.line(&[Pos2::new(rect.left(), enough), Pos2::new(rect.right(), enough)], false, 1.2, theme.watch, Dash::Dashed);
    line(&mut pen, &curve, 1.4, theme.accent, Dash::Solid);
    painter.add(Shape::mesh(pen.finish()));
    if rect.height() < LEAST_FOR_SCALE {
        // Too low for numbers: the dashed line at 1 is the scale.
        ui.painter().hline(rect.x_range(), rect.bottom(), egui::Stroke::new(size::HAIR, theme.ink));
    } else {
        band.scale(ui, "×", theme);
    }
    let all = words(&margins);
    let words = that_fits(ui.painter(), rect.width(), &all.iter().map(String::as_str).collect::<Vec<_>>());
    let at = rect.left_top() + Vec2::new(6.0, -8.0);
    ui.painter().text(at, Align2::LEFT_CENTER, words, theme::regular(size::TINY), theme.faint);
}

/// The least margin at a layer, as a line beside the pointer.
pub(super) fn line_at(layers: &[LayerEstimate], standing: &[PartStanding], index: usize) -> Option<String> {
    let margin = least(layers, standing).get(index).copied().flatten()?;
    Some(format!("margin against tipping over: {}", margin_words(margin)))
}

/// What the band is, and its least value: long, and shorter for narrow strips.
fn words(margins: &[Option<f64>]) -> Vec<String> {
    let least = margins.iter().flatten().copied().min_by(f64::total_cmp);
    match least {
        None => ["margin against tipping over: being worked out", "tip-over margin: …"].map(str::to_owned).into(),
        Some(m) if m > MOST => {
            let m = margin_words(m);
            vec![
                format!("margin against tipping over: at least {m} at every height"),
                format!("tip-over margin: at least {m}"),
            ]
        }
        Some(m) => {
            let m = margin_words(m);
            vec![
                format!("margin against tipping over: least {m}; below 1 a copy could tip over (assumed forces)"),
                format!("tip-over margin: least {m}; below 1 a copy could tip over"),
                format!("tip-over margin: least {m}"),
            ]
        }
    }
}

/// The least margin of the copies that grow in each layer; `None` where none grows whose margin is known.
fn least(layers: &[LayerEstimate], standing: &[PartStanding]) -> Vec<Option<f64>> {
    let mut all: Vec<Option<f64>> = vec![None; layers.len()];
    for s in standing {
        let mut margins = s.judged.judgement.margins.iter().peekable();
        for (slot, layer) in all.iter_mut().zip(layers) {
            while margins.next_if(|m| m.height_mm < layer.top_mm - 1e-6).is_some() {}
            // The nozzle pushes a copy only while it grows.
            let Some(m) = margins.peek() else { break };
            *slot = Some(slot.map_or(m.least(), |least| least.min(m.least())));
        }
    }
    all
}
