//! What holds a part down, as a choice and a width.

use egui::Ui;

use crate::{
    document::{Footing, limits::FOOTING_WIDTH},
    gui::{
        theme::size,
        widgets::{Choice, NumberField, Rule, Unit, line},
    },
};

/// "brim 5.0 mm", "bare".
pub(super) fn words(f: Footing) -> String {
    f.words()
}

/// What was chosen.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) enum Chosen {
    /// The part's own footing.
    Inherit,
    /// This one.
    Own(Footing),
}

/// The footing that copies have without one of their own.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) enum OfPart {
    /// That of the one part, or of parts that agree.
    One(Footing),
    /// Those of parts that differ.
    Each,
}

impl OfPart {
    fn words(self) -> String {
        match self {
            Self::One(f) => format!("as the part: {}", f.words()),
            Self::Each => "as each part".to_owned(),
        }
    }
    fn footing(self) -> Option<Footing> {
        match self {
            Self::One(f) => Some(f),
            Self::Each => None,
        }
    }
}

/// Shows a footing and, where it has one, its width. For copies, `of_part` is what they have while `own` is `None`.
pub(super) fn show(
    ui: &mut Ui,
    whose: impl egui::AsIdSalt + Copy,
    own: Option<Footing>,
    of_part: Option<OfPart>,
    various: bool,
) -> Option<Chosen> {
    let now = own.or(of_part.and_then(OfPart::footing)).unwrap_or_default();
    let named = |f: Footing| if of_part.is_some() { format!("own: {}", f.kind()) } else { f.kind().to_owned() };
    let width = if now.width_mm() > 0.0 { now.width_mm() } else { 5.0 };
    let mut chosen = None;
    line(ui, "footing", Rule::None, |ui| {
        let mut choices = Vec::new();
        if let Some(of_part) = of_part {
            choices.push((Chosen::Inherit, of_part.words()));
        }
        for f in [Footing::Bare, Footing::Brim { width_mm: width }, Footing::Raft { width_mm: width }] {
            choices.push((Chosen::Own(f), named(f)));
        }
        let current = if various {
            "various".to_owned()
        } else {
            match (own, of_part) {
                (None, Some(of_part)) => of_part.words(),
                _ => named(now),
            }
        };
        chosen = Choice::new("footing", current)
            .width(if of_part.is_some() { size::NAME_WIDTH } else { size::FIELD_WIDTH })
            .of(whose)
            .show(ui, choices);
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
