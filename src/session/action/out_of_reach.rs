//! Copies moved where a fall reaches nothing that still grows.

use crate::{
    document::CopyId,
    edit::Put,
    geom::{Placement, Region},
    plate::nearest_where,
    session::{Session, SessionError},
};

impl Session {
    /// Moves each of these copies, all on one plate, to the nearest place beyond the reach of its fall from every copy that still grows
    /// then, as one step. Locked ones stay.
    pub(super) fn move_out_of_reach(&mut self, label: &str, copies: &[CopyId]) -> Result<(), SessionError> {
        let job = self.shared_job();
        let Some((plate, _)) = copies.first().and_then(|id| job.copy(*id)) else {
            return Err(SessionError::Other("there is no such copy".into()));
        };
        let Some(checker) = self.checker(plate.id).cloned() else { return Ok(()) };
        let farthest_mm = job.machine(plate.machine).map_or(0.0, |m| {
            let bed = Region::from(m.bed.outline(1.0));
            let b = bed.bounds();
            b.width().hypot(b.height())
        });
        let mut moved: Vec<(CopyId, Placement)> = Vec::new();
        for copy in plate.copies.iter().filter(|c| copies.contains(&c.id) && !c.locked) {
            let (Some(shape), Some(height_mm)) = (self.shapes().get(&copy.part).cloned(), self.fall_height_mm(copy.id))
            else {
                continue;
            };
            let growing: Vec<_> = plate
                .copies
                .iter()
                .filter(|c| c.id != copy.id)
                .filter_map(|c| {
                    let there = moved.iter().find(|(id, _)| *id == c.id).map_or(c.placement(), |m| m.1);
                    let shape = self.shapes().get(&c.part)?;
                    (self.top_mm(c.id)? >= height_mm).then(|| (shape.clone(), there))
                })
                .collect();
            let clear = |at: Placement| {
                growing.iter().all(|(other, there)| {
                    shape.contact.distance_within(at, &other.shadow, *there, height_mm + 1.0) > height_mm
                })
            };
            let Some(to) = nearest_where(&checker, &moved, copy.id, farthest_mm, &clear) else {
                return Err(SessionError::Other(format!(
                    "no place on this plate lies beyond the reach of a fall of {} ({height_mm:.0} mm): move it to a plate of its own",
                    job.copy_name(copy)
                )));
            };
            if to != copy.placement() {
                moved.push((copy.id, to));
            }
        }
        let put = |(id, at): &(CopyId, Placement)| {
            let (plate, copy) = job.copy(*id)?;
            Some(Put { x_mm: at.x, y_mm: at.y, ..Put::as_it_lies(copy, plate.id) })
        };
        let puts: Vec<Put> = moved.iter().filter_map(put).collect();
        if puts.is_empty() {
            return Err(SessionError::Other("a fall of these copies reaches nothing that still grows".into()));
        }
        self.put(label, puts)
    }
}
