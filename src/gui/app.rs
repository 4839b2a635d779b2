//! The application: panels round the sheet, wishes carried out after each frame.

use std::{path::PathBuf, sync::Arc, time::Duration};

use egui::{CentralPanel, Frame, Key, Margin, Panel, ScrollArea, ThemePreference, Ui, ViewportCommand};

use super::{
    dialogs::{Asking, Picker, Question, Reply, SystemPicker},
    guide,
    hints::{self, Hints},
    keys,
    lies_over::Over,
    look::Look,
    menu,
    outcome::Outcome,
    over, panels,
    rows_form::RowsForm,
    settings::{self, Settings, Sizes},
    sheet,
    split::{self, Edge},
    tally_form::TallyForm,
    theme::{self, Theme, size},
    typed_path::TypedPath,
    view::View,
    views::{self, Tab},
    wish::Wish,
};
use crate::{
    drawing::words,
    geom::Bounds,
    session::{Action, Ask, Notice, Session, is_code},
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
    /// A folder was typed and files are being handed over into it: the question comes back where that fails.
    handed_over: Option<TypedPath>,
    /// What was asked for before saving had a place to save to.
    after_saving: Option<Action>,
    /// Closing was agreed to.
    may_close: bool,
    title: String,
    installed: bool,
    /// A text field had the focus when the last frame ended: Escape takes it away before anyone else sees the key.
    typed: bool,
    /// Something lay over the window in the last frame.
    was_over: bool,
    /// What was typed in the frame in which a question was asked for, after its keys.
    typed_ahead: String,
    /// The keyboard was used last, not the pointer.
    by_keys: bool,
    /// What is kept for the next run.
    kept: Settings,
    /// The settings now, and since when they have been so, in the toolkit's seconds.
    now: Settings,
    settled_s: f64,
    /// The window had the keyboard in the last frame.
    focused: bool,
    /// The window was found to lie on the screen.
    on_screen: bool,
}

impl std::fmt::Debug for App {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        f.debug_struct("App").field("session", &self.session).finish_non_exhaustive()
    }
}

impl App {
    /// A window on a session.
    pub fn new(session: Session) -> Self {
        let settings = Settings::read(session.kept_settings().as_deref());
        let mut view = View {
            theme: settings.theme(),
            text_percent: settings.text_percent,
            sizes: settings.panels,
            hints: Hints::kept(&settings.dismissed_hints),
            ..View::default()
        };
        view.over = session.next_unsaved().map(Over::Recovery);
        Self {
            session,
            view,
            picker: Arc::new(SystemPicker),
            asking: None,
            notices: Vec::new(),
            handed_over: None,
            after_saving: None,
            may_close: false,
            title: String::new(),
            installed: false,
            typed: false,
            was_over: false,
            typed_ahead: String::new(),
            by_keys: false,
            kept: settings.clone(),
            now: settings,
            settled_s: 0.0,
            focused: true,
            on_screen: false,
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
    /// Is a bar of the timeline dragged?
    pub fn drags_a_bar(&self) -> bool {
        self.view.shifts.drag.is_some()
    }
    /// With hints for the first days, but those that were dismissed.
    #[must_use]
    pub fn with_hints(mut self) -> Self {
        self.view.hints.on = true;
        self
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
            ui.ctx().options_mut(|o| o.zoom_with_keyboard = false);
            zoom(ui.ctx(), self.view.text_percent);
            self.installed = true;
            // Fonts are in place from the next pass on.
            ui.ctx().request_repaint();
            return;
        }
        let mut wishes: Vec<Wish> = Vec::new();
        self.before(ui, &mut wishes);
        let open = self.menu_asked_for(ui.ctx());
        self.panels(ui, open, &mut wishes);
        self.lie_over(ui, &mut wishes);
        if self.by_keys {
            focus_ring(ui);
        }
        self.after(ui, wishes);
    }

    /// The menu that the keys of this frame open.
    fn menu_asked_for(&self, ctx: &egui::Context) -> Option<usize> {
        let free = self.view.over.is_none() && self.asking.is_none() && !self.session.dragging();
        free.then(|| menu::asked_for(ctx, &self.session, &self.view)).flatten()
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
        self.by_keys = ctx.input(|i| {
            let key = |e: &egui::Event| matches!(e, egui::Event::Key { pressed: true, .. });
            (self.by_keys || i.events.iter().any(key)) && !i.pointer.any_pressed()
        });
        self.view.lit = std::mem::take(&mut self.view.lit_next);
        let dropped: Vec<PathBuf> = ctx.input(|i| i.raw.dropped_files.iter().map(|f| f.path().to_owned()).collect());
        if !dropped.is_empty() {
            wishes.extend(of_dropped(dropped).into_iter().map(Wish::from));
        }
        // Files may have gone while somebody worked elsewhere.
        let focused = ctx.input(|i| i.focused);
        let was = std::mem::replace(&mut self.focused, focused);
        if focused && !was {
            wishes.push(Action::LookForMeshes.into());
        }
        self.answers(ctx, wishes);
        let free = self.view.over.is_none() && self.asking.is_none();
        if free && !ctx.any_popup_open() {
            let typing = self.typed || ctx.text_edit_focused();
            if ctx.input(|i| i.key_pressed(Key::Escape)) && !typing {
                self.escape(ctx, wishes);
            }
            self.typed_ahead = menu::from_keys(ctx, typing, &self.session, &self.view, wishes);
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

    /// Looks for what came of a question for files. As long as it is open, keys mean nothing in this window: what is
    /// typed was meant for the dialog.
    fn answers(&mut self, ctx: &egui::Context, wishes: &mut Vec<Wish>) {
        let Some(asking) = &mut self.asking else { return };
        let focused = ctx.input(|i| i.focused);
        let typed = keys::take_typed(ctx, 0);
        match asking.poll(focused, &typed) {
            Reply::Waiting => return,
            Reply::Nothing => self.after_saving = None,
            Reply::NoDialog(question, typed) => self.view.over = Some(Over::Path(TypedPath::new(question, typed))),
            Reply::Paths(question, paths) => wishes.extend(over::answer(&question, paths).map(Wish::from)),
        }
        self.asking = None;
    }

    /// Escape ends what is going on: a drag, the tape, a search; else it selects nothing.
    fn escape(&mut self, ctx: &egui::Context, wishes: &mut Vec<Wish>) {
        let handled = if self.view.shifts.abort() {
            ctx.stop_dragging();
            true
        } else if self.view.tab == Tab::Shifts && self.session.improving().is_some() {
            wishes.push(Action::CancelImprove.into());
            true
        } else if self.view.tab == Tab::Studies && self.session.is_studying() {
            wishes.push(Action::CancelStudy.into());
            true
        } else if sheet::abort(&mut self.view, wishes) {
            ctx.stop_dragging();
            true
        } else if self.view.tape.take().is_some() {
            true
        } else if self.session.arranging().is_some() || self.session.dealing().is_some() {
            wishes.push(Action::Cancel.into());
            true
        } else {
            false
        };
        if handled {
            ctx.input_mut(|i| i.consume_key(egui::Modifiers::NONE, Key::Escape));
        }
    }

    fn panels(&mut self, ui: &mut Ui, open: Option<usize>, wishes: &mut Vec<Wish>) {
        let theme = Theme::of(ui.visuals());
        let session = &self.session;
        let view = &mut self.view;
        let plain = Frame::new().fill(theme.panel);
        Panel::top("menus")
            .exact_size(size::BAR)
            .frame(plain.inner_margin(Margin::symmetric(8, 6)))
            .show(ui, |ui| menu::bar(ui, session, view, open, wishes));
        let side = plain.inner_margin(Margin { left: 0, right: 0, top: 0, bottom: 0 });
        let room = ui.ctx().content_rect();
        // Whatever was kept, the sheet stays in sight.
        let most = settings::most_of_column(room.width());
        let Sizes { left, right, strip: high } = view.sizes;
        let left =
            Panel::left("order").exact_size(left.min(most).round()).resizable(false).frame(side).show(ui, |ui| {
                Panel::bottom("views")
                    .exact_size(size::TABS)
                    .frame(Frame::new().fill(theme.panel))
                    .show(ui, |ui| views::tabs(ui, &mut view.tab));
                CentralPanel::no_frame().show(ui, |ui| {
                    scrolled(ui, "left", |ui, room| panels::left::show(ui, room, session, view, wishes));
                });
            });
        let is_folded = view.tab == Tab::Shifts && room.width() < views::shifts::FOLDED_BELOW;
        let right = (!is_folded).then(|| {
            let panel = Panel::right("particulars").exact_size(right.min(most).round()).resizable(false).frame(side);
            let shown = panel.show(ui, |ui| {
                if view.tab == Tab::Shifts {
                    return scrolled(ui, "right of shifts", |ui, _| views::shifts::side(ui, session, wishes));
                }
                scrolled(ui, "right", |ui, _| {
                    if !panels::tally::show(ui, session, view, wishes) {
                        panels::particulars::show(ui, session, view, wishes);
                    }
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
            shown.response.rect
        });
        let desk = Frame::new().fill(theme.desk);
        let plain = (room.height() * size::STRIP_SHARE).clamp(size::STRIP_LEAST, size::STRIP_MOST);
        let below = (view.tab == Tab::Sheet).then(|| {
            let high = high.unwrap_or(plain).min((room.height() * 0.55).max(settings::STRIP.0));
            let strip = desk.inner_margin(Margin { left: 14, right: 14, top: 0, bottom: 14 });
            Panel::bottom("strip")
                .exact_size(high.round())
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
                })
                .response
                .rect
        });
        let centre = CentralPanel::default().frame(desk).show(ui, |ui| {
            hints::show(ui, session, view.tab, &mut view.hints, wishes);
            let room = ui.available_rect_before_wrap();
            match view.tab {
                Tab::Sheet => sheet::show(ui, session, view, wishes),
                Tab::Studies => views::studies::show(ui, session, view, wishes),
                Tab::Shifts => views::shifts::show(ui, session, view, is_folded, wishes),
            }
            room
        });
        let left = left.response.rect;
        let kept = view.sizes;
        let column = |v: f32| v.clamp(settings::COLUMN.0, most).round();
        if let Some(v) = split::edge(ui, "width of the order", left, Edge::Right, (left.width(), size::LEFT)) {
            view.sizes.left = column(v);
        }
        if let Some(right) = right
            && let Some(v) =
                split::edge(ui, "width of the particulars", right, Edge::Left, (right.width(), size::RIGHT))
        {
            view.sizes.right = column(v);
        }
        if let Some(below) = below
            && let Some(v) = split::edge(ui, "height of the strip", below, Edge::Top, (below.height(), plain))
        {
            let most = (room.height() * 0.55).max(settings::STRIP.0);
            view.sizes.strip = (v != plain).then_some(v.clamp(settings::STRIP.0, most.min(settings::STRIP.1)).round());
        }
        if view.sizes != kept {
            ui.ctx().request_repaint();
        }
        panels::handing_over::show(ui, session, centre.inner, wishes);
        panels::notice::show(ui, &self.notices, centre.inner);
    }

    fn lie_over(&mut self, ui: &Ui, wishes: &mut Vec<Wish>) {
        over::drop_hint(ui);
        let came_up = !std::mem::replace(&mut self.was_over, self.view.over.is_some());
        let Some(open) = self.view.over.take() else { return };
        if came_up {
            // What had the keyboard lies under the question now.
            ui.ctx().memory_mut(|m| m.focused().map(|id| m.surrender_focus(id)));
        }
        match over::show(ui, &self.session, &mut self.view, open, wishes) {
            Outcome::Open(still) => self.view.over = Some(still),
            Outcome::Closed => self.after_saving = None,
            Outcome::Answered => {}
            Outcome::Typed(typed, action) => self.try_typed(ui.ctx(), typed, action),
            Outcome::GiveUp(then) => {
                self.after_saving = None;
                self.go_on(ui.ctx(), then);
            }
            Outcome::SaveThen(then) => {
                self.after_saving = Some(then);
                wishes.push(Action::Save.into());
            }
        }
    }

    /// Does what a path was typed for. Where that fails, the question stays, with the reason.
    fn try_typed(&mut self, ctx: &egui::Context, typed: TypedPath, action: Action) {
        if matches!(action, Action::Open(_)) {
            if self.session.changed() {
                self.view.over = Some(Over::Unsaved(action));
                return;
            }
            self.view.camera = sheet::Camera::default();
        }
        let hands_over = matches!(action, Action::Export(_) | Action::ExportPlate(..));
        match self.session.attempt(action) {
            Ok(()) => self.handed_over = hands_over.then_some(typed),
            Err(why) => self.view.over = Some(Over::Path(typed.refused(why.to_string()))),
        }
        ctx.request_repaint();
    }

    /// Asks again for a typed folder once handing over into it has failed; returns the notices that are left to tell.
    fn asked_again(&mut self, mut fresh: Vec<Notice>) -> Vec<Notice> {
        if self.session.handing_over().is_some() || self.view.over.is_some() {
            return fresh;
        }
        if let (Some(typed), Some(n)) = (self.handed_over.take(), fresh.iter().position(|n| n.fault)) {
            self.view.over = Some(Over::Path(typed.refused(fresh.remove(n).text)));
        }
        fresh
    }

    /// Does what was asked for, unsaved changes or not.
    fn go_on(&mut self, ctx: &egui::Context, then: Action) {
        if then == Action::Quit {
            self.may_close = true;
            self.session.leave();
            ctx.send_viewport_cmd(ViewportCommand::Close);
        } else {
            self.view.camera = sheet::Camera::default();
            self.carry_out(then);
        }
    }

    /// Has the session do it; once a job that was left behind is recovered or discarded, the next one is offered.
    fn carry_out(&mut self, action: Action) {
        let decided = matches!(action, Action::Recover(_) | Action::Forget(_));
        self.session.act(action);
        if decided && self.view.over.is_none() {
            self.view.over = self.session.next_unsaved().map(Over::Recovery);
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
            // What came up is drawn at once, also where nothing else moves.
            ctx.request_repaint();
        }
        if self.session.take_quit() {
            ctx.send_viewport_cmd(ViewportCommand::Close);
        }
        let now = ctx.input(|i| i.time);
        self.notices.retain(|n| n.until > now);
        let fresh = self.session.take_notices();
        let fresh = self.asked_again(fresh);
        self.notices.extend(fresh.into_iter().map(|notice| panels::notice::Shown { notice, until: now + NOTICE_S }));
        if let Some(first) = self.notices.iter().map(|n| n.until).min_by(f64::total_cmp) {
            ctx.request_repaint_after(Duration::from_secs_f64((first - now).max(0.05)));
        }
        let gauging = self.session.gauging().is_some_and(|g| g.measured.is_none());
        let handing_over = self.session.handing_over().is_some();
        if self.session.arranging().is_some()
            || self.session.dealing().is_some()
            || self.session.preparing() > 0
            || gauging
            || handing_over
            || self.session.is_studying()
            || self.session.improving().is_some()
        {
            ctx.request_repaint_after(Duration::from_millis(60));
        }
        if self.view.tab == Tab::Shifts {
            // The line of the time now moves.
            ctx.request_repaint_after(Duration::from_secs(20));
        }
        if self.view.lit != self.view.lit_next {
            ctx.request_repaint();
        }
        self.typed = ctx.text_edit_focused();
        self.settle(ctx);
        let mark = if self.session.changed() { "• " } else { "" };
        let title = format!("{mark}{} – Stonehand", words::plain(&self.session.file_name()));
        if title != self.title {
            ctx.send_viewport_cmd(ViewportCommand::Title(title.clone()));
            self.title = title;
        }
    }

    /// Takes in how the window looks; it is kept once it has not changed for a second.
    fn settle(&mut self, ctx: &egui::Context) {
        self.lie_on_screen(ctx);
        let window = ctx.input(|i| {
            let v = i.viewport();
            let large = v.maximized == Some(true) || v.fullscreen == Some(true);
            (large, v.inner_rect.filter(|_| !large && v.minimized != Some(true)).map(|r| r.size()))
        });
        // Points at 100 % text, which the next window begins with.
        let per_point = ctx.zoom_factor();
        let size = window.1.map(|s| [(s.x * per_point).round(), (s.y * per_point).round()]);
        let now = Settings {
            text_percent: self.view.text_percent,
            window: size.or(self.now.window),
            maximized: window.0,
            panels: self.view.sizes,
            dismissed_hints: self.view.hints.to_keep(),
            ..self.now.clone()
        }
        .with_theme(self.view.theme);
        let time = ctx.input(|i| i.time);
        if now != self.now {
            (self.now, self.settled_s) = (now, time + 1.0);
        }
        if self.now == self.kept {
            return;
        }
        if time >= self.settled_s {
            self.keep_settings();
        } else {
            ctx.request_repaint_after(Duration::from_secs_f64(self.settled_s - time));
        }
    }

    /// Keeps how the window looks for the next run.
    fn keep_settings(&mut self) {
        if self.now != self.kept {
            self.session.keep_settings(&self.now.write());
            self.kept = self.now.clone();
        }
    }

    /// Brings a window that is larger than its screen down to it, once.
    fn lie_on_screen(&mut self, ctx: &egui::Context) {
        if self.on_screen {
            return;
        }
        let known = ctx.input(|i| {
            let v = i.viewport();
            Some((v.monitor_size?, v.outer_rect?, v.inner_rect?))
        });
        let Some((screen, outer, inner)) = known else { return };
        self.on_screen = true;
        let frame = (outer.size() - inner.size()).max(egui::Vec2::ZERO);
        let room = screen - frame;
        if outer.width() > screen.x + 1.0 || outer.height() > screen.y + 1.0 {
            ctx.send_viewport_cmd(ViewportCommand::InnerSize(inner.size().min(room)));
            ctx.send_viewport_cmd(ViewportCommand::OuterPosition(egui::Pos2::ZERO));
        }
    }

    fn act(&mut self, action: Action) {
        let leaves = matches!(action, Action::New | Action::Open(_) | Action::Recover(_) | Action::Ask(Ask::Open));
        if leaves && self.session.changed() {
            self.view.over = Some(Over::Unsaved(action));
            return;
        }
        if matches!(action, Action::New | Action::Open(_) | Action::Recover(_)) {
            self.view.camera = sheet::Camera::default();
        }
        if let Action::ShowPlate(_) = action {
            let bed = self.bed();
            self.view.camera.fit(bed);
        }
        self.carry_out(action);
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
            Look::TextSize(percent) => {
                self.view.text_percent = percent;
                zoom(ctx, percent);
            }
            Look::View(tab) => self.view.tab = tab,
            Look::Guide(page) => self.view.over = Some(Over::Guide(guide::Open::at(page))),
            Look::GuideHere => {
                let begun = !self.session.job().parts.is_empty();
                let page = guide::Page::about(self.view.tab, begun);
                self.view.over = Some(Over::Guide(guide::Open::at(page)));
            }
            Look::Hints => self.view.hints.bring_back(),
            Look::TallyPlate => {
                self.view.tab = Tab::Sheet;
                let plate = self.session.plate_id();
                self.view.tally = plate.and_then(|p| TallyForm::of(&self.session, p, &self.view.initials));
            }
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
            Ask::HandOverFaulty => return self.view.over = Some(Over::FaultyFiles),
            _ if self.asking.is_some() => return,
            _ => {}
        }
        let folder = self.session.path().and_then(|p| p.parent()).map(PathBuf::from);
        let title = match self.session.job().title.trim() {
            "" => "job".to_owned(),
            title => title.to_lowercase().replace(' ', "-"),
        };
        let name = match ask {
            Ask::Timeline(file) => format!("{title}-plan.{}", file.ending()),
            Ask::RunSheet(plate) => {
                let number = self.session.job().plate_number(plate).unwrap_or_default();
                format!("{title}-plate-{number}-run-sheet.pdf")
            }
            _ => format!("{title}.stonehand"),
        };
        let question = Question { ask, folder, name };
        let wake = ctx.clone();
        let typed = std::mem::take(&mut self.typed_ahead);
        let begun = Asking::begin(self.picker.clone(), question.clone(), typed, move || wake.request_repaint());
        match begun {
            Ok(asking) => self.asking = Some(asking),
            Err(_) => self.view.over = Some(Over::Path(TypedPath::new(question, String::new()))),
        }
    }
}

/// Text and all else so large, %.
fn zoom(ctx: &egui::Context, percent: u16) {
    ctx.set_zoom_factor(f32::from(percent) / 100.0);
}

/// A ring round what the keyboard acts on, over everything: nobody has to look for it.
fn focus_ring(ui: &Ui) {
    let ctx = ui.ctx();
    let Some(response) = ctx.memory(egui::Memory::focused).and_then(|id| ctx.read_response(id)) else { return };
    // Of what is scrolled out of sight nothing is left.
    let rect = response.interact_rect;
    if rect.is_positive() {
        let layer = egui::LayerId::new(egui::Order::Tooltip, egui::Id::unique("focus ring"));
        let ring = egui::Stroke::new(2.0, Theme::of(ui.visuals()).accent);
        let corner = f32::from(size::CORNER);
        ctx.layer_painter(layer).rect_stroke(rect.expand(2.0), corner, ring, egui::StrokeKind::Inside);
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
        let minute = self.view.tab == Tab::Shifts && self.session.mind_the_clock();
        if self.session.tick() || minute {
            ctx.request_repaint();
        }
    }
    fn ui(&mut self, ui: &mut Ui, _: &mut eframe::Frame) {
        self.frame(ui);
    }
    fn on_exit(&mut self) {
        self.keep_settings();
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
