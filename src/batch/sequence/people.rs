//! Who is free when.

use super::Window;

/// When people are there, and how many of them are busy then.
pub(super) struct People<'a> {
    attended: &'a [Window],
    most: usize,
    /// From a time on so many are busy: in order, no two neighbours alike. Before the first nobody is.
    busy: Vec<(i64, usize)>,
}

impl<'a> People<'a> {
    pub(super) fn new(attended: &'a [Window], people: usize) -> Self {
        Self { attended, most: people, busy: Vec::new() }
    }

    /// The earliest beginning, not before `from_s`, of work of this length that lies inside attended time with somebody free for it, and
    /// that `allows` has nothing against: it is asked with a beginning and answers with a later one where it has.
    pub(super) fn earliest(&self, from_s: i64, length_s: i64, allows: impl Fn(i64) -> i64) -> Option<i64> {
        if self.most == 0 {
            return None;
        }
        let mut at = from_s;
        loop {
            let window = self.attended.partition_point(|w| w.to_s < at + length_s || w.to_s <= at);
            let window = self.attended.get(window)?;
            let begin = at.max(window.from_s);
            if begin + length_s <= window.to_s {
                at = allows(begin).max(self.somebody_free(begin, length_s));
                if at == begin {
                    return Some(at);
                }
            } else {
                // Too short a window, however early: the next one.
                at = window.to_s;
            }
        }
    }

    /// The earliest time from `at` on from which somebody is free for so long.
    fn somebody_free(&self, mut at: i64, length_s: i64) -> i64 {
        if length_s == 0 {
            return at;
        }
        let mut next = self.busy.partition_point(|b| b.0 <= at);
        if next > 0 && self.busy[next - 1].1 >= self.most {
            let Some(free) = self.busy.get(next) else { return at };
            at = free.0;
            next += 1;
        }
        while let Some(step) = self.busy.get(next).filter(|b| b.0 < at + length_s) {
            next += 1;
            if step.1 >= self.most {
                let Some(free) = self.busy.get(next) else { return at };
                at = free.0;
                next += 1;
            }
        }
        at
    }

    /// Takes somebody for it.
    pub(super) fn take(&mut self, work: Window) {
        if work.length_s() <= 0 {
            return;
        }
        let first = self.step_at(work.from_s);
        let last = self.step_at(work.to_s);
        for step in &mut self.busy[first..last] {
            step.1 += 1;
        }
        self.join(last);
        self.join(first);
    }

    /// The place of the step that begins at this time, made where there is none.
    fn step_at(&mut self, at: i64) -> usize {
        let place = self.busy.partition_point(|b| b.0 < at);
        if self.busy.get(place).is_none_or(|b| b.0 != at) {
            let before = if place > 0 { self.busy[place - 1].1 } else { 0 };
            self.busy.insert(place, (at, before));
        }
        place
    }

    /// Takes a step out that changes nothing.
    fn join(&mut self, place: usize) {
        let before = if place > 0 { self.busy[place - 1].1 } else { 0 };
        if self.busy.get(place).is_some_and(|b| b.1 == before) {
            self.busy.remove(place);
        }
    }
}
