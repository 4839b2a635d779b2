//! One part on several footings.

use egui::{RichText, Ui, Vec2};

use super::{
    assumed::{self, Assumed},
    footing_table, page,
    part_at_hand::{choose_part, part_at_hand},
    progress,
    small::{Drawn, small},
    state::check_widths,
    trade_off,
};
use crate::{
    document::{Copy, Part, PartId},
    gui::{
        theme::Theme,
        view::View,
        views::Tab,
        widgets::{TextField, link, refusal, take_refused},
        wish::Wish,
    },
    session::{Action, Session, StudyRun, StudyWish},
    studies::{FootingRow, FootingStudy},
    words,
};

/// Between small drawings.
const BETWEEN: f32 = 14.0;
/// A small drawing is at least so wide.
const LEAST_DRAWING: f32 = 150.0;

/// Shows what is asked for, and what came of it.
pub(super) fn show(ui: &mut Ui, session: &Session, view: &mut View, wishes: &mut Vec<Wish>) {
    let theme = Theme::of(ui.visuals());
    let Some(part) = part_at_hand(session) else {
        ui.label(RichText::new("Add a part first: a study fills a plate with it for each footing.").color(theme.faint));
        return;
    };
    asked(ui, session, part, view, wishes);
    ui.add_space(10.0);
    if matches!(session.study_waiting(), Some(StudyWish::Footings(..))) {
        progress::running(ui, None, wishes);
    }
    let Some(run) = session.footings_studied() else {
        let words = "Fills a plate with this part bare, with brims and with a raft, and compares copies, hours, grams, clean-up, margin \
                     and good copies.";
        ui.add(egui::Label::new(RichText::new(words).color(theme.faint)).wrap());
        return;
    };
    result(ui, session, run, part.id, view, wishes);
}

/// Which part and which widths.
fn asked(ui: &mut Ui, session: &Session, part: &Part, view: &mut View, wishes: &mut Vec<Wish>) {
    let theme = Theme::of(ui.visuals());
    let form = &mut view.studies;
    ui.horizontal(|ui| {
        choose_part(ui, session, part, wishes);
        let field = |ui: &mut Ui, label: &str, name: &'static str, text: &mut String| {
            ui.label(RichText::new(label).color(theme.faint));
            if let Some(new) = TextField::new(name, text).width(72.0).hint("none").check(check_widths).show(ui) {
                *text = new;
            }
            ui.label(RichText::new("mm").color(theme.faint));
        };
        field(ui, "brims", "widths of brims", &mut form.brims);
        field(ui, "rafts", "widths of rafts", &mut form.rafts);
    });
    let refused = take_refused(ui);
    if let Some(why) = &refused {
        refusal(ui, why);
    }
    ui.add_space(6.0);
    let study = Action::Study(StudyWish::Footings(part.id, form.footings()));
    if page::begin(ui, session, &study, ("bare, brims, rafts", refused.is_none())) {
        form.chosen = None;
        wishes.push(study.into());
    }
}

fn result(
    ui: &mut Ui,
    session: &Session,
    run: &StudyRun<FootingStudy, FootingRow>,
    at_hand: PartId,
    view: &mut View,
    wishes: &mut Vec<Wish>,
) {
    let theme = Theme::of(ui.visuals());
    let study = &run.study;
    let Some(part) = study.job.part(study.part) else { return };
    let of = (study.part, study.machine);
    if !page::head(ui, &study.job, of, session.footings_are_stale(), at_hand) {
        return;
    }
    progress::progress(ui, &run.state, wishes);
    if run.rows.is_empty() {
        return;
    }
    ui.add_space(4.0);
    let suggested = || run.rows.iter().position(|r| r.is_suggested);
    let chosen = view.studies.chosen.filter(|i| *i < run.rows.len()).or_else(suggested).unwrap_or(0);
    let pressed = footing_table::show(ui, &run.rows, chosen);
    ui.add_space(8.0);
    take_over(ui, session, (run, chosen), part, view, wishes);
    ui.add_space(12.0);
    trade_off::show(ui, &run.rows, chosen);
    ui.add_space(12.0);
    let drawn = drawings(ui, session, (run, chosen), view);
    view.studies.chosen = pressed.or(drawn).or(view.studies.chosen);
    ui.add_space(10.0);
    assumptions(ui, session, theme, wishes);
}

/// What the chosen row can become.
fn take_over(
    ui: &mut Ui,
    session: &Session,
    (run, chosen): (&StudyRun<FootingStudy, FootingRow>, usize),
    part: &Part,
    view: &mut View,
    wishes: &mut Vec<Wish>,
) {
    let Some(row) = run.rows.get(chosen) else { return };
    let now = session.job().part(part.id).map(|p| p.footing);
    ui.horizontal(|ui| {
        ui.spacing_mut().item_spacing.x = 18.0;
        let used = Action::UseFooting(part.id, row.footing);
        let words = if now == Some(row.footing) {
            format!("give all copies of {} {}", part.letter, row.footing.words())
        } else {
            format!("use {} for {}", row.footing.words(), part.letter)
        };
        let job = session.job();
        let stands = |c: &Copy| c.part != part.id || job.footing(c) == row.footing;
        // Nothing is left to do where the part and all its copies stand so already.
        let differs = now != Some(row.footing) || !job.plates.iter().flat_map(|p| &p.copies).all(stands);
        ui.add_enabled_ui(used.enabled(session) && now.is_some() && differs, |ui| {
            if link(ui, &words, true).on_hover_text(used.tooltip()).clicked() {
                wishes.push(used.into());
            }
        });
        let laid = Action::LayOutStudied(chosen);
        let words = format!("lay out on a new plate ({})", words::copies(row.copies));
        ui.add_enabled_ui(laid.enabled(session), |ui| {
            if link(ui, &words, false).on_hover_text(laid.tooltip()).clicked() {
                wishes.push(laid.into());
                view.tab = Tab::Sheet;
            }
        });
    });
}

/// The plates side by side; the one that was pressed, if any.
fn drawings(
    ui: &mut Ui,
    session: &Session,
    (run, chosen): (&StudyRun<FootingStudy, FootingRow>, usize),
    view: &mut View,
) -> Option<usize> {
    let theme = Theme::of(ui.visuals());
    let study = &run.study;
    let machine = study.job.machine(study.machine)?;
    let mut pressed = None;
    let width = ui.available_width();
    let most = ((width + BETWEEN) / (LEAST_DRAWING + BETWEEN)).floor().max(1.0) as usize;
    let columns = most.min(run.rows.len().max(1)).min(6);
    let each = ((width + BETWEEN) / columns as f32 - BETWEEN).min(260.0).floor();
    let (bed_x, bed_y) = machine.bed.size_mm();
    let high = (each * (bed_y / bed_x.max(1.0)) as f32).clamp(60.0, 260.0).round();
    let shape = |id: PartId| (id == study.part).then(|| study.studied.shape.clone());
    for (n, rows) in run.rows.chunks(columns).enumerate() {
        ui.horizontal_top(|ui| {
            ui.spacing_mut().item_spacing.x = BETWEEN;
            for (k, row) in rows.iter().enumerate() {
                let i = n * columns + k;
                let caption = format!("{} · {}", row.footing.words(), words::copies(row.copies));
                ui.vertical(|ui| {
                    ui.set_width(each);
                    let drawn = Drawn {
                        job: &study.job,
                        machine: study.machine,
                        layout: &row.layout,
                        shape: &shape,
                        prepared: session.prepared(),
                    };
                    let look = (format!("plate with {caption}"), chosen == i);
                    let (drawings, painter) = (&mut view.studies.drawings, &mut view.painter);
                    let size = Vec2::new(each, high);
                    if small(ui, &drawn, drawings, painter, size, (&look.0, look.1)).clicked() {
                        pressed = Some(i);
                    }
                    ui.add(egui::Label::new(RichText::new(caption).small().color(theme.faint)).truncate());
                });
            }
        });
        ui.add_space(6.0);
    }
    pressed
}

/// What is assumed, in the open, to be typed over.
fn assumptions(ui: &mut Ui, session: &Session, theme: &Theme, wishes: &mut Vec<Wish>) {
    assumed::show(ui, session, &[Assumed::FAILING, Assumed::BRIM_CLEAN_UP, Assumed::RAFT_CLEAN_UP], wishes);
    let words = "So many of the copies with a margin of 1 or more let go, more below 1, and each spoils the copies that it would strike. Clean-up \
                 is for each copy. Margins are a ranking, not a promise.";
    ui.add(egui::Label::new(RichText::new(words).small().color(theme.faint)).wrap());
}
