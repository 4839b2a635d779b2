//! Figures of a plan.

use super::Timeline;
use crate::batch::UnitTimes;

impl Timeline {
    /// Times of each machine from the start of the plan until the last parts of all machines are off, in the order of the job's machines.
    pub fn unit_times(&self) -> Vec<UnitTimes> {
        let until_s = self.until_s();
        (0..self.floor.machines.len()).map(|b| UnitTimes::of(&self.floor.runs, &self.plan, b, until_s)).collect()
    }
    /// Times of all machines together that run anything.
    pub fn times_of_all(&self) -> UnitTimes {
        let busy = |t: &UnitTimes| t.busy_s() > 0;
        self.unit_times().into_iter().filter(busy).fold(UnitTimes::default(), UnitTimes::and)
    }
    /// Hand work in the plan, s: what people are at machines for.
    pub fn hand_work_s(&self) -> i64 {
        let of = |t: &crate::batch::sequence::Timed| {
            t.preparing.length_s() + t.removal.map_or(0, crate::batch::sequence::Window::length_s)
        };
        self.plan.timed.iter().map(of).sum()
    }
}
