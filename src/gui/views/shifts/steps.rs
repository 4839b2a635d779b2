//! Arrow keys on a bar: from bar to bar, and with Alt the bar itself.

use egui::{EventFilter, Key, Modifiers, Ui};

use super::{
    bar::{Bar, id_of, neighbour},
    drag::follower,
    sight::Sight,
};
use crate::{
    gui::wish::Wish,
    session::{Action, Session, Timeline},
};

/// Arrows go from bar to bar; with Alt they move the bar.
pub(super) fn steps(
    ui: &Ui,
    session: &Session,
    t: &Timeline,
    (all, n): (&[Bar], usize),
    sight: &mut Sight,
    wishes: &mut Vec<Wish>,
) {
    let bar = all[n];
    let arrows = EventFilter { horizontal_arrows: true, vertical_arrows: true, ..EventFilter::default() };
    ui.memory_mut(|m| m.set_focus_lock_filter(id_of(ui, bar.plate), arrows));
    let arrows = [(Key::ArrowLeft, -1, 0), (Key::ArrowRight, 1, 0), (Key::ArrowUp, 0, -1), (Key::ArrowDown, 0, 1)];
    let (mut go, mut carry) = (None, None);
    ui.input_mut(|i| {
        for (key, across, down) in arrows {
            if i.consume_key(Modifiers::ALT, key) {
                carry = Some((across, down));
            } else if i.consume_key(Modifiers::NONE, key) {
                go = Some((across, down));
            }
        }
    });
    if let Some((across, down)) = go
        && let Some(next) = neighbour(all, n, across, down).map(|next| all[next])
    {
        ui.memory_mut(|m| m.request_focus(id_of(ui, next.plate)));
        sight.reveal(t.drawn(session.job(), None).whole(), next.time);
    }
    if let Some((across, down)) = carry
        && let Some(run) = bar.run
        && let Some((to, before)) = carried(t, run, bar.row, across, down)
    {
        let (machine, before) = (t.floor.machines[to], before.map(|r| t.about[r].plate));
        wishes.push(Action::MoveRun { plate: bar.plate, machine, before }.into());
    }
}

/// Where Alt and an arrow take a bar: one place earlier or later, or to the machine above or below.
fn carried(t: &Timeline, run: usize, bench: usize, across: isize, down: isize) -> Option<(usize, Option<usize>)> {
    let sequence: Vec<usize> = t.sequence(bench).into_iter().filter(|r| !t.about[*r].is_running).collect();
    let at = sequence.iter().position(|r| *r == run)?;
    match (across, down) {
        (-1, _) => Some((bench, Some(*sequence.get(at.checked_sub(1)?)?))),
        (1, _) => {
            sequence.get(at + 1)?;
            Some((bench, sequence.get(at + 2).copied()))
        }
        _ => {
            let to = bench.checked_add_signed(down).filter(|b| *b < t.floor.machines.len())?;
            let x = t.timed(run)?;
            Some((to, follower(t, run, to, x.print.from_s + x.print.length_s() / 2)))
        }
    }
}
