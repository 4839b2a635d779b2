//! How firmly a part stands, with everything that is told about it.

use std::sync::Arc;

use super::StandingMass;
use crate::{
    document::Footing,
    plate::PartShape,
    stability::{
        Conditions, Judgement, Look, SideView, Stance, Suggestion, judge, looks, looks_on, suggest_footing,
        telling_side_rad,
    },
};

/// The margin that a suggested footing reaches: the safety factor is in the margin already.
const WANTED: f64 = 1.0;

/// A part with one footing, judged.
#[derive(Debug, Clone)]
pub struct Judged {
    /// Its mass over height.
    pub mass: Arc<StandingMass>,
    /// What it stands on.
    pub stance: Stance,
    /// Its margins.
    pub judgement: Judgement,
    /// What else is worth a look.
    pub looks: Vec<Look>,
    /// The footing that it needs.
    pub suggestion: Suggestion,
    /// It from the side that tells most.
    pub side: SideView,
    /// What it was judged under.
    pub conditions: Conditions,
}

impl Judged {
    /// Judges a part with a footing; `supported` where its recipe has supports. Widening a contact of a thousand corners for every
    /// footing tried takes longer than a frame.
    pub fn new(
        mass: Arc<StandingMass>,
        shape: &PartShape,
        footing: Footing,
        supported: bool,
        conditions: Conditions,
    ) -> Self {
        let contact = shape.contact.region();
        let supports = Some(&mass.supports).filter(|s| !s.is_empty());
        let stance = Stance::new(contact, supports, footing, &conditions);
        let judgement = judge(&mass.mass, &stance, &conditions);
        let turn = telling_side_rad(&mass.mass, &stance);
        let side = SideView::new(&mass.sections, &mass.mass, contact, footing, &judgement, &conditions, turn);
        let looks = looks(&mass.mass, contact, supported, &conditions);
        let looks = looks_on(looks, &mass.mass, footing, &stance, &conditions);
        let suggestion = suggest_footing(&mass.mass, contact, supports, &conditions, WANTED);
        Self { mass, stance, judgement, looks, suggestion, side, conditions }
    }
}
