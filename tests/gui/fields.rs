//! What is typed: refused input stays with its reason, and drop-downs answer to the keyboard.

use egui::{Key, Modifiers};
use egui_kittest::kittest::{NodeT, Queryable};
use stonehand::document::LayerFloor;

use super::{Window, copies, on_screen, press, push, reach, session, small_window, type_into, window_of, world::Files};

fn text_of(w: &Window, field: &str) -> String {
    w.get_by_label(field).value().unwrap_or_default()
}

#[test]
fn half_a_copy_stays_on_screen_with_its_reason() {
    let (_, mut w) = small_window();
    type_into(&mut w, "wanted of A", "2.5");
    assert_eq!(w.state().session().job().parts[0].wanted, 1, "nothing was rounded unasked");
    assert_eq!(text_of(&w, "wanted of A"), "2.5");
    w.get_by_label("A: Type a whole number, such as 3.");
    // Somewhere else in the meantime: still there.
    type_into(&mut w, "gap", "4");
    w.get_by_label("A: Type a whole number, such as 3.");
    type_into(&mut w, "wanted of A", "3");
    assert_eq!(w.state().session().job().parts[0].wanted, 3);
    assert!(w.query_by_label_contains("whole number").is_none());
}

#[test]
fn a_number_out_of_range_stays_on_screen_with_what_is_allowed() {
    let (_, mut w) = small_window();
    let at = on_screen(&w, "A 1, ");
    super::click(&mut w, at, Modifiers::NONE);
    let before = copies(&w);
    type_into(&mut w, "X", "5e9 km");
    assert_eq!(copies(&w), before);
    assert_eq!(text_of(&w, "X"), "5e9 km");
    assert!(w.query_by_label_contains("is not a number or a unit").is_some());
    type_into(&mut w, "X", "99999999");
    assert_eq!(text_of(&w, "X"), "99999999");
    assert!(w.query_by_label_contains("Allowed: ").is_some());
    // Escape drops it.
    w.get_by_label("X").focus();
    w.run();
    press(&mut w, Key::Escape, Modifiers::NONE);
    assert!(w.query_by_label_contains("Allowed: ").is_none());
    assert_eq!(copies(&w), before);
    type_into(&mut w, "X", "81");
    assert_eq!(copies(&w)[0].x_mm, 81.0);
}

#[test]
fn what_was_refused_goes_when_the_value_changes() {
    let (_, mut w) = small_window();
    type_into(&mut w, "gap", "4");
    type_into(&mut w, "gap", "-4");
    assert_eq!(text_of(&w, "gap"), "-4");
    press(&mut w, Key::Z, Modifiers::COMMAND);
    press(&mut w, Key::Z, Modifiers::COMMAND);
    assert_eq!(w.state().session().job().margins.gap_mm, 3.0);
    assert_eq!(text_of(&w, "gap"), "3.0 mm");
}

#[test]
fn drop_downs_are_worked_by_keys_and_close() {
    let (_, mut w) = small_window();
    let open = |w: &Window| w.query_all_by_label("yes").count() > 0;
    w.get_by_label("footings may merge").focus();
    w.run();
    press(&mut w, Key::Enter, Modifiers::NONE);
    assert!(open(&w));
    press(&mut w, Key::Escape, Modifiers::NONE);
    assert!(!open(&w), "Escape closes it");
    assert!(w.get_by_label("footings may merge").accesskit_node().is_focused(), "and gives the keyboard back");
    assert!(!w.state().session().job().margins.footings_may_merge);
    press(&mut w, Key::Enter, Modifiers::NONE);
    press(&mut w, Key::ArrowDown, Modifiers::NONE);
    press(&mut w, Key::Enter, Modifiers::NONE);
    assert!(w.state().session().job().margins.footings_may_merge);
    assert!(!open(&w), "Enter closes it");
    assert!(w.get_by_label("footings may merge").accesskit_node().is_focused());
}

#[test]
fn a_minimum_layer_time_is_told_before_there_is_a_plate() {
    let files = Files::samples();
    let mut w = window_of(session(&files));
    assert!(w.state().session().job().plates.is_empty());
    // PLA in layers of 0.2 mm: ρ c h / h_c · ln((T₀ − T_a)/(T_lim − T_a)) = 1240 · 1800 · 0.0002 / 50 · ln(185/35), by hand.
    let by_hand = 1240.0 * 1800.0 * 0.0002 / 50.0 * (185.0_f64 / 35.0).ln();
    let recipe = w.state().session().job().recipes[0].clone();
    let mut set = |floor| {
        let recipe = stonehand::document::Recipe { floor, ..recipe.clone() };
        w.state_mut().session_mut().act(stonehand::session::Action::SetRecipe(Box::new(recipe)));
        w.run();
        let node = w.get_by_label_contains("minimum layer time ");
        node.value().or(node.accesskit_node().label()).unwrap_or_default()
    };
    assert_eq!(set(LayerFloor::Material), format!("minimum layer time {by_hand:.1} s"));
    assert_eq!(set(LayerFloor::Typed { seconds: 12.0 }), "minimum layer time 12.0 s");
    assert_eq!(set(LayerFloor::None), "minimum layer time none");
    let by_size = set(LayerFloor::MaterialBySize);
    assert!(by_size.ends_with("(5 to 50 mm wide)"), "{by_size}");
}

#[test]
fn costs_are_told_in_the_currency_of_the_job() {
    let (_, mut w) = small_window();
    assert!(w.query_by_label_contains(", cost 0.").is_some());
    push(&mut w, "Material");
    reach(&mut w, "currency of the job");
    type_into(&mut w, "currency of the job", "EUR");
    assert_eq!(w.state().session().job().currency, "EUR");
    assert!(
        w.query_all_by_label_contains(", cost 0.").any(|n| {
            n.accesskit_node().value().or(n.accesskit_node().label()).is_some_and(|l| l.ends_with(" EUR"))
        })
    );
    type_into(&mut w, "currency of the job", "12 euros");
    assert_eq!(w.state().session().job().currency, "EUR");
    assert!(w.query_by_label_contains("Write a currency code").is_some());
    assert_eq!(w.state().session().undo_label(), Some("Currency"));
}

#[test]
fn a_new_job_has_one_machine_and_uses_no_other() {
    let files = Files::samples();
    let mut s = session(&files);
    s.act(stonehand::session::Action::AddFiles(vec![
        "/shop/entrance-gate.stl".into(),
        "/shop/corner-bracket.stl".into(),
    ]));
    s.tick();
    s.set_limits(super::ONE_ROUND);
    let mut w = window_of(s);
    type_into(&mut w, "wanted of A", "14");
    type_into(&mut w, "wanted of B", "30");
    push(&mut w, "Place the whole order");
    w.run_steps(6);
    let job = w.state().session().job();
    assert_eq!(job.machines.len(), 1);
    assert!(job.plates.len() > 1, "{} plates", job.plates.len());
    assert!(job.plates.iter().all(|p| p.machine == job.machines[0].id));
}
