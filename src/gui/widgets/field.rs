//! What all fields have: a name, an owner, a width, a frame, a tooltip.

use egui::{Color32, Id, IdSalt, Response, Stroke, TextEdit, Ui, Vec2, text::CCursor, text_selection::CCursorRange};

use crate::gui::theme::size;

/// A field's name, owner and looks.
#[derive(Debug, Clone, Copy)]
pub(super) struct Field<'a> {
    /// For those who cannot see the label beside it.
    pub(super) name: &'a str,
    /// Points.
    pub(super) width: f32,
    /// Whose value it is, so that what is typed for one thing never lands in another.
    pub(super) salt: IdSalt,
    /// With a frame; without one on lines that are ruled.
    pub(super) boxed: bool,
    /// Shown when the pointer rests on it.
    pub(super) tooltip: &'a str,
}

impl<'a> Field<'a> {
    /// A framed field of the usual width.
    pub(super) fn new(name: &'a str) -> Self {
        Self { name, width: size::FIELD_WIDTH, salt: IdSalt::new(()), boxed: true, tooltip: "" }
    }
    /// What its state is kept under.
    pub(super) fn id(&self, ui: &Ui) -> Id {
        ui.scope_id().with(self.salt).with(self.name)
    }
    /// Takes the frame away from a field without one.
    pub(super) fn dress(&self, ui: &mut Ui) {
        if !self.boxed {
            let v = ui.visuals_mut();
            v.text_edit_bg_color = Some(Color32::TRANSPARENT);
            v.widgets.inactive.bg_stroke = Stroke::NONE;
            v.widgets.inactive.weak_bg_fill = Color32::TRANSPARENT;
        }
    }
    /// A text editor of this name and size, all of its text selected when it gets the focus. `check` says why a text is
    /// not taken; such a text stays where it was typed, with its reason, until it is mended or Escape drops it.
    pub(super) fn edit(
        &self,
        ui: &mut Ui,
        shown: &str,
        check: &dyn Fn(&str) -> Result<(), String>,
        edit: impl FnOnce(&mut Ui, &mut String, bool) -> Response,
    ) -> Typed {
        let id = self.id(ui);
        let had_focus = ui.memory(|m| m.has_focus(id));
        // What was refused goes when the value itself changes: by Undo, or by another field.
        let kept = ui.data(|d| d.get_temp::<Kept>(id)).filter(|k| had_focus || k.of == shown);
        let mut text = kept.map_or_else(|| shown.to_owned(), |k| k.text);
        let fault = if text == shown { None } else { check(&text).err() };
        let response = edit(ui, &mut text, fault.is_some());
        response.ctx.accesskit_node_builder(id, |node| {
            node.set_label(self.name);
            if let Some(why) = &fault {
                node.set_invalid(egui::accesskit::Invalid::True);
                node.set_description(why.as_str());
            }
        });
        if response.gained_focus() {
            select_all(ui, id, &text);
            response.scroll_to_me(None);
        }
        let keep = |ui: &Ui, text: &str| {
            ui.data_mut(|d| d.insert_temp(id, Kept { text: text.to_owned(), of: shown.to_owned() }));
        };
        if had_focus || response.gained_focus() {
            keep(ui, &text);
        }
        let mut taken = None;
        if response.lost_focus() {
            ui.data_mut(|d| d.remove::<Kept>(id));
            let abandoned = ui.input(|i| i.key_pressed(egui::Key::Escape));
            match check(&text) {
                _ if abandoned || text == shown => {}
                Ok(()) => taken = Some(text.clone()),
                Err(_) => keep(ui, &text),
            }
        }
        match fault {
            // While somebody types, nothing may move: the reason floats.
            Some(why) if response.has_focus() => response.show_tooltip_text(why),
            Some(why) if !response.lost_focus() => refuse(ui, why),
            _ => {}
        }
        Typed { response, taken }
    }
    /// The editor itself, to be aligned and added.
    pub(super) fn editor<'t>(&self, id: Id, text: &'t mut String) -> TextEdit<'t> {
        // On a ruled line the text ends with the line.
        let (left, right) = if self.boxed { (6, 6) } else { (2, 1) };
        TextEdit::singleline(text)
            .id(id)
            .desired_width(self.width - f32::from(left) - f32::from(right))
            .min_size(Vec2::new(self.width, size::FIELD))
            .margin(egui::Margin { left, right, top: 1, bottom: 1 })
    }
}

/// A text that is being typed or was refused, and what was shown before it.
#[derive(Debug, Clone)]
struct Kept {
    text: String,
    of: String,
}

/// Why what is typed is not taken, to be written where the field stands.
#[derive(Debug, Clone, Default)]
struct Refused(String);

fn refuse(ui: &Ui, why: String) {
    ui.data_mut(|d| d.insert_temp(Id::NULL, Refused(why)));
}

/// Why the field just shown keeps a text that is not taken; asked once, by whoever gives the field its place.
pub(crate) fn take_refused(ui: &Ui) -> Option<String> {
    ui.data_mut(|d| d.remove_temp::<Refused>(Id::NULL)).map(|r| r.0)
}

/// Does the field just shown keep a text that is not taken? Asked before whoever gives it its place.
pub(crate) fn is_refused(ui: &Ui) -> bool {
    ui.data(|d| d.get_temp::<Refused>(Id::NULL).is_some())
}

/// What came of an editor.
pub(super) struct Typed {
    /// Of the editor.
    pub(super) response: Response,
    /// The new text, once it is taken and differs from what was shown: on Enter, Tab or a click elsewhere, not on Escape.
    pub(super) taken: Option<String>,
}

/// Selects all of a field's text, so that typing replaces it.
fn select_all(ui: &Ui, id: Id, text: &str) {
    let mut state = TextEdit::load_state(ui.ctx(), id).unwrap_or_default();
    let all = CCursorRange::two(CCursor::default(), CCursor::new(text.chars().count()));
    state.cursor.set_char_range(Some(all));
    state.store(ui.ctx(), id);
}
