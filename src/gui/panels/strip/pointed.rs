//! What the pointer rests on: the layer in words, beside the pointer.

use std::collections::BTreeMap;

use egui::{LayerId, PopupAnchor, Pos2, Rect, RectAlign, Response, RichText, Tooltip, Ui};

use super::readout::seconds;
use crate::{
    document::{Copy, Job},
    estimate::LayerEstimate,
    gui::theme::{self, Theme, size},
};

/// Copies of a part named one by one; of more only the number is said.
const NAMED: usize = 12;

/// Shows the layer under the pointer in a box above the strip, which ends at `top`, and a thin line through the bands. The height
/// cursor stays where it is.
pub(super) fn show(
    ui: &Ui,
    response: &Response,
    bands: &[Rect],
    (x, top): (f32, f32),
    lines: &[String],
    theme: &Theme,
) {
    for band in bands {
        ui.painter_at(*band).vline(x, band.y_range(), egui::Stroke::new(size::HAIR, theme.faint));
    }
    let layer: LayerId = response.layer_id;
    let anchor = PopupAnchor::Position(Pos2::new(x, top));
    let mut tooltip = Tooltip::always_open(ui.ctx().clone(), layer, response.id.with("pointed"), anchor);
    // Above, so that it hides nothing of what it speaks of.
    tooltip.popup = tooltip.popup.align(RectAlign::TOP).align_alternatives(&[RectAlign::TOP_START, RectAlign::TOP_END]);
    tooltip.gap(8.0).show(|ui| {
        for (n, line) in lines.iter().enumerate() {
            let text =
                RichText::new(line).font(if n == 0 { theme::bold(size::SMALL) } else { theme::regular(size::SMALL) });
            ui.add(egui::Label::new(text).selectable(false));
        }
    });
}

/// The layer with this index in words, a line each: where, how long, what holds it up, what grows.
pub(super) fn lines(layers: &[LayerEstimate], index: usize, job: &Job, copies: &[&Copy]) -> Vec<String> {
    let Some(l) = layers.get(index) else { return Vec::new() };
    let mut lines = vec![
        format!("{:.2} mm · layer {} of {}", l.top_mm, index + 1, layers.len()),
        match (l.minimum_s, l.headroom) {
            (Some(m), Some(h)) => {
                format!("takes {} at full speed, needs {}: headroom {h:.2}", seconds(l.natural_s), seconds(m))
            }
            _ => format!("takes {} at full speed; no minimum layer time is set", seconds(l.natural_s)),
        },
    ];
    let mut takes = Vec::new();
    if l.slowing_s > 0.05 {
        takes.push(format!("{} by slowing", seconds(l.slowing_s)));
    }
    if l.waiting_s > 0.05 {
        takes.push(format!("{} by waiting", seconds(l.waiting_s)));
    }
    if !takes.is_empty() {
        lines.push(format!("longer: {}; takes {} in all", takes.join(", "), seconds(l.time_s)));
    }
    lines.push(format!("decided by {}", l.limit_words()));
    let growing: Vec<&Copy> = l.copies.iter().filter_map(|&i| copies.get(i as usize).copied()).collect();
    lines.push(format!("growing: {}", names(job, &growing)));
    lines
}

/// "A 1–4, 7; B 2"; of very many of a part the number alone.
fn names(job: &Job, copies: &[&Copy]) -> String {
    let mut by_part: BTreeMap<u32, (&str, Vec<u32>)> = BTreeMap::new();
    for c in copies {
        let letter = job.part(c.part).map_or("?", |p| p.letter.as_str());
        by_part.entry(c.part.0).or_insert_with(|| (letter, Vec::new())).1.push(c.number);
    }
    if by_part.is_empty() {
        return "nothing".into();
    }
    let words = by_part.into_values().map(|(letter, mut numbers)| {
        numbers.sort_unstable();
        let runs = runs(&numbers);
        if runs.len() > NAMED {
            format!("{} copies of {letter}", numbers.len())
        } else {
            format!("{letter} {}", runs.join(", "))
        }
    });
    words.collect::<Vec<_>>().join("; ")
}

/// Numbers in order, neighbours drawn together: "1–4", "7".
fn runs(numbers: &[u32]) -> Vec<String> {
    let mut runs: Vec<(u32, u32)> = Vec::new();
    for &n in numbers {
        match runs.last_mut() {
            Some((_, last)) if *last + 1 == n => *last = n,
            _ => runs.push((n, n)),
        }
    }
    runs.into_iter().map(|(a, b)| if a == b { a.to_string() } else { format!("{a}–{b}") }).collect()
}

#[cfg(test)]
mod tests {
    use super::{super::layer_at::layer, *};

    #[test]
    fn a_layer_is_told_with_what_decides_its_time() {
        let mut layers: Vec<_> = (1..=10).map(|i| layer(f64::from(i) * 0.2, 20.0)).collect();
        let job = Job::default();
        let told = lines(&layers, 2, &job, &[]);
        assert_eq!(told[0], "0.60 mm · layer 3 of 10");
        assert_eq!(told[1], "takes 20.0 s at full speed, needs 15.0 s: headroom 1.33");
        assert_eq!(told[2..], ["decided by its own beads and moves", "growing: nothing"]);
        let l = &mut layers[2];
        (l.natural_s, l.headroom, l.slowing_s, l.waiting_s, l.time_s) = (6.0, Some(0.4), 4.0, 5.0, 15.0);
        let told = lines(&layers, 2, &job, &[]);
        assert_eq!(told[2], "longer: 4.0 s by slowing, 5.0 s by waiting; takes 15.0 s in all");
        assert_eq!(told[3], "decided by the minimum layer time, 5.0 s of it by waiting");
        (layers[2].waiting_s, layers[2].unserved_s) = (0.0, 5.0);
        assert_eq!(lines(&layers, 2, &job, &[])[3], "decided by the minimum speed, 5.0 s too short to cool");
        assert!(lines(&layers, 10, &job, &[]).is_empty());
    }

    #[test]
    fn neighbouring_numbers_are_drawn_together() {
        assert_eq!(runs(&[1, 2, 3, 4, 7, 9, 10]), ["1–4", "7", "9–10"]);
    }
}
