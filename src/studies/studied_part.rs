//! A part as a study knows it.

use std::sync::Arc;

use super::MARGIN_WANTED;
use crate::{
    document::Footing,
    estimate::Profile,
    geom::Region,
    plate::PartShape,
    stability::{Conditions, Judgement, MassProfile, Stance, Suggestion, judge, suggest_footing},
};

/// All that is known of a part in its pose and recipe.
#[derive(Debug, Clone)]
pub struct StudiedPart {
    /// The part from above.
    pub shape: Arc<PartShape>,
    /// What one copy costs in its recipe.
    pub profile: Arc<Profile>,
    /// Its mass over height.
    pub mass: MassProfile,
    /// What its supports stand on; empty without supports.
    pub supports: Region,
}

impl StudiedPart {
    /// What one copy stands on besides its contact.
    fn patches(&self) -> Option<&Region> {
        Some(&self.supports).filter(|s| !s.is_empty())
    }
    /// True where there is something that stands.
    pub(super) fn is_solid(&self) -> bool {
        let holds = self.mass.layers().iter().any(|l| l.volume_mm3 > 0.0);
        holds && !self.shape.shadow.is_empty() && !self.shape.contact.is_empty()
    }
    /// How firmly it stands on a footing.
    pub(super) fn judged(&self, footing: Footing, c: &Conditions) -> Judgement {
        judge(&self.mass, &Stance::new(self.shape.contact.region(), self.patches(), footing, c), c)
    }
    /// The footing that it needs.
    pub(super) fn suggested(&self, c: &Conditions) -> Suggestion {
        suggest_footing(&self.mass, self.shape.contact.region(), self.patches(), c, MARGIN_WANTED)
    }
}
