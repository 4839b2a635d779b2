//! A field for a number.

use egui::{Align2, Event, IdSalt, Key, Modifiers, Response, Stroke, Ui};

use super::{
    field::Field,
    quantity::{self, QuantityError, Unit},
};
use crate::{document::limits::Allowed, gui::theme::Theme};

/// A number that is typed: decimal comma or point, units, sums. Enter, Tab or a click elsewhere take it, Escape brings
/// the old one back, the arrow keys step. What is not taken stays, with its reason.
pub(crate) struct NumberField<'a> {
    field: Field<'a>,
    value: Option<f64>,
    unit: Unit,
    least: f64,
    most: f64,
    step: f64,
    enabled: bool,
}

impl<'a> NumberField<'a> {
    /// A field with an accessible name; `None` is shown as "various".
    pub(crate) fn new(name: &'a str, value: impl Into<Option<f64>>, unit: Unit) -> Self {
        Self {
            field: Field::new(name),
            value: value.into(),
            unit,
            least: f64::NEG_INFINITY,
            most: f64::INFINITY,
            step: 1.0,
            enabled: true,
        }
    }
    /// What is taken, both ends included.
    pub(crate) fn range(mut self, least: f64, most: f64) -> Self {
        (self.least, self.most) = (least, most);
        self
    }
    /// What the table of limits allows.
    pub(crate) fn allowed(self, allowed: Allowed) -> Self {
        self.range(allowed.least, allowed.most)
    }
    /// How far an arrow key goes (ten times as far with Shift).
    pub(crate) fn step(mut self, step: f64) -> Self {
        self.step = step;
        self
    }
    /// Width in points.
    pub(crate) fn width(mut self, width: f32) -> Self {
        self.field.width = width;
        self
    }
    /// Whose number it is, so that what is typed for one thing never lands in another.
    pub(crate) fn of(mut self, whose: impl egui::AsIdSalt) -> Self {
        self.field.salt = IdSalt::new(whose);
        self
    }
    /// Without a frame, for lines that are ruled.
    pub(crate) fn ruled(mut self) -> Self {
        self.field.boxed = false;
        self
    }
    /// Whether it can be changed.
    pub(crate) fn enabled(mut self, enabled: bool) -> Self {
        self.enabled = enabled;
        self
    }
    /// What it means, shown when the pointer rests on it.
    pub(crate) fn tooltip(mut self, text: &'a str) -> Self {
        self.field.tooltip = text;
        self
    }
    fn check(&self, text: &str) -> Result<f64, QuantityError> {
        let v = quantity::parse(text, self.unit)?;
        if v < self.least || v > self.most {
            let show = |v| quantity::show(v, self.unit);
            return Err(QuantityError::Range(show(self.least), show(self.most)));
        }
        Ok(v)
    }
    /// Shows it; the new number once it is taken and differs from the old one.
    pub(crate) fn show(self, ui: &mut Ui) -> Option<f64> {
        let shown = self.value.map_or_else(|| "various".to_owned(), |v| quantity::show(v, self.unit));
        let mut stepped = None;
        let check = |text: &str| self.check(text).map(drop).map_err(|why| why.to_string());
        let typed = self.field.edit(ui, &shown, &check, |ui, text, faulty| {
            let focused = ui.memory(|m| m.has_focus(self.field.id(ui)));
            if focused && let Some(step) = arrow_step(ui) {
                let from = self.check(text).ok().or(self.value).unwrap_or(0.0);
                let v = (from + step * self.step).clamp(self.least, self.most);
                *text = quantity::show(v, self.unit);
                stepped = Some(v);
            }
            self.editor(ui, text, faulty)
        });
        if !self.field.tooltip.is_empty() {
            typed.response.on_hover_text(self.field.tooltip);
        }
        let taken = typed.taken.and_then(|text| self.check(&text).ok()).or(stepped);
        taken.filter(|v| self.value.is_none_or(|old| (v - old).abs() > 1e-9 * old.abs().max(1.0)))
    }
    fn editor(&self, ui: &mut Ui, text: &mut String, faulty: bool) -> Response {
        let id = self.field.id(ui);
        ui.scope(|ui| {
            self.field.dress(ui);
            if faulty {
                let stop = Theme::of(ui.visuals()).stop;
                let v = ui.visuals_mut();
                v.selection.stroke.color = stop;
                v.widgets.inactive.bg_stroke = Stroke::new(1.0, stop);
                v.widgets.hovered.bg_stroke = Stroke::new(1.0, stop);
            }
            ui.add_enabled(self.enabled, self.field.editor(id, text).align(Align2::RIGHT_CENTER))
        })
        .inner
    }
}

/// Arrow keys pressed in a field, taken away from the field's own handling.
fn arrow_step(ui: &Ui) -> Option<f64> {
    ui.input_mut(|i| {
        let mut steps = 0.0;
        i.events.retain(|e| match e {
            Event::Key { key, pressed: true, modifiers, .. } if matches!(key, Key::ArrowUp | Key::ArrowDown) => {
                let way = if *key == Key::ArrowUp { 1.0 } else { -1.0 };
                steps += if modifiers.matches_logically(Modifiers::SHIFT) { 10.0 * way } else { way };
                false
            }
            _ => true,
        });
        (steps != 0.0).then_some(steps)
    })
}
