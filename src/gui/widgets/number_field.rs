//! A field for a number.

use egui::{
    Align2, Event, Id, IdSalt, Key, Modifiers, Response, TextEdit, Ui, Vec2, text::CCursor,
    text_selection::CCursorRange,
};

use super::quantity::{self, QuantityError, Unit};
use crate::gui::theme::{Theme, size};

/// A number that is typed: decimal comma or point, units, sums. Enter, Tab or a click elsewhere take it, Escape brings
/// the old one back, the arrow keys step.
pub(crate) struct NumberField<'a> {
    name: &'a str,
    value: Option<f64>,
    unit: Unit,
    least: f64,
    most: f64,
    step: f64,
    width: f32,
    salt: IdSalt,
    enabled: bool,
    boxed: bool,
    tooltip: &'a str,
}

/// What was typed so far.
#[derive(Clone)]
struct Typing {
    text: String,
}

impl<'a> NumberField<'a> {
    /// A field with an accessible name; `None` is shown as "various".
    pub(crate) fn new(name: &'a str, value: impl Into<Option<f64>>, unit: Unit) -> Self {
        Self {
            name,
            value: value.into(),
            unit,
            least: f64::NEG_INFINITY,
            most: f64::INFINITY,
            step: 1.0,
            width: size::FIELD_WIDTH,
            salt: IdSalt::new(()),
            enabled: true,
            boxed: true,
            tooltip: "",
        }
    }
    /// What is taken, both ends included.
    pub(crate) fn range(mut self, least: f64, most: f64) -> Self {
        (self.least, self.most) = (least, most);
        self
    }
    /// How far an arrow key goes (ten times as far with Shift).
    pub(crate) fn step(mut self, step: f64) -> Self {
        self.step = step;
        self
    }
    /// Width in points.
    pub(crate) fn width(mut self, width: f32) -> Self {
        self.width = width;
        self
    }
    /// Whose number it is, so that what is typed for one thing never lands in another.
    pub(crate) fn of(mut self, whose: impl egui::AsIdSalt) -> Self {
        self.salt = IdSalt::new(whose);
        self
    }
    /// Without a frame, for lines that are ruled.
    pub(crate) fn ruled(mut self) -> Self {
        self.boxed = false;
        self
    }
    /// Whether it can be changed.
    pub(crate) fn enabled(mut self, enabled: bool) -> Self {
        self.enabled = enabled;
        self
    }
    /// What it means, shown when the pointer rests on it.
    pub(crate) fn tooltip(mut self, text: &'a str) -> Self {
        self.tooltip = text;
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
        self.show_with_response(ui).1
    }
    /// As [`Self::show`], with the field's response.
    pub(crate) fn show_with_response(self, ui: &mut Ui) -> (Response, Option<f64>) {
        let id = ui.scope_id().with(self.salt).with(self.name);
        let theme = Theme::of(ui.visuals());
        let shown = self.value.map_or_else(|| "various".to_owned(), |v| quantity::show(v, self.unit));
        let typing: Option<Typing> = ui.data(|d| d.get_temp(id));
        let focused = ui.memory(|m| m.has_focus(id));
        let mut text = typing.as_ref().map_or_else(|| shown.clone(), |t| t.text.clone());
        let mut taken = None;
        if focused && let Some(step) = arrow_step(ui) {
            let from = self.check(&text).ok().or(self.value).unwrap_or(0.0);
            let v = (from + step * self.step).clamp(self.least, self.most);
            text = quantity::show(v, self.unit);
            taken = Some(v);
        }
        let fault = focused.then(|| self.check(&text).err()).flatten().filter(|_| text != shown);
        let response = self.edit(ui, id, &mut text, fault.is_some(), theme);
        response.ctx.accesskit_node_builder(id, |node| node.set_label(self.name));
        if response.gained_focus() {
            select_all(ui, id, &text);
            ui.data_mut(|d| d.insert_temp(id, Typing { text: text.clone() }));
        } else if focused {
            ui.data_mut(|d| d.insert_temp(id, Typing { text: text.clone() }));
        }
        if response.lost_focus() {
            let abandoned = ui.input(|i| i.key_pressed(Key::Escape));
            if !abandoned && text != shown {
                taken = self.check(&text).ok();
            }
            ui.data_mut(|d| d.remove::<Typing>(id));
        }
        let response = match fault {
            Some(fault) => {
                let sentence = fault.to_string();
                response.show_tooltip_text(&sentence);
                response
            }
            None if !self.tooltip.is_empty() => response.on_hover_text(self.tooltip),
            None => response,
        };
        let changed = taken.filter(|v| self.value.is_none_or(|old| (v - old).abs() > 1e-9 * old.abs().max(1.0)));
        (response, changed)
    }
    fn edit(&self, ui: &mut Ui, id: Id, text: &mut String, faulty: bool, theme: &Theme) -> Response {
        ui.scope(|ui| {
            let v = ui.visuals_mut();
            if faulty {
                v.selection.stroke.color = theme.stop;
            }
            if !self.boxed {
                v.text_edit_bg_color = Some(egui::Color32::TRANSPARENT);
                v.widgets.inactive.bg_stroke = egui::Stroke::NONE;
            }
            ui.add_enabled(
                self.enabled,
                TextEdit::singleline(text)
                    .id(id)
                    .align(Align2::RIGHT_CENTER)
                    .desired_width(self.width - 12.0)
                    .min_size(Vec2::new(self.width, size::FIELD))
                    .margin(egui::Margin::symmetric(6, 1)),
            )
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

/// Selects all of a field's text, so that typing replaces it.
pub(crate) fn select_all(ui: &Ui, id: Id, text: &str) {
    let mut state = TextEdit::load_state(ui.ctx(), id).unwrap_or_default();
    let all = CCursorRange::two(CCursor::default(), CCursor::new(text.chars().count()));
    state.cursor.set_char_range(Some(all));
    state.store(ui.ctx(), id);
}
