//! A cache that does not grow without end.

use std::collections::{BTreeMap, BTreeSet};

/// Values by key. What is wanted now is always kept; of the rest only what was wanted last.
#[derive(Debug)]
pub(in crate::session) struct Bounded<K, V> {
    values: BTreeMap<K, (V, u64)>,
    clock: u64,
    spare: usize,
    /// With more values than this it is time to look which are wanted.
    look_at: usize,
}

impl<K: Ord + Clone, V> Bounded<K, V> {
    /// Keeps at most so many values that are not wanted any more, twice as many between two looks.
    pub(in crate::session) fn new(spare: usize) -> Self {
        Self { values: BTreeMap::new(), clock: 0, spare, look_at: spare }
    }
    pub(in crate::session) fn get(&self, key: &K) -> Option<&V> {
        self.values.get(key).map(|(v, _)| v)
    }
    pub(in crate::session) fn contains_key(&self, key: &K) -> bool {
        self.values.contains_key(key)
    }
    /// Takes in a value. From time to time it asks what is `wanted`, and of the rest the least recently wanted go: not with
    /// every value, for a job of a thousand parts brings in a thousand at once.
    pub(in crate::session) fn insert(&mut self, key: K, value: V, wanted: impl FnOnce() -> BTreeSet<K>) {
        self.clock += 1;
        self.values.insert(key, (value, self.clock));
        if self.values.len() <= self.look_at {
            return;
        }
        let wanted = wanted();
        let mut idle = Vec::new();
        for (key, (_, used)) in &mut self.values {
            if wanted.contains(key) {
                *used = self.clock;
            } else {
                idle.push((*used, key.clone()));
            }
        }
        idle.sort_unstable();
        for (_, key) in idle.iter().take(idle.len().saturating_sub(self.spare)) {
            self.values.remove(key);
        }
        self.look_at = self.spare.max(self.values.len() + self.values.len().min(self.spare));
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_is_wanted_stays_and_of_the_rest_the_last() {
        let mut cache = Bounded::new(3);
        let mut looks = 0;
        for n in 0..200 {
            cache.insert(n, n * n, || {
                looks += 1;
                (0..=n).filter(|k| k % 10 == 0).collect()
            });
            let idle = cache.values.keys().filter(|k| *k % 10 != 0).count();
            assert!(idle <= 2 * 3, "{idle} that nobody wants");
        }
        assert!((0..200).step_by(10).all(|n| cache.get(&n) == Some(&(n * n))));
        assert!(looks < 100, "{looks}");
        // Wanted no more: all but the last go.
        for n in 200..230 {
            cache.insert(n, n, BTreeSet::new);
        }
        assert_eq!(cache.get(&0), None);
        assert!(cache.values.len() <= 6 && cache.contains_key(&229));
    }

    #[test]
    fn many_wanted_values_are_looked_at_seldom() {
        let mut cache = Bounded::new(200);
        let mut looks = 0;
        for n in 0..20_000 {
            cache.insert(n, (), || {
                looks += 1;
                (0..=n).collect()
            });
        }
        assert_eq!(cache.values.len(), 20_000);
        assert!(looks <= 100, "{looks}");
    }
}
