//! The time now.

use jiff::Timestamp;

use crate::session::Session;

impl Session {
    /// The time now, to the minute: as it was set, else the computer's.
    pub fn now(&self) -> Timestamp {
        let minute = |t: Timestamp| Timestamp::from_second(t.as_second().div_euclid(60) * 60).unwrap_or(t);
        self.now_set.unwrap_or_else(|| Timestamp::try_from(self.world.now()).map_or(Timestamp::UNIX_EPOCH, minute))
    }

    /// Sets the time now, in place of the computer's; `None` goes back to that.
    pub fn set_now(&mut self, now: Option<Timestamp>) {
        self.now_set = now;
        self.refresh();
    }

    /// Brings the timeline up to the minute. True where anything changed.
    pub fn mind_the_clock(&mut self) -> bool {
        if self.timeline().is_some_and(|t| t.calendar.second_of(self.now()) == t.now_s) {
            return false;
        }
        let job = self.history.shared_job();
        self.refresh_plan(&job);
        true
    }
}
