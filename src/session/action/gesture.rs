//! A drag: from taking hold to letting go.

use crate::{
    document::{Copy, CopyId},
    edit::{Command, Put},
    geom::{Bounds, Placement, Point},
    plate::{Checker, nearest_free, prepare_push, push_aside},
    session::{Landing, Session, SessionError, action::copies::tidy_deg},
    watch::Quiet,
    work::Deadline,
};

impl Session {
    pub(super) fn grab(&mut self, label: &str) {
        self.history.begin(label);
        self.drag_base = self.plate.and_then(|p| self.view(p)).map(|v| v.conflicts.clone()).unwrap_or_default();
        // Others may be asked to make room when it is let go.
        if let Some(checker) = self.plate.and_then(|p| self.checker(p)).cloned() {
            rayon::spawn(move || prepare_push(&checker));
        }
    }

    /// The drag ends and counts.
    pub(super) fn drop_it(&mut self, landing: Landing) -> Result<(), SessionError> {
        self.land(landing)?;
        self.bring_back()?;
        self.history.commit();
        self.look_afresh();
        Ok(())
    }

    /// The drag ends and did not happen.
    pub(super) fn let_go(&mut self) {
        self.history.abort();
        self.look_afresh();
    }

    /// A number must never depend on the way there: everything afresh once a drag has ended.
    fn look_afresh(&mut self) {
        if let Some(p) = self.plate {
            self.caches.views.remove(&p);
        }
    }

    pub(super) fn drag(&mut self, by: Point, turn_deg: f64) -> Result<(), SessionError> {
        if !self.history.in_gesture() {
            self.history.begin("Move");
        }
        let before = self.history.before_gesture();
        let Some(plate) = self.plate.and_then(|id| before.plate(id)) else { return Ok(()) };
        let moving: Vec<&Copy> = plate.copies.iter().filter(|c| self.selection.contains(&c.id) && !c.locked).collect();
        let middle = Bounds::of(moving.iter().map(|c| Point::new(c.x_mm, c.y_mm))).centre();
        let turn = Placement::new(0.0, 0.0, turn_deg.to_radians());
        let puts: Vec<Put> = moving
            .into_iter()
            .map(|c| {
                let at = Point::new(c.x_mm, c.y_mm);
                let to = if turn_deg == 0.0 { at } else { middle + turn.apply(at - middle) } + by;
                Put {
                    x_mm: to.x,
                    y_mm: to.y,
                    turn_deg: tidy_deg(c.turn_deg + turn_deg),
                    ..Put::as_it_lies(c, plate.id)
                }
            })
            .collect();
        let command = Command::put(puts);
        self.history.preview(&command)?;
        Ok(())
    }

    /// Lets what is dragged down: where it finds itself without room, it stays there all the same.
    fn land(&mut self, landing: Landing) -> Result<(), SessionError> {
        if landing == Landing::There || !self.history.in_gesture() {
            return Ok(());
        }
        let job = self.shared_job();
        let Some(plate) = self.plate.and_then(|id| job.plate(id)) else { return Ok(()) };
        let copy = |id: CopyId| plate.copies.iter().find(|c| c.id == id);
        let laid: Vec<(CopyId, Placement)> = plate
            .copies
            .iter()
            .filter(|c| self.selection.contains(&c.id) && !c.locked)
            .map(|c| (c.id, c.placement()))
            .collect();
        let checker = Checker::new(&job, plate, self.shapes(), self.prepared());
        let moved = match landing {
            Landing::There => None,
            Landing::NearestFree => {
                let searching = Deadline::new(&Quiet, Some(self.drop_time.mul_f64(0.7)));
                let watch = Deadline::new(&Quiet, Some(self.drop_time));
                nearest_free(&checker, &[], &laid, &searching, &watch)
            }
            Landing::PushAside => {
                let parting = Deadline::new(&Quiet, Some(self.drop_time / 2));
                let watch = Deadline::new(&Quiet, Some(self.drop_time));
                push_aside(&checker, &laid, |id| copy(id).is_some_and(|c| !c.locked), &parting, &watch)
            }
        };
        let Some(moved) = moved else {
            self.tell("no free place nearby: it stays where you dropped it");
            return Ok(());
        };
        let puts = moved
            .iter()
            .filter_map(|(id, at)| copy(*id).map(|c| Put { x_mm: at.x, y_mm: at.y, ..Put::as_it_lies(c, plate.id) }))
            .collect();
        self.history.preview(&Command::put(puts))?;
        Ok(())
    }

    /// What was dragged off the sheet lies at the edge of the bed.
    fn bring_back(&mut self) -> Result<(), SessionError> {
        if !self.history.in_gesture() {
            return Ok(());
        }
        let puts = self.puts(|c| (c.x_mm, c.y_mm, c.turn_deg));
        let (puts, brought) = self.kept_on_sheet(&self.shared_job(), puts);
        if brought > 0 {
            self.history.preview(&Command::put(puts))?;
            self.tell_brought(brought);
        }
        Ok(())
    }
}
