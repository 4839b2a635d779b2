//! Shells that nothing holds.

use crate::mesh::{Fault, FaultKind, shells::Shells};

/// More shells than this are not looked at pair by pair.
const MOST_SHELLS: usize = 2_000;

/// Shells that start above the mesh's lowest point and whose boxes, directly or over others, touch no shell that
/// starts there. Boxes that touch to 1e-6 of the height count as touching, so a shell is only named when it surely floats.
pub(in crate::mesh) fn floating_shell(shells: &Shells) -> Option<Fault> {
    let shells = &shells.shells;
    if shells.len() < 2 || shells.len() > MOST_SHELLS {
        return None;
    }
    let lowest = shells.iter().map(|s| s.bounds[0][2]).fold(f64::INFINITY, f64::min);
    let highest = shells.iter().map(|s| s.bounds[1][2]).fold(f64::NEG_INFINITY, f64::max);
    let near = 1e-6 * (highest - lowest).max(f64::MIN_POSITIVE);
    let touch = |a: usize, b: usize| {
        let (a, b) = (shells[a].bounds, shells[b].bounds);
        (0..3).all(|k| a[0][k] <= b[1][k] + near && b[0][k] <= a[1][k] + near)
    };
    // Spread from those that stand.
    let mut held: Vec<bool> = shells.iter().map(|s| s.bounds[0][2] <= lowest + near).collect();
    let mut front: Vec<usize> = (0..shells.len()).filter(|&i| held[i]).collect();
    while let Some(a) = front.pop() {
        for (b, held) in held.iter_mut().enumerate() {
            if !*held && touch(a, b) {
                *held = true;
                front.push(b);
            }
        }
    }
    let count = held.iter().filter(|h| !**h).count();
    Fault::counted(
        FaultKind::FloatingShell,
        count,
        "1 shell starts above the lowest point and touches nothing.",
        "shells start above the lowest point and touch nothing.",
    )
}
