//! What concerns the window alone: where one looks, which tool is out.

use super::Tape;
use crate::{
    geom::Bounds,
    gui::{look::Look, view::View, wish::Wish},
    session::{Action, Session},
};

/// Does what concerns the window alone.
pub(crate) fn look(what: Look, session: &Session, view: &mut View, whole: Bounds, wishes: &mut Vec<Wish>) {
    match what {
        Look::WholeBed => view.camera.fit(whole),
        Look::Selection => view.reveal = true,
        Look::Larger | Look::Smaller => {
            let factor = if what == Look::Larger { 1.25 } else { 0.8 };
            view.camera.zoom_at(view.camera.canvas().center(), factor);
        }
        Look::Measure => view.tape = if view.tape.is_some() { None } else { Some(Tape::default()) },
        Look::TopUpArea => {
            view.area = !view.area;
            view.tape = None;
        }
        Look::KeepOut => {
            view.keep_out = if view.keep_out.is_some() { None } else { Some(Vec::new()) };
            view.tape = None;
            view.area = false;
        }
        Look::FailingSpots => view.failing_spots = !view.failing_spots,
        Look::GapRings => view.gap_rings = !view.gap_rings,
        Look::NextCopy => step(session, view, 1, wishes),
        Look::PreviousCopy => step(session, view, -1, wishes),
        _ => {}
    }
}

/// Selects the next copy of the plate, or the one before.
fn step(session: &Session, view: &mut View, by: isize, wishes: &mut Vec<Wish>) {
    let Some(plate) = session.plate() else { return };
    let n = plate.copies.len().cast_signed();
    if n == 0 {
        return;
    }
    let now = plate.copies.iter().position(|c| session.selection().contains(&c.id));
    let next = match now {
        Some(i) => (i.cast_signed() + by).rem_euclid(n),
        None if by > 0 => 0,
        None => n - 1,
    };
    let copies = vec![plate.copies[next as usize].id];
    wishes.push(Action::Select { copies, additive: false }.into());
    view.reveal = true;
}
