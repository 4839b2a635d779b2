//! The window, driven by names, pointer and keys, with no display.
//!
//! - `moves`: Pack of a part of the plate, drops that make room, a search that is taken
//! - `preferences`: what is chosen among equals; `heights`: the strip's marks and the sections on the sheet
//! - `dialogs`: questions for files, with no dialog to ask them
//! - `help`: the guide and its keys; hints that go away
//! - `fields`: what is typed and refused, drop-downs; `keyboard`: menus, focus, what is kept between runs
//! - `sheet`: the bed from the start, keep-outs by hand, copies onto the docket, rows before they are filled
//! - `files`: what is asked before a file is replaced, handed over or recovered
//! - `shifts`: the timeline, hours, plates marked
//! - `studies`: footings compared, a plate two ways
//! - `tally`: a plate tallied on the sheet, what it teaches, the checklist
//! - `twins`: two carriages, and the ghosts of what they print twice
//! - `world`: files in memory

#[path = "gui/care.rs"]
mod care;
#[path = "gui/dialogs.rs"]
mod dialogs;
#[path = "gui/fields.rs"]
mod fields;
#[path = "gui/files.rs"]
mod files;
#[path = "gui/heights.rs"]
mod heights;
#[path = "gui/help.rs"]
mod help;
#[path = "gui/keyboard.rs"]
mod keyboard;
#[path = "gui/moves.rs"]
mod moves;
#[path = "gui/preferences.rs"]
mod preferences;
#[path = "gui/sheet.rs"]
mod sheet;
#[path = "gui/shifts.rs"]
mod shifts;
#[path = "gui/studies.rs"]
mod studies;
#[path = "gui/tally.rs"]
mod tally;
#[path = "gui/twins.rs"]
mod twins;
#[path = "gui/world.rs"]
mod world;

use std::{path::PathBuf, sync::Arc};

use egui::{Key, Modifiers, Pos2, Vec2};
use egui_kittest::{
    Harness,
    kittest::{NodeT, Queryable},
};
use stonehand::{
    document::{Copy, CopyId, PartId, Sensor, TailFixed},
    estimate::PlateEstimate,
    geom::Point,
    gui::{App, Picker, Question},
    session::{Action, ArrangeLimits, Session},
    work::Runner,
};
use world::Files;

type Window = Harness<'static, App>;

/// A search that ends by itself, the same each time.
const ONE_ROUND: ArrangeLimits = ArrangeLimits { seed: 1, rounds: Some(1), time: None };

/// A dialog that always answers the same.
struct Answers(Vec<PathBuf>);

impl Picker for Answers {
    fn pick(&self, _: &Question) -> Vec<PathBuf> {
        self.0.clone()
    }
}

/// A file let go over the window.
#[derive(Debug)]
struct Dropped(PathBuf);

impl egui::DroppedFile for Dropped {
    fn path(&self) -> &std::path::Path {
        &self.0
    }
    fn bytes(&self) -> Result<Vec<u8>, String> {
        Err("only its path is asked for".into())
    }
}

fn session(files: &Files) -> Session {
    Session::new(Box::new(files.clone()), Runner::inline())
}

fn window_of(session: Session) -> Window {
    let app = App::new(session).with_theme(egui::ThemePreference::Light);
    let mut w = Harness::builder().with_size(Vec2::new(1280.0, 800.0)).with_max_steps(60).build_eframe(move |_| app);
    w.run();
    w
}

/// The sample job, opened.
fn sample_window() -> (Files, Window) {
    let files = Files::samples();
    let mut s = session(&files);
    s.act(Action::Open("/shop/hive-fittings.stonehand".into()));
    s.tick();
    (files, window_of(s))
}

/// A new job with these meshes as parts and copies of them on a plate: which part, where (mm). Nothing is selected.
fn placed_window(files: &Files, meshes: &[&str], places: &[(usize, f64, f64)]) -> Window {
    let mut s = session(files);
    s.act(Action::AddFiles(meshes.iter().map(|m| PathBuf::from("/shop").join(m)).collect()));
    s.tick();
    let parts: Vec<PartId> = s.job().parts.iter().map(|p| p.id).collect();
    for &(part, x, y) in places {
        s.act(Action::PlaceAt(parts[part], Point::new(x, y)));
        s.tick();
    }
    s.act(Action::SelectNone);
    s.tick();
    window_of(s)
}

/// A new job with three copies of one part on the plate, far apart.
fn small_window() -> (Files, Window) {
    let files = Files::samples();
    let w = placed_window(&files, &["corner-bracket.stl"], &[(0, 60.0, 60.0), (0, 140.0, 60.0), (0, 60.0, 140.0)]);
    (files, w)
}

/// The sample job with its work on threads, all of it prepared; a search may take a minute.
fn searching_window() -> Window {
    let mut s = Session::new(Box::new(Files::samples()), Runner::threads(&(Arc::new(|| ()) as _)));
    s.act(Action::Open("/shop/hive-fittings.stonehand".into()));
    s.set_limits(ArrangeLimits { seed: 1, rounds: None, time: Some(std::time::Duration::from_mins(1)) });
    let app = App::new(s);
    let mut w = Harness::builder().with_size(Vec2::new(1280.0, 800.0)).with_max_steps(60).build_eframe(move |_| app);
    until(&mut w, &|w| w.state().session().preparing() == 0 && !copies(w).is_empty());
    w
}

/// Draws frames until something has come of work on other threads.
#[track_caller]
fn until(w: &mut Window, what: &dyn Fn(&Window) -> bool) {
    for _ in 0..2000 {
        w.step();
        if what(w) {
            return;
        }
        std::thread::sleep(std::time::Duration::from_millis(5));
    }
    panic!("it never came");
}

fn copies(w: &Window) -> Vec<Copy> {
    w.state().session().plate().map(|p| p.copies.clone()).unwrap_or_default()
}

fn selected(w: &Window) -> Vec<CopyId> {
    w.state().session().selection().iter().copied().collect()
}

/// Where the middle of a copy's box lies, mm.
fn place(copy: &Copy) -> Point {
    Point::new(copy.x_mm, copy.y_mm)
}

/// Is the plate shown free of conflicts?
fn is_sound(w: &Window) -> bool {
    let s = w.state().session();
    s.plate_id().and_then(|p| s.view(p)).is_some_and(|v| v.conflicts.is_empty())
}

/// The estimate of the plate shown.
fn estimate(w: &Window) -> PlateEstimate {
    let s = w.state().session();
    s.plate_id().and_then(|p| s.view(p)).and_then(|v| v.estimate.clone()).expect("it is estimated")
}

/// Where a copy is drawn on the screen: a point inside its outline, by the ruler of two copies' boxes.
fn on_screen(w: &Window, name: &str) -> Pos2 {
    w.get_by_label_contains(name).rect().left_bottom() + Vec2::new(4.0, -4.0)
}

fn press(w: &mut Window, key: Key, modifiers: Modifiers) {
    w.key_press_modifiers(modifiers, key);
    w.run();
}

fn drag(w: &mut Window, from: Pos2, by: Vec2) {
    drag_holding(w, from, by, Modifiers::NONE);
}

/// A drag; these keys are held down when the button comes up.
fn drag_holding(w: &mut Window, from: Pos2, by: Vec2, keys: Modifiers) {
    w.hover_at(from);
    w.step();
    w.drag_at(from);
    w.step();
    for i in 1..=5 {
        w.hover_at(from + by * (i as f32 / 5.0));
        w.step();
    }
    w.event(egui::Event::ModifiersChanged(keys));
    w.drop_at(from + by);
    w.event(egui::Event::ModifiersChanged(Modifiers::NONE));
    w.run();
}

fn click(w: &mut Window, at: Pos2, modifiers: Modifiers) {
    w.hover_at(at);
    w.step();
    for pressed in [true, false] {
        w.event_modifiers(
            egui::Event::PointerButton { pos: at, button: egui::PointerButton::Primary, pressed, modifiers },
            modifiers,
        );
        w.step();
    }
    w.run();
}

#[test]
fn a_job_opens_and_everything_on_the_bed_has_a_name() {
    let (_, w) = sample_window();
    let job = w.state().session().job();
    let plate = w.state().session().plate().expect("a plate is shown");
    let first = &plate.copies[0];
    let part = job.part(first.part).expect("its part");
    let name = format!("{}, {}, at {:.1} {:.1}", job.copy_name(first), part.name, first.x_mm, first.y_mm);
    w.get_by_label_contains(&name);
    w.get_by_label(&format!("gap ring of {}", job.copy_name(first)));
    let machine = job.machine(plate.machine).expect("its machine");
    for k in &machine.keep_outs {
        assert!(w.query_all_by_label(&format!("keep-out {}", k.name)).count() > 0);
    }
    for part in &job.parts {
        w.get_by_label_contains(&format!("{}, {}, {} wanted", part.letter, part.name, part.wanted));
    }
    for n in 1..=job.plates.len() {
        w.get_by_label_contains(&format!("plate {n}, "));
    }
}

#[test]
fn nothing_to_press_or_type_into_is_without_a_name() {
    let (_, w) = sample_window();
    assert_eq!(w.unnamed_widgets(), Vec::<String>::new());
    let (_, mut w) = small_window();
    press(&mut w, Key::A, Modifiers::COMMAND);
    assert_eq!(w.unnamed_widgets(), Vec::<String>::new());
}

#[test]
fn clicks_select_and_shift_adds() {
    let (_, mut w) = small_window();
    let (a, b) = (on_screen(&w, "A 1, "), on_screen(&w, "A 2, "));
    click(&mut w, a, Modifiers::NONE);
    assert_eq!(selected(&w), [copies(&w)[0].id]);
    click(&mut w, b, Modifiers::SHIFT);
    assert_eq!(selected(&w).len(), 2);
    click(&mut w, b, Modifiers::SHIFT);
    assert_eq!(selected(&w), [copies(&w)[0].id]);
    // A click on the bare bed lets go.
    click(&mut w, a + Vec2::new(90.0, -90.0), Modifiers::NONE);
    assert!(selected(&w).is_empty());
}

#[test]
fn a_marquee_selects_what_it_touches() {
    let (_, mut w) = small_window();
    let a = w.get_by_label_contains("A 1, ").rect();
    let b = w.get_by_label_contains("A 2, ").rect();
    let from = a.left_top() - Vec2::splat(6.0);
    drag(&mut w, from, b.right_bottom() + Vec2::splat(6.0) - from);
    assert_eq!(selected(&w).len(), 2);
    assert!(w.state().session().undo_label().is_none_or(|l| l != "Move"));
}

#[test]
fn one_drag_is_one_undo_and_escape_lets_go() {
    let (_, mut w) = small_window();
    let before = copies(&w);
    let at = on_screen(&w, "A 2, ");
    drag(&mut w, at, Vec2::new(40.0, -30.0));
    let after = copies(&w);
    assert!(after[1].x_mm > before[1].x_mm + 5.0 && after[1].y_mm > before[1].y_mm + 5.0, "{:?}", after[1]);
    assert_eq!(after[0], before[0]);
    assert_eq!(w.state().session().undo_label(), Some("Move"));
    press(&mut w, Key::Z, Modifiers::COMMAND);
    assert_eq!(copies(&w), before);
    press(&mut w, Key::Z, Modifiers::COMMAND | Modifiers::SHIFT);
    assert_eq!(copies(&w), after);
    press(&mut w, Key::Z, Modifiers::COMMAND);

    let at = on_screen(&w, "A 2, ");
    w.hover_at(at);
    w.step();
    w.drag_at(at);
    w.step();
    w.hover_at(at + Vec2::new(60.0, 0.0));
    w.step();
    w.step();
    assert_ne!(copies(&w), before, "the copy follows the hand");
    w.key_press(Key::Escape);
    w.step();
    w.hover_at(at + Vec2::new(80.0, 0.0));
    w.step();
    w.drop_at(at + Vec2::new(80.0, 0.0));
    w.run();
    assert_eq!(copies(&w), before);
}

#[test]
fn machine_code_is_held_against_the_plate_and_gives_its_time_factor() {
    let (files, mut w) = small_window();
    let layer = |i: u32| format!("G1 Z{:.1} F600\nG1 X90 E5 F900\nG1 X0 E5\n", 0.2 * f64::from(i));
    files.put("/shop/plate.gcode", format!("M83\n{}", (1..900).map(layer).collect::<String>()).into_bytes());
    assert_eq!(w.query_all_by_label("Gauge").count(), 0);
    w.state_mut().session_mut().act(Action::Gauge("/shop/plate.gcode".into()));
    w.state_mut().session_mut().tick();
    w.run();
    w.get_by_label("Gauge");
    w.get_by_label_contains("in all ");
    w.get_by_label_contains("shortest layer ");
    assert_eq!(w.unnamed_widgets(), Vec::<String>::new());
    w.get_by_label("Set the time factor").click();
    w.run();
    w.state_mut().session_mut().tick();
    let session = w.state().session();
    assert!(session.job().recipes[0].time_factor > 1.0);
    assert_eq!(session.undo_label(), Some("Set the time factor"));
    reach(&mut w, "Close");
    push(&mut w, "Close");
    assert_eq!(w.query_all_by_label("Gauge").count(), 0);
}

#[test]
fn conflicts_answer_before_the_button_is_up() {
    let (_, mut w) = small_window();
    let (a, b) = (on_screen(&w, "A 1, "), on_screen(&w, "A 2, "));
    w.hover_at(b);
    w.step();
    w.drag_at(b);
    w.step();
    w.hover_at(b.lerp(a, 0.5));
    w.step();
    w.hover_at(a + Vec2::new(3.0, 0.0));
    w.step();
    w.step();
    let session = w.state().session();
    assert!(session.dragging());
    let view = session.plate_id().and_then(|p| session.view(p)).expect("the plate's view");
    assert!(!view.conflicts.is_empty(), "two brackets on one place");
    assert!(w.query_by_label_contains("overlap by").is_some(), "the finding is written");
    w.drop_at(a + Vec2::new(3.0, 0.0));
    w.run();
}

#[test]
fn the_handle_turns() {
    let (_, mut w) = small_window();
    let at = on_screen(&w, "A 1, ");
    click(&mut w, at, Modifiers::NONE);
    let rect = w.get_by_label("gap ring of A 1").rect().union(w.get_by_label_contains("A 1, ").rect());
    let frame = w.get_by_label_contains("A 1, ").rect();
    // The handle stands over the middle of the frame.
    let handle = Pos2::new(frame.center().x, frame.top() - 25.0);
    assert!(rect.top() > handle.y);
    let centre = frame.center();
    let to = centre + Vec2::new(-(centre.y - handle.y), 0.0);
    drag(&mut w, handle, to - handle);
    assert!((copies(&w)[0].turn_deg - 90.0).abs() < 0.01, "{}", copies(&w)[0].turn_deg);
    assert_eq!(w.state().session().undo_label(), Some("Turn"));
}

#[test]
fn arrows_nudge_and_typed_values_count() {
    let (_, mut w) = small_window();
    let before = copies(&w)[0].clone();
    let at = on_screen(&w, "A 1, ");
    click(&mut w, at, Modifiers::NONE);
    press(&mut w, Key::ArrowRight, Modifiers::NONE);
    press(&mut w, Key::ArrowUp, Modifiers::SHIFT);
    let now = copies(&w)[0].clone();
    assert!((now.x_mm - before.x_mm - 1.0).abs() < 1e-9 && (now.y_mm - before.y_mm - 10.0).abs() < 1e-9, "{now:?}");
    for (typed, wanted) in [("81,5", 81.5), ("8 cm + 2.25", 82.25), ("nonsense", 82.25)] {
        w.get_by_label("X").focus();
        w.run();
        w.get_by_label("X").type_text(typed);
        w.run();
        press(&mut w, Key::Enter, Modifiers::NONE);
        assert!((copies(&w)[0].x_mm - wanted).abs() < 1e-9, "{typed}: {}", copies(&w)[0].x_mm);
    }
    w.get_by_label("X").focus();
    w.run();
    w.get_by_label("X").type_text("5");
    w.run();
    press(&mut w, Key::Escape, Modifiers::NONE);
    assert!((copies(&w)[0].x_mm - 82.25).abs() < 1e-9, "Escape brings the old value back");
    assert_eq!(selected(&w).len(), 1, "and does nothing else");
}

#[test]
fn the_order_can_be_changed_in_the_table() {
    let (_, mut w) = small_window();
    w.get_by_label("wanted of A").focus();
    w.run();
    w.get_by_label("wanted of A").type_text("24");
    w.run();
    press(&mut w, Key::Enter, Modifiers::NONE);
    assert_eq!(w.state().session().job().parts[0].wanted, 24);
}

#[test]
fn everything_is_done_from_the_keyboard() {
    let (_, mut w) = small_window();
    press(&mut w, Key::PageDown, Modifiers::NONE);
    assert_eq!(selected(&w), [copies(&w)[0].id]);
    press(&mut w, Key::PageDown, Modifiers::NONE);
    assert_eq!(selected(&w), [copies(&w)[1].id]);
    press(&mut w, Key::R, Modifiers::NONE);
    assert_eq!(copies(&w)[1].turn_deg, 90.0);
    press(&mut w, Key::R, Modifiers::SHIFT);
    assert_eq!(copies(&w)[1].turn_deg, 0.0);
    press(&mut w, Key::L, Modifiers::NONE);
    assert!(copies(&w)[1].locked);
    press(&mut w, Key::L, Modifiers::SHIFT);
    press(&mut w, Key::D, Modifiers::COMMAND);
    assert_eq!(copies(&w).len(), 4);
    press(&mut w, Key::A, Modifiers::COMMAND);
    assert_eq!(selected(&w).len(), 4);
    press(&mut w, Key::Delete, Modifiers::NONE);
    assert!(copies(&w).is_empty());
    press(&mut w, Key::Z, Modifiers::COMMAND);
    assert_eq!(copies(&w).len(), 4);
    press(&mut w, Key::F1, Modifiers::NONE);
    assert!(w.query_by_label("Close").is_some());
    press(&mut w, Key::Escape, Modifiers::NONE);
    assert!(w.query_by_label("Close").is_none());
    // Tab reaches the fields and the moves.
    let mut seen = Vec::new();
    for _ in 0..60 {
        w.key_press(Key::Tab);
        w.step();
        w.step();
        let focused = w.root().children_recursive().find(egui_kittest::Node::is_focused);
        seen.extend(focused.and_then(|n| n.accesskit_node().label()));
    }
    for wanted in ["wanted of A", "gap", "Pack", "Top up", "New plate"] {
        assert!(seen.iter().any(|l| l == wanted), "Tab never came to {wanted}: {seen:?}");
    }
}

#[test]
fn pack_leaves_no_conflict() {
    let (_, mut w) = small_window();
    press(&mut w, Key::A, Modifiers::COMMAND);
    w.state_mut().session_mut().set_limits(ArrangeLimits { seed: 7, rounds: Some(2), time: None });
    arrange(&mut w, "Pack");
    assert_eq!(copies(&w).len(), 3);
    assert!(is_sound(&w));
    assert_eq!(w.state().session().undo_label(), Some("Pack this plate"));
    let before = copies(&w);
    press(&mut w, Key::Z, Modifiers::COMMAND);
    assert_ne!(copies(&w), before);
}

#[test]
fn an_area_is_drawn_and_topped_up() {
    let (_, mut w) = small_window();
    w.state_mut().session_mut().set_limits(ONE_ROUND);
    let before = copies(&w);
    let bed = w.get_by_label("sheet").rect();
    press(&mut w, Key::T, Modifiers::SHIFT);
    // The upper right quarter of the sheet, bed and all: empty in this job.
    drag(&mut w, bed.center() + Vec2::new(20.0, -20.0), Vec2::new(260.0, -180.0));
    for _ in 0..200 {
        w.step();
        if w.state().session().arranging().is_none() {
            break;
        }
    }
    let after = copies(&w);
    assert!(after.len() > before.len(), "{} copies", after.len());
    assert_eq!(after[..before.len()], before[..], "what lay there stays");
    let least = |of: fn(&Copy) -> f64| after[before.len()..].iter().map(of).fold(f64::INFINITY, f64::min);
    assert!(least(|c| c.x_mm) > 100.0 && least(|c| c.y_mm) > 100.0, "in the area alone");
}

#[test]
fn dropped_meshes_become_parts() {
    let (_, mut w) = small_window();
    w.input_mut().dropped_files.push(Arc::new(Dropped("/shop/queen-cage-peg.stl".into())));
    w.step();
    w.input_mut().dropped_files.clear();
    w.run();
    let names: Vec<&str> = w.state().session().job().parts.iter().map(|p| p.name.as_str()).collect();
    assert_eq!(names.len(), 2, "{names:?}");
    w.get_by_label_contains("B, ");
}

#[test]
fn adding_parts_asks_for_files() {
    let files = Files::samples();
    let app = App::new(session(&files)).with_picker(Arc::new(Answers(vec!["/shop/entrance-gate.stl".into()])));
    let mut w = Harness::builder().with_size(Vec2::new(1280.0, 800.0)).with_max_steps(60).build_eframe(move |_| app);
    w.run();
    w.get_by_label("Add part…").click();
    for _ in 0..200 {
        w.step();
        if !w.state().session().job().parts.is_empty() {
            break;
        }
        std::thread::sleep(std::time::Duration::from_millis(5));
    }
    assert_eq!(w.state().session().job().parts.len(), 1);
}

#[test]
fn a_wrong_path_can_be_mended() {
    let app = App::new(session(&Files::samples())).with_picker(Arc::new(Answers(Vec::new())));
    let mut w = Harness::builder().with_size(Vec2::new(1280.0, 800.0)).with_max_steps(60).build_eframe(move |_| app);
    w.run();
    w.key_press_modifiers(Modifiers::COMMAND, Key::O);
    for _ in 0..200 {
        w.step();
        if w.query_by_label("path").is_some() {
            break;
        }
        std::thread::sleep(std::time::Duration::from_millis(5));
    }
    type_into(&mut w, "path", "/shop/hive.stonehand");
    w.get_by_label("There is no file or folder /shop/hive.stonehand.");
    press(&mut w, Key::A, Modifiers::COMMAND);
    type_into(&mut w, "path", "/shop/hive-fittings.stonehand");
    assert!(w.query_by_label("path").is_none());
    assert!(!w.state().session().job().parts.is_empty());
}

/// The path of a file where a folder is asked for: the question stays with the reason, and letters go into it.
#[test]
fn a_typed_folder_stays_until_it_does() {
    let files = Files::samples();
    let mut s = session(&files);
    s.act(Action::Open("/shop/hive-fittings.stonehand".into()));
    s.tick();
    let app = App::new(s).with_picker(Arc::new(Answers(Vec::new())));
    let mut w = Harness::builder().with_size(Vec2::new(1280.0, 800.0)).with_max_steps(60).build_eframe(move |_| app);
    w.run();
    w.key_press_modifiers(Modifiers::COMMAND, Key::E);
    for _ in 0..200 {
        w.step();
        if w.query_by_label("path").is_some() {
            break;
        }
        std::thread::sleep(std::time::Duration::from_millis(5));
    }
    type_into(&mut w, "path", "/shop/entrance-gate.stl");
    w.get_by_label_contains("/shop/entrance-gate.stl: is a file: name a folder");
    let copies_before = copies(&w).len();
    // P packs where it is a command, and Delete removes.
    type_into_again(&mut w, "pt");
    assert!(w.state().session().arranging().is_none() && copies(&w).len() == copies_before);
    let typed = w.get_by_label("path").accesskit_node().value().expect("what is typed");
    assert_eq!(typed, "/shop/entrance-gate.stlpt");
    press(&mut w, Key::A, Modifiers::COMMAND);
    type_into(&mut w, "path", "/out");
    until(&mut w, &|w| w.state().session().handing_over().is_none());
    w.run();
    assert!(w.query_by_label("path").is_none());
    assert!(files.get("/out/placements.json").is_some());
}

/// Types on into what has the keyboard.
fn type_into_again(w: &mut Window, text: &str) {
    for letter in text.chars() {
        let key = Key::from_name(&letter.to_uppercase().to_string()).expect("a key");
        let event =
            |pressed| egui::Event::Key { key, physical_key: None, pressed, repeat: false, modifiers: Modifiers::NONE };
        w.input_mut().events.extend([event(true), egui::Event::Text(letter.to_string()), event(false)]);
    }
    w.run();
}

/// Asks the window to close, as its frame's cross does.
fn ask_to_close(w: &mut Window) {
    let id = w.input().viewport_id;
    w.input_mut().viewports.entry(id).or_default().events.push(egui::ViewportEvent::Close);
    w.step();
    if let Some(v) = w.input_mut().viewports.get_mut(&id) {
        v.events.clear();
    }
    w.run();
}

fn commands(w: &Window) -> Vec<egui::ViewportCommand> {
    w.output().viewport_output.values().flat_map(|v| v.commands.clone()).collect()
}

/// Steps through some frames; true when the window asked to be closed in one of them.
fn closes(w: &mut Window) -> bool {
    (0..6).any(|_| {
        w.step();
        commands(w).contains(&egui::ViewportCommand::Close)
    })
}

/// What is kept for recovery.
fn kept(files: &Files) -> Vec<PathBuf> {
    use stonehand::session::World;
    let mut all = files.list(std::path::Path::new("/own/unsaved"));
    all.retain(|p| p.extension().is_some_and(|e| e == "stonehand"));
    all
}

#[test]
fn closing_asks_about_unsaved_changes() {
    let (files, mut w) = small_window();
    w.state_mut().session_mut().set_recovers(true);
    w.state_mut().session_mut().tick();
    assert_eq!(kept(&files).len(), 1);
    ask_to_close(&mut w);
    w.get_by_label("Save the changes?");
    w.get_by_label("Cancel").click();
    assert!(!closes(&mut w));
    assert!(w.query_by_label("Save the changes?").is_none());
    assert_eq!(kept(&files).len(), 1, "thought better of it: the work is still kept");
    ask_to_close(&mut w);
    w.get_by_label("Do not save").click();
    assert!(closes(&mut w));
    assert_eq!(kept(&files), [] as [PathBuf; 0], "what is not wanted is not offered again");
    assert!(files.get("/shop/corner-bracket.stonehand").is_none());
}

#[test]
fn closing_saves_first_where_that_is_wanted() {
    let (files, mut w) = small_window();
    w.state_mut().session_mut().act(Action::SaveAs("/shop/small.stonehand".into()));
    w.state_mut().session_mut().act(Action::SetTitle("Twelve brackets".into()));
    w.run();
    ask_to_close(&mut w);
    w.get_by_label("Save").click();
    assert!(closes(&mut w));
    let saved = String::from_utf8(files.get("/shop/small.stonehand").expect("it is saved")).expect("text");
    assert!(saved.contains("Twelve brackets"));
}

#[test]
fn closing_without_changes_asks_nothing() {
    let (_, mut w) = small_window();
    w.state_mut().session_mut().act(Action::SaveAs("/shop/small.stonehand".into()));
    w.run();
    ask_to_close(&mut w);
    assert!(w.query_by_label("Save the changes?").is_none());
    assert!(!commands(&w).contains(&egui::ViewportCommand::CancelClose));
}

#[test]
fn what_is_typed_counts_when_the_hand_goes_elsewhere() {
    let (_, mut w) = small_window();
    let (a, b) = (on_screen(&w, "A 1, "), on_screen(&w, "A 2, "));
    click(&mut w, a, Modifiers::NONE);
    w.get_by_label("Y").focus();
    w.run();
    w.get_by_label("Y").type_text("71,25");
    w.run();
    click(&mut w, b, Modifiers::NONE);
    assert_eq!(copies(&w)[0].y_mm, 71.25);
    assert_eq!(selected(&w), [copies(&w)[1].id]);
    assert_eq!(copies(&w)[1].y_mm, 60.0, "and never lands in another copy");
}

#[test]
fn rows_and_columns_are_asked_for_and_filled() {
    let (_, mut w) = small_window();
    let at = on_screen(&w, "A 3, ");
    click(&mut w, at, Modifiers::NONE);
    press(&mut w, Key::D, Modifiers::COMMAND | Modifiers::SHIFT);
    w.get_by_label("columns").focus();
    w.run();
    w.get_by_label("columns").type_text("2");
    w.run();
    press(&mut w, Key::Enter, Modifiers::NONE);
    w.get_by_label("Fill").click();
    w.run();
    // Of the four places one is its own, and the upper two are off the bed.
    assert_eq!(copies(&w).len(), 3 + 1);
    assert_eq!(w.state().session().undo_label(), Some("Rows and columns"));
}

#[test]
fn the_tape_measures_from_corner_to_corner() {
    let (_, mut w) = small_window();
    press(&mut w, Key::M, Modifiers::NONE);
    let a = w.get_by_label_contains("A 1, ").rect();
    let b = w.get_by_label_contains("A 2, ").rect();
    click(&mut w, a.left_bottom() + Vec2::new(1.0, 1.0), Modifiers::NONE);
    click(&mut w, b.left_bottom() + Vec2::new(1.0, -1.0), Modifiers::NONE);
    assert!(selected(&w).is_empty(), "clicks measure, they do not select");
    press(&mut w, Key::Escape, Modifiers::NONE);
    click(&mut w, a.left_bottom() + Vec2::new(4.0, -4.0), Modifiers::NONE);
    assert_eq!(selected(&w).len(), 1);
}

#[test]
fn the_height_cursor_is_set_on_the_strip_and_moved_by_keys() {
    let (_, mut w) = small_window();
    let strip = w.get_by_label("height cursor").rect();
    click(&mut w, strip.center(), Modifiers::NONE);
    let z = w.state().session().height_mm().expect("the cursor is out");
    assert!(z > 0.0);
    press(&mut w, Key::ArrowRight, Modifiers::NONE);
    let next = w.state().session().height_mm().expect("still out");
    assert!((next - z - 0.2).abs() < 1e-9, "one layer up: {z} to {next}");
    assert!(w.query_by_label_contains("headroom at").is_some());
}

#[test]
fn the_strip_is_zoomed_moved_and_read_while_the_cursor_stays() {
    let (_, mut w) = small_window();
    let strip = w.get_by_label("height cursor").rect();
    let right = strip.right_center() - Vec2::new(2.0, 0.0);
    let at = |w: &Window| w.state().session().height_mm().expect("the cursor is out");
    click(&mut w, right, Modifiers::NONE);
    let top = at(&w);
    // The pointer reads a layer out; the cursor stays.
    w.hover_at(strip.center());
    w.run();
    for words in [" · layer ", ": headroom ", "decided by its own beads", "growing: A 1–3"] {
        w.get_by_label_contains(words);
    }
    assert_eq!(at(&w), top);
    // Four times as near about the middle, and the right edge is at 5/8 of the height.
    assert!(w.query_by_label("whole height").is_none());
    w.event(egui::Event::Zoom(4.0));
    w.run();
    w.get_by_label("whole height");
    click(&mut w, right, Modifiers::NONE);
    let near = at(&w);
    assert!((near / top - 0.625).abs() < 0.02, "{near} of {top}");
    drag(&mut w, strip.center(), Vec2::new(strip.width() * -0.25, 0.0));
    assert_eq!(at(&w), near, "dragging moves what is shown");
    click(&mut w, right, Modifiers::NONE);
    assert!((at(&w) / top - 0.6875).abs() < 0.02, "{} of {top}", at(&w));
    push(&mut w, "whole height");
    assert!(w.query_by_label("whole height").is_none());
    click(&mut w, right, Modifiers::NONE);
    assert_eq!(at(&w), top);
    // And with keys.
    press(&mut w, Key::Plus, Modifiers::NONE);
    w.get_by_label("whole height");
    press(&mut w, Key::Minus, Modifiers::NONE);
    assert!(w.query_by_label("whole height").is_none());
}

#[test]
fn marks_on_the_strip_put_the_height_cursor_there() {
    let (_files, mut w) = small_window();
    let e = estimate(&w);
    let worst = stonehand::estimate::cooling_summary(&e).worst_layer.expect("a minimum is set");
    let mark = w.get_by_label("worst layer").rect();
    click(&mut w, mark.center(), Modifiers::NONE);
    assert_eq!(w.state().session().height_mm(), Some(e.layers[worst].top_mm));
    assert!(w.query_by_label("first layer with one copy left").is_none(), "all are as tall");
}

#[test]
fn menus_offer_every_action_with_its_keys() {
    let (_, mut w) = small_window();
    for (menu, wanted) in [
        ("Job", "Save job as…"),
        ("Change", "Select all on this plate"),
        ("Plate", "Pack this plate"),
        ("View", "Measure a distance"),
        ("Help", "Keyboard shortcuts"),
    ] {
        w.get_by_label(menu).click();
        w.run();
        assert!(w.query_by_label_contains(wanted).is_some(), "{wanted} under {menu}");
        press(&mut w, Key::Escape, Modifiers::NONE);
    }
    w.get_by_label("Change").click();
    w.run();
    w.get_by_label_contains("Select all on this plate").click();
    w.run();
    assert_eq!(selected(&w).len(), 3);
}

#[test]
fn lost_work_is_offered_at_the_start() {
    let files = Files::samples();
    let job = files.get("/shop/hive-fittings.stonehand").expect("the sample job");
    files.put("/own/unsaved/hive-fittings (1).stonehand", job);
    let mut w = window_of(session(&files));
    w.get_by_label("Recover").click();
    w.run();
    assert!(w.state().session().job().plates.len() > 1);
    assert!(w.state().session().changed(), "it is not saved yet");
    assert!(files.get("/own/unsaved/hive-fittings (1).stonehand").is_some(), "it is kept until it is saved");
}

/// Pictures of the whole window. Accept new ones with `UPDATE_SNAPSHOTS=1`.
#[test]
fn the_window_looks_as_it_did() {
    let options =
        egui_kittest::SnapshotOptions::new().output_path("tests/snapshots").threshold(1.5).max_failed_pixels(400);
    let mut results = egui_kittest::SnapshotResults::new();
    for (name, theme) in [("sheet-light", egui::ThemePreference::Light), ("sheet-dark", egui::ThemePreference::Dark)] {
        let files = Files::samples();
        let mut s = session(&files);
        s.act(Action::Open("/shop/hive-fittings.stonehand".into()));
        s.tick();
        let app = App::new(s).with_theme(theme);
        let mut w =
            Harness::builder().with_size(Vec2::new(1280.0, 800.0)).with_max_steps(60).build_eframe(move |_| app);
        w.run();
        let first = copies(&w)[0].id;
        w.state_mut().session_mut().act(Action::Select { copies: vec![first], additive: false });
        w.remove_cursor();
        w.run();
        w.snapshot_options(name, &options);
        results.extend_harness(&mut w);
    }
}

#[test]
fn an_empty_job_says_what_to_do() {
    let files = Files::samples();
    let mut w = window_of(session(&files));
    w.get_by_label_contains("drop mesh files here");
    // Nothing on the way to here can be pressed into a panic.
    for key in [Key::P, Key::T, Key::R, Key::Delete, Key::PageDown, Key::M, Key::F, Key::Escape, Key::G] {
        press(&mut w, key, Modifiers::NONE);
    }
}

/// Types into a field found by name, and takes it with Enter.
fn type_into(w: &mut Window, field: &str, text: &str) {
    w.get_by_label(field).focus();
    w.run();
    w.get_by_label(field).type_text(text);
    w.run();
    press(w, Key::Enter, Modifiers::NONE);
}

/// Drops a choice down and picks from it.
fn choose(w: &mut Window, field: &str, word: &str) {
    w.get_by_label(field).click();
    w.run();
    w.query_all_by_label(word).last().expect(word).click();
    w.run();
}

/// Presses what is called so.
fn push(w: &mut Window, name: &str) {
    w.get_by_label(name).click();
    w.run();
}

/// Presses a move, and waits for what the search comes to.
fn arrange(w: &mut Window, name: &str) {
    w.get_by_label(name).click();
    w.run_steps(4);
    w.run();
    assert!(w.state().session().arranging().is_none());
}

/// Brings into sight what is called so.
fn reach(w: &mut Window, name: &str) {
    w.get_by_label(name).scroll_to_me();
    w.run();
}

/// A window on a new job with these files as parts; the first one's particulars are shown.
fn parts_window(files: &[&str]) -> (Files, Window) {
    let world = Files::samples();
    let mut s = session(&world);
    s.act(Action::AddFiles(files.iter().map(|f| PathBuf::from("/shop").join(f)).collect()));
    s.tick();
    let first = s.job().parts[0].id;
    s.act(Action::SelectPart(first));
    s.tick();
    (world, window_of(s))
}

fn height_of_first(w: &Window) -> f64 {
    let s = w.state().session();
    s.shapes()[&s.job().parts[0].id].height_mm
}

#[test]
fn three_plates_the_margins_and_the_moves_are_in_sight_at_800_points() {
    let (_, w) = sample_window();
    for name in
        ["gap", "bed edge", "footing gap", "footings may merge", "Pack", "Top up", "Place the order", "New plate"]
    {
        let rect = w.get_by_label(name).rect();
        assert!(rect.bottom() <= 764.0 && rect.left() >= 15.0, "{name}: {rect}");
    }
    let foot = w.get_by_label("New plate").rect().top();
    for n in 1..=3 {
        let line = w.get_by_label_contains(&format!("plate {n}, ")).rect();
        assert!(line.bottom() <= foot, "plate {n}: {line}");
    }
    let rows = w.state().session().job().parts.len();
    assert!(rows > 6 && w.get_by_label_contains("F, strap hook").rect().bottom() < w.get_by_label("gap").rect().top());
}

#[test]
fn what_is_chosen_in_a_long_table_is_brought_into_sight() {
    let (_, mut w) = sample_window();
    let last = *w.state().session().job().plates.last().map(|p| &p.id).expect("plates");
    w.state_mut().session_mut().act(Action::ShowPlate(last));
    w.run();
    let foot = w.get_by_label("New plate").rect().top();
    assert!(w.get_by_label_contains("plate 7, ").rect().bottom() <= foot);
    w.state_mut().session_mut().act(Action::AddFiles(vec!["/shop/entrance-gate.stl".into()]));
    w.run_steps(6);
    assert!(w.get_by_label_contains("J, entrance gate").rect().bottom() <= w.get_by_label("gap").rect().top());
}

#[test]
fn keys_are_listed_a_line_each() {
    let (_, mut w) = small_window();
    press(&mut w, Key::F1, Modifiers::NONE);
    push(&mut w, "Keyboard shortcuts");
    let rect = w.get_by_label("Ctrl + Shift + S").rect();
    assert!(rect.height() < 20.0, "{rect}");
}

#[test]
fn an_empty_window_says_where_to_begin_and_claims_nothing() {
    let files = Files::samples();
    let mut w = window_of(session(&files));
    w.get_by_label("Nothing to estimate yet.");
    w.get_by_label("Nothing to check yet.");
    assert!(w.query_by_label_contains("of 0").is_none());
    assert!(w.query_by_label_contains("Working").is_none());
    push(&mut w, "Open the sample");
    assert!(w.state().session().job().plates.len() > 3);
    assert!(w.query_by_label("An empty sheet").is_none());
}

#[test]
fn with_parts_and_no_plate_the_sheet_offers_to_place_them() {
    let (_, mut w) = parts_window(&["entrance-gate.stl"]);
    type_into(&mut w, "wanted of A", "4");
    w.state_mut().session_mut().set_limits(ONE_ROUND);
    push(&mut w, "Place the whole order");
    w.run_steps(4);
    assert_eq!(copies(&w).len(), 4);
    assert_eq!(w.state().session().undo_label(), Some("Place the whole order"));
}

#[test]
fn an_order_line_is_dragged_onto_the_sheet() {
    let (_, mut w) = small_window();
    let before = copies(&w).len();
    let line = w.get_by_label_contains("A, corner bracket, ").rect();
    let from = line.left_center() + Vec2::new(60.0, 0.0);
    let to = w.get_by_label_contains("A 2, ").rect().center() + Vec2::new(0.0, -130.0);
    drag(&mut w, from, to - from);
    assert_eq!(copies(&w).len(), before + 1);
    assert_eq!(w.state().session().undo_label(), Some("Place a copy"));
    press(&mut w, Key::Z, Modifiers::COMMAND);
    assert_eq!(copies(&w).len(), before);

    // With no plate at all it makes one.
    let (_, mut w) = parts_window(&["entrance-gate.stl"]);
    let from = w.get_by_label_contains("A, entrance gate, ").rect().left_center() + Vec2::new(60.0, 0.0);
    let to = w.get_by_label("Nothing is placed yet").rect().left_top() - Vec2::splat(60.0);
    drag(&mut w, from, to - from);
    assert_eq!(copies(&w).len(), 1);
}

#[test]
fn the_columns_keep_their_width_whatever_they_show() {
    let (_, mut w) = sample_window();
    let sheet = w.get_by_label("sheet").rect();
    let part = w.state().session().job().parts[1].id;
    w.state_mut().session_mut().act(Action::SelectPart(part));
    w.run();
    push(&mut w, "choose a face…");
    assert_eq!(w.get_by_label("sheet").rect(), sheet, "a part");
    press(&mut w, Key::A, Modifiers::COMMAND);
    assert_eq!(w.get_by_label("sheet").rect(), sheet, "copies of several parts");
    press(&mut w, Key::PageDown, Modifiers::NONE);
    push(&mut w, "Part A");
    assert_eq!(w.get_by_label("sheet").rect(), sheet, "a copy with its part");
    press(&mut w, Key::Escape, Modifiers::NONE);
    for section in ["Machine", "Material", "Recipe", "Spools"] {
        push(&mut w, section);
        assert_eq!(w.get_by_label("sheet").rect(), sheet, "{section}");
        push(&mut w, section);
    }
}

#[test]
fn a_part_is_turned_over_mirrored_scaled_and_laid_on_a_face() {
    let (_, mut w) = parts_window(&["corner-bracket.stl"]);
    let flat = height_of_first(&w);
    type_into(&mut w, "turn about X by", "90");
    let standing = height_of_first(&w);
    assert!(standing > flat * 1.5, "{flat} to {standing}");
    assert_eq!(w.state().session().undo_label(), Some("Turn part over"));
    press(&mut w, Key::Z, Modifiers::COMMAND);
    assert!((height_of_first(&w) - flat).abs() < 1e-9);
    type_into(&mut w, "turn about Y by", "90");
    assert!(height_of_first(&w) > flat * 1.5);

    // The largest face that does not lie on the bed yet brings it down flat again.
    push(&mut w, "choose a face…");
    let face = w.query_all_by_label_contains("1. ").next().expect("faces are listed").accesskit_node().label();
    let face = face.expect("with words");
    push(&mut w, &face);
    assert!((height_of_first(&w) - flat).abs() < 0.01, "{face}: {} instead of {flat}", height_of_first(&w));
    assert_eq!(w.state().session().undo_label(), Some("Lay face on the bed"));

    reach(&mut w, "mirrored");
    choose(&mut w, "mirrored", "yes");
    assert!(w.state().session().job().parts[0].pose.mirrored);
    type_into(&mut w, "scale", "102");
    assert!((height_of_first(&w) - flat * 1.02).abs() < 0.01);
}

#[test]
fn a_file_of_several_bodies_is_split_and_a_mesh_replaced() {
    let files = Files::samples();
    // Two walls of spacers in one file: the same text twice, the second moved, its corners counted on.
    let one = String::from_utf8(files.get("/shop/frame-spacer.obj").expect("the sample")).expect("text");
    let corners = one.lines().filter(|l| l.starts_with("v ")).count();
    let mut two = one.clone();
    for line in one.lines() {
        let words: Vec<&str> = line.split_whitespace().collect();
        match words.as_slice() {
            ["v", x, y, z] => two.extend([format!("\nv {} {y} {z}", x.parse::<f64>().expect("x") + 400.0)]),
            ["f", all @ ..] => {
                let counted = |c: &&str| format!("{}", c.parse::<usize>().expect("plain corners") + corners);
                two.extend([format!("\nf {}", all.iter().map(counted).collect::<Vec<_>>().join(" "))]);
            }
            _ => {}
        }
    }
    files.put("/shop/pair.obj", two.into_bytes());
    let mut s = session(&files);
    s.act(Action::AddFiles(vec!["/shop/pair.obj".into()]));
    s.tick();
    let app = App::new(s).with_picker(Arc::new(Answers(vec!["/shop/entrance-gate.stl".into()])));
    let mut w = Harness::builder().with_size(Vec2::new(1280.0, 800.0)).with_max_steps(60).build_eframe(move |_| app);
    w.run();
    push(&mut w, "Split into bodies");
    assert_eq!(w.state().session().job().parts.len(), 2);
    press(&mut w, Key::Z, Modifiers::COMMAND);
    assert_eq!(w.state().session().job().parts.len(), 1);

    let before = w.state().session().job().parts[0].mesh.clone();
    let part = w.state().session().job().parts[0].id;
    w.state_mut().session_mut().act(Action::SelectPart(part));
    w.run();
    w.get_by_label("Replace mesh…").scroll_to_me();
    w.run();
    w.get_by_label("Replace mesh…").click();
    for _ in 0..200 {
        w.step();
        if w.state().session().job().parts[0].mesh != before {
            break;
        }
        std::thread::sleep(std::time::Duration::from_millis(5));
    }
    assert_ne!(w.state().session().job().parts[0].mesh, before);
    assert_eq!(w.state().session().undo_label(), Some("Replace mesh"));
}

#[test]
fn footings_belong_to_a_part_or_to_a_copy() {
    use stonehand::document::Footing;
    let (_, mut w) = small_window();
    let at = on_screen(&w, "A 1, ");
    click(&mut w, at, Modifiers::NONE);
    choose(&mut w, "footing", "own: brim");
    assert!(matches!(copies(&w)[0].footing, Some(Footing::Brim { .. })), "{:?}", copies(&w)[0]);
    assert_eq!(copies(&w)[1].footing, None);
    type_into(&mut w, "footing width", "7");
    assert_eq!(copies(&w)[0].footing, Some(Footing::Brim { width_mm: 7.0 }));
    let part = w.state().session().job().parts[0].id;
    w.state_mut().session_mut().act(Action::SelectPart(part));
    w.run();
    choose(&mut w, "footing", "raft");
    let job = w.state().session().job();
    assert!(matches!(job.parts[0].footing, Footing::Raft { .. }));
    assert_eq!(copies(&w)[0].footing, Some(Footing::Brim { width_mm: 7.0 }), "its own stays");
    // And that is said, with the way back.
    w.get_by_label("1 copy of A keeps its own footing");
    w.get_by_label("1 copy has a footing of its own");
    reach(&mut w, "as the part");
    push(&mut w, "as the part");
    assert!(copies(&w).iter().all(|c| c.footing.is_none()));
    assert!(w.query_by_label("as the part").is_none());
}

/// The peg needs a raft: taken over from the particulars of the part, it is the part's, on every plate.
#[test]
fn a_suggested_footing_taken_for_a_part_is_the_parts() {
    use stonehand::document::Footing;
    let files = Files::samples();
    let mut w = placed_window(&files, &["queen-cage-peg.stl"], &[(0, 60.0, 60.0), (0, 120.0, 60.0)]);
    let part = w.state().session().job().parts[0].id;
    let first = copies(&w)[0].id;
    w.state_mut().session_mut().act(Action::Select { copies: vec![first], additive: false });
    w.state_mut().session_mut().act(Action::Footing(Some(Footing::Brim { width_mm: 1.0 })));
    w.state_mut().session_mut().act(Action::SelectPart(part));
    w.state_mut().session_mut().tick();
    w.run();
    let use_it = w.query_all_by_label_contains("for part A").next().expect("it is offered").accesskit_node().label();
    let use_it = use_it.expect("it has a name");
    reach(&mut w, &use_it);
    push(&mut w, &use_it);
    let footing = w.state().session().job().parts[0].footing;
    assert!(footing != Footing::Bare && use_it.contains(footing.kind()), "{use_it}: {footing:?}");
    let all = copies(&w);
    assert_eq!((all[0].footing, all[1].footing), (Some(Footing::Brim { width_mm: 1.0 }), None), "{all:?}");
    w.get_by_label_contains("with its own");
}

#[test]
fn machines_materials_and_recipes_are_edited() {
    let (_, mut w) = small_window();
    let edited = |w: &mut Window, field: &str, text: &str| {
        reach(w, field);
        type_into(w, field, text);
    };
    push(&mut w, "Material");
    edited(&mut w, "density", "1,3");
    push(&mut w, "Material");
    push(&mut w, "Recipe");
    edited(&mut w, "layer height", "0.3");
    push(&mut w, "Recipe");
    push(&mut w, "Machine");
    edited(&mut w, "bed width", "180");
    push(&mut w, "Add keep-out");
    edited(&mut w, "keep-out X", "12");
    let job = w.state().session().job();
    let plate = w.state().session().plate().expect("a plate");
    let machine = job.machine(plate.machine).expect("its machine");
    assert_eq!(machine.bed.size_mm().0, 180.0);
    assert_eq!(machine.keep_outs.len(), 1);
    assert!(machine.keep_outs[0].outline.iter().all(|p| p.x >= 12.0));
    assert_eq!(job.material(plate.material).map(|m| m.density_g_cm3), Some(1.3));
    assert_eq!(job.recipe(plate.recipe).map(|r| r.layer_height_mm), Some(0.3));
    assert_eq!(w.unnamed_widgets(), Vec::<String>::new());
    push(&mut w, "remove keep-out clip");
    assert_eq!(w.state().session().undo_label(), Some("Change machine"));
}

#[test]
fn copies_line_up_and_go_to_other_plates() {
    let (_, mut w) = small_window();
    press(&mut w, Key::A, Modifiers::COMMAND);
    push(&mut w, "Line up left edges");
    let x = copies(&w)[0].x_mm;
    assert!(copies(&w).iter().all(|c| (c.x_mm - x).abs() < 1e-6), "{:?}", copies(&w));
    assert_eq!(w.state().session().undo_label(), Some("Line up left edges"));
    push(&mut w, "Change");
    w.get_by_label_contains("Move to").click();
    w.run();
    push(&mut w, "A new plate");
    assert_eq!(w.state().session().job().plates.len(), 2);
    assert_eq!(copies(&w).len(), 3, "the new plate is shown");
    push(&mut w, "Plate");
    push(&mut w, "Earlier in the docket");
    let s = w.state().session();
    assert_eq!(s.plate_id(), s.job().plates.first().map(|p| p.id));
}

#[test]
fn a_spool_is_put_on_the_shelf_weighed_and_chosen() {
    let (_, mut w) = small_window();
    press(&mut w, Key::Escape, Modifiers::NONE);
    push(&mut w, "Spools");
    reach(&mut w, "New spool");
    push(&mut w, "New spool");
    let spool = |w: &Window| w.state().session().job().spools[0].clone();
    assert_eq!(spool(&w).grams_left, 1000.0);
    w.get_by_label_contains(", 1.00 kg").scroll_to_me();
    w.run();
    let head = format!("{}, 1.00 kg", spool(&w).name);
    push(&mut w, &head);
    reach(&mut w, "grams left");
    type_into(&mut w, "grams left", "0,5");
    reach(&mut w, "sensor");
    choose(&mut w, "sensor", "motion");
    reach(&mut w, "tail fixed to hub");
    choose(&mut w, "tail fixed to hub", "no");
    let now = spool(&w);
    assert_eq!((now.grams_left, now.sensor, now.tail_fixed), (0.5, Sensor::Motion, TailFixed::No));
    reach(&mut w, "spool");
    choose(&mut w, "spool", &now.name);
    let s = w.state().session();
    assert_eq!(s.plate().and_then(|p| p.spool), Some(now.id));
    let told: Vec<&str> = s.findings().iter().map(|f| f.text.as_str()).filter(|t| t.contains("runs out")).collect();
    assert!(told.len() == 1 && told[0].contains("when the filament stops"), "{told:?}");
    assert_eq!(s.undo_label(), Some("Spool of plate"));
}

#[test]
fn a_search_shows_itself_and_is_cancelled() {
    let mut w = searching_window();
    let before = w.state().session().job().clone();
    w.get_by_label("Pack").click();
    until(&mut w, &|w| w.query_by_label("Take best so far").is_some());
    // Copies, density, bound, time.
    until(&mut w, &|w| w.query_by_label_contains(" of 60 s").is_some());
    w.get_by_label_contains(" % covered, ");
    // What is shown is the best layout so far; the job itself waits.
    until(&mut w, &|w| !std::ptr::eq(w.state().session().shown_job(), w.state().session().job()));
    assert_eq!(w.state().session().job(), &before);
    w.get_by_label("Cancel").click();
    until(&mut w, &|w| w.state().session().arranging().is_none());
    assert_eq!(w.state().session().job(), &before);
    until(&mut w, &|w| w.query_by_label("Pack").is_some());
}

#[test]
fn jobs_are_saved_opened_and_offered_again() {
    let (files, mut w) = small_window();
    w.state_mut().session_mut().act(Action::SaveAs("/shop/three.stonehand".into()));
    w.run();
    assert!(files.get("/shop/three.stonehand").is_some());
    w.get_by_label("three.stonehand · saved");
    press(&mut w, Key::A, Modifiers::COMMAND);
    press(&mut w, Key::Delete, Modifiers::NONE);
    w.get_by_label("three.stonehand · changed");
    press(&mut w, Key::N, Modifiers::COMMAND);
    push(&mut w, "Do not save");
    w.get_by_label("An empty sheet");
    push(&mut w, "three");
    assert_eq!(copies(&w).len(), 3);
    press(&mut w, Key::R, Modifiers::NONE);
    press(&mut w, Key::A, Modifiers::COMMAND);
    press(&mut w, Key::R, Modifiers::NONE);
    press(&mut w, Key::S, Modifiers::COMMAND);
    w.get_by_label("three.stonehand · saved");
}

#[test]
fn headroom_is_spoken_and_the_cursor_put_away() {
    let (_, mut w) = sample_window();
    w.get_by_label_contains("least headroom 0.");
    let strip = w.get_by_label("height cursor").rect();
    click(&mut w, strip.right_center() - Vec2::new(3.0, 0.0), Modifiers::NONE);
    w.get_by_label_contains("headroom at 9");
    press(&mut w, Key::H, Modifiers::NONE);
    assert_eq!(w.state().session().height_mm(), None);
}

#[test]
fn a_folder_of_machine_code_is_listed_the_shortest_first() {
    let (files, mut w) = small_window();
    let layer = |i: u32| format!("G1 Z{:.1} F600\nG1 X90 E5 F900\nG1 X0 E5\n", 0.2 * f64::from(i));
    for (name, layers) in [("long", 90), ("short", 9)] {
        let code = format!("M83\n{}", (1..=layers).map(layer).collect::<String>());
        files.put(format!("/night/{name}.gcode"), code.into_bytes());
    }
    w.state_mut().session_mut().act(Action::GaugeFolder("/night".into()));
    w.state_mut().session_mut().tick();
    w.run();
    w.get_by_label_contains("2 of 2 files in night");
    w.get_by_label_contains("path with a bead ");
    w.get_by_label_contains("layer times over height: ");
    assert_eq!(w.unnamed_widgets(), Vec::<String>::new());
    let top = |name: &str| w.get_by_label_contains(name).rect().top();
    assert!(top("short.gcode ") < top("long.gcode "));
    w.get_by_label_contains("long.gcode ").click();
    w.run();
    assert_eq!(w.state().session().gauging().map(stonehand::session::Gauging::name), Some("long.gcode".into()));
}
