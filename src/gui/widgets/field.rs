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
    /// Takes the frame away where there is to be none.
    pub(super) fn dress(&self, ui: &mut Ui) {
        if !self.boxed {
            let v = ui.visuals_mut();
            v.text_edit_bg_color = Some(Color32::TRANSPARENT);
            v.widgets.inactive.bg_stroke = Stroke::NONE;
            v.widgets.inactive.weak_bg_fill = Color32::TRANSPARENT;
        }
    }
    /// A text editor of this name and size, all of its text selected when it gets the focus. The text typed so far, while
    /// it has the focus.
    pub(super) fn edit(&self, ui: &mut Ui, shown: &str, edit: impl FnOnce(&mut Ui, &mut String) -> Response) -> Typed {
        let id = self.id(ui);
        let kept: Option<String> = ui.data(|d| d.get_temp(id));
        let had_focus = ui.memory(|m| m.has_focus(id));
        let mut text = kept.unwrap_or_else(|| shown.to_owned());
        let response = edit(ui, &mut text);
        response.ctx.accesskit_node_builder(id, |node| node.set_label(self.name));
        if response.gained_focus() {
            select_all(ui, id, &text);
        }
        if had_focus || response.gained_focus() {
            ui.data_mut(|d| d.insert_temp(id, text.clone()));
        }
        let mut taken = None;
        if response.lost_focus() {
            ui.data_mut(|d| d.remove::<String>(id));
            let abandoned = ui.input(|i| i.key_pressed(egui::Key::Escape));
            taken = (!abandoned && text != shown).then(|| text.clone());
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
