//! What is selected.

use crate::{
    document::{Copy, CopyId, PartId, Plate},
    session::Session,
};

impl Session {
    pub(super) fn selected(&self) -> Vec<CopyId> {
        self.selection.iter().copied().collect()
    }

    pub(super) fn select(&mut self, copies: &[CopyId], additive: bool) {
        let here: Vec<CopyId> = self.plate().into_iter().flat_map(|p| &p.copies).map(|c| c.id).collect();
        if !additive {
            self.selection.clear();
        }
        for id in copies.iter().filter(|c| here.contains(c)) {
            // One copy asked for again is let go; a whole marquee only ever adds.
            if additive && copies.len() == 1 && self.selection.contains(id) {
                self.selection.remove(id);
            } else {
                self.selection.insert(*id);
            }
        }
        if let [one] = self.selected()[..] {
            self.part = self.job().copy(one).map(|(_, c)| c.part).or(self.part);
        }
    }

    pub(super) fn selected_copies<'a>(&'a self, plate: &'a Plate) -> impl Iterator<Item = &'a Copy> + 'a {
        plate.copies.iter().filter(|c| self.selection.contains(&c.id))
    }

    pub(super) fn select_all(&mut self) {
        self.selection = self.plate().into_iter().flat_map(|p| &p.copies).map(|c| c.id).collect();
    }

    pub(super) fn select_none(&mut self) {
        self.selection.clear();
        self.part = None;
    }

    /// All copies of a part on the plate shown, and its particulars.
    pub(super) fn select_part(&mut self, id: PartId) {
        self.part = Some(id);
        self.selection =
            self.plate().into_iter().flat_map(|p| &p.copies).filter(|c| c.part == id).map(|c| c.id).collect();
    }
}
