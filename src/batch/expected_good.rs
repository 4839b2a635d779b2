//! Copies that come out good.

/// How many copies of a plate are expected to come out good, where a copy that lets go also spoils others. `failing[i]` is the chance, 0 to
/// 1, that copy `i` lets go, each by itself; `spoils[i]` names the copies that it takes with it.
///
/// A copy is good where neither it nor any copy that would spoil it lets go: the sum over all copies of the product of these chances.
/// Causes that hit the whole plate at once are not in it.
pub fn expected_good(failing: &[f64], spoils: &[Vec<usize>]) -> f64 {
    let holding = |i: usize| 1.0 - failing[i].clamp(0.0, 1.0);
    let mut good: Vec<f64> = (0..failing.len()).map(holding).collect();
    for (i, spoiled) in spoils.iter().enumerate().take(failing.len()) {
        for &j in spoiled.iter().filter(|j| **j != i) {
            if let Some(g) = good.get_mut(j) {
                *g *= holding(i);
            }
        }
    }
    good.iter().sum()
}

#[cfg(test)]
mod tests {
    use super::*;

    fn all_others(n: usize) -> Vec<Vec<usize>> {
        (0..n).map(|i| (0..n).filter(|j| *j != i).collect()).collect()
    }

    /// Values of the binomial distribution: 12 copies at 98 %: n p = 11.76 each by itself, n pⁿ = 9.416601 where any failure spoils the
    /// plate (scipy.stats.binom, 1.17.1).
    #[test]
    fn alone_and_all_together() {
        let failing = vec![0.02; 12];
        assert!((expected_good(&failing, &vec![Vec::new(); 12]) - 11.76).abs() < 1e-9);
        assert!((expected_good(&failing, &all_others(12)) - 9.416_601).abs() < 1e-6);
    }

    /// Three in a row, each striking its neighbours: 2 · .9² + .9³ = 2.349 by hand.
    #[test]
    fn neighbours() {
        let spoils = vec![vec![1], vec![0, 2], vec![1]];
        assert!((expected_good(&[0.1; 3], &spoils) - 2.349).abs() < 1e-12);
    }

    #[test]
    fn nonsense_is_harmless() {
        assert_eq!(expected_good(&[], &[]), 0.0);
        assert_eq!(expected_good(&[0.5, 2.0, -1.0], &[vec![0, 7, 99], vec![2]]), 0.5);
    }
}
