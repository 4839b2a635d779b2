//! The application: panels round the sheet, wishes carried out after each frame.

use std::{path::PathBuf, sync::Arc, time::Duration};

use egui::{CentralPanel, Frame, Key, Margin, Panel, ScrollArea, ThemePreference, Ui, ViewportCommand};

use super::{
    dialogs::{Asking, Picker, Question, Reply, SystemPicker},
    look::Look,
    menu::{self, Wish},
    over, panels, sheet,
    theme::{self, Theme, size},
    view::{Over, RowsForm, TypedPath, View},
    views,
};
use crate::{
    geom::Bounds,
    session::{Action, Ask, Session, is_code},
};

/// A notice is shown for so long, s.
const NOTICE_S: f64 = 7.0;

/// The application.
pub struct App {
    session: Session,
    view: View,
    picker: Arc<dyn Picker>,
    asking: Option<Asking>,
    notices: Vec<panels::notice::Shown>,
    /// What was asked for before saving had a place to save to.
    after_saving: Option<Action>,
    /// Closing was agreed to.
    may_close: bool,
    title: String,
    installed: bool,
    /// A text field had the focus when the last frame ended: Escape takes it away before anyone else sees the key.
    typed: bool,
}

impl std::fmt::Debug for App {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        f.debug_struct("App").field("session", &self.session).finish_non_exhaustive()
    }
}

impl App {
    /// A window on a session.
    pub fn new(session: Session) -> Self {
        let mut view = View::default();
        if let Some(unsaved) = session.unsaved_jobs().into_iter().next() {
            view.over = Some(Over::Recovery(unsaved));
        }
        Self {
            session,
            view,
            picker: Arc::new(SystemPicker),
            asking: None,
            notices: Vec::new(),
            after_saving: None,
            may_close: false,
            title: String::new(),
            installed: false,
            typed: false,
        }
    }
    /// Asks for files with something else than the system's dialogs.
    #[must_use]
    pub fn with_picker(mut self, picker: Arc<dyn Picker>) -> Self {
        self.picker = picker;
        self
    }
    /// The session.
    pub fn session(&self) -> &Session {
        &self.session
    }
    /// The session, to be changed from outside the window.
    pub fn session_mut(&mut self) -> &mut Session {
        &mut self.session
    }
    /// Light, dark, or as the system has it.
    #[must_use]
    pub fn with_theme(mut self, theme: ThemePreference) -> Self {
        self.view.theme = theme;
        self
    }

    /// One frame.
    pub fn frame(&mut self, ui: &mut Ui) {
        if !self.installed {
            theme::install(ui.ctx());
            ui.ctx().set_theme(self.view.theme);
            self.installed = true;
            // Fonts are in place from the next pass on.
            ui.ctx().request_repaint();
            return;
        }
        let mut wishes: Vec<Wish> = Vec::new();
        self.before(ui, &mut wishes);
        self.panels(ui, &mut wishes);
        self.lie_over(ui, &mut wishes);
        self.after(ui, wishes);
    }

    /// One frame of the sheet alone, in all the room there is: for measuring what the drawing itself costs.
    pub fn sheet_frame(&mut self, ui: &mut Ui) {
        let mut wishes = Vec::new();
        sheet::show(ui, &self.session, &mut self.view, &mut wishes);
        self.after(ui, wishes);
    }

    /// Keys, dropped files, answers of dialogs.
    fn before(&mut self, ui: &Ui, wishes: &mut Vec<Wish>) {
        let ctx = ui.ctx();
        self.view.lit = std::mem::take(&mut self.view.lit_next);
        let dropped: Vec<PathBuf> = ctx.input(|i| i.raw.dropped_files.iter().map(|f| f.path().to_owned()).collect());
        if !dropped.is_empty() {
            wishes.extend(of_dropped(dropped).into_iter().map(Wish::from));
        }
        if let Some(asking) = &self.asking {
            match asking.poll() {
                Reply::Waiting => {}
                Reply::Nothing => {
                    self.asking = None;
                    self.after_saving = None;
                }
                Reply::NoDialog(question) => {
                    self.asking = None;
                    // Ends with a separator, so that only a name has to be typed.
                    let start = question.folder.as_ref().map_or_else(String::new, |f| f.join("").display().to_string());
                    self.view.over = Some(Over::Path(TypedPath { question, text: start, missing: None }));
                }
                Reply::Paths(question, paths) => {
                    self.asking = None;
                    wishes.extend(over::answer(&question, paths).map(Wish::from));
                }
            }
        }
        let free = self.view.over.is_none() && self.asking.is_none();
        if free && !ctx.any_popup_open() {
            let typing = self.typed || ctx.text_edit_focused();
            if ctx.input(|i| i.key_pressed(Key::Escape)) && !typing {
                self.escape(ctx, wishes);
            }
            menu::from_keys(ctx, typing, &self.session, &self.view, wishes);
        }
        if ctx.input(|i| i.viewport().close_requested()) && !self.may_close {
            if self.session.changed() {
                ctx.send_viewport_cmd(ViewportCommand::CancelClose);
                self.view.over = Some(Over::Unsaved(Action::Quit));
            } else {
                self.may_close = true;
                self.session.leave();
            }
        }
    }

    /// Escape ends what is going on: a drag, the tape, a search; else it selects nothing.
    fn escape(&mut self, ctx: &egui::Context, wishes: &mut Vec<Wish>) {
        let handled = if sheet::abort(&mut self.view, wishes) {
            ctx.stop_dragging();
            true
        } else if self.view.tape.take().is_some() {
            true
        } else if self.session.arranging().is_some() {
            wishes.push(Action::Cancel.into());
            true
        } else {
            false
        };
        if handled {
            ctx.input_mut(|i| i.consume_key(egui::Modifiers::NONE, Key::Escape));
        }
    }

    fn panels(&mut self, ui: &mut Ui, wishes: &mut Vec<Wish>) {
        let theme = Theme::of(ui.visuals());
        let session = &self.session;
        let view = &mut self.view;
        let plain = Frame::new().fill(theme.panel);
        Panel::top("menus")
            .exact_size(size::BAR)
            .frame(plain.inner_margin(Margin::symmetric(8, 6)))
            .show(ui, |ui| menu::bar(ui, session, view, wishes));
        let side = plain.inner_margin(Margin { left: 0, right: 0, top: 0, bottom: 0 });
        Panel::left("order").exact_size(size::LEFT).resizable(false).frame(side).show(ui, |ui| {
            Panel::bottom("views").exact_size(size::TABS).frame(Frame::new().fill(theme.panel)).show(ui, views::tabs);
            CentralPanel::no_frame().show(ui, |ui| {
                scrolled(ui, "left", |ui, room| panels::left::show(ui, room, session, view, wishes));
            });
        });
        Panel::right("particulars").exact_size(size::RIGHT).resizable(false).frame(side).show(ui, |ui| {
            scrolled(ui, "right", |ui, _| {
                panels::particulars::show(ui, session, view, wishes);
                ui.add_space(size::SECTION);
                panels::hours::show(ui, session);
                ui.add_space(size::SECTION);
                if session.gauging().is_some() {
                    panels::gauge::show(ui, session, view, wishes);
                    ui.add_space(size::SECTION);
                }
                panels::findings::show(ui, session, view, wishes);
            });
        });
        let desk = Frame::new().fill(theme.desk);
        let strip = desk.inner_margin(Margin { left: 14, right: 14, top: 0, bottom: 14 });
        let height = (ui.ctx().content_rect().height() * size::STRIP_SHARE).clamp(size::STRIP_LEAST, size::STRIP_MOST);
        Panel::bottom("strip")
            .exact_size(height.round())
            .resizable(false)
            .show_separator_line(false)
            .frame(strip)
            .show(ui, |ui| {
                let card = Frame::new()
                    .fill(theme.sheet)
                    .stroke(theme.hairline())
                    .corner_radius(3.0)
                    .inner_margin(Margin { left: 14, right: 14, top: 7, bottom: 4 });
                card.show(ui, |ui| {
                    ui.set_min_size(ui.available_size());
                    panels::strip::show(ui, session, &mut view.strip, wishes);
                });
            });
        let centre = CentralPanel::default().frame(desk).show(ui, |ui| {
            let room = ui.available_rect_before_wrap();
            sheet::show(ui, session, view, wishes);
            room
        });
        panels::notice::show(ui, &self.notices, centre.inner);
    }

    fn lie_over(&mut self, ui: &Ui, wishes: &mut Vec<Wish>) {
        over::drop_hint(ui);
        let Some(open) = self.view.over.take() else { return };
        match over::show(ui, &self.session, &self.view, open, wishes) {
            over::Outcome::Open(still) => self.view.over = Some(still),
            over::Outcome::Closed => self.after_saving = None,
            over::Outcome::Answered => {}
            over::Outcome::GiveUp(then) => {
                self.after_saving = None;
                self.go_on(ui.ctx(), then);
            }
            over::Outcome::SaveThen(then) => {
                self.after_saving = Some(then);
                wishes.push(Action::Save.into());
            }
        }
    }

    /// Does what was asked for, unsaved changes or not.
    fn go_on(&mut self, ctx: &egui::Context, then: Action) {
        if then == Action::Quit {
            self.may_close = true;
            self.session.leave();
            ctx.send_viewport_cmd(ViewportCommand::Close);
        } else {
            self.view.camera = sheet::Camera::default();
            self.session.act(then);
        }
    }

    /// Carries out what was wished for in this frame.
    fn after(&mut self, ui: &Ui, wishes: Vec<Wish>) {
        let ctx = ui.ctx();
        for wish in wishes {
            match wish {
                Wish::Look(look) => self.look(ctx, look),
                Wish::Act(action) => self.act(action),
            }
        }
        if !self.session.changed()
            && let Some(then) = self.after_saving.take()
        {
            self.go_on(ctx, then);
        }
        if let Some(ask) = self.session.take_ask() {
            self.ask(ctx, ask);
        }
        if self.session.take_quit() {
            ctx.send_viewport_cmd(ViewportCommand::Close);
        }
        let now = ctx.input(|i| i.time);
        self.notices.retain(|n| n.until > now);
        let fresh = self.session.take_notices().into_iter();
        self.notices.extend(fresh.map(|notice| panels::notice::Shown { notice, until: now + NOTICE_S }));
        if let Some(first) = self.notices.iter().map(|n| n.until).min_by(f64::total_cmp) {
            ctx.request_repaint_after(Duration::from_secs_f64((first - now).max(0.05)));
        }
        let gauging = self.session.gauging().is_some_and(|g| g.measured.is_none());
        if self.session.arranging().is_some() || self.session.preparing() > 0 || gauging {
            ctx.request_repaint_after(Duration::from_millis(60));
        }
        if self.view.lit != self.view.lit_next {
            ctx.request_repaint();
        }
        self.typed = ctx.text_edit_focused();
        let mark = if self.session.changed() { "• " } else { "" };
        let title = format!("{mark}{} – Stonehand", self.session.file_name());
        if title != self.title {
            ctx.send_viewport_cmd(ViewportCommand::Title(title.clone()));
            self.title = title;
        }
    }

    fn act(&mut self, action: Action) {
        let leaves = matches!(action, Action::New | Action::Open(_) | Action::Ask(Ask::Open));
        if leaves && self.session.changed() {
            self.view.over = Some(Over::Unsaved(action));
            return;
        }
        if matches!(action, Action::New | Action::Open(_)) {
            self.view.camera = sheet::Camera::default();
        }
        if let Action::ShowPlate(_) = action {
            let bed = self.bed();
            self.view.camera.fit(bed);
        }
        self.session.act(action);
    }

    fn bed(&self) -> Bounds {
        let job = self.session.shown_job();
        let machine = self.session.shown_plate().and_then(|p| job.machine(p.machine));
        machine.map_or(Bounds::EMPTY, |m| {
            m.bed.outline(0.1).outer.iter().copied().fold(Bounds::EMPTY, |mut b, p| {
                b.add(p);
                b
            })
        })
    }

    fn look(&mut self, ctx: &egui::Context, what: Look) {
        match what {
            Look::Light | Look::Dark | Look::AsSystem => {
                self.view.theme = match what {
                    Look::Light => ThemePreference::Light,
                    Look::Dark => ThemePreference::Dark,
                    _ => ThemePreference::System,
                };
                ctx.set_theme(self.view.theme);
            }
            Look::Keys => self.view.over = Some(Over::Keys),
            Look::About => self.view.over = Some(Over::About),
            Look::RowsAndColumns => self.view.over = Some(Over::Rows(RowsForm::default())),
            _ => {
                let mut wishes = Vec::new();
                let bed = self.bed();
                sheet::look(what, &self.session, &mut self.view, bed, &mut wishes);
                for wish in wishes {
                    if let Wish::Act(action) = wish {
                        self.act(action);
                    }
                }
            }
        }
        ctx.request_repaint();
    }

    fn ask(&mut self, ctx: &egui::Context, ask: Ask) {
        match ask {
            Ask::Replace => return self.view.over = Some(Over::Replace),
            Ask::HandOverFaulty => return self.view.over = Some(Over::HandOver),
            _ if self.asking.is_some() => return,
            _ => {}
        }
        let folder = self.session.path().and_then(|p| p.parent()).map(PathBuf::from);
        let name = match self.session.job().title.trim() {
            "" => "job.stonehand".to_owned(),
            title => format!("{}.stonehand", title.to_lowercase().replace(' ', "-")),
        };
        let question = Question { ask, folder, name };
        let wake = ctx.clone();
        let begun = Asking::begin(self.picker.clone(), question.clone(), move || wake.request_repaint());
        match begun {
            Ok(asking) => self.asking = Some(asking),
            Err(_) => self.view.over = Some(Over::Path(TypedPath { question, text: String::new(), missing: None })),
        }
    }
}

/// What is asked for by dropping files: a job is opened, machine code measured, all else added as parts.
fn of_dropped(paths: Vec<PathBuf>) -> Vec<Action> {
    let is_job = |p: &PathBuf| p.extension().is_some_and(|e| e.eq_ignore_ascii_case("stonehand"));
    let (jobs, others): (Vec<_>, Vec<_>) = paths.into_iter().partition(is_job);
    let (codes, meshes): (Vec<_>, Vec<_>) = others.into_iter().partition(|p| is_code(p));
    let mut actions: Vec<Action> = jobs.into_iter().take(1).map(Action::Open).collect();
    actions.extend(codes.into_iter().take(1).map(Action::Gauge));
    if !meshes.is_empty() {
        actions.push(Action::AddFiles(meshes));
    }
    actions
}

/// A side's contents, with a thin scroll bar where they are higher than the window; they are told how high they may be
/// without one.
fn scrolled(ui: &mut Ui, name: &str, contents: impl FnOnce(&mut Ui, f32)) {
    let pad = size::PAD as i8;
    let margin = Margin { left: pad, right: pad, top: 12, bottom: 10 };
    let room = ui.available_height() - margin.sum().y;
    ScrollArea::vertical().id_salt(name).auto_shrink(false).show(ui, |ui| {
        Frame::new().inner_margin(margin).show(ui, |ui| contents(ui, room));
    });
}

impl eframe::App for App {
    fn logic(&mut self, ctx: &egui::Context, _: &mut eframe::Frame) {
        if self.session.tick() {
            ctx.request_repaint();
        }
    }
    fn ui(&mut self, ui: &mut Ui, _: &mut eframe::Frame) {
        self.frame(ui);
    }
    fn clear_color(&self, visuals: &egui::Visuals) -> [f32; 4] {
        Theme::of(visuals).desk.to_normalized_gamma_f32()
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn dropped_jobs_open_and_dropped_meshes_are_added() {
        let paths = ["a.stl", "order.STONEHAND", "c.gcode", "b.3mf"].map(PathBuf::from).to_vec();
        let actions = of_dropped(paths);
        assert_eq!(actions[0], Action::Open("order.STONEHAND".into()));
        assert_eq!(actions[1], Action::Gauge("c.gcode".into()));
        assert_eq!(actions[2], Action::AddFiles(vec!["a.stl".into(), "b.3mf".into()]));
    }
}
