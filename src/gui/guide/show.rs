//! The guide on the screen: contents and search on the left, the page on the right.

use egui::{
    Align, Key, Label, Layout, Modifiers, RichText, ScrollArea, Sense, TextEdit, Ui, Vec2, WidgetInfo, accesskit::Role,
};

use super::{
    Open, Page,
    by_hand::BY_HAND,
    search,
    section::{Block, Keys, Section},
};
use crate::{
    drawing::{Figure, PT_MM, figure},
    gui::{
        menu,
        sheet::{Camera, ScenePainter},
        theme::{self, Theme, size},
        view::View,
    },
    session::Session,
};

/// Width of the contents, points.
const CONTENTS: f32 = 178.0;
/// In a guide narrower than this the contents are above the page, points.
const NARROW: f32 = 560.0;
/// Drawings narrower than this are scrolled sideways, points: their words would run into one another.
const LEAST_DRAWING: f32 = 460.0;
/// Between contents and page.
const BETWEEN: f32 = 22.0;
/// Wider than this lines would be hard to follow, points.
const LINE: f32 = 660.0;
/// Width of the column with keys.
const KEYS: f32 = 190.0;
/// Share of the page's height that one press of a key scrolls.
const SCROLL: f32 = 0.85;

/// A row of a list of keys.
type KeyRow = (String, &'static str);

/// Shows the guide in a room so high.
pub(crate) fn show(ui: &mut Ui, session: &Session, view: &mut View, open: &mut Open, height: f32) {
    let theme = Theme::of(ui.visuals());
    let words = search::words_of(&open.search);
    if ui.available_width() < NARROW {
        let top = ui.min_rect().bottom();
        ui.horizontal_wrapped(|ui| contents(ui, open, words.is_empty(), theme));
        let left = (height - (ui.min_rect().bottom() - top)).max(80.0);
        return page(ui, session, view, open, &words, left);
    }
    ui.with_layout(Layout::left_to_right(Align::Min), |ui| {
        ui.spacing_mut().item_spacing.x = BETWEEN;
        ui.allocate_ui_with_layout(Vec2::new(CONTENTS, height), Layout::top_down(Align::Min), |ui| {
            ui.set_min_size(Vec2::new(CONTENTS, height));
            contents(ui, open, words.is_empty(), theme);
        });
        let width = ui.available_width();
        ui.allocate_ui_with_layout(Vec2::new(width, height), Layout::top_down(Align::Min), |ui| {
            page(ui, session, view, open, &words, height);
        });
    });
}

/// The page, or what was found, in a room so high.
fn page(ui: &mut Ui, session: &Session, view: &mut View, open: &mut Open, words: &[String], height: f32) {
    let theme = Theme::of(ui.visuals());
    let width = ui.available_width();
    let salt = (open.page.name(), open.search.clone());
    let mut area = ScrollArea::vertical().id_salt(salt).auto_shrink(false).max_height(height);
    if std::mem::take(&mut open.fresh) {
        area = area.vertical_scroll_offset(0.0);
    }
    area.show(ui, |ui| {
        ui.spacing_mut().item_spacing = Vec2::new(8.0, 4.0);
        ui.set_max_width((width - 14.0).min(LINE));
        scroll_by_keys(ui, height);
        if words.is_empty() {
            title(ui, open.page.name(), theme);
            for section in open.page.sections() {
                section_ui(ui, session, view, section, words, theme);
            }
        } else {
            found(ui, session, view, words, theme);
        }
    });
}

/// The pages by name, under the words that are looked for.
fn contents(ui: &mut Ui, open: &mut Open, reading: bool, theme: &Theme) {
    let field = TextEdit::singleline(&mut open.search).hint_text("search the guide").desired_width(CONTENTS - 10.0);
    let response = ui.add(field);
    response.widget_info(|| WidgetInfo::labeled(Role::SearchInput, true, "search the guide"));
    open.fresh |= response.changed();
    let narrow = ui.layout().is_horizontal();
    if !narrow {
        ui.add_space(10.0);
    }
    for page in Page::ALL {
        let chosen = reading && page == open.page;
        let wide = if narrow { name_width(ui, page) } else { CONTENTS };
        let (rect, response) = ui.allocate_exact_size(Vec2::new(wide, size::ROW), Sense::click());
        response.widget_info(|| WidgetInfo::selected(Role::Tab, true, chosen, page.name()));
        let fill = match (chosen, response.hovered()) {
            (true, _) => Some(theme.chosen),
            (_, true) => Some(theme.hovered),
            _ => None,
        };
        if let Some(fill) = fill {
            ui.painter().rect_filled(rect, f32::from(size::CORNER), fill);
        }
        if response.has_focus() {
            let line = egui::Stroke::new(1.4, theme.accent);
            ui.painter().rect_stroke(rect, f32::from(size::CORNER), line, egui::StrokeKind::Inside);
        }
        let (font, ink) =
            if chosen { (theme::bold(size::BODY), theme.ink) } else { (theme::regular(size::BODY), theme.accent) };
        let at = rect.left_center() + Vec2::new(8.0, 0.0);
        ui.painter().text(at, egui::Align2::LEFT_CENTER, page.name(), font, ink);
        if response.on_hover_cursor(egui::CursorIcon::PointingHand).clicked() {
            *open = Open::at(page);
        }
    }
}

/// Room for a page's name in a row of names, points.
fn name_width(ui: &Ui, page: Page) -> f32 {
    let name = ui.painter().layout_no_wrap(page.name().into(), theme::bold(size::BODY), egui::Color32::PLACEHOLDER);
    name.size().x + 16.0
}

/// `PageUp` and `PageDown` scroll, whatever has the keyboard.
fn scroll_by_keys(ui: &mut Ui, height: f32) {
    let pages = ui.input_mut(|i| {
        let mut pressed = |key| f32::from(u8::from(i.consume_key(Modifiers::NONE, key)));
        pressed(Key::PageUp) - pressed(Key::PageDown)
    });
    if pages != 0.0 {
        ui.scroll_with_delta(Vec2::new(0.0, pages * height * SCROLL));
    }
}

/// Every section that holds the words, page by page.
fn found(ui: &mut Ui, session: &Session, view: &mut View, words: &[String], theme: &Theme) {
    let mut any = false;
    for page in Page::ALL {
        let hits = page.sections().iter().filter(|s| section_holds(s, page, session, view, words));
        for (n, section) in hits.collect::<Vec<_>>().into_iter().enumerate() {
            if n == 0 {
                title(ui, page.name(), theme);
            }
            any = true;
            section_ui(ui, session, view, section, words, theme);
        }
    }
    if !any {
        ui.add(Label::new(RichText::new("Nothing in the guide has these words.").color(theme.faint)).wrap());
    }
}

fn section_holds(section: &Section, page: Page, session: &Session, view: &View, words: &[String]) -> bool {
    // The whole page's name must not bring up all of its lists of keys.
    let has_keys = section.blocks.iter().any(|b| matches!(b, Block::Keys(_)));
    let name = if has_keys { "" } else { page.name() };
    let mut text = format!("{name} {} ", section.head);
    for block in section.blocks {
        match block {
            Block::Text(t) => text.push_str(t),
            Block::Steps(rows) | Block::Terms(rows) => {
                for word in rows.iter().flat_map(|(a, b)| [a, b]) {
                    text.push_str(word);
                    text.push(' ');
                }
            }
            Block::Drawing(_) => {}
            Block::Keys(keys) => {
                if rows_of(*keys, session, view).iter().any(|r| row_holds(r, words)) {
                    return true;
                }
            }
        }
        text.push(' ');
    }
    search::holds(&text, words)
}

fn row_holds((keys, what): &KeyRow, words: &[String]) -> bool {
    search::holds(&format!("{keys} {what}"), words)
}

fn title(ui: &mut Ui, name: &str, theme: &Theme) {
    let response = ui.add(Label::new(theme::strong(name).size(size::TITLE + 4.0).color(theme.ink)));
    response.widget_info(|| WidgetInfo::labeled(Role::Heading, true, name));
    ui.add_space(4.0);
}

fn section_ui(ui: &mut Ui, session: &Session, view: &mut View, section: &Section, words: &[String], theme: &Theme) {
    let head = ui.add(Label::new(theme::strong(section.head).size(size::TITLE).color(theme.ink)));
    head.widget_info(|| WidgetInfo::labeled(Role::Heading, true, section.head));
    ui.add_space(2.0);
    for block in section.blocks {
        match block {
            Block::Text(text) => drop(ui.add(Label::new(RichText::new(*text).color(theme.ink)).wrap())),
            Block::Steps(steps) => steps.iter().enumerate().for_each(|(n, (word, what))| {
                pair(ui, &format!("{}", n + 1), word, what, theme);
            }),
            Block::Terms(terms) => terms.iter().for_each(|(word, what)| pair(ui, "–", word, what, theme)),
            Block::Drawing(which) => drawing(ui, *which, &mut view.painter, theme),
            Block::Keys(keys) => {
                let rows = rows_of(*keys, session, view);
                // Where the section was found by one of its keys, only those.
                let some = !words.is_empty() && rows.iter().any(|r| row_holds(r, words));
                rows.iter().filter(|r| !some || row_holds(r, words)).for_each(|r| key_row(ui, r, theme));
            }
        }
        ui.add_space(3.0);
    }
    ui.add_space(12.0);
}

/// A number or a dash, a word in bold, and what it is.
fn pair(ui: &mut Ui, mark: &str, word: &str, what: &str, theme: &Theme) {
    ui.horizontal_top(|ui| {
        ui.spacing_mut().item_spacing.x = 0.0;
        ui.allocate_ui(Vec2::new(20.0, 0.0), |ui| {
            ui.set_width(20.0);
            ui.add(Label::new(theme::strong(mark).color(theme.faint)));
        });
        let mut text = egui::text::LayoutJob::default();
        let format = |font| egui::TextFormat::simple(font, theme.ink);
        text.append(word, 0.0, format(theme::bold(size::BODY)));
        text.append(what, 4.0, format(theme::regular(size::BODY)));
        let response = ui.add(Label::new(text).wrap());
        response.widget_info(|| WidgetInfo::labeled(Role::Label, true, format!("{word} {what}")));
    });
}

fn drawing(ui: &mut Ui, which: Figure, painter: &mut ScenePainter, theme: &Theme) {
    let width = ui.available_width().floor();
    if width < LEAST_DRAWING {
        let area = ScrollArea::horizontal().id_salt(which.words());
        area.show(ui, |ui| drawn(ui, which, painter, theme, LEAST_DRAWING));
    } else {
        drawn(ui, which, painter, theme, width);
    }
    ui.add_space(6.0);
}

fn drawn(ui: &mut Ui, which: Figure, painter: &mut ScenePainter, theme: &Theme, width: f32) {
    let height = (f64::from(width) * which.aspect()).round() as f32;
    let (rect, response) = ui.allocate_exact_size(Vec2::new(width, height), Sense::hover());
    response.widget_info(|| WidgetInfo::labeled(Role::Image, true, which.words()));
    if ui.is_rect_visible(rect) {
        let mm = |points: f32| f64::from(points) * PT_MM;
        let scene = figure(which, mm(width), mm(height));
        let mut camera = Camera::default();
        camera.set_canvas(rect, scene.view);
        painter.paint(
            &ui.painter().with_clip_rect(rect.expand(2.0).intersect(ui.clip_rect())),
            &scene.marks,
            &camera,
            theme,
        );
    }
}

/// The rows of a list: those of menus are the menus' own.
fn rows_of(keys: Keys, session: &Session, view: &View) -> Vec<KeyRow> {
    match keys {
        Keys::Menus => menu::all_keys(session, view, false),
        Keys::Sheet => menu::all_keys(session, view, true),
        Keys::ByHand(place) => {
            let here = BY_HAND.iter().filter(|(p, ..)| *p == place);
            here.map(|(_, keys, what)| ((*keys).to_owned(), *what)).collect()
        }
    }
}

fn key_row(ui: &mut Ui, (keys, what): &KeyRow, theme: &Theme) {
    ui.horizontal_top(|ui| {
        let gap = ui.spacing().item_spacing.x;
        let texts = [(theme::strong(keys), KEYS), (RichText::new(*what), ui.available_width() - KEYS)];
        for (text, width) in texts {
            let width = (width - gap).max(40.0);
            ui.allocate_ui(Vec2::new(width, 0.0), |ui| {
                ui.set_width(width);
                ui.add(Label::new(text.size(size::SMALL + 0.5).color(theme.ink)).wrap());
            });
        }
    });
}
