//! No copy lies where nobody can see it.

use crate::{
    document::{Job, MachineId},
    edit::{Command, Outcome, PlateTarget, Put, apply},
    geom::{Bounds, Placement, Point},
    session::{Session, SessionError},
};

/// So much of a copy stays over the box of the bed, mm.
const SEEN_MM: f64 = 5.0;

impl Session {
    /// The puts, those that would leave the sheet brought back to the edge of their bed; how many those are.
    pub(super) fn kept_on_sheet(&self, job: &Job, puts: Vec<Put>) -> (Vec<Put>, usize) {
        let mut brought = 0;
        let puts = puts
            .into_iter()
            .map(|p| {
                let back = self.way_back(job, &p);
                if back == Point::default() {
                    return p;
                }
                brought += 1;
                Put { x_mm: p.x_mm + back.x, y_mm: p.y_mm + back.y, ..p }
            })
            .collect();
        (puts, brought)
    }

    /// How far a copy must move until some of it lies over the box of its bed, mm; nought where it does.
    fn way_back(&self, job: &Job, put: &Put) -> Point {
        let machine = match &put.plate {
            PlateTarget::Existing(id) => job.plate(*id).map(|p| p.machine),
            PlateTarget::New(_, setup) => Some(setup.machine),
        };
        let Some(machine) = machine.and_then(|m| job.machine(m)) else { return Point::default() };
        let bed = Bounds::of(machine.bed.outline(0.1).outer);
        let Some(shape) = self.shapes().get(&put.part) else { return Point::default() };
        let at = Placement::new(put.x_mm, put.y_mm, put.turn_deg.to_radians());
        let b = shape.shadow.region().placed(at).bounds();
        let way = |low: f64, high: f64, from: f64, to: f64| {
            let seen = SEEN_MM.min(high - low).min(to - from);
            if high < from + seen {
                from + seen - high
            } else if low > to - seen {
                to - seen - low
            } else {
                0.0
            }
        };
        if b.is_empty() || bed.is_empty() {
            return Point::default();
        }
        Point::new(way(b.min.x, b.max.x, bed.min.x, bed.max.x), way(b.min.y, b.max.y, bed.min.y, bed.max.y))
    }

    /// What `command` makes of beds, with copies that no longer lie on the sheet brought back to it; one step back.
    pub(super) fn change_beds(
        &mut self,
        label: &str,
        command: &Command,
        of: impl Fn(MachineId) -> bool,
    ) -> Result<Outcome, SessionError> {
        let (with, out) = apply(self.job(), command)?;
        let all = with
            .plates
            .iter()
            .filter(|p| of(p.machine))
            .flat_map(|plate| plate.copies.iter().map(|c| Put::as_it_lies(c, plate.id)));
        let astray: Vec<Put> = all.filter(|p| self.way_back(&with, p) != Point::default()).collect();
        if astray.is_empty() {
            return self.change(label, command);
        }
        let (puts, brought) = self.kept_on_sheet(&with, astray);
        let (with, _) = apply(&with, &Command::put(puts))?;
        self.change_to(label, with);
        self.tell_brought(brought);
        Ok(out)
    }

    pub(super) fn tell_brought(&mut self, copies: usize) {
        match copies {
            0 => {}
            1 => self.tell("1 copy was off the sheet: moved to the edge of the bed"),
            n => self.tell(format!("{n} copies were off the sheet: moved to the edge of the bed")),
        }
    }
}
