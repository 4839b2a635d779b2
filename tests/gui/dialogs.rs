//! Questions for files: a dialog that is slow, that never comes up, that comes late.

use std::{
    path::PathBuf,
    sync::{Arc, Mutex, mpsc},
};

use egui::{Key, Modifiers, Vec2};
use egui_kittest::{Harness, kittest::Queryable};
use stonehand::{
    gui::{App, Picker, Question},
    session::Action,
};

use super::{Window, copies, press, session, small_window, until};

/// A dialog that ends when it is told to, with nothing picked.
struct Ends(Mutex<mpsc::Receiver<()>>);

impl Picker for Ends {
    fn pick(&self, _: &Question) -> Vec<PathBuf> {
        let told = self.0.lock().map(|end| end.recv().is_ok());
        assert!(told.is_ok_and(|t| t), "it is told to end");
        Vec::new()
    }
}

/// A window on a saved job with three selected copies, whose dialogs end when told to.
fn waiting_window() -> (Window, mpsc::Sender<()>) {
    let (files, mut small) = small_window();
    small.state_mut().session_mut().act(Action::SaveAs("/shop/small.stonehand".into()));
    small.run();
    let mut s = session(&files);
    s.act(Action::Open("/shop/small.stonehand".into()));
    s.tick();
    s.act(Action::SelectAll);
    let (end, ends) = mpsc::channel();
    let app = App::new(s).with_picker(Arc::new(Ends(Mutex::new(ends))));
    let mut w = Harness::builder().with_size(Vec2::new(1280.0, 800.0)).with_max_steps(60).build_eframe(move |_| app);
    w.run();
    (w, end)
}

/// Types as a person does: a key and its letter.
fn type_letters(w: &mut Window, letters: &str) {
    for c in letters.chars() {
        if let Some(key) = Key::from_name(&c.to_uppercase().to_string()) {
            w.key_press(key);
        }
        w.event(egui::Event::Text(c.to_string()));
        w.step();
    }
}

#[test]
fn while_a_question_is_open_no_letter_is_a_command() {
    let (mut w, end) = waiting_window();
    let before = copies(&w);
    w.key_press_modifiers(Modifiers::COMMAND, Key::I);
    w.step();
    w.step();
    type_letters(&mut w, "tprdl");
    w.key_press_modifiers(Modifiers::COMMAND, Key::D);
    w.key_press(Key::Delete);
    w.key_press(Key::ArrowRight);
    w.step();
    assert_eq!(copies(&w), before);
    assert!(w.state().session().arranging().is_none());
    // It took long to fail, and nobody looked for a while: the question is still asked, in the window.
    std::thread::sleep(std::time::Duration::from_millis(400));
    end.send(()).expect("it listens");
    std::thread::sleep(std::time::Duration::from_millis(400));
    until(&mut w, &|w| w.query_by_label("path").is_some());
    w.step();
    w.step();
    type_letters(&mut w, ".stl");
    assert_eq!(copies(&w), before);
    let typed = w.get_by_label("path").value().unwrap_or_default();
    assert_eq!(typed, "tprdl.stl", "it has what was typed meanwhile, and the keyboard at once");
    w.get_by_label_contains("are looked for in /shop");
}

#[test]
fn letters_in_one_frame_with_the_keys_of_a_question_belong_to_it() {
    let (mut w, end) = waiting_window();
    let before = copies(&w);
    // A slow frame brings all at once.
    let key = |key, modifiers| egui::Event::Key { key, physical_key: None, pressed: true, repeat: false, modifiers };
    w.input_mut().events.push(key(Key::I, Modifiers::COMMAND));
    for c in "trd".chars() {
        let letter = Key::from_name(&c.to_uppercase().to_string()).expect("a key");
        w.input_mut().events.extend([key(letter, Modifiers::NONE), egui::Event::Text(c.to_string())]);
    }
    w.step();
    end.send(()).expect("it listens");
    until(&mut w, &|w| w.query_by_label("path").is_some());
    w.step();
    assert_eq!(w.get_by_label("path").value().as_deref(), Some("trd"));
    assert_eq!(copies(&w), before);
    assert!(w.state().session().arranging().is_none());
}

#[test]
fn the_question_in_the_window_takes_the_keyboard_from_whatever_had_it() {
    let (mut w, end) = waiting_window();
    w.get_by_label("gap").focus();
    w.run();
    w.key_press_modifiers(Modifiers::COMMAND, Key::O);
    w.step();
    end.send(()).expect("it listens");
    until(&mut w, &|w| w.query_by_label("path").is_some());
    w.step();
    w.step();
    type_letters(&mut w, "small.stonehand");
    assert_eq!(w.get_by_label("path").value().unwrap_or_default(), "small.stonehand");
    press(&mut w, Key::Enter, Modifiers::NONE);
    assert!(w.query_by_label("path").is_none(), "a name alone is found beside the job");
    assert_eq!(w.state().session().path(), Some(std::path::Path::new("/shop/small.stonehand")));
}

#[test]
fn a_dialog_that_was_there_and_was_closed_asks_nothing_more() {
    let (mut w, end) = waiting_window();
    w.key_press_modifiers(Modifiers::COMMAND, Key::O);
    w.step();
    w.input_mut().focused = false;
    w.step();
    std::thread::sleep(std::time::Duration::from_millis(400));
    end.send(()).expect("it listens");
    w.input_mut().focused = true;
    for _ in 0..20 {
        w.step();
        std::thread::sleep(std::time::Duration::from_millis(5));
    }
    assert!(w.query_by_label("path").is_none());
    press(&mut w, Key::R, Modifiers::NONE);
    assert!(copies(&w).iter().any(|c| c.turn_deg != 0.0), "keys act again");
}
