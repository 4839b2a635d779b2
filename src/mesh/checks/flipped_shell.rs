//! Shells that are inside out.

use crate::mesh::{Fault, FaultKind, bodies::Bodies, shells::Shells};

/// Shells with negative volume that are no cavities, and shells whose triangles do not all face the same way.
pub(in crate::mesh) fn flipped_shell(shells: &Shells, bodies: &Bodies) -> Option<Fault> {
    let mixed = shells.shells.iter().filter(|s| s.mixed).count();
    let inside_out = shells
        .shells
        .iter()
        .zip(&bodies.is_cavity)
        .filter(|(s, cavity)| s.closed && !s.mixed && s.volume < 0.0 && !**cavity)
        .count();
    let shell = |n: usize| if n == 1 { "1 shell".to_owned() } else { format!("{n} shells") };
    let mut texts = Vec::new();
    if inside_out > 0 {
        let verb = if inside_out == 1 { "is" } else { "are" };
        texts.push(format!("{} {verb} inside out.", shell(inside_out)));
    }
    if mixed > 0 {
        let verb = if mixed == 1 { "has" } else { "have" };
        texts.push(format!("{} {verb} triangles that face the opposite way to their neighbours.", shell(mixed)));
    }
    (!texts.is_empty()).then(|| Fault::new(FaultKind::FlippedShell, inside_out + mixed, texts.join(" ")))
}
