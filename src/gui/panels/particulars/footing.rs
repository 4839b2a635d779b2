//! What holds a part down, as a choice and a width.

use egui::Ui;

use crate::{
    document::{Footing, limits::FOOTING_WIDTH},
    gui::widgets::{Choice, NumberField, Rule, Unit, line, quantity},
};

/// "brim 5.0 mm", "bare".
pub(super) fn words(f: Footing) -> String {
    match f {
        Footing::Bare => "bare".into(),
        other => format!("{} {}", other.kind(), quantity::show(other.width_mm(), Unit::Mm)),
    }
}

/// What was chosen.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) enum Chosen {
    /// The part's own footing.
    Inherit,
    /// This one.
    Own(Footing),
}

/// Shows a footing and, where it has one, its width. `inherited` offers the part's; `own` is `None` while that holds.
pub(super) fn show(
    ui: &mut Ui,
    whose: impl egui::AsIdSalt + Copy,
    own: Option<Footing>,
    inherited: Option<Footing>,
    various: bool,
) -> Option<Chosen> {
    let now = own.or(inherited).unwrap_or_default();
    let width = if now.width_mm() > 0.0 { now.width_mm() } else { 5.0 };
    let mut chosen = None;
    line(ui, "footing", Rule::None, |ui| {
        let mut choices = Vec::new();
        if let Some(f) = inherited {
            choices.push((Chosen::Inherit, format!("part: {}", words(f))));
        }
        for f in [Footing::Bare, Footing::Brim { width_mm: width }, Footing::Raft { width_mm: width }] {
            choices.push((Chosen::Own(f), f.kind().to_owned()));
        }
        let current = if various {
            "various".to_owned()
        } else {
            match (own, inherited) {
                (None, Some(f)) => format!("part: {}", words(f)),
                _ => now.kind().to_owned(),
            }
        };
        chosen = Choice::new("footing", current).of(whose).show(ui, choices);
    });
    if let (false, Some(f @ (Footing::Brim { width_mm } | Footing::Raft { width_mm }))) = (various, own) {
        line(ui, "footing width", Rule::None, |ui| {
            let field =
                NumberField::new("footing width", width_mm, Unit::Mm).allowed(FOOTING_WIDTH).step(0.5).of(whose);
            if let Some(width_mm) = field.show(ui) {
                chosen = Some(Chosen::Own(match f {
                    Footing::Raft { .. } => Footing::Raft { width_mm },
                    _ => Footing::Brim { width_mm },
                }));
            }
        });
    }
    chosen
}
