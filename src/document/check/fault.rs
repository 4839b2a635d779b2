//! A breach of a rule, and numbers against their table.

use crate::document::limits::{Allowed, Number};

/// A breach of a rule.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Fault {
    /// Where: `plates[2].copies[14].part`.
    pub place: String,
    /// What is wrong, and what to do: a clause that goes on after "… at *place*: ".
    pub text: String,
}

impl Fault {
    pub(super) fn new(place: impl Into<String>, text: impl Into<String>) -> Self {
        Self { place: place.into(), text: text.into() }
    }
}

/// Adds a fault for each number of a thing that its table does not allow; `place` is where the thing stands in the file.
pub(super) fn numbers<T>(thing: &T, table: &[Number<T>], place: &str, faults: &mut Vec<Fault>) {
    for n in table {
        if let Some(value) = (n.value)(thing) {
            within(faults, format!("{place}.{}", n.key), value, n.allowed);
        }
    }
}

/// Adds a fault where a number is not allowed.
pub(super) fn within(faults: &mut Vec<Fault>, place: String, value: f64, Allowed { least, most, .. }: Allowed) {
    if !value.is_finite() {
        faults.push(Fault::new(place, format!("{value} is not a number; write one from {least} to {most}")));
    } else if value < least || value > most {
        faults.push(Fault::new(place, format!("{value} is out of range; write a number from {least} to {most}")));
    }
}
