//! Which copies grow on which layers of a plate.

use std::sync::Arc;

/// Layers `from..to` on which the same copies grow.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Growing {
    pub(super) from: usize,
    pub(super) to: usize,
    /// Indices of the copies, ascending.
    pub(super) members: Arc<[u32]>,
}

/// Cuts the plate where copies are finished: each set is a subset of the one below. `groups` holds for each group its number of
/// layers and its copies.
pub(super) fn growing(groups: &[(usize, &[u32])]) -> Vec<Growing> {
    let mut ends: Vec<usize> = groups.iter().map(|g| g.0).filter(|&e| e > 0).collect();
    ends.sort_unstable();
    ends.dedup();
    let mut from = 0;
    ends.into_iter()
        .map(|to| {
            let mut members: Vec<u32> = groups.iter().filter(|g| g.0 >= to).flat_map(|g| g.1.iter().copied()).collect();
            members.sort_unstable();
            let set = Growing { from, to, members: members.into() };
            from = to;
            set
        })
        .collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn cut_where_copies_end() {
        let sets = growing(&[(3, &[0, 4]), (7, &[1, 2]), (3, &[3]), (0, &[5])]);
        assert_eq!(sets.len(), 2);
        assert_eq!((sets[0].from, sets[0].to, &sets[0].members[..]), (0, 3, &[0, 1, 2, 3, 4][..]));
        assert_eq!((sets[1].from, sets[1].to, &sets[1].members[..]), (3, 7, &[1, 2][..]));
        assert!(growing(&[]).is_empty());
    }
}
