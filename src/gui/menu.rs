//! The menu bar: every action under one of five words.

use egui::{
    Align, Button, FocusDirection, Id, Key, Layout, Modifiers, Popup, RichText, Stroke, TextFormat, Ui, text::LayoutJob,
};

use super::{
    guide::Page,
    keys,
    look::Look,
    settings::TEXT_SIZES,
    theme::{self, Theme, size},
    view::View,
    views::Tab,
    wish::Wish,
};
use crate::{
    document::Footing,
    drawing::run_sheet::PrintPaper,
    session::{Action, Ask, Scope, Session, Side, TimelineFile, TopUp},
};

/// A line of a menu.
pub(crate) enum Item {
    /// One wish.
    Wish(Wish),
    /// A wish under another name, "Undo move".
    Named(String, Wish),
    /// A choice of one among several: marked when it holds.
    Marked(String, bool, Wish),
    /// A hairline.
    Rule,
    /// A menu within the menu.
    Sub(&'static str, Vec<Item>),
}

fn act(a: Action) -> Item {
    Item::Wish(a.into())
}

fn look(l: Look) -> Item {
    Item::Wish(l.into())
}

/// All menus, as they are now.
pub(crate) fn menus(session: &Session, view: &View) -> [(&'static str, Vec<Item>); 5] {
    [
        ("Job", job_menu(session)),
        ("Change", change_menu(session)),
        ("Plate", plate_menu(session)),
        ("View", view_menu(view)),
        ("Help", help_menu(view)),
    ]
}

fn job_menu(session: &Session) -> Vec<Item> {
    let recent =
        session.recent().iter().map(|p| Item::Named(p.display().to_string(), Action::Open(p.clone()).into())).collect();
    let twins = session.job().plates.iter().any(|p| session.job().twin(p).is_some());
    let halves = twins.then(|| act(Action::BothHalves(!session.hands_over_both_halves())));
    let mut all = vec![
        act(Action::New),
        act(Action::Ask(Ask::Open)),
        Item::Sub("Recent jobs", recent),
        Item::Rule,
        act(Action::Save),
        act(Action::Ask(Ask::SaveAs)),
        Item::Rule,
        act(Action::Ask(Ask::AddParts)),
        act(Action::Ask(Ask::Export)),
    ];
    let plan = [TimelineFile::Calendar, TimelineFile::Table].map(|file| act(Action::Ask(Ask::Timeline(file))));
    all.extend(halves);
    all.extend(plan);
    all.extend(PrintPaper::ALL.into_iter().filter(|p| *p != session.print_paper()).map(|p| act(Action::PrintOn(p))));
    all.extend([
        act(Action::Ask(Ask::Gauge)),
        act(Action::Ask(Ask::GaugeFolder)),
        Item::Rule,
        look(Look::TallyPlate),
        act(Action::Ask(Ask::ReadTally)),
        act(Action::Ask(Ask::WriteTally)),
        Item::Rule,
        act(Action::RefreshFromShop),
        act(Action::KeepAsShop),
        Item::Rule,
        act(Action::Quit),
    ]);
    all
}

fn change_menu(session: &Session) -> Vec<Item> {
    let with = |word: &str, label: Option<&str>| label.map_or_else(|| word.to_owned(), |l| format!("{word}: {l}"));
    let sides = [Side::Left, Side::MiddleAcross, Side::Right, Side::Front, Side::MiddleUp, Side::Back];
    let footings = [
        ("As its part".to_owned(), None),
        ("Bare".to_owned(), Some(Footing::Bare)),
        ("Brim 5 mm".to_owned(), Some(Footing::Brim { width_mm: 5.0 })),
        ("Raft 4 mm".to_owned(), Some(Footing::Raft { width_mm: 4.0 })),
    ];
    let shown = session.plate().map(|p| p.id);
    let mut plates: Vec<Item> = session
        .job()
        .plates
        .iter()
        .enumerate()
        .filter(|(_, p)| Some(p.id) != shown)
        .map(|(i, p)| Item::Named(format!("Plate {}", i + 1), Action::ToPlate(Some(p.id)).into()))
        .collect();
    plates.push(Item::Named("A new plate".into(), Action::ToPlate(None).into()));
    vec![
        Item::Named(with("Undo", session.undo_label()), Action::Undo.into()),
        Item::Named(with("Redo", session.redo_label()), Action::Redo.into()),
        Item::Rule,
        act(Action::SelectAll),
        act(Action::SelectNone),
        look(Look::NextCopy),
        look(Look::PreviousCopy),
        Item::Rule,
        act(Action::Duplicate),
        look(Look::RowsAndColumns),
        act(Action::Turn(90.0)),
        act(Action::Turn(-90.0)),
        Item::Sub("Line up", sides.map(|s| act(Action::Align(s))).into()),
        Item::Rule,
        act(Action::Lock(true)),
        act(Action::Lock(false)),
        Item::Sub(
            "Footing of copies",
            footings.into_iter().map(|(word, f)| Item::Named(word, Action::Footing(f).into())).collect(),
        ),
        Item::Sub("Move to", plates),
        Item::Rule,
        act(Action::Delete),
    ]
}

fn plate_menu(session: &Session) -> Vec<Item> {
    let mut items = vec![act(Action::NewPlate)];
    if let Some(plate) = session.plate() {
        items.push(act(Action::Ask(Ask::RunSheet(plate.id))));
        items.push(act(Action::Ask(Ask::ExportPlate(plate.id))));
        items.push(act(Action::DuplicatePlate(plate.id)));
        items.push(act(Action::RemovePlate(plate.id)));
        let at = session.job().plates.iter().position(|p| p.id == plate.id).unwrap_or(0);
        if at > 0 {
            items.push(Item::Named("Earlier in the docket".into(), Action::OrderPlate(plate.id, at - 1).into()));
        }
        if at + 1 < session.job().plates.len() {
            items.push(Item::Named("Later in the docket".into(), Action::OrderPlate(plate.id, at + 1).into()));
        }
    }
    items.extend([
        Item::Rule,
        act(Action::Pack(Scope::Plate)),
        act(Action::Pack(Scope::Selection)),
        act(Action::Pack(Scope::Job)),
        act(Action::Pack(Scope::Order)),
        act(Action::Deal),
        act(Action::TopUp(TopUp::Order)),
        look(Look::TopUpArea),
        act(Action::MoveAllApart),
        Item::Rule,
        look(Look::KeepOut),
        Item::Rule,
        act(Action::Take),
        act(Action::Cancel),
    ]);
    items
}

fn help_menu(view: &View) -> Vec<Item> {
    let mut items = vec![look(Look::GuideHere), look(Look::Guide(Page::Keys)), look(Look::Guide(Page::Safety))];
    if view.hints.any_gone() {
        items.push(look(Look::Hints));
    }
    items.extend([Item::Rule, look(Look::About)]);
    items
}

fn view_menu(view: &View) -> Vec<Item> {
    let mark = |l: Look, on: bool| Item::Marked(l.name().into(), on, l.into());
    let theme = view.theme;
    let sizes = TEXT_SIZES.map(|percent| {
        Item::Marked(format!("{percent} %"), percent == view.text_percent, Look::TextSize(percent).into())
    });
    let sizes = sizes.into();
    vec![
        mark(Look::View(Tab::Sheet), view.tab == Tab::Sheet),
        mark(Look::View(Tab::Studies), view.tab == Tab::Studies),
        mark(Look::View(Tab::Shifts), view.tab == Tab::Shifts),
        Item::Rule,
        look(Look::WholeBed),
        look(Look::Selection),
        look(Look::Larger),
        look(Look::Smaller),
        Item::Rule,
        mark(Look::Measure, view.measuring()),
        mark(Look::GapRings, view.gap_rings),
        mark(Look::FailingSpots, view.failing_spots),
        act(Action::ShowHeight(None)),
        Item::Rule,
        Item::Sub("Text size", sizes),
        Item::Rule,
        mark(Look::Light, theme == egui::ThemePreference::Light),
        mark(Look::Dark, theme == egui::ThemePreference::Dark),
        mark(Look::AsSystem, theme == egui::ThemePreference::System),
    ]
}

/// The bar: menus on the left, the job's file and state on the right. `open` opens the menu of that number and gives it
/// the keyboard; the arrow keys go from menu to menu.
pub(crate) fn bar(ui: &mut Ui, session: &Session, view: &View, open: Option<usize>, wishes: &mut Vec<Wish>) {
    egui::MenuBar::new().ui(ui, |ui| {
        ui.spacing_mut().item_spacing.x = 4.0;
        ui.spacing_mut().button_padding.x = 7.0;
        let open = open.or_else(|| beside(ui));
        let mut heads = Vec::new();
        for (n, (word, items)) in menus(session, view).into_iter().enumerate() {
            let head = head(ui, word);
            let response = ui.menu_button(head, |ui| items_ui(ui, session, &items, wishes)).response;
            if open == Some(n) {
                Popup::open_id(ui.ctx(), Popup::default_response_id(&response));
                response.request_focus();
            }
            heads.push(response.id);
        }
        ui.data_mut(|d| d.insert_temp(heads_id(ui), heads));
        ui.with_layout(Layout::right_to_left(Align::Center), |ui| {
            let theme = Theme::of(ui.visuals());
            ui.label(RichText::new(state(session)).color(theme.faint).small());
        });
    });
}

/// Where the ids of the menus' words are kept.
fn heads_id(ui: &Ui) -> Id {
    ui.scope_id().with("menu heads")
}

/// The menu beside the open one, where an arrow key asks for it.
fn beside(ui: &Ui) -> Option<usize> {
    let heads: Vec<Id> = ui.data(|d| d.get_temp(heads_id(ui)))?;
    let focused = ui.memory(egui::Memory::focused)?;
    let now = heads.iter().position(|id| *id == focused && Popup::is_id_open(ui.ctx(), id.with("popup")))?;
    let (left, right) = ui.input(|i| (i.key_pressed(Key::ArrowLeft), i.key_pressed(Key::ArrowRight)));
    if left == right {
        return None;
    }
    // The open menu shall not take the key for its own.
    ui.memory_mut(|m| m.move_focus(FocusDirection::None));
    let step = if right { 1 } else { heads.len() - 1 };
    Some((now + step) % heads.len())
}

/// A menu's word; its letter is underlined while Alt is held.
fn head(ui: &Ui, word: &str) -> LayoutJob {
    let ink = Theme::of(ui.visuals()).ink;
    let plain = TextFormat::simple(theme::regular(size::BODY), ink);
    let alt = ui.input(|i| i.modifiers.alt);
    let line = if alt { Stroke::new(1.0, ink) } else { Stroke::NONE };
    let mut job = LayoutJob::default();
    let (letter, rest) = word.split_at(1);
    job.append(letter, 0.0, TextFormat { underline: line, ..plain.clone() });
    job.append(rest, 0.0, plain);
    job
}

/// The menu that F10, or Alt with a letter, asks for in this frame; the keys are taken. Without such a menu Alt is no part of
/// any one-letter command.
pub(crate) fn asked_for(ctx: &egui::Context, session: &Session, view: &View) -> Option<usize> {
    let words: Vec<&str> = menus(session, view).iter().map(|(word, _)| *word).collect();
    ctx.input_mut(|i| {
        if i.consume_key(Modifiers::NONE, Key::F10) {
            return Some(0);
        }
        // There Alt writes letters.
        if cfg!(target_os = "macos") {
            return None;
        }
        words.iter().position(|word| {
            let key = Key::from_name(&word[..1]);
            key.is_some_and(|key| i.consume_key(Modifiers::ALT, key))
        })
    })
}

/// "hive-fittings.stonehand · saved".
fn state(session: &Session) -> String {
    let file = session
        .path()
        .and_then(|p| p.file_name())
        .map_or_else(|| "not saved yet".to_owned(), |n| n.to_string_lossy().into_owned());
    match (session.path().is_some(), session.changed()) {
        (true, true) => format!("{file} · changed"),
        (true, false) => format!("{file} · saved"),
        (false, _) => file,
    }
}

fn items_ui(ui: &mut Ui, session: &Session, items: &[Item], wishes: &mut Vec<Wish>) {
    for item in items {
        match item {
            Item::Rule => {
                ui.separator();
            }
            Item::Sub(word, inner) => {
                ui.add_enabled_ui(!inner.is_empty(), |ui| {
                    ui.menu_button(*word, |ui| items_ui(ui, session, inner, wishes));
                });
            }
            Item::Wish(wish) => item_ui(ui, session, wish.name(), None, wish, wishes),
            Item::Named(name, wish) => item_ui(ui, session, name, None, wish, wishes),
            Item::Marked(name, on, wish) => item_ui(ui, session, name, Some(*on), wish, wishes),
        }
    }
}

fn item_ui(ui: &mut Ui, session: &Session, name: &str, mark: Option<bool>, wish: &Wish, wishes: &mut Vec<Wish>) {
    let mut button = Button::new(name);
    if let Some(keys) = keys::shortcut(wish.shortcut()) {
        button = button.shortcut_text(ui.ctx().format_shortcut(&keys));
    }
    if let Some(on) = mark {
        button = button.selected(on);
    }
    let response = ui.add_enabled(wish.enabled(session), button);
    let response = if wish.tooltip().is_empty() { response } else { response.on_hover_text(wish.tooltip()) };
    if response.clicked() {
        wishes.push(wish.clone());
        ui.close();
    }
}

/// What the keys pressed this frame ask for, one after the other; `typing` keeps those for a text field that belong to
/// it. What is typed after the keys of a question belongs to the question, and is returned: a slow frame may bring both.
pub(crate) fn from_keys(
    ctx: &egui::Context,
    typing: bool,
    session: &Session,
    view: &View,
    wishes: &mut Vec<Wish>,
) -> String {
    let mut all = Vec::new();
    for (_, items) in menus(session, view) {
        flatten(items, &mut all);
    }
    // More modifiers first: Shift+R before R.
    let mut keyed: Vec<_> = all.into_iter().filter_map(|w| keys::shortcut(w.shortcut()).map(|k| (k, w))).collect();
    keyed.sort_by_key(|(k, _)| {
        let m = k.modifiers;
        std::cmp::Reverse([m.alt, m.shift, m.command].into_iter().filter(|on| *on).count())
    });
    let focused = ctx.memory(|m| m.focused().is_some());
    let mut from = 0;
    while let Some((at, key, modifiers)) = keys::next_press(ctx, from) {
        let wish = keyed.iter().find(|(k, wish)| {
            k.logical_key == key
                && modifiers.matches_logically(k.modifiers)
                && modifiers.alt == k.modifiers.alt
                && !(typing && keys::belongs_to_typing(*k))
                // Enter and Space press what has the focus.
                && !(focused && matches!(key, Key::Enter | Key::Space))
                && (view.tab == Tab::Sheet || !wish.is_of_the_sheet())
                && wish.enabled(session)
        });
        let Some((_, wish)) = wish else {
            from = at + 1;
            continue;
        };
        ctx.input_mut(|i| drop(i.events.remove(at)));
        wishes.push(wish.clone());
        from = at;
        if wish.asks(session) {
            return keys::take_typed(ctx, from);
        }
    }
    String::new()
}

fn flatten(items: Vec<Item>, into: &mut Vec<Wish>) {
    for item in items {
        match item {
            Item::Wish(w) | Item::Named(_, w) | Item::Marked(_, _, w) => into.push(w),
            Item::Sub(_, inner) => flatten(inner, into),
            Item::Rule => {}
        }
    }
}

/// All keys with what they do, for the guide; or only those about what lies on the sheet.
pub(crate) fn all_keys(session: &Session, view: &View, of_the_sheet: bool) -> Vec<(String, &'static str)> {
    let mut all = Vec::new();
    for (_, items) in menus(session, view) {
        flatten(items, &mut all);
    }
    let listed = |w: &&Wish| !w.shortcut().is_empty() && (!of_the_sheet || w.is_of_the_sheet());
    all.iter().filter(listed).map(|w| (w.shortcut().replace('+', " + "), w.name())).collect()
}
