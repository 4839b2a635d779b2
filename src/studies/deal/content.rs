//! What lies on a plate, without places.

/// Lines of the order and how many copies of each, by line; none of them 0.
#[derive(Debug, Clone, Default, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub(super) struct Content(Vec<(usize, u32)>);

impl Content {
    /// Copies of one line.
    pub(super) fn of(line: usize, count: u32) -> Self {
        let mut content = Self::default();
        content.add(line, count);
        content
    }
    /// Lines and counts.
    pub(super) fn iter(&self) -> impl Iterator<Item = (usize, u32)> + '_ {
        self.0.iter().copied()
    }
    /// Number of lines.
    pub(super) fn lines(&self) -> usize {
        self.0.len()
    }
    /// The n-th line, from 0, and its count.
    pub(super) fn nth(&self, n: usize) -> Option<(usize, u32)> {
        self.0.get(n).copied()
    }
    /// Number of copies.
    pub(super) fn count(&self) -> u32 {
        self.0.iter().map(|c| c.1).sum()
    }
    /// Copies of a line.
    pub(super) fn get(&self, line: usize) -> u32 {
        self.0.binary_search_by_key(&line, |c| c.0).map_or(0, |at| self.0[at].1)
    }
    /// Nothing.
    pub(super) fn is_empty(&self) -> bool {
        self.0.is_empty()
    }
    /// Adds copies of a line.
    pub(super) fn add(&mut self, line: usize, count: u32) {
        match self.0.binary_search_by_key(&line, |c| c.0) {
            Ok(at) => self.0[at].1 += count,
            Err(at) if count > 0 => self.0.insert(at, (line, count)),
            Err(_) => {}
        }
    }
    /// Takes away copies of a line, as many as there are at most.
    pub(super) fn take(&mut self, line: usize, count: u32) {
        if let Ok(at) = self.0.binary_search_by_key(&line, |c| c.0) {
            self.0[at].1 = self.0[at].1.saturating_sub(count);
            if self.0[at].1 == 0 {
                self.0.remove(at);
            }
        }
    }
    /// Both together.
    pub(super) fn with(&self, other: &Self) -> Self {
        let mut both = self.clone();
        for (line, count) in other.iter() {
            both.add(line, count);
        }
        both
    }
    /// So many times each count.
    pub(super) fn times(&self, n: u32) -> Self {
        Self(self.0.iter().map(|&(line, count)| (line, count * n)).filter(|c| c.1 > 0).collect())
    }
    /// Of each count the whole pairs, as many as there are.
    pub(super) fn pairs(&self) -> Self {
        Self(self.0.iter().map(|&(line, count)| (line, count / 2)).filter(|c| c.1 > 0).collect())
    }
    /// Is every count even?
    pub(super) fn is_even(&self) -> bool {
        self.0.iter().all(|c| c.1.is_multiple_of(2))
    }
    /// Is all of the other in it?
    pub(super) fn holds(&self, other: &Self) -> bool {
        other.iter().all(|(line, count)| self.get(line) >= count)
    }
    /// Copies that both have.
    pub(super) fn shared(&self, other: &Self) -> u32 {
        self.iter().map(|(line, count)| count.min(other.get(line))).sum()
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn copies_come_and_go() {
        let mut c = Content::of(3, 2).with(&Content::of(1, 4));
        c.add(3, 1);
        assert_eq!(c.iter().collect::<Vec<_>>(), [(1, 4), (3, 3)]);
        assert_eq!((c.count(), c.get(3), c.get(2), c.lines()), (7, 3, 0, 2));
        assert!(c.holds(&Content::of(1, 4)) && !c.holds(&Content::of(1, 5)) && !c.holds(&Content::of(0, 1)));
        assert_eq!(c.shared(&Content::of(1, 9).with(&Content::of(3, 1))), 5);
        c.take(1, 9);
        c.take(2, 1);
        assert_eq!(c, Content::of(3, 3));
        assert!(Content::of(3, 0).is_empty());
        let odd = Content::of(1, 1).with(&Content::of(3, 5));
        assert!(!odd.is_even() && odd.pairs() == Content::of(3, 2) && odd.pairs().times(2).is_even());
    }
}
