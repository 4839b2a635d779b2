//! How many copies at once.

use egui::{RichText, Ui, Vec2};

use super::{
    assumed::{self, Assumed},
    copies_plots, copies_table, page,
    part_at_hand::{choose_part, part_at_hand},
    progress,
    small::{Drawn, small},
};
use crate::{
    batch::Spoils,
    document::{Part, PartId},
    gui::{
        theme::Theme,
        view::View,
        views::Tab,
        widgets::{Choice, NumberField, Unit, link, refusal, take_refused},
        wish::Wish,
    },
    session::{Action, Session, StudyRun, StudyWish},
    studies::{CopiesRow, CopiesStudy, best_row, copies_advice, slowing_ends_at},
    words,
};

/// Width of the small drawing, points.
const DRAWING: f32 = 260.0;

/// Shows what is asked for, and what came of it.
pub(super) fn show(ui: &mut Ui, session: &Session, view: &mut View, wishes: &mut Vec<Wish>) {
    let theme = Theme::of(ui.visuals());
    let Some(part) = part_at_hand(session) else {
        let text = "Add a part first: the study fills a plate with 1, 2, 3 … copies of it.";
        ui.label(RichText::new(text).color(theme.faint));
        return;
    };
    asked(ui, session, part, view, wishes);
    ui.add_space(10.0);
    if matches!(session.study_waiting(), Some(StudyWish::Copies { .. })) {
        progress::running(ui, None, wishes);
    }
    let Some(run) = session.copies_studied() else {
        let words = "Lays out and times 1, 2, 3 … copies of this part, and counts what comes of each number under people's hours: changeovers and good \
                     parts a day, losses, plates to start.";
        ui.add(egui::Label::new(RichText::new(words).color(theme.faint)).wrap());
        return;
    };
    result(ui, session, run, part.id, view, wishes);
}

/// Which part, what a failure spoils, how sure the number wanted is to be.
fn asked(ui: &mut Ui, session: &Session, part: &Part, view: &mut View, wishes: &mut Vec<Wish>) {
    let theme = Theme::of(ui.visuals());
    let form = &mut view.studies;
    ui.horizontal_wrapped(|ui| {
        choose_part(ui, session, part, wishes);
        // Words stay with their field where the line is too short.
        let words = |ui: &mut Ui, text: &str| ui.add(egui::Label::new(RichText::new(text).color(theme.faint)).extend());
        words(ui, "a failure spoils");
        let all = Spoils::ALL.map(|s| (s, s.words().to_owned()));
        if let Some(spoils) = Choice::new("what a failure spoils", form.spoils.words()).width(170.0).show(ui, all) {
            form.spoils = spoils;
        }
        words(ui, &format!("{} wanted, confidence", part.wanted));
        let field = NumberField::new("confidence", form.confidence * 100.0, Unit::Percent).range(1.0, 99.9).width(64.0);
        if let Some(percent) = field.show(ui) {
            form.confidence = percent / 100.0;
        }
    });
    if let Some(why) = take_refused(ui) {
        refusal(ui, &why);
    }
    ui.add_space(6.0);
    let study = Action::Study(StudyWish::Copies { part: part.id, spoils: form.spoils, confidence: form.confidence });
    if page::begin(ui, session, &study, ("1 to a full plate", true)) {
        form.chosen_copies = None;
        wishes.push(study.into());
    }
}

fn result(
    ui: &mut Ui,
    session: &Session,
    run: &StudyRun<CopiesStudy, CopiesRow>,
    at_hand: PartId,
    view: &mut View,
    wishes: &mut Vec<Wish>,
) {
    let theme = Theme::of(ui.visuals());
    let study = &run.study;
    let of = (study.part, study.machine);
    if !page::head(ui, &study.job, of, session.copies_study_is_stale(), at_hand) {
        return;
    }
    progress::progress(ui, &run.state, wishes);
    let best = best_row(&run.rows);
    for line in remarks(session, run) {
        ui.add(egui::Label::new(RichText::new(line).color(theme.ink)).wrap());
    }
    if run.rows.is_empty() {
        if !run.is_running() {
            ui.label(RichText::new("No copy fits.").color(theme.faint));
        }
        return;
    }
    ui.add_space(4.0);
    let by_number = |key: (usize, _)| run.rows.iter().position(|r| (r.copies, r.way) == key);
    let chosen = view.studies.chosen_copies.and_then(by_number).or(best).unwrap_or(0);
    copies_plots::show(ui, &run.rows, best.map(|i| &run.rows[i]), run.rows.get(chosen));
    ui.add_space(8.0);
    if let Some(row) = copies_table::show(ui, &run.rows, chosen, best).and_then(|i| run.rows.get(i)) {
        view.studies.chosen_copies = Some((row.copies, row.way));
    }
    ui.add_space(8.0);
    if let Some(row) = run.rows.get(chosen) {
        take_over(ui, session, (chosen, row), view, wishes);
        ui.add_space(8.0);
        drawing(ui, session, study, row, view);
    }
    ui.add_space(8.0);
    assumed::show(ui, session, &[Assumed::FAILING, Assumed::COMMON_CAUSE, Assumed::TIME_SPREAD], wishes);
    let text = format!(
        "So many of the copies with a margin of 1 or more let go, more below 1; a failure is found at the end of the plate and spoils {}. Good parts \
         a day are those of one machine that prints this plate again and again over the next four full weeks.",
        study.spoils.words()
    );
    ui.add(egui::Label::new(RichText::new(text).small().color(theme.faint)).wrap());
}

/// Which number is best and why; what stands in the way.
fn remarks(session: &Session, run: &StudyRun<CopiesStudy, CopiesRow>) -> Vec<String> {
    let mut told = copies_advice(&run.rows, run.study.spoils);
    if let Some(first) = told.first_mut().filter(|_| run.is_running()) {
        *first = format!("So far: {first}");
    }
    if run.rows.iter().any(|r| r.hours.is_none()) {
        told.extend(run.study.hours_fault());
    }
    told.extend(run.study.too_tall_in_turn());
    let slowed = run.rows.iter().any(|r| r.slowed > 0.0);
    match slowing_ends_at(&run.rows) {
        Some(n) if slowed => told.push(format!("Slowing ends at {}.", words::copies(n))),
        None if slowed && !run.is_running() => {
            if let Some(until) = session.copies_until_slowing_ends(run.study.part) {
                told.push(format!("Slowing does not end on a full plate: it takes {}.", until.words()));
            }
        }
        _ => {}
    }
    told
}

fn take_over(ui: &mut Ui, session: &Session, (at, row): (usize, &CopiesRow), view: &mut View, wishes: &mut Vec<Wish>) {
    let laid = Action::LayOutCopies(at);
    let words = format!("lay out on a new plate ({})", row.copies_words());
    ui.add_enabled_ui(laid.enabled(session), |ui| {
        if link(ui, &words, true).on_hover_text(laid.tooltip()).clicked() {
            wishes.push(laid.into());
            view.tab = Tab::Sheet;
        }
    });
}

/// The chosen plate, small.
fn drawing(ui: &mut Ui, session: &Session, study: &CopiesStudy, row: &CopiesRow, view: &mut View) {
    let Some(machine) = study.job.machine(study.machine) else { return };
    let (bed_x, bed_y) = machine.bed.size_mm();
    let high = (DRAWING * (bed_y / bed_x.max(1.0)) as f32).clamp(60.0, DRAWING).round();
    let shape = |id: PartId| (id == study.part).then(|| study.studied.shape.clone());
    let drawn = Drawn {
        job: &study.job,
        machine: study.machine,
        layout: &row.layout,
        shape: &shape,
        prepared: session.prepared(),
    };
    let look = format!("plate with {}", row.copies_words());
    let (drawings, painter) = (&mut view.studies.drawings, &mut view.painter);
    small(ui, &drawn, drawings, painter, Vec2::new(DRAWING, high), (&look, false));
}
