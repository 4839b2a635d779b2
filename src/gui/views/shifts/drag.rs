//! A bar on its way to another place.

use std::collections::BTreeMap;

use crate::{
    document::{MachineId, PlateId},
    session::{Session, Timeline},
};

/// Where a bar would land: bench, and the run that follows it there.
type Target = (usize, Option<usize>);

/// A bar on its way to another place.
#[derive(Debug)]
pub(crate) struct Drag {
    pub(super) plate: PlateId,
    run: usize,
    target: Option<Target>,
    preview: Option<Timeline>,
    /// Machines that refuse it, and why, as far as they were asked.
    refusals: BTreeMap<MachineId, Option<String>>,
}

impl Drag {
    pub(super) fn new(plate: PlateId, run: usize) -> Self {
        Self { plate, run, target: None, preview: None, refusals: BTreeMap::new() }
    }

    /// The plan as it would be; nothing but its times is worked out again.
    pub(super) fn preview(&self) -> Option<&Timeline> {
        self.preview.as_ref()
    }

    /// The pointer is over a machine's row at a time.
    pub(super) fn over(&mut self, session: &Session, t: &Timeline, row: Option<usize>, at_s: i64) {
        let target = row.map(|bench| (bench, follower(t, self.run, bench, at_s)));
        if let Some(machine) = row.and_then(|b| t.floor.machines.get(b)) {
            self.refusals.entry(*machine).or_insert_with(|| session.move_refusal(self.plate, *machine));
        }
        if target == self.target {
            return;
        }
        self.target = target;
        let allowed = target.filter(|_| self.refusal(t).is_none());
        self.preview = allowed.map(|(bench, before)| t.moved(self.run, bench, before));
    }

    /// Why it cannot land where the pointer is.
    pub(super) fn refusal(&self, t: &Timeline) -> Option<&str> {
        let machine = t.floor.machines.get(self.target?.0)?;
        self.refusals.get(machine)?.as_deref()
    }

    /// Where it lands: machine, and the plate that follows it.
    pub(super) fn landing(&self, t: &Timeline) -> Option<(MachineId, Option<PlateId>)> {
        let (bench, before) = self.target?;
        Some((*t.floor.machines.get(bench)?, before.and_then(|run| t.about.get(run)).map(|a| a.plate)))
    }
}

/// The first run of a machine that has not begun and whose middle is later than a time: what a bar dropped there comes before.
pub(super) fn follower(t: &Timeline, run: usize, bench: usize, at_s: i64) -> Option<usize> {
    t.sequence(bench)
        .into_iter()
        .filter(|i| *i != run && !t.about[*i].is_running)
        .find(|i| t.timed(*i).is_some_and(|x| x.print.from_s + x.print.length_s() / 2 > at_s))
}
