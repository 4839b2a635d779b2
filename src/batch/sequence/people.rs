//! Who is free when.

use super::Window;

/// What people are at, and when they are there.
pub(super) struct People<'a> {
    attended: &'a [Window],
    people: usize,
    /// What they are at, by its beginning.
    busy: Vec<Window>,
    /// The longest of it, s.
    longest_s: i64,
}

impl<'a> People<'a> {
    pub(super) fn new(attended: &'a [Window], people: usize) -> Self {
        Self { attended, people, busy: Vec::new(), longest_s: 0 }
    }

    /// The earliest beginning, not before `from_s`, of work of this length that lies inside attended time with somebody free for it, and
    /// that `allows` has nothing against: it is asked with a beginning and answers with a later one where it has.
    pub(super) fn earliest(&self, from_s: i64, length_s: i64, allows: impl Fn(i64) -> i64) -> Option<i64> {
        if self.people == 0 {
            return None;
        }
        let mut at = from_s;
        loop {
            let window = self.attended.partition_point(|w| w.to_s < at + length_s || w.to_s <= at);
            let window = self.attended.get(window)?;
            let mut then = at.max(window.from_s);
            if then + length_s <= window.to_s {
                then = allows(then).max(self.somebody_free(then, length_s));
                if then == at.max(window.from_s) {
                    return Some(then);
                }
            } else {
                // Too short a window, however early: the next one.
                then = window.to_s;
            }
            at = then;
        }
    }

    /// `at`, or the first later time at which one of those busy is free again.
    fn somebody_free(&self, at: i64, length_s: i64) -> i64 {
        if length_s == 0 {
            return at;
        }
        let whole = Window::new(at, at + length_s);
        let first = self.busy.partition_point(|w| w.from_s <= at - self.longest_s);
        let mut meet: Vec<Window> = self.busy[first..]
            .iter()
            .take_while(|w| w.from_s < whole.to_s)
            .copied()
            .filter(|w| w.meets(whole))
            .collect();
        if meet.len() < self.people {
            return at;
        }
        // Most of them at one time: at the beginning of one of them.
        let at_once = |t: i64| meet.iter().filter(|w| w.from_s <= t && t < w.to_s).count();
        let most = meet.iter().map(|w| at_once(w.from_s.max(at))).max().unwrap_or(0);
        if most < self.people {
            return at;
        }
        meet.sort_by_key(|w| w.to_s);
        meet[0].to_s
    }

    /// Takes somebody for it.
    pub(super) fn take(&mut self, work: Window) {
        if work.length_s() > 0 {
            let place = self.busy.partition_point(|w| w.from_s <= work.from_s);
            self.busy.insert(place, work);
            self.longest_s = self.longest_s.max(work.length_s());
        }
    }
}
