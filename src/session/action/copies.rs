//! Copies put, lined up and repeated.

use std::collections::BTreeMap;

use crate::{
    document::{Copy, CopyId, PartId},
    edit::{Command, Outcome, Put},
    geom::Bounds,
    session::{Session, SessionError, Side},
};

impl Session {
    /// New places for what is selected and not locked.
    pub(super) fn puts(&self, to: impl Fn(&Copy) -> (f64, f64, f64)) -> Vec<Put> {
        let Some(plate) = self.plate() else { return Vec::new() };
        self.selected_copies(plate)
            .filter(|c| !c.locked)
            .map(|c| {
                let (x_mm, y_mm, turn_deg) = to(c);
                Put { x_mm, y_mm, turn_deg, ..Put::as_it_lies(c, plate.id) }
            })
            .collect()
    }

    pub(super) fn put(&mut self, label: &str, puts: Vec<Put>) -> Result<(), SessionError> {
        if puts.is_empty() {
            return Err(SessionError::Other("everything selected is locked: unlock it first".into()));
        }
        self.put_new(label, puts)?;
        Ok(())
    }

    pub(super) fn put_new(&mut self, label: &str, puts: Vec<Put>) -> Result<Outcome, SessionError> {
        let (puts, brought) = self.kept_on_sheet(&self.shared_job(), puts);
        let out = self.change(label, &Command::put(puts))?;
        self.tell_brought(brought);
        Ok(out)
    }

    pub(super) fn align(&mut self, label: &str, side: Side) -> Result<(), SessionError> {
        let Some(plate) = self.plate() else { return Ok(()) };
        let boxes: BTreeMap<CopyId, Bounds> =
            self.selected_copies(plate).filter_map(|c| Some((c.id, self.shadow_bounds(c)?))).collect();
        let all = boxes.values().fold(Bounds::EMPTY, |a, b| a.union(*b));
        let puts = self.puts(|c| {
            let Some(b) = boxes.get(&c.id) else { return (c.x_mm, c.y_mm, c.turn_deg) };
            let (dx, dy) = match side {
                Side::Left => (all.min.x - b.min.x, 0.0),
                Side::Right => (all.max.x - b.max.x, 0.0),
                Side::Front => (0.0, all.min.y - b.min.y),
                Side::Back => (0.0, all.max.y - b.max.y),
                Side::MiddleAcross => (all.centre().x - b.centre().x, 0.0),
                Side::MiddleUp => (0.0, all.centre().y - b.centre().y),
            };
            (c.x_mm + dx, c.y_mm + dy, c.turn_deg)
        });
        self.put(label, puts)
    }

    pub(super) fn duplicate(&mut self, label: &str) -> Result<(), SessionError> {
        let Some(plate) = self.plate() else { return Ok(()) };
        let id = plate.id;
        let mut counts: BTreeMap<PartId, usize> = BTreeMap::new();
        for c in self.selected_copies(plate) {
            *counts.entry(c.part).or_default() += 1;
        }
        let puts = self.find_room(id, &counts)?;
        let (asked, found) = (counts.values().sum::<usize>(), puts.len());
        let out = self.put_new(label, puts)?;
        self.selection = out.copies.into_iter().collect();
        if found < asked {
            self.tell(format!("only {found} of {asked} more copies fit on this plate"));
        }
        Ok(())
    }

    pub(super) fn turn(&mut self, label: &str, deg: f64) -> Result<(), SessionError> {
        let puts = self.puts(|c| (c.x_mm, c.y_mm, tidy_deg(c.turn_deg + deg)));
        self.put(label, puts)
    }

    pub(super) fn nudge(&mut self, label: &str, dx_mm: f64, dy_mm: f64) -> Result<(), SessionError> {
        let puts = self.puts(|c| (c.x_mm + dx_mm, c.y_mm + dy_mm, c.turn_deg));
        self.put(label, puts)
    }
}

/// From 0 to 360, without the dust of floating point.
pub(super) fn tidy_deg(deg: f64) -> f64 {
    let t = ((deg * 1e9).round() / 1e9).rem_euclid(360.0);
    if t >= 360.0 { 0.0 } else { t }
}
