//! Tables of typed numbers.

use egui::Ui;

use crate::{
    document::limits::Allowed,
    gui::widgets::{NumberField, Rule, Unit, line},
};

/// One number of a thing: how it is called, what it measures, what is taken, and where it is kept. `per` is the kept
/// value of one shown unit: 0.01 where a share is shown in percent.
pub(super) struct Number<T> {
    pub(super) label: &'static str,
    pub(super) unit: Unit,
    pub(super) allowed: Allowed,
    pub(super) step: f64,
    pub(super) per: f64,
    pub(super) tooltip: &'static str,
    pub(super) place: fn(&mut T) -> &mut f64,
}

/// A number kept as it is shown; how far an arrow key goes stands beside what is allowed.
pub(super) const fn number<T>(
    label: &'static str,
    unit: Unit,
    (allowed, step): (Allowed, f64),
    tooltip: &'static str,
    place: fn(&mut T) -> &mut f64,
) -> Number<T> {
    Number { label, unit, allowed, step, per: 1.0, tooltip, place }
}

/// Shows the numbers of `thing`, one a line. True when one was changed.
pub(super) fn show<T>(ui: &mut Ui, whose: impl egui::AsIdSalt + Copy, thing: &mut T, numbers: &[Number<T>]) -> bool {
    let mut changed = false;
    for n in numbers {
        line(ui, n.label, Rule::None, |ui| {
            let value = (n.place)(thing);
            let field = NumberField::new(n.label, *value / n.per, n.unit)
                .range(n.allowed.least / n.per, n.allowed.most / n.per)
                .step(n.step);
            if let Some(v) = field.of(whose).tooltip(n.tooltip).show(ui) {
                *value = v * n.per;
                changed = true;
            }
        });
    }
    changed
}

/// A whole number, one a line. True when it was changed.
pub(super) fn count(ui: &mut Ui, whose: impl egui::AsIdSalt, label: &str, value: &mut u32, allowed: Allowed) -> bool {
    line(ui, label, Rule::None, |ui| {
        let field = NumberField::new(label, f64::from(*value), Unit::Count).allowed(allowed);
        let taken = field.of(whose).show(ui);
        if let Some(v) = taken {
            *value = v as u32;
        }
        taken.is_some()
    })
}

/// Yes or no, one a line. The new one when it was changed.
pub(super) fn yes_or_no(ui: &mut Ui, whose: impl egui::AsIdSalt, label: &str, now: Option<bool>) -> Option<bool> {
    let word = match now {
        Some(true) => "yes",
        Some(false) => "no",
        None => "various",
    };
    line(ui, label, Rule::None, |ui| {
        let choices = [(true, "yes".to_owned()), (false, "no".to_owned())];
        crate::gui::widgets::Choice::new(label, word).of(whose).show(ui, choices)
    })
}

#[cfg(test)]
pub(super) mod tests {
    use super::Number;
    use crate::document::limits;

    /// Each field changes a number of the thing, and takes just what the table of limits allows of that number.
    pub(in crate::gui::panels::particulars) fn take_what_is_allowed<T: Clone>(
        thing: &T,
        fields: &[Number<T>],
        table: &[limits::Number<T>],
    ) {
        for field in fields {
            let values = |t: &T| table.iter().map(|n| (n.value)(t)).collect::<Vec<_>>();
            let mut changed = thing.clone();
            *(field.place)(&mut changed) += 0.125;
            let (before, after) = (values(thing), values(&changed));
            let moved: Vec<_> = table.iter().zip(before.iter().zip(&after)).filter(|(_, (b, a))| b != a).collect();
            let [(number, _)] = &moved[..] else { panic!("{}: changes one number", field.label) };
            assert_eq!(field.allowed, number.allowed, "{}", field.label);
        }
    }
}
