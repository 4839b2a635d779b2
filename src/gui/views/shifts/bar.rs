//! The bars there are, row by row.

use egui::{Id, Ui};

use crate::{batch::sequence::Window, document::PlateId, session::Timeline};

/// A bar: a plate that has ended, runs, or is planned.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) struct Bar {
    pub(super) plate: PlateId,
    /// Its run; `None` where it has ended.
    pub(super) run: Option<usize>,
    /// From 0 at the top.
    pub(super) row: usize,
    /// Its print, s from the start of the plan.
    pub(super) time: Window,
}

/// What the node of a plate's bar is known by.
pub(super) fn id_of(ui: &Ui, plate: PlateId) -> Id {
    ui.scope_id().with(("run", plate))
}

/// All bars, row by row, the earliest first.
pub(super) fn bars(t: &Timeline) -> Vec<Bar> {
    let ended = t.ended.iter().filter_map(|e| {
        let row = t.floor.machines.iter().position(|m| *m == e.machine)?;
        Some(Bar { plate: e.plate, run: None, row, time: e.ran })
    });
    let planned = t.plan.timed.iter().filter_map(|x| {
        let plate = t.about.get(x.run)?.plate;
        Some(Bar { plate, run: Some(x.run), row: x.bench, time: x.print })
    });
    let mut all: Vec<Bar> = ended.chain(planned).collect();
    all.sort_by_key(|b| (b.row, b.time.from_s, b.plate));
    all
}

/// The next bar of the row, or the one nearest in time in the row above or below that has any.
pub(super) fn neighbour(all: &[Bar], n: usize, across: isize, down: isize) -> Option<usize> {
    let from = all.get(n)?;
    if across != 0 {
        let next = n.checked_add_signed(across)?;
        return all.get(next).filter(|b| b.row == from.row).map(|_| next);
    }
    let row = if down > 0 {
        all[n..].iter().map(|b| b.row).find(|r| *r > from.row)?
    } else {
        all[..n].iter().rev().map(|b| b.row).find(|r| *r < from.row)?
    };
    let there = (0..all.len()).filter(|i| all[*i].row == row);
    there.min_by_key(|i| all[*i].time.from_s.abs_diff(from.time.from_s))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn arrows_go_along_a_row_and_to_the_nearest_above_and_below() {
        let bar =
            |plate, row, from_s| Bar { plate: PlateId(plate), run: None, row, time: Window::new(from_s, from_s + 5) };
        let all = [bar(1, 0, 0), bar(2, 0, 10), bar(3, 0, 20), bar(4, 2, 0), bar(5, 2, 18)];
        let to = |n, across, down| neighbour(&all, n, across, down);
        assert_eq!((to(0, 1, 0), to(0, -1, 0), to(2, 1, 0), to(3, -1, 0)), (Some(1), None, None, None));
        assert_eq!(
            (to(2, 0, 1), to(1, 0, 1), to(4, 0, -1), to(0, 0, -1), to(4, 0, 1)),
            (Some(4), Some(4), Some(2), None, None)
        );
    }
}
