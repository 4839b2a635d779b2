//! Questions that a button answers, with what hangs on them.

use std::time::Duration;

use egui::{Label, Ui};

use super::{
    lies_over::Over,
    outcome::{Outcome, buttons},
    wish::Wish,
};
use crate::{
    drawing::words,
    session::{Action, SaveDoubt, Session, Unsaved},
};

/// A day, s.
const DAY_S: u64 = 86_400;

/// Recover what a run left unsaved?
pub(super) fn recovery(ui: &mut Ui, unsaved: Unsaved, wishes: &mut Vec<Wish>) -> Outcome {
    let when = unsaved.age.map_or_else(String::new, |age| format!(" Last change: {}.", ago(age)));
    let text = format!("{} was not saved before the program ended.{when} Recover the changes?", unsaved.name);
    ui.add(Label::new(text).wrap());
    match buttons(ui, &["Recover", "Discard", "Decide later"]) {
        Some(0) => wishes.push(Action::Recover(unsaved.path).into()),
        Some(1) => wishes.push(Action::Forget(unsaved.path).into()),
        Some(_) => {}
        None => return Outcome::Open(Over::Recovery(unsaved)),
    }
    Outcome::Closed
}

/// "12 min ago".
fn ago(age: Duration) -> String {
    match age.as_secs() {
        s if s < 60 => "less than a minute ago".to_owned(),
        s if s < 2 * DAY_S => format!("{} ago", words::time(s as f64)),
        s => format!("{} days ago", s / DAY_S),
    }
}

/// Replace a file that somebody may want?
pub(super) fn replace(ui: &mut Ui, session: &Session, wishes: &mut Vec<Wish>) -> Outcome {
    let Some(replacing) = session.replacing() else { return Outcome::Closed };
    let more = match replacing.why {
        SaveDoubt::Changed => " Overwriting it loses those changes; opening it discards yours.",
        SaveDoubt::Protected | SaveDoubt::Taken => "",
    };
    ui.add(Label::new(format!("{}{more}", replacing.sentence())).wrap());
    let names: &[&str] = match replacing.why {
        SaveDoubt::Changed => &["Save as a copy", "Overwrite", "Open what is there", "Cancel"],
        SaveDoubt::Protected | SaveDoubt::Taken => &["Save as a copy", "Overwrite", "Cancel"],
    };
    match buttons(ui, names).and_then(|n| names.get(n)) {
        Some(&"Save as a copy") => wishes.push(Action::SaveCopy.into()),
        Some(&"Overwrite") => wishes.push(Action::Overwrite.into()),
        Some(&"Open what is there") => return Outcome::GiveUp(Action::Open(replacing.path.clone())),
        Some(_) => return Outcome::Closed,
        None => return Outcome::Open(Over::Replace),
    }
    Outcome::Answered
}

/// Hand over what has faults?
pub(super) fn hand_over(ui: &mut Ui, session: &Session, wishes: &mut Vec<Wish>) -> Outcome {
    let Some(doubt) = session.hand_over_doubt() else { return Outcome::Closed };
    for line in doubt.lines() {
        ui.add(Label::new(line).wrap());
    }
    match buttons(ui, &["Cancel", "Hand over anyway"]) {
        Some(1) => wishes.push(Action::ExportAnyway.into()),
        Some(_) => {}
        None => return Outcome::Open(Over::FaultyFiles),
    }
    Outcome::Closed
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn ages_are_told_in_words() {
        let told = [3, 720, 90_000, 400_000].map(|s| ago(Duration::from_secs(s)));
        assert_eq!(told, ["less than a minute ago", "12 min ago", "25 h 00 min ago", "4 days ago"]);
    }
}
