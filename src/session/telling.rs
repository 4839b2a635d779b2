//! What is told or asked once, until a roof takes it.

use crate::session::{Ask, Notice, Session};

impl Session {
    /// Takes the notices that nobody has seen yet.
    pub fn take_notices(&mut self) -> Vec<Notice> {
        std::mem::take(&mut self.notices)
    }

    /// Takes the question that the roof has to ask.
    pub fn take_ask(&mut self) -> Option<Ask> {
        self.asked.take()
    }

    /// True once the person wants to close.
    pub fn take_quit(&mut self) -> bool {
        std::mem::take(&mut self.quit)
    }

    pub(super) fn tell(&mut self, text: impl Into<String>) {
        self.notices.push(Notice { text: text.into(), fault: false });
    }

    pub(super) fn tell_fault(&mut self, text: impl Into<String>) {
        self.notices.push(Notice { text: text.into(), fault: true });
    }
}
