//! Dealing out begun, cancelled, heard.

use super::{DealRecord, Dealing, Deals, gather::Gathered};
use crate::{
    document::Job,
    session::Session,
    work::{Event, Request},
};

impl Session {
    /// Dealing out under way.
    pub fn dealing(&self) -> Option<&Dealing> {
        self.deals.running.as_ref()
    }

    /// True while dealing out waits for outlines and layers.
    pub fn deal_is_waiting(&self) -> bool {
        self.deals.waiting.is_some()
    }

    /// What dealing out came to last, as long as nothing has changed since.
    pub fn dealt(&self) -> Option<&DealRecord> {
        let now = self.job();
        let holds = |of: &Job| {
            (&of.plates, &of.machines, &of.shifts, &of.recipes, &of.materials)
                == (&now.plates, &now.machines, &now.shifts, &now.recipes, &now.materials)
                && of.parts.len() == now.parts.len()
                && of
                    .parts
                    .iter()
                    .zip(&now.parts)
                    .all(|(a, b)| (a.wanted, &a.due, a.pose) == (b.wanted, &b.due, b.pose))
        };
        self.deals.record.as_ref().filter(|(of, _)| holds(of)).map(|(_, record)| record)
    }

    /// Begins, or waits for layers that are worked out now.
    pub(in crate::session) fn deal_out(&mut self, label: &str) {
        self.cancel_deal();
        self.deals.waiting = Some(label.into());
        self.begin_waiting_deal();
    }

    /// Begins what waits, where all is there by now.
    pub(in crate::session) fn begin_waiting_deal(&mut self) {
        let Some(label) = self.deals.waiting.take() else { return };
        let task = match self.gather_deal() {
            Gathered::Task(task) => task,
            Gathered::Later => {
                self.deals.waiting = Some(label);
                return;
            }
        };
        let (begun_with, start) = (self.shared_job(), task.start);
        let ticket = self.runner.submit(Request::Deal(task), 0);
        let what = String::new();
        self.deals.running = Some(Dealing { ticket, label, done: 0.0, what, standing: None, start, begun_with });
    }

    /// Ends dealing out; its best so far is taken.
    pub(in crate::session) fn take_best_deal(&self) {
        if let Some(d) = &self.deals.running {
            d.ticket.cancel();
        }
    }

    /// Ends dealing out; everything stays as it was.
    pub(in crate::session) fn cancel_deal(&mut self) {
        self.deals.waiting = None;
        if let Some(d) = self.deals.running.take() {
            d.ticket.cancel();
        }
    }

    /// Another job was opened.
    pub(in crate::session) fn forget_deals(&mut self) {
        self.cancel_deal();
        self.deals = Deals::default();
    }

    /// Takes in what dealing out says; gives back what others say.
    pub(in crate::session) fn hear_dealing(&mut self, event: Event) -> Option<Event> {
        let Some(running) = self.deals.running.as_mut() else { return Some(event) };
        let its = running.ticket.id;
        match event {
            Event::Progress(id, done, what) if id == its => {
                (running.done, running.what) = (done, what);
                None
            }
            Event::Dealing(id, standing) if id == its => {
                running.standing = Some(standing);
                None
            }
            Event::End { ticket, answer, .. } if ticket == its => {
                self.end_dealing(answer);
                None
            }
            other => Some(other),
        }
    }
}
