//! A cache that does not grow without end.

use std::collections::BTreeMap;

/// Values by key. What is wanted now is always kept; of the rest only what was wanted last.
#[derive(Debug)]
pub(in crate::session) struct Bounded<K, V> {
    values: BTreeMap<K, (V, u64)>,
    clock: u64,
    spare: usize,
}

impl<K: Ord + Clone, V> Bounded<K, V> {
    /// Keeps at most so many values that are not wanted any more.
    pub(in crate::session) fn new(spare: usize) -> Self {
        Self { values: BTreeMap::new(), clock: 0, spare }
    }
    pub(in crate::session) fn get(&self, key: &K) -> Option<&V> {
        self.values.get(key).map(|(v, _)| v)
    }
    pub(in crate::session) fn contains_key(&self, key: &K) -> bool {
        self.values.contains_key(key)
    }
    /// Takes in a value. Of those that are not `wanted`, the least recently wanted go.
    pub(in crate::session) fn insert(&mut self, key: K, value: V, wanted: impl Fn(&K) -> bool) {
        self.clock += 1;
        self.values.insert(key, (value, self.clock));
        if self.values.len() <= self.spare {
            return;
        }
        let mut idle = Vec::new();
        for (key, (_, used)) in &mut self.values {
            if wanted(key) {
                *used = self.clock;
            } else {
                idle.push((*used, key.clone()));
            }
        }
        idle.sort_unstable();
        for (_, key) in idle.iter().take(idle.len().saturating_sub(self.spare)) {
            self.values.remove(key);
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_is_wanted_stays_and_of_the_rest_the_last() {
        let mut cache = Bounded::new(3);
        for n in 0..20 {
            cache.insert(n, n * n, |k| k % 10 == 0);
        }
        let there: Vec<i32> = (0..20).filter(|n| cache.contains_key(n)).collect();
        assert_eq!((there, cache.values.len(), cache.get(&10)), (vec![0, 10, 17, 18, 19], 5, Some(&100)));
        // Wanted no more, and none of the last: gone with the next.
        cache.insert(20, 400, |_| false);
        assert_eq!((cache.get(&0), cache.values.len()), (None, 3));
    }
}
