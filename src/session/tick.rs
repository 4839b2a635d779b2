//! What long work has said, taken in.

use std::sync::Arc;

use crate::{
    plate::PartShape,
    session::{Session, derived::pending::Pending},
    work::{Answer, Event},
};

impl Session {
    /// Takes in what long work has said. True when something changed. Call it once a frame; with the inline runner
    /// it works until nothing is pending.
    pub fn tick(&mut self) -> bool {
        let mut any = false;
        loop {
            let events = self.runner.events();
            if events.is_empty() {
                break;
            }
            any = true;
            // Of many layouts at once only the last is drawn.
            let last = events.iter().rposition(|e| matches!(e, Event::Improved(..) | Event::End { .. }));
            for (n, event) in events.into_iter().enumerate() {
                match event {
                    Event::Improved(ticket, layout) => self.take_improved(ticket, layout, last == Some(n)),
                    event => self.hear(event),
                }
            }
            self.refresh();
            self.begin_waiting_study();
            self.begin_waiting_deal();
        }
        self.keep_for_recovery();
        any
    }

    fn hear(&mut self, event: Event) {
        if self.hear_study(&event) {
            return;
        }
        let Some(event) = self.hear_dealing(event) else { return };
        match event {
            Event::Begin(_)
            | Event::Improved(..)
            | Event::Dealing(..)
            | Event::FootingRow(..)
            | Event::PlateRow(..)
            | Event::CopiesRow(..) => {}
            Event::Progress(ticket, done, what) => {
                if let Some(a) = self.arranging.as_mut().filter(|a| a.ticket.id == ticket) {
                    a.done = done;
                    a.what = what;
                } else if let Some(g) = self.gauging.as_mut().filter(|g| g.ticket.id == ticket) {
                    g.done = done;
                } else if let Some(i) = self.improving.as_mut().filter(|i| i.ticket.id == ticket) {
                    i.done = done;
                } else if let Some(h) = self.hand_overs.running.as_mut().filter(|h| h.ticket.id == ticket) {
                    (h.done, h.what) = (done, what);
                } else if matches!(self.pending.get(&ticket), Some((_, Pending::Profile(_)))) {
                    self.profile_done = Some((ticket, done));
                }
            }
            Event::End { ticket, cancelled, answer } => {
                if self.arranging.as_ref().is_some_and(|a| a.ticket.id == ticket) {
                    self.end_arranging(answer);
                    return;
                }
                if self.gauging.as_ref().is_some_and(|g| g.ticket.id == ticket) {
                    self.take_measured(answer);
                    return;
                }
                if self.improving.as_ref().is_some_and(|i| i.ticket.id == ticket) {
                    self.take_sequence(answer);
                    return;
                }
                if self.hand_overs.running.as_ref().is_some_and(|h| h.ticket.id == ticket) {
                    self.take_handed_over(answer);
                    return;
                }
                let Some(pending) = self.forget(ticket) else { return };
                match (pending, answer) {
                    (Pending::Mend(key), Some(Answer::Mended(mended))) => self.take_mended(key, mended),
                    (Pending::Mend(key), Some(Answer::Failed(why))) => {
                        self.tell_fault(format!("a fault of this program: {why}; save your work and report it"));
                        self.take_unmended(key);
                    }
                    (Pending::Shape(key), Some(Answer::Shape(shape))) => self.take_shape(key, shape),
                    (Pending::Files, Some(Answer::Gone(gone))) => self.take_gone(gone),
                    (Pending::Profile(key), Some(Answer::Profile { profile, computed })) => {
                        self.profiles_computed += usize::from(computed);
                        self.take_profile(key, profile.map_err(|e| e.to_string()));
                    }
                    (Pending::Supports(key), Some(Answer::Supports(columns))) => {
                        self.caches.supports.insert(key, columns);
                    }
                    (Pending::Poses(key), Some(Answer::Poses(choices))) => self.take_poses(key, choices),
                    // No drawings, or they would be asked for with every frame.
                    (Pending::PoseViews(key), Some(Answer::Failed(_))) => self.take_pose_views(key, Arc::default()),
                    (Pending::PoseViews(key), Some(Answer::PoseViews(views))) => self.take_pose_views(key, views),
                    (Pending::Mass(key), Some(Answer::Mass(mass))) => self.take_mass(key, Some(mass)),
                    (Pending::Mass(key), None | Some(Answer::Failed(_))) if !cancelled => self.take_mass(key, None),
                    (Pending::Profile(key), Some(Answer::Failed(why))) => self.take_profile(key, Err(why)),
                    (Pending::Footing(key) | Pending::Compared(key), Some(Answer::Footing(made))) => {
                        self.take_footing(key, made.map_err(|e| e.to_string()));
                    }
                    (Pending::Footing(key) | Pending::Compared(key), Some(Answer::Failed(why))) => {
                        self.take_footing(key, Err(why));
                    }
                    (Pending::Judged(key), Some(Answer::Judged(judged))) => self.take_judged(key, judged),
                    // Stopped, and perhaps wanted again: the plates that wait for it are to ask once more.
                    (Pending::Footing(_) | Pending::Judged(_), None) => self.caches.generation += 1,
                    // An answer all the same, or it would be asked for again without end.
                    (Pending::Supports(key), None | Some(Answer::Failed(_))) if !cancelled => {
                        self.caches.supports.insert(key, Arc::new(Vec::new()));
                    }
                    (Pending::Shape(key), Some(Answer::Failed(why))) => {
                        self.tell_fault(format!("a fault of this program: {why}; save your work and report it"));
                        self.take_shape(key, Arc::new(PartShape::nothing()));
                    }
                    (pending, Some(Answer::Mesh(read))) => self.take_mesh(pending, read),
                    (_, Some(Answer::Failed(why))) => {
                        self.tell_fault(format!("a fault of this program: {why}; save your work and report it"));
                    }
                    _ => {}
                }
            }
        }
    }
}
