//! One plate as it is and on other footings, side by side.

use egui::{RichText, Ui, Vec2};

use super::{
    progress,
    small::{Drawn, small},
};
use crate::{
    document::{PartId, Plate},
    gui::{
        theme::Theme,
        view::View,
        views::Tab,
        widgets::{Choice, link, reading},
        wish::Wish,
    },
    session::{Action, Session, StudyRun, StudyWish},
    stability::margin_words,
    studies::{FootingRow, PlateRow, PlateStudy, PlateVariant},
    words,
};

/// Between the two.
const BETWEEN: f32 = 24.0;
/// The drawings are no higher, points.
const MOST_HEIGHT: f32 = 340.0;

/// Shows both ways; compares anew where the plate or the ways are others than those last compared.
pub(super) fn show(ui: &mut Ui, session: &Session, view: &mut View, wishes: &mut Vec<Wish>) {
    let theme = Theme::of(ui.visuals());
    let Some(plate) = session.plate().filter(|p| !p.copies.is_empty()) else {
        ui.label(RichText::new("This plate is empty: place copies on it first.").color(theme.faint));
        return;
    };
    let number = session.job().plate_number(plate.id).unwrap_or(0);
    let machine = session.job().machine(plate.machine).map_or("", |m| m.name.as_str());
    let head = format!("Plate {number} on {}, {}", words::plain(machine), words::copies(plate.copies.len()));
    ui.label(crate::gui::theme::strong(&head).color(theme.ink));
    begin(session, plate, view, wishes);
    if matches!(session.study_waiting(), Some(StudyWish::Plate(..))) {
        progress::running(ui, None, wishes);
    }
    let run = session.plate_studied().filter(|r| r.study.plate == plate.id);
    if let Some(run) = run {
        progress::progress(ui, &run.state, wishes);
    }
    ui.add_space(8.0);
    let each = ((ui.available_width() - BETWEEN) / 2.0).floor();
    ui.horizontal_top(|ui| {
        ui.spacing_mut().item_spacing.x = BETWEEN;
        for side in 0..2 {
            ui.vertical(|ui| {
                ui.set_width(each);
                one(ui, session, run, side, view, wishes);
            });
        }
    });
    ui.add_space(8.0);
    let words = "Where all copies lie clear of one another with these footings, they stay where they are; else the plate is packed anew, and what does \
                 not fit goes to a further plate. How many copies come out good also depends on where they lie. Good copies and clean-up rest on assumptions; margins are a ranking, not a promise.";
    ui.add(egui::Label::new(RichText::new(words).small().color(theme.faint)).wrap());
}

/// Asks for the comparison, once for each plate, state of the job and pair of ways.
fn begin(session: &Session, plate: &Plate, view: &mut View, wishes: &mut Vec<Wish>) {
    let asked = (plate.id, session.revision(), view.studies.variants);
    if view.studies.asked == Some(asked) || session.dragging() || session.arranging().is_some() {
        return;
    }
    let compared = session.plate_studied().filter(|r| {
        r.study.plate == plate.id && r.study.variants == view.studies.variants && !session.plate_study_is_stale()
    });
    view.studies.asked = Some(asked);
    if compared.is_none() {
        wishes.push(Action::Study(StudyWish::Plate(plate.id, view.studies.variants.to_vec())).into());
    }
}

fn one(
    ui: &mut Ui,
    session: &Session,
    run: Option<&StudyRun<PlateStudy, PlateRow>>,
    side: usize,
    view: &mut View,
    wishes: &mut Vec<Wish>,
) {
    let theme = Theme::of(ui.visuals());
    let now = view.studies.variants[side];
    let name = if side == 0 { "first way" } else { "second way" };
    let choices = PlateVariant::CHOICES.map(|v| (v, v.words()));
    if let Some(other) = Choice::new(name, now.words()).width(200.0).show(ui, choices) {
        view.studies.variants[side] = other;
    }
    ui.add_space(4.0);
    let row_of = |side: usize| -> Option<(usize, &PlateRow)> {
        let (run, way) = (run?, view.studies.variants[side]);
        run.rows.iter().enumerate().find(|(_, r)| r.variant == way)
    };
    let first = row_of(0).map(|r| r.1.clone());
    let (Some(run), Some((index, row))) = (run, row_of(side)) else {
        ui.label(RichText::new("–").color(theme.faint));
        return;
    };
    let study = &run.study;
    let Some((plate, machine)) = study.job.plate(study.plate).and_then(|p| Some((p, study.job.machine(p.machine)?)))
    else {
        return;
    };
    let (bed_x, bed_y) = machine.bed.size_mm();
    let wide = ui.available_width();
    let high = (wide * (bed_y / bed_x.max(1.0)) as f32).clamp(80.0, MOST_HEIGHT).round();
    let shape = |id: PartId| study.parts.get(&id).map(|p| p.shape.clone());
    let drawn = Drawn {
        job: &study.job,
        machine: plate.machine,
        layout: &row.here,
        shape: &shape,
        prepared: session.prepared(),
    };
    let words = format!("plate, {}: {}", row.variant.words(), row.copies_words());
    let (drawings, painter) = (&mut view.studies.drawings, &mut view.painter);
    small(ui, &drawn, drawings, painter, Vec2::new(wide, high), (&words, false));
    ui.add_space(4.0);
    numbers(ui, study, row, first.as_ref().filter(|_| side == 1));
    let changes = row.is_moved || row.variant != PlateVariant::AsItIs;
    if changes {
        let action = Action::UsePlateRow(index);
        ui.add_enabled_ui(action.enabled(session), |ui| {
            let words = if row.further.is_empty() {
                "use for this plate".to_owned()
            } else {
                let apart: usize = row.further.iter().map(|p| p.len()).sum();
                format!("use for this plate ({} to a further plate)", words::copies(apart))
            };
            if link(ui, &words, true).on_hover_text(action.tooltip()).clicked() {
                wishes.push(action.into());
                view.tab = Tab::Sheet;
            }
        });
    }
}

/// A label, the number here, the one on the other side, and how it is written.
type Line<'a> = (&'static str, f64, Option<f64>, &'a dyn Fn(f64) -> String);

/// What it comes to; beside the second the difference from the first.
fn numbers(ui: &mut Ui, study: &PlateStudy, row: &PlateRow, first: Option<&PlateRow>) {
    let beside = |text: String, here: Option<f64>, there: Option<f64>, say: &dyn Fn(f64) -> String| match (here, there)
    {
        (Some(a), Some(b)) if say(a) != say(b) => {
            let sign = if a > b { "+" } else { "−" };
            format!("{text}  ({sign} {})", say((a - b).abs()))
        }
        _ => text,
    };
    reading(ui, "on this plate", &row.copies_words());
    let Some(p) = row.plate else { return };
    let other = first.and_then(|f| f.plate);
    let time = |s: f64| words::time(s);
    let each = FootingRow::each_words;
    let mass = |g: f64| format!("{g:.2} g");
    let good = |n: f64| format!("{n:.1}");
    let lines: [Line<'_>; 5] = [
        ("plate time", p.time_s, other.map(|o| o.time_s), &time),
        ("each", p.time_per_copy_s, other.map(|o| o.time_per_copy_s), &each),
        ("good copies expected", p.expected_good, other.map(|o| o.expected_good), &good),
        ("filament each", p.mass_per_copy_g, other.map(|o| o.mass_per_copy_g), &mass),
        ("clean-up", p.clean_up_s, other.map(|o| o.clean_up_s), &time),
    ];
    for (label, here, there, say) in lines {
        reading(ui, label, &beside(say(here), Some(here), there, say));
    }
    let per_good =
        other.filter(|o| o.per_good_words() != "–" && p.per_good_words() != "–").map(|o| o.time_per_good_s());
    reading(ui, "per good copy", &beside(p.per_good_words(), Some(p.time_per_good_s()), per_good, &each));
    if row.further_s > 0.0 {
        reading(ui, "further plates", &words::time(row.further_s));
    }
    if let Some((least, part)) = row.least {
        let letter = study.job.part(part).map_or("", |p| p.letter.as_str());
        reading(ui, "least margin", &format!("{} at {:.1} mm ({letter})", margin_words(least.margin), least.height_mm));
    }
}
