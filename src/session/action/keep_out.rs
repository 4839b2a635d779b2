//! Keep-outs drawn, moved and removed on the sheet.

use crate::{
    document::{KeepOut, Machine, MachineId},
    edit::Command,
    geom::{Bounds, Point},
    session::{Session, SessionError},
};

/// A keep-out smaller than this each way, mm, was a slip of the hand.
const LEAST_MM: f64 = 0.5;

/// What a new one is called.
const NAME: &str = "keep-out";

impl Session {
    /// A new keep-out on a machine's bed.
    pub(super) fn add_keep_out(&mut self, label: &str, id: MachineId, outline: Vec<Point>) -> Result<(), SessionError> {
        let b = Bounds::of(outline.iter().copied());
        if outline.len() < 3 || b.width() < LEAST_MM || b.height() < LEAST_MM {
            return Err(SessionError::Other(format!(
                "a keep-out needs three corners or more and {LEAST_MM} mm each way: draw it larger"
            )));
        }
        let mut machine = self.machine_of(id)?;
        let is_free = |name: &str| machine.keep_outs.iter().all(|k| k.name != name);
        let numbered = (2..=machine.keep_outs.len() + 2).map(|n| format!("{NAME} {n}"));
        let name = std::iter::once(NAME.to_owned()).chain(numbered).find(|n| is_free(n)).unwrap_or_default();
        machine.keep_outs.push(KeepOut { name, outline });
        let told = format!("Keep-out added to {}: it counts on every plate of this machine", machine.name);
        self.command(label, &Command::SetMachine { machine })?;
        self.tell(told);
        Ok(())
    }

    /// A keep-out moved along, so far that some of it stays over the bed.
    pub(super) fn move_keep_out(
        &mut self,
        label: &str,
        id: MachineId,
        index: usize,
        by: Point,
    ) -> Result<(), SessionError> {
        let mut machine = self.machine_of(id)?;
        let bed = Bounds::of(machine.bed.outline(0.1).outer);
        let keep_out = machine.keep_outs.get_mut(index).ok_or_else(no_such)?;
        let b = Bounds::of(keep_out.outline.iter().copied());
        let by = Point::new(
            within(by.x, bed.min.x - b.max.x + LEAST_MM, bed.max.x - b.min.x - LEAST_MM),
            within(by.y, bed.min.y - b.max.y + LEAST_MM, bed.max.y - b.min.y - LEAST_MM),
        );
        for p in &mut keep_out.outline {
            *p += by;
        }
        self.command(label, &Command::SetMachine { machine })
    }

    /// A keep-out gone.
    pub(super) fn remove_keep_out(&mut self, label: &str, id: MachineId, index: usize) -> Result<(), SessionError> {
        let mut machine = self.machine_of(id)?;
        if index >= machine.keep_outs.len() {
            return Err(no_such());
        }
        machine.keep_outs.remove(index);
        self.command(label, &Command::SetMachine { machine })
    }

    fn machine_of(&self, id: MachineId) -> Result<Machine, SessionError> {
        self.job().machine(id).cloned().ok_or_else(|| SessionError::Other("there is no such machine".into()))
    }
}

fn no_such() -> SessionError {
    SessionError::Other("there is no such keep-out".into())
}

/// As [`f64::clamp`], without its panic on bounds that cross or are no numbers.
fn within(v: f64, low: f64, high: f64) -> f64 {
    if v.is_finite() { v.min(high).max(low) } else { 0.0 }
}
