//! A gesture given up.

use super::Gesture;
use crate::{
    gui::{view::View, wish::Wish},
    session::Action,
};

/// Ends a gesture as if it had not happened. True when there was one.
pub(crate) fn abort(view: &mut View, wishes: &mut Vec<Wish>) -> bool {
    let running = std::mem::take(&mut view.gesture);
    let area = std::mem::take(&mut view.area);
    let keep_out = view.keep_out.take().is_some();
    if running.holds_job() {
        wishes.push(Action::LetGo.into());
    }
    area || keep_out || running != Gesture::None
}
