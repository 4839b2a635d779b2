//! Suggested footings taken over.

use crate::{
    document::{Footing, PlateId},
    session::{PartStanding, Session, SessionError},
};

impl Session {
    /// Copies on a plate that could tip over and for which another footing is suggested.
    pub fn needing_footing(&self, plate: PlateId) -> usize {
        self.to_change(plate).map(|(s, _)| s.copies.len()).sum()
    }

    fn to_change(&self, plate: PlateId) -> impl Iterator<Item = (&PartStanding, Footing)> {
        let standing = self.view(plate).map_or(&[][..], |v| &v.standing);
        standing.iter().filter_map(|s| {
            let (judgement, suggested) = (&s.judged.judgement, &s.judged.suggestion);
            let helps = judgement.tips_above_mm.is_some() && suggested.margin > judgement.margin();
            (helps && suggested.footing != s.footing).then_some((s, suggested.footing))
        })
    }

    /// Gives all copies that need it the footing suggested for them, as one step.
    pub(super) fn use_suggested_footings(&mut self, label: &str, plate: PlateId) -> Result<(), SessionError> {
        let changes: Vec<_> = self.to_change(plate).map(|(s, footing)| (s.copies.clone(), footing)).collect();
        if changes.is_empty() {
            return Err(SessionError::Other("no copy on this plate needs another footing".into()));
        }
        self.give_footings(label, changes)
    }
}
