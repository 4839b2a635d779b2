//! What a search has found, taken in.

use std::sync::Arc;

use crate::{
    document::Job,
    edit::apply,
    packing::{Aim, Layout},
    session::{
        Arranging, Session,
        search::{
            as_command::{command_apart, command_of, reasons, without_room},
            fingerprint::Fingerprint,
        },
    },
    words,
    work::{Answer, TicketId},
};

impl Session {
    /// A better layout than any before; `shown` where the sheet is to show it.
    pub(in crate::session) fn take_improved(&mut self, ticket: TicketId, layout: Arc<Layout>, shown: bool) {
        let job = self.history.shared_job();
        if let Some(a) = self.arranging.as_mut().filter(|a| a.ticket.id == ticket) {
            // A layout that has no place for a copy that lies on a plate is not one to be taken.
            if without_room(&a.task.mapping.back(&layout)).is_empty() {
                if shown {
                    let command = command_of(&a.task, &layout, a.drop_empty);
                    a.shown = apply(&job, &command).ok().map(|(j, _)| Arc::new(j));
                }
                a.best = Some(layout);
            }
        }
    }

    pub(in crate::session) fn end_arranging(&mut self, answer: Option<Answer>) {
        let Some(a) = self.arranging.take() else { return };
        let answer = match answer {
            Some(Answer::InTime(found)) => {
                self.end_in_time(&a, found);
                return;
            }
            other => other,
        };
        let layout = match answer {
            Some(Answer::Layout(l)) => Some(l),
            Some(Answer::Failed(why)) => {
                self.tell_fault(format!("a fault of this program: {why}; the best layout so far is kept"));
                a.best.clone()
            }
            _ => a.best.clone(),
        };
        let Some(layout) = layout else { return };
        let job = self.history.shared_job();
        let apart = Fingerprint::new(&job, &a.concern).number() != a.ticket.fingerprint;
        let placed = a.task.mapping.back(&layout);
        let without_room = without_room(&placed);
        if !apart && !without_room.is_empty() {
            self.say_overfull(&a, &without_room);
            return;
        }
        self.overfull = None;
        for (part, why) in reasons(&placed) {
            self.why_unplaced.insert(part, why);
        }
        for part in &job.parts {
            if !placed.unplaced.iter().any(|u| u.part == part.id) {
                self.why_unplaced.remove(&part.id);
            }
        }
        // Under half a second nobody has waited.
        let spent = a.standing().time_s.filter(|(spent, _)| *spent >= 0.5);
        let spent = spent.map_or_else(String::new, |(spent, _)| format!(" in {spent:.0} s"));
        if !apart && layout.count() > 0 && *layout == a.task.mapping.now() {
            self.keep_bound(&a);
            self.tell(format!("no tighter arrangement was found{spent}: everything stays where it is"));
            return;
        }
        let added = placed.plates.iter().flat_map(|p| &p.copies).filter(|c| c.copy.is_none()).count();
        if !apart && added == 0 && matches!(a.task.problem.aim, Aim::TopUp { .. }) {
            self.keep_bound(&a);
            self.tell(no_room_for_another(&job, &a, &spent));
            return;
        }
        let command = if apart {
            command_apart(&job, &a.begun_with, &a.task, &layout)
        } else {
            command_of(&a.task, &layout, a.drop_empty)
        };
        match self.history.apply(&a.label, &command) {
            Ok(out) => {
                if !apart {
                    self.keep_bound(&a);
                }
                let moved = a.task.mapping.moved(&placed);
                if !apart && moved > 0 && matches!(a.task.problem.aim, Aim::TopUp { .. }) {
                    let (more, there) = (words::copies(added), words::copies(moved));
                    self.tell(format!("{more} added; {there} moved to make room (Undo takes both back)"));
                }
                if apart && out.copies.is_empty() && placed.count() > 0 {
                    self.tell_fault(
                        "what was arranged has changed meanwhile, and nothing of it can be placed: pack again",
                    );
                } else if apart {
                    self.tell("what was arranged has changed meanwhile: the result lies on a plate of its own");
                    self.plate = out.plates.first().copied().or(self.plate);
                } else if self.plate.is_none() {
                    self.plate = out.plates.first().copied();
                }
                if placed.count() == 0 {
                    self.tell("no copy fits");
                }
            }
            Err(why) => self.tell_fault(why.to_string()),
        }
    }
}

/// Why a Top up has added nothing: "plate 2: no room for another copy of A entrance gate: 12 lie there, and at most 12 can fit (by area)".
fn no_room_for_another(job: &Job, a: &Arranging, spent: &str) -> String {
    let plate = a.bound_of.and_then(|id| Some((job.plate_number(id)?, job.plate(id)?)));
    let part = a.topped.and_then(|id| job.part(id));
    let on = plate.map_or_else(String::new, |(n, _)| format!("plate {n}: "));
    let of = part.map_or_else(|| " of any part".to_owned(), |p| format!(" of {} {}", p.letter, p.name));
    let there = plate.map(|(_, p)| p.copies.iter().filter(|c| part.is_none_or(|part| c.part == part.id)).count());
    if let (Some(bound), Some(there)) = (a.bound, there)
        && there as u64 >= bound.value
    {
        let (lie, most, kind) = (words::copies(there), bound.value, bound.kind.words());
        let lie_there = if there == 1 { "lies there" } else { "lie there" };
        return format!("{on}no room for another copy{of}: {lie} {lie_there}, and at most {most} can fit ({kind})");
    }
    format!("{on}no room was found for another copy{of}{spent}; everything stays where it is")
}
