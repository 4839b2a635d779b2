//! Copies placed where there is room, while the person waits.

use std::collections::BTreeMap;

use crate::{
    document::{PartId, PlateId},
    edit::{Command, PlateTarget, Put, apply},
    geom::Point,
    packing::{self, Aim, Layout},
    plate,
    session::{Session, SessionError},
    watch::{Quiet, Watch},
    work::Deadline,
};

/// Time for placing single copies while the person waits.
const AT_ONCE: std::time::Duration = std::time::Duration::from_millis(400);

impl Session {
    /// Places for more copies on a plate, everything else staying where it is; an error where none fits.
    pub(super) fn find_room(&self, plate: PlateId, counts: &BTreeMap<PartId, usize>) -> Result<Vec<Put>, SessionError> {
        let (job, shapes, prepared) = (self.job(), self.shapes(), self.prepared());
        let mut work = job.clone();
        let mut puts = Vec::new();
        for (&part, &count) in counts {
            let mut task = plate::top_up_task(&work, &[plate], Some(part), None, true, shapes, prepared)
                .map_err(|e| SessionError::Other(e.to_string()))?;
            if let Aim::TopUp { at_most, .. } = &mut task.problem.aim {
                for m in at_most {
                    *m = (*m).min(count);
                }
            }
            let quiet = Quiet;
            let deadline: Deadline<'_, Layout> = Deadline::new(&quiet, Some(AT_ONCE));
            let layout = packing::solve(&task.problem, 1, Some(1), &deadline as &dyn Watch<Layout>);
            let found: Vec<Put> = task
                .mapping
                .back(&layout)
                .plates
                .iter()
                .flat_map(|p| &p.copies)
                .map(|c| Put {
                    copy: None,
                    part: c.part,
                    plate: PlateTarget::Existing(plate),
                    x_mm: c.at.x,
                    y_mm: c.at.y,
                    turn_deg: c.turn_deg(),
                })
                .collect();
            let more = Command::put(found.clone());
            work = apply(&work, &more)?.0;
            puts.extend(found);
        }
        if puts.is_empty() {
            return Err(SessionError::Other(
                "no room for another copy here: pack this plate, or make a new one".into(),
            ));
        }
        Ok(puts)
    }

    pub(super) fn place_one(&mut self, label: &str, part: PartId) -> Result<(), SessionError> {
        let PlateTarget::Existing(plate) = self.plate_for(part)? else {
            // The first copy on a new plate lies in the middle.
            return self.on_new_plate(label, part);
        };
        let puts = self.find_room(plate, &BTreeMap::from([(part, 1)]))?;
        let out = self.put_new(label, puts)?;
        self.plate = Some(plate);
        self.selection = out.copies.into_iter().collect();
        Ok(())
    }

    fn on_new_plate(&mut self, label: &str, part: PartId) -> Result<(), SessionError> {
        let plate = self.plate_for(part)?;
        let machine = match &plate {
            PlateTarget::New(_, setup) => self.job().machine(setup.machine),
            PlateTarget::Existing(_) => None,
        };
        let (w, d) = machine.map_or((200.0, 200.0), |m| m.bed.size_mm());
        let put = Put { copy: None, part, plate, x_mm: w / 2.0, y_mm: d / 2.0, turn_deg: 0.0 };
        self.put_one(label, put)
    }

    /// The plate shown where the part belongs there, or a new one for it.
    fn plate_for(&self, part: PartId) -> Result<PlateTarget, SessionError> {
        let job = self.job();
        let p = job.part(part).ok_or_else(|| SessionError::Other("there is no such part".into()))?;
        match self.plate() {
            Some(plate) if job.belongs(p, plate) => Ok(PlateTarget::Existing(plate.id)),
            _ => Ok(PlateTarget::New(0, self.setup_for(p)?)),
        }
    }

    /// One more copy of a part, here.
    pub(super) fn place_at(&mut self, label: &str, part: PartId, at: Point) -> Result<(), SessionError> {
        let plate = self.plate_for(part)?;
        self.put_one(label, Put { copy: None, part, plate, x_mm: at.x, y_mm: at.y, turn_deg: 0.0 })
    }

    fn put_one(&mut self, label: &str, put: Put) -> Result<(), SessionError> {
        let out = self.put_new(label, vec![put])?;
        self.plate = out.plates.first().copied().or(self.plate);
        self.selection = out.copies.into_iter().collect();
        Ok(())
    }
}
