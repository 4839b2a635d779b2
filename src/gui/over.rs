//! What lies over the window: questions, forms, lists.

use std::path::PathBuf;

use egui::{Align2, Area, Frame, Id, Key, Label, Margin, Modal, RichText, TextEdit, Ui, Vec2};

use super::{
    decide, dialogs, guide,
    lies_over::Over,
    outcome::{Outcome, buttons},
    rows_form::RowsForm,
    theme::{self, Theme, size},
    typed_path::TypedPath,
    view::View,
    widgets::{NumberField, Rule, Unit, is_refused, line},
    wish::Wish,
};
use crate::session::{Action, Ask, Session};

/// Widest guide, the window round it, its least and its most height, points.
const GUIDE_WIDTH: f32 = 900.0;
const GUIDE_ROUND: f32 = 170.0;
const GUIDE_LEAST: f32 = 200.0;
const GUIDE_MOST: f32 = 820.0;

/// Shows what lies over the window, if anything does.
pub(super) fn show(ui: &Ui, session: &Session, view: &mut View, over: Over, wishes: &mut Vec<Wish>) -> Outcome {
    let theme = Theme::of(ui.visuals());
    let frame = Frame::window(ui.style()).inner_margin(Margin::same(20));
    let name = title_of(&over);
    let width = width_of(&over).min(ui.ctx().content_rect().width() - 80.0);
    let mut modal = Modal::new(Id::unique("over")).frame(frame);
    if matches!(over, Over::Rows(_)) {
        // The places are drawn on the sheet meanwhile: nothing may cover it.
        let corner = Area::new(Id::unique("over")).kind(egui::UiKind::Modal).sense(egui::Sense::hover());
        modal = modal
            .area(
                corner
                    .order(egui::Order::Foreground)
                    .interactable(true)
                    .anchor(Align2::LEFT_TOP, Vec2::new(12.0, 48.0)),
            )
            .backdrop_color(egui::Color32::TRANSPARENT);
    }
    let modal = modal.show(ui.ctx(), |ui| {
        ui.set_width(width);
        ui.add(Label::new(theme::strong(name).size(size::TITLE).color(theme.ink)));
        ui.add_space(8.0);
        match over {
            Over::Unsaved(then) => unsaved(ui, session, then),
            Over::Recovery(unsaved) => decide::recovery(ui, unsaved, wishes),
            Over::Replace => decide::replace(ui, session, wishes),
            Over::FaultyFiles => decide::hand_over(ui, session, wishes),
            Over::Path(typed) => path(ui, session, typed),
            Over::Rows(form) => rows(ui, session, form, wishes),
            Over::Guide(open) => guide(ui, session, view, open),
            Over::About => about(ui, theme),
        }
    });
    match modal.inner {
        // Escape and a click beside it: nothing was decided; the recovered job stays for the next time.
        Outcome::Open(_) if modal.should_close() => Outcome::Closed,
        outcome => outcome,
    }
}

fn title_of(over: &Over) -> &'static str {
    match over {
        Over::Unsaved(_) => "Save the changes?",
        Over::Recovery(_) => "Recover unsaved changes?",
        Over::Replace => "Overwrite this file?",
        Over::FaultyFiles => "Hand over anyway?",
        Over::Path(typed) => typed.question.title(),
        Over::Rows(_) => "Rows and columns",
        Over::Guide(_) => "Guide",
        Over::About => "Stonehand",
    }
}

fn width_of(over: &Over) -> f32 {
    match over {
        Over::Guide(_) => GUIDE_WIDTH,
        Over::Path(..) => 460.0,
        Over::Rows(_) => 320.0,
        _ => 380.0,
    }
}

fn unsaved(ui: &mut Ui, session: &Session, then: Action) -> Outcome {
    let what = match then {
        Action::Quit => "before closing",
        Action::Open(_) | Action::Ask(Ask::Open) => "before opening another job",
        Action::Recover(_) => "before recovering another job",
        _ => "before beginning a new job",
    };
    let name = session.file_name();
    ui.add(Label::new(format!("{name} has changes that are not saved. Save them {what}?")).wrap());
    match buttons(ui, &["Save", "Do not save", "Cancel"]) {
        Some(0) => Outcome::SaveThen(then),
        Some(1) => Outcome::GiveUp(then),
        Some(_) => Outcome::Closed,
        None => Outcome::Open(Over::Unsaved(then)),
    }
}

/// A path, typed, where the system has no dialog to show.
fn path(ui: &mut Ui, session: &Session, mut typed: TypedPath) -> Outcome {
    let ask = typed.question.ask;
    let note = match ask {
        Ask::AddParts => "No file dialog opened. Type the paths, one per line, or drop the files on the window.",
        Ask::Export | Ask::ExportPlate(_) | Ask::GaugeFolder => "No file dialog opened. Type the path of the folder.",
        _ => "No file dialog opened. Type the path of the file.",
    };
    ui.add(Label::new(note).wrap());
    if let Some(folder) = &typed.question.folder {
        let words = format!("Names without a folder refer to files in {}.", folder.display());
        ui.add(Label::new(RichText::new(words).small().color(Theme::of(ui.visuals()).faint)).wrap());
    }
    ui.add_space(6.0);
    let many = ask == Ask::AddParts;
    let width = ui.available_width();
    let text = &mut typed.text;
    let field = if many { TextEdit::multiline(text).desired_rows(3) } else { TextEdit::singleline(text) };
    let response = ui.add(field.desired_width(width).hint_text("/home/…")).accessible_name("path");
    let entered = !many && response.lost_focus() && ui.input(|i| i.key_pressed(Key::Enter));
    if ui.memory(|m| m.focused().is_none()) {
        response.request_focus();
    }
    if let Some(words) = &typed.refused {
        ui.add_space(4.0);
        ui.add(Label::new(RichText::new(words).color(Theme::of(ui.visuals()).stop)).wrap());
    }
    let pressed = buttons(ui, &["Continue", "Cancel"]);
    if pressed == Some(1) {
        return Outcome::Closed;
    }
    let paths = typed.paths();
    if (entered || pressed == Some(0)) && !paths.is_empty() {
        let writes = matches!(
            ask,
            Ask::SaveAs | Ask::Export | Ask::ExportPlate(_) | Ask::RunSheet(_) | Ask::Timeline(_) | Ask::WriteTally
        );
        let reads = !writes;
        ui.ctx().request_repaint();
        if let Some(missing) = paths.iter().find(|p| reads && !session.is_there(p)) {
            typed.refused = Some(format!("There is no file or folder {}.", missing.display()));
        } else if let Some(taken) = paths.iter().find(|p| ask == Ask::WriteTally && session.is_there(p)) {
            typed.refused = Some(format!("{} exists already: type another name.", taken.display()));
        } else if let Some(action) = answer(&typed.question, paths).map(asking_first) {
            return Outcome::Typed(typed, action);
        }
    }
    Outcome::Open(Over::Path(typed))
}

/// What is asked for once the paths are known.
pub(super) fn answer(question: &dialogs::Question, paths: Vec<PathBuf>) -> Option<Action> {
    if question.ask == Ask::AddParts {
        return Some(Action::AddFiles(paths));
    }
    let path = paths.into_iter().next()?;
    Some(match question.ask {
        Ask::Open => Action::Open(path),
        // The system's dialog has asked about the name that it knew.
        Ask::SaveAs => match dialogs::with_ending(&path) {
            full if full == path => Action::SaveAs(full),
            full => Action::SaveNew(full),
        },
        Ask::Timeline(file) => match file.with_ending(&path) {
            full if full == path => Action::SaveTimeline(file, full),
            full => Action::SaveNewTimeline(file, full),
        },
        Ask::Export => Action::Export(path),
        Ask::ExportPlate(plate) => Action::ExportPlate(plate, path),
        Ask::RunSheet(plate) => Action::PrintRunSheet(plate, dialogs::with_pdf(&path)),
        Ask::ReplaceMesh(part) => Action::ReplaceMesh(part, path),
        Ask::LocateMesh(part) => Action::LocateMesh(part, path),
        Ask::Gauge => Action::Gauge(path),
        Ask::GaugeFolder => Action::GaugeFolder(path),
        Ask::ReadTally => Action::ReadTally(path),
        Ask::WriteTally => Action::WriteTally(path),
        Ask::AddParts | Ask::Replace | Ask::HandOverFaulty => return None,
    })
}

/// Nobody has asked yet about a file whose name was typed.
fn asking_first(action: Action) -> Action {
    match action {
        Action::SaveAs(path) => Action::SaveNew(path),
        Action::SaveTimeline(file, path) => Action::SaveNewTimeline(file, path),
        other => other,
    }
}

fn rows(ui: &mut Ui, session: &Session, mut form: RowsForm, wishes: &mut Vec<Wish>) -> Outcome {
    let n = session.selection().len();
    let what = if n == 1 { "the selected copy".to_owned() } else { format!("the {n} selected copies") };
    ui.add(Label::new(format!("Repeats {what} in a grid; what is selected counts as part of it.")).wrap());
    ui.add_space(6.0);
    let mut refused = false;
    for (label, value) in [("columns", &mut form.columns), ("rows", &mut form.rows)] {
        line(ui, label, Rule::None, |ui| {
            let field = NumberField::new(label, f64::from(*value), Unit::Count).range(1.0, 200.0);
            if let Some(v) = field.show(ui) {
                *value = v as u32;
            }
            refused |= is_refused(ui);
        });
    }
    let pitches = [("pitch in X", &mut form.pitch_x_mm), ("pitch in Y", &mut form.pitch_y_mm)];
    for (label, value) in pitches {
        line(ui, label, Rule::None, |ui| {
            let words = |p: &Option<f64>| if p.is_some() { "typed" } else { "as close as allowed" };
            if let Some(mm) = *value
                && let Some(v) = NumberField::new(label, mm, Unit::Mm).range(0.1, 5000.0).width(84.0).show(ui)
            {
                *value = Some(v);
            }
            refused |= is_refused(ui);
            let choices = [(true, "typed".to_owned()), (false, "as close as allowed".to_owned())];
            let kind = format!("{label}, how");
            let choice =
                super::widgets::Choice::new(&kind, words(value)).width(if value.is_some() { 84.0 } else { 168.0 });
            if let Some(typed) = choice.show(ui, choices) {
                *value = typed.then_some(40.0);
            }
        });
    }
    match buttons(ui, &["Fill", "Cancel"]) {
        // A number that is not taken stays in sight with its reason: nothing runs on an older one.
        Some(0) if refused => Outcome::Open(Over::Rows(form)),
        Some(0) => {
            let RowsForm { columns, rows, pitch_x_mm, pitch_y_mm } = form;
            wishes.push(Action::Grid { columns, rows, pitch_x_mm, pitch_y_mm }.into());
            Outcome::Closed
        }
        Some(_) => Outcome::Closed,
        None => Outcome::Open(Over::Rows(form)),
    }
}

/// The guide, in nearly all of the window.
fn guide(ui: &mut Ui, session: &Session, view: &mut View, mut open: guide::Open) -> Outcome {
    let height = (ui.ctx().content_rect().height() - GUIDE_ROUND).clamp(GUIDE_LEAST, GUIDE_MOST);
    guide::show(ui, session, view, &mut open, height);
    match buttons(ui, &["Close"]) {
        Some(_) => Outcome::Closed,
        None => Outcome::Open(Over::Guide(open)),
    }
}

fn about(ui: &mut Ui, theme: &Theme) -> Outcome {
    for words in [
        format!("Version {}", env!("CARGO_PKG_VERSION")),
        "Plate layouts for small batches on filament 3D printers: how many, how they stand, where they lie, how long \
         they take."
            .to_owned(),
        "Free software under the MIT or Apache-2.0 licence, at your choice. Figures and letters are set in Inter, under \
         the SIL Open Font Licence."
            .to_owned(),
    ] {
        ui.add(Label::new(RichText::new(words).color(theme.ink)).wrap());
        ui.add_space(4.0);
    }
    match buttons(ui, &["Close"]) {
        Some(_) => Outcome::Closed,
        None => Outcome::Open(Over::About),
    }
}

/// Says, over the whole window, that files may be dropped.
pub(super) fn drop_hint(ui: &Ui) {
    let hovering = ui.input(|i| !i.raw.hovered_files.is_empty());
    if !hovering {
        return;
    }
    let theme = Theme::of(ui.visuals());
    let rect = ui.ctx().content_rect();
    Area::new(Id::unique("drop hint")).order(egui::Order::Foreground).fixed_pos(rect.min).interactable(false).show(
        ui.ctx(),
        |ui| {
            let painter = ui.painter();
            painter.rect_filled(rect, 0.0, theme.desk.gamma_multiply(0.8));
            painter.rect_stroke(rect.shrink(24.0), 6.0, egui::Stroke::new(2.0, theme.accent), egui::StrokeKind::Inside);
            let words = "Drop the files to add them as parts";
            painter.text(rect.center(), Align2::CENTER_CENTER, words, theme::bold(size::TITLE), theme.accent);
        },
    );
}
