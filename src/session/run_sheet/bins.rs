//! Labels for bins: one for every part that comes off a plate.

use crate::{
    document::{Plate, PlateId},
    drawing::run_sheet::{BinLabel, PageHead},
    session::Session,
    words,
};

impl Session {
    /// Labels plate by plate, with the plate each belongs to; plates that have failed, and empty ones, have none.
    pub(in crate::session) fn bin_labels(&self, head: &PageHead) -> Vec<(PlateId, BinLabel)> {
        let plates = self.job().plates.iter().enumerate();
        plates.flat_map(|(i, p)| self.labels_of(p, i + 1, head)).collect()
    }

    fn labels_of(&self, plate: &Plate, number: usize, head: &PageHead) -> Vec<(PlateId, BinLabel)> {
        let job = self.job();
        let made = job.made_on(plate, |id| self.shapes().get(&id).is_some_and(|s| s.own_mirror));
        let machine = job.machine(plate.machine).map_or("?", |m| m.name.as_str());
        let material = job.material(plate.material).map_or("", |m| m.name.as_str());
        let of = |part: &crate::document::Part| {
            let count = *made.get(&part.id)?;
            let due = part.due.as_ref().map(|d| format!("due {}", words::plain(d)));
            let more = [material, plate.colour.as_str()].into_iter().filter(|w| !w.is_empty());
            let more: Vec<String> = more.map(|w| words::plain(w).into_owned()).chain(due).collect();
            let label = BinLabel {
                order: head.job.clone(),
                part: format!("{} · {}", part.letter, words::plain(&part.name)),
                count,
                plate: format!("Plate {number} of {}, {}", job.plates.len(), words::plain(machine)),
                more: more.join(", "),
            };
            Some((plate.id, label))
        };
        job.parts.iter().filter_map(of).collect()
    }
}
